/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sun brought to the collector's plane, and a cloudless one put in its place, row by row a
 * second time: the sun's place at each row's own time (the program goes in straight lines over a
 * minute), transposition and mask by the modules that have their own tests. */
#include "analyze/physics/clearsky.h"
#include "analyze/physics/sun.h"
#include "analyze/plane/clouds.h"
#include "analyze/plane/plane.h"
#include "tests/unit/chance.h"
#include "tests/unit/fit/simulated.h"

#define DEG (M_PI / 180)
enum { ROWS = 700 };

static nr_virtual_run *rig;
static nr_run *run;
static size_t rows;
static uint64_t seed;
static nr_err err;

static double draw(void)
{
    return chance_share(&seed);
}

static void begin(double interval_s)
{
    nr_virtual_params p = exact_glazed();
    p.interval_s = interval_s;
    rig = simulated(&p);
    run = &rig->run;
    rows = run->readings->rows;
    ck_assert(rows > 50 && rows <= ROWS);
}

static nr_rig_channel *channel(const char *name)
{
    for (size_t i = 0; i < run->rig.channels; i++)
        if (strcmp(run->rig.channel[i].name, name) == 0)
            return &run->rig.channel[i];
    return NULL;
}

/* A column of the test's own; a channel where there is none. */
static double *column(const char *name, nr_plane plane)
{
    double *value = NULL;
    ck_assert(nr_run_own_column(run, name, "W_m2", &value, &err) == NR_OK);
    if (!channel(name)) {
        nr_rig_channel *c = &run->rig.channel[run->rig.channels++];
        *c = *channel("sun");
        snprintf(c->name, sizeof c->name, "%s", name);
        snprintf(c->column, sizeof c->column, "%s", name);
    }
    channel(name)->plane = plane;
    return value;
}

static void numbers(const char *name, double out[ROWS])
{
    nr_values v = strcmp(name, "elapsed") == 0 ? nr_readings_elapsed(run->readings)
                                               : nr_readings_values(run->readings, name);
    for (size_t i = 0; i < rows; i++)
        out[i] = nr_values_there(&v) ? nr_number(&v, i) : NAN;
}

/* UTC of a row: of a mean the middle between it and the row before; the first is as long as the
 * second. */
static double time_of(const double t[ROWS], size_t i)
{
    nr_values utc = nr_readings_utc(run->readings);
    double back = 0;
    if (run->rig.rows == NR_ROWS_MEAN)
        back = (i > 0 ? t[i] - t[i - 1] : t[1] - t[0]) / 2;
    return nr_number(&utc, 0) - t[0] + t[i] - back;
}

/* One drawn record that lies flat; the numbers that come out, and the u of what was done to it. */
static void brought(bool with_diffuse, double tilt_deg, double u_gain)
{
    static double t[ROWS], ghi[ROWS], dhi[ROWS], before[ROWS];
    double *sun = column("sun", NR_PLANE_HORIZONTAL), most = 0, sum = 0, weight = 0;
    double *diffuse = with_diffuse ? column("diffuse", NR_PLANE_HORIZONTAL) : NULL;
    nr_rig *r = &run->rig;
    r->collector.tilt_deg.value = tilt_deg;
    channel("sun")->u_gain = u_gain;
    for (size_t i = 0; i < rows; i++) {
        sun[i] = before[i] = draw() < 0.05 ? NAN : -20 + 900 * draw() * draw();
        ghi[i] = fmax(before[i], 0);
        dhi[i] = with_diffuse ? 0.8 * draw() * fmax(ghi[i], 0) : NAN;
        if (diffuse)
            diffuse[i] = dhi[i];
        most = before[i] > most ? before[i] : most;
    }
    numbers("elapsed", t);
    ck_assert(nr_plane_bring(run, &err) == NR_OK);
    numbers("sun", ghi);
    for (size_t i = 0; i < rows; i++) {
        double utc = time_of(t, i);
        nr_sun at = nr_sun_at(utc, r->latitude_deg.value, r->longitude_deg.value);
        double angle = nr_incidence_deg(at.zenith_deg, at.azimuth_deg, tilt_deg,
                                        r->collector.azimuth_deg.value);
        double normal = NR_SOLAR_CONSTANT_W_M2 * nr_extraterrestrial_factor(nr_day_of_year(utc));
        nr_plane_irradiance on = nr_from_horizontal(fmax(before[i], 0), dhi[i], at.zenith_deg,
                                                    angle, tilt_deg, NR_ALBEDO_DEFAULT, normal);
        if (isnan(before[i])) {
            ck_assert(isnan(ghi[i]));
            continue;
        }
        NEAR(ghi[i], on.total, 1e-3 + 1e-5 * on.total);
        if (diffuse) {
            static double brought_dhi[ROWS];
            numbers("diffuse", brought_dhi);
            NEAR(brought_dhi[i], on.diffuse + on.ground, 1e-3 + 1e-5 * on.total);
        }
        /* a wrong share of diffuse counts by what it is more in the beam than in the sky */
        double beam = fmax(cos(angle * DEG), 0) / cos(at.zenith_deg * DEG);
        double sky = (1 + cos(tilt_deg * DEG)) / 2;
        if (before[i] > 0.4 * most) {
            sum += before[i] * fabs(beam - sky) * before[i] / on.total;
            weight += before[i];
        }
    }
    /* A tenth of the diffuse share where it is Erbs', 0.03 where it is measured; the models 2 %. */
    double u = tilt_deg > 0 ? hypot((with_diffuse ? 0.03 : 0.10) * sum / weight, 0.02) : 0;
    NEAR_RELATIVE(channel("sun")->u_brought, u, 1e-4);
    NEAR_RELATIVE(channel("sun")->u_gain, hypot(isnan(u_gain) ? 0.05 : u_gain, u), 1e-4);
    ck_assert_int_eq(channel("sun")->plane, NR_PLANE_BROUGHT);
    ck_assert(!with_diffuse || channel("diffuse")->plane == NR_PLANE_BROUGHT);
}

START_TEST(brought_row_by_row)
{
    for (unsigned long trial = 0; trial < 6; trial++) {
        seed = 17 + trial;
        begin(trial % 2 ? 97 : 31);
        run->rig.rows = trial % 3 ? NR_ROWS_MEAN : run->rig.rows;
        brought(trial % 2, trial == 4 ? 0 : 20 + 50 * draw(), trial < 3 ? NAN : 0.03);
        nr_virtual_run_free(rig);
    }
}
END_TEST

/* Without any one of what it takes, nothing is done; a plane that lies flat faces nowhere. */
START_TEST(what_it_takes)
{
    for (int missing = 0; missing < 8; missing++) {
        static double before[ROWS], after[ROWS];
        begin(97);
        nr_rig *r = &run->rig;
        double *sun = column("sun", missing == 5 ? NR_PLANE_COLLECTOR : NR_PLANE_HORIZONTAL);
        double *diffuse =
            column("diffuse", missing == 6 ? NR_PLANE_COLLECTOR : NR_PLANE_HORIZONTAL);
        for (size_t i = 0; i < rows; i++) {
            sun[i] = 500;
            diffuse[i] = 100;
        }
        nr_value *const needed[] = {&r->latitude_deg, &r->longitude_deg, &r->collector.tilt_deg,
                                    &r->collector.azimuth_deg, &r->collector.azimuth_deg};
        if (missing < 5)
            needed[missing]->given = false;
        r->collector.tilt_deg.value = missing == 4 ? 0 : 35;
        numbers("sun", before);
        ck_assert(nr_plane_bring(run, &err) == NR_OK);
        numbers("sun", after);
        bool done = missing == 4 || missing > 5;
        ck_assert_msg((channel("sun")->plane == NR_PLANE_BROUGHT) == done, "%d", missing);
        ck_assert((after[rows / 2] == 500) == !(missing > 5));
        numbers("diffuse", after);
        ck_assert((channel("diffuse")->plane == NR_PLANE_BROUGHT) == (done && missing != 6));
        ck_assert(missing != 6 || after[3] == 100);
        nr_virtual_run_free(rig);
    }
}
END_TEST

/* The smallest change from one reading to the next that is one. */
static double step_of(const double v[ROWS])
{
    double least = INFINITY, last = NAN;
    for (size_t i = 0; i < rows; i++)
        if (isfinite(v[i])) {
            double d = fabs(v[i] - last);
            least = d > 1e-6 && d < least ? d : least;
            last = v[i];
        }
    return isfinite(least) ? least : 0;
}

/* Clouds over so many stretches: what the loop carries drops. */
static void cloud_over(size_t stretches, size_t length)
{
    double *outlet = NULL;
    static double inlet[ROWS];
    numbers("inlet", inlet);
    ck_assert(nr_run_own_column(run, "outlet", "degC", &outlet, &err) == NR_OK);
    for (size_t k = 0; k < stretches; k++)
        for (size_t i = 0; i < length; i++) {
            size_t at = rows * (k + 1) / (stretches + 1) + i;
            if (at < rows)
                outlet[at] = inlet[at] + 0.2 * (outlet[at] - inlet[at]);
        }
}

/* A store alone, read in tenths of a kelvin, that stops warming. */
static void stop_warming(size_t stretches, size_t length)
{
    static const char *const silent[] = {"inlet", "outlet", "flow", "box"};
    static double warm[ROWS];
    double *store = NULL, *none = NULL, lost = 0;
    numbers("store", warm);
    for (size_t k = 0; k < 4; k++) {
        ck_assert(nr_run_own_column(run, silent[k], "degC", &none, &err) == NR_OK);
        for (size_t i = 0; i < rows; i++)
            none[i] = NAN;
    }
    ck_assert(nr_run_own_column(run, "store", "degC", &store, &err) == NR_OK);
    for (size_t i = 0; i < rows; i++) {
        for (size_t k = 0; k < stretches; k++) {
            size_t at = rows * (k + 1) / (stretches + 1);
            lost += i > 0 && i >= at && i < at + length ? warm[i] - warm[i - 1] : 0;
        }
        store[i] = round((warm[i] - lost) / 0.1) * 0.1;
    }
}

static void cloudless(size_t stretches, size_t length, bool means, bool store_alone)
{
    static double t[ROWS], clear[ROWS], of[7][ROWS], got[ROWS];
    static bool mask[ROWS];
    static const char *const name[] = {"store", "inlet", "outlet", "box", "air", "flow", "pump"};
    begin(20);
    double *sun = column("sun", NR_PLANE_COLLECTOR);
    nr_rig *r = &run->rig;
    for (size_t i = 0; i < rows; i++)
        sun[i] = NAN;
    if (means)
        r->rows = NR_ROWS_MEAN;
    (store_alone ? stop_warming : cloud_over)(stretches, length);
    nr_place place = {r->latitude_deg.value, r->longitude_deg.value,
                      r->elevation_m.given ? r->elevation_m.value : 0, r->collector.tilt_deg.value,
                      r->collector.azimuth_deg.value};
    numbers("elapsed", t);
    const double *there[7];
    for (size_t k = 0; k < 7; k++) {
        nr_values v = nr_readings_values(run->readings, name[k]);
        numbers(name[k], of[k]);
        there[k] = nr_values_there(&v) ? of[k] : NULL;
    }
    for (size_t i = 0; i < rows; i++)
        clear[i] = fmax(
            nr_clear_sky_at(time_of(t, i), place, NR_LINKE_DEFAULT, NR_ALBEDO_DEFAULT).plane.total,
            0);
    nr_cloud_signs signs = {rows,     t,        clear,    there[0], there[1],      there[2],
                            there[3], there[4], there[5], there[6], step_of(of[0])};
    nr_clouds seen;
    ck_assert(nr_cloud_mask(&signs, mask, &seen));
    ck_assert(nr_plane_clear_sky(run, &err) == NR_OK);
    numbers("sun", got);
    const nr_rig_channel *c = channel("sun");
    ck_assert(c->plane == NR_PLANE_MODEL && c->u_gain == NR_CLEAR_SKY_U);
    NEAR(c->cloud_seen_s, seen.seen_s, 1e-6);
    NEAR(c->cloud_s, seen.cloud_s, 1e-6);
    NEAR(c->cloud_or_pump_s, seen.unsure_s, 1e-6);
    ck_assert(isnan(seen.first_s) ? isnan(c->cloud_first_s) : c->cloud_first_s == seen.first_s);
    double clouded = seen.cloud_s + seen.unsure_s;
    bool most = clouded > 0.4 * seen.seen_s; /* then all is left as it is */
    ck_assert((clouded > 0) == (stretches > 0) && most == (stretches > 4));
    for (size_t i = 0; i < rows; i++) {
        if (mask[i] && !most)
            ck_assert(isnan(got[i]));
        else
            NEAR(got[i], clear[i], 0.01);
    }
    nr_virtual_run_free(rig);
}

START_TEST(cloudless_row_by_row)
{
    cloudless(0, 0, false, false);
    cloudless(1, 15, false, false);
    cloudless(2, 15, true, false);
    cloudless(8, 17, false, false);
    cloudless(1, 40, false, true);
}
END_TEST

/* Where the rig file has no such channel it gets one, if there is room for it. */
START_TEST(a_channel_of_its_own)
{
    for (int full = 0; full < 2; full++) {
        begin(97);
        nr_rig *r = &run->rig;
        double *sun = column("sun", NR_PLANE_COLLECTOR);
        for (size_t i = 0; i < rows; i++)
            sun[i] = NAN;
        snprintf(channel("sun")->name, sizeof r->channel[0].name, "other");
        size_t before = r->channels;
        if (full)
            r->channels = NR_RIG_CHANNELS;
        nr_code code = nr_plane_clear_sky(run, &err);
        ck_assert_int_eq(code, full ? NR_BAD : NR_OK);
        if (!full) {
            ck_assert(r->channels == before + 1);
            const nr_rig_channel *c = &r->channel[before];
            ck_assert_str_eq(c->name, "sun");
            ck_assert_str_eq(c->column, "sun");
            ck_assert(c->plane == NR_PLANE_MODEL && c->u_gain == NR_CLEAR_SKY_U &&
                      isnan(c->u_offset) && isnan(c->low) && isnan(c->high) &&
                      isnan(c->resolution) && isnan(c->emissivity) && !c->law->stated);
        }
        r->channels = before;
        nr_virtual_run_free(rig);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {brought_row_by_row, what_it_takes, cloudless_row_by_row,
                                  a_channel_of_its_own, NULL};
    return run_tests("plane worked", tests);
}
