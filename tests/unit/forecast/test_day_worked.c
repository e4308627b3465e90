/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The day of a prediction: what has to be said of it and what the record says, its weather sample
 * by sample from the clear sky (physics/clearsky.h, tested there), the pump on a panel, the case it
 * becomes. One short record, solved once a test. */
#include "analyze/forecast/day.h"
#include "analyze/physics/clearsky.h"
#include "tests/unit/fit/simulated.h"

#define DEG (3.14159265358979323846 / 180)

static nr_virtual_run *record;
static nr_solved solved;
static nr_err err;

static void open_record(bool plane_known)
{
    nr_virtual_params p = exact_glazed();
    nr_fit_options options = nr_fit_defaults();
    p.duration_s = 2400;
    p.interval_s = 30;
    record = simulated(&p);
    record->run.rig.collector.tilt_deg.given = plane_known;
    const nr_run *one = &record->run;
    ck_assert_msg(nr_solve_runs(&one, 1, &options, &solved, &err) == NR_OK, "%s", err.text);
}

static void set_up(void)
{
    open_record(true);
}

static void tear_down(void)
{
    nr_solved_free(&solved);
    nr_virtual_run_free(record);
}

static nr_value given(double value)
{
    return (nr_value){.given = !isnan(value), .value = value};
}

/* ---- what has to be said ---- */

static nr_code complete(nr_day *d)
{
    err = (nr_err){.text = ""};
    return nr_day_complete(&solved, d, &err);
}

static void refused(nr_day d, nr_code code, const char *words)
{
    ck_assert_msg(complete(&d) == code, "%s", words);
    ck_assert_msg(strstr(err.text, words) != NULL, "%s: %s", words, err.text);
}

START_TEST(a_steady_day)
{
    nr_day good = steady_day(800, 20, 15, 40), d = good;
    record->run.rig.store.water_kg = given(33);
    solved.wind_m_s = 1.5;
    ck_assert_int_eq(complete(&d), NR_OK);
    ck_assert(d.water_kg == 33 && d.wind_m_s == 1.5 && d.limit_s == 12 * 3600);
    d = good;
    d.water_kg = 21;
    d.wind_m_s = 4;
    d.limit_s = 100;
    ck_assert_int_eq(complete(&d), NR_OK);
    ck_assert(d.water_kg == 21 && d.wind_m_s == 4 && d.limit_s == 100);
    d = good;
    d.sun_W_m2 = NAN;
    refused(d, NR_BAD, "how strong the sun is");
    d = good;
    d.air_degC = NAN;
    refused(d, NR_BAD, "how warm the air is");
    d = good;
    d.from_degC = NAN;
    refused(d, NR_BAD, "say what is wanted");
    d = good;
    d.to_degC = NAN;
    refused(d, NR_BAD, "say what is wanted");
    d = good;
    d.to_degC = 15;
    refused(d, NR_BAD, "warmer than the start");
    d = good;
    d.to_degC = 15.1;
    ck_assert_int_eq(complete(&d), NR_OK);
    d = good;
    d.to_degC = 100;
    refused(d, NR_BAD, "below the boiling point");
    d = good;
    d.to_degC = 99.9;
    ck_assert_int_eq(complete(&d), NR_OK);
    record->run.rig.store.water_kg = given(NAN);
    refused(good, NR_BAD, "the record has no container");
}
END_TEST

static nr_rig *site(double latitude, double longitude, double elevation, double tilt, double faces)
{
    nr_rig *rig = &record->run.rig;
    rig->latitude_deg = given(latitude);
    rig->longitude_deg = given(longitude);
    rig->elevation_m = given(elevation);
    rig->collector.tilt_deg = given(tilt);
    rig->collector.azimuth_deg = given(faces);
    return rig;
}

START_TEST(where_and_when)
{
    nr_day good = clear_day(9, 20, 15, 40), d = good;
    site(46, 9, 320, 30, 170);
    ck_assert_int_eq(complete(&d), NR_OK);
    ck_assert(d.latitude_deg == 46 && d.longitude_deg == 9 && d.elevation_m == 320);
    ck_assert(d.tilt_deg == 30 && d.azimuth_deg == 170);
    site(NAN, 9, NAN, NAN, 170);
    refused(good, NR_BAD, "needs a place");
    d = good;
    d.latitude_deg = 10;
    refused(d, NR_BAD, "needs the collector's plane");
    d.tilt_deg = 5;
    ck_assert_int_eq(complete(&d), NR_OK);
    ck_assert(d.latitude_deg == 10 && d.elevation_m == 0 && d.tilt_deg == 5);
    site(46, NAN, NAN, 30, NAN);
    refused(good, NR_BAD, "needs a place");
    d = good;
    d.longitude_deg = 8;
    refused(d, NR_BAD, "needs the collector's plane");
    d.re_aimed = true; /* then there is no plane to know */
    ck_assert_int_eq(complete(&d), NR_OK);
    site(46, 9, 320, 30, 170);
    d = good;
    d.date_s = NAN;
    refused(d, NR_BAD, "needs a date and a start");
    d = good;
    d.start_s = NAN;
    refused(d, NR_BAD, "needs a date and a start");
}
END_TEST

/* It ends at sunset; where the sun does not set after twelve hours; two samples are the least. */
START_TEST(until_sunset)
{
    nr_day good = clear_day(9, 20, 15, 40), d = good;
    site(46, 9, 320, 30, 170);
    double midnight = d.date_s - 9 * 240; /* by mean solar time, four minutes a degree */
    double sunset = nr_sun_day_of(midnight + 43200, 46, 9).set_s;
    ck_assert_int_eq(complete(&d), NR_OK);
    NEAR(midnight + d.start_s + d.limit_s, sunset, 1e-3);
    d = good;
    d.start_s = sunset - midnight - 245;
    ck_assert_int_eq(complete(&d), NR_OK);
    NEAR(d.limit_s, 245, 1e-3);
    d = good;
    d.start_s = sunset - midnight - 235;
    refused(d, NR_CANNOT, "has set there before that start");
    d.limit_s = 600; /* asked for */
    ck_assert_int_eq(complete(&d), NR_OK);
    ck_assert(d.limit_s == 600);
    d = good;
    d.latitude_deg = 80;
    ck_assert_int_eq(complete(&d), NR_OK);
    ck_assert(d.limit_s == 12 * 3600);
    d = good;
    d.latitude_deg = -80;
    refused(d, NR_CANNOT, "does not rise");
}
END_TEST

/* ---- its weather ---- */

START_TEST(obliquity_of_a_share)
{
    double as_tested = solved.at.conditions.obliquity;
    /* 1/cos - 1 of 0, 60 and 80 degrees: 0, 1, 4.7588; ten at most, and behind the plane. */
    static const double rows[][2] = {{0, 0},     {60, 1},  {80, 4.758770483},
                                     {84.9, 10}, {90, 10}, {91, 10}};
    NEAR(nr_day_obliquity(&solved, 1, 84.7), 1 / cos(84.7 * DEG) - 1, 1e-9);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        for (double beam = 0; beam <= 1; beam += 0.25)
            NEAR(nr_day_obliquity(&solved, beam, rows[i][0]),
                 beam * rows[i][1] + (1 - beam) * as_tested, 1e-8);
}
END_TEST

/* Sun and obliquity in the plane at so many seconds after the start. */
static void sky(const nr_day *d, double after_s, double *sun, double *oblique)
{
    double utc = d->date_s + d->start_s + after_s - d->longitude_deg / 15 * 3600;
    nr_place place = {d->latitude_deg, d->longitude_deg, d->elevation_m, d->tilt_deg,
                      d->azimuth_deg};
    nr_clear_instant now = nr_clear_sky_at(utc, place, 3, 0.2); /* turbidity, albedo: clearsky.h */
    if (d->re_aimed) {
        place.tilt_deg = now.zenith_deg < 90 ? now.zenith_deg : 0;
        place.azimuth_deg = now.zenith_deg < 90 ? now.azimuth_deg : 0;
        now = nr_clear_sky_at(utc, place, 3, 0.2);
    }
    *sun = now.plane.total;
    *oblique = solved.at.conditions.obliquity;
    if (*sun > 0)
        *oblique = nr_day_obliquity(&solved, now.plane.beam / *sun, now.incidence_deg);
    else
        *sun = 0;
}

static void weather_is(nr_day d, double b0)
{
    nr_day_weather w;
    ck_assert_msg(complete(&d) == NR_OK, "%s", err.text);
    ck_assert_int_eq(nr_day_weather_make(&solved, &d, &w, &err), NR_OK);
    const nr_forecast *f = &w.forecast;
    bool running = false;
    ck_assert(f->every_s == 120);
    ck_assert_uint_eq(f->count, d.clear_sky ? (size_t)ceil(d.limit_s / 120) + 1 : 1);
    for (size_t k = 0; k < f->count; k++) {
        double sun = d.sun_W_m2, oblique = solved.at.conditions.obliquity;
        if (d.clear_sky)
            sky(&d, 120 * (double)k, &sun, &oblique);
        NEAR(f->sun_W_m2[k], fmax(sun - sun * b0 * oblique, 0), 1e-6);
        NEAR(f->obliquity[k], oblique, 1e-9);
        ck_assert(f->air_degC[k] == d.air_degC);
        if (sun < solved.panel_stall_W_m2)
            running = false;
        if (sun >= solved.panel_start_W_m2)
            running = true;
        ck_assert(f->flow_share[k] == (running || isnan(solved.panel_stall_W_m2)));
    }
    NEAR(f->wind_above_mean_m_s,
         isnan(d.wind_m_s) || isnan(solved.wind_m_s) ? 0 : d.wind_m_s - solved.wind_m_s, 1e-12);
    nr_day_weather_free(&w);
}

START_TEST(weather_of_days)
{
    nr_day d = clear_day(5, 20, 15, 40);
    d.wind_m_s = 3;
    d.limit_s = 16.02 * 3600; /* into the night */
    weather_is(d, 0);
    solved.wind_m_s = NAN;
    d.re_aimed = true;
    weather_is(d, 0);
    d.re_aimed = false;
    d.azimuth_deg = 10; /* the sun behind it for a while */
    d.tilt_deg = 80;
    solved.wind_m_s = 1;
    solved.panel_start_W_m2 = 500;
    solved.panel_stall_W_m2 = 300;
    weather_is(d, 0);
    d.azimuth_deg = 170;
    d.tilt_deg = 30;
    weather_is(d, 0);
    static const double suns[] = {299, 301, 499, 501};
    for (int i = 0; i < 4; i++)
        weather_is(steady_day(suns[i], 20, 15, 40), 0);
    ck_assert(nr_day_pump_runs(&solved, 300, true) && !nr_day_pump_runs(&solved, 299, true));
    ck_assert(nr_day_pump_runs(&solved, 500, false) && !nr_day_pump_runs(&solved, 499, false));
}
END_TEST

/* Where the record's own angle is not known the fit has left the modifier out: that of the rig
 * file, or usual for its panes (0.1 for one, 0.17 for two: Duffie and Beckman, from memory). */
START_TEST(a_modifier_left_out)
{
    nr_day d = clear_day(5, 20, 15, 40);
    ck_assert(nr_day_unfitted_b0(&solved) == 0);
    tear_down();
    open_record(false);
    nr_rig *rig = &record->run.rig;
    rig->collector.iam_b0 = given(0.15);
    ck_assert(nr_day_unfitted_b0(&solved) == 0.15);
    d.tilt_deg = 80; /* oblique enough for nothing to be left of some of it */
    d.limit_s = 16 * 3600;
    weather_is(d, 0.15);
    rig->collector.iam_b0 = given(NAN);
    static const double usual[] = {0, 0.1, 0.17};
    for (int panes = 0; panes < 3; panes++)
        for (int g = 0; g < 4; g++)
            if (nr_glazing_covers((nr_glazing)g) == panes) {
                rig->collector.glazing = (nr_glazing)g;
                NEAR(nr_day_unfitted_b0(&solved), usual[panes], 0);
            }
}
END_TEST

/* ---- the case ---- */

START_TEST(as_a_case)
{
    nr_day d = steady_day(800, 20, 15, 40);
    nr_day_weather w;
    d.water_kg = 21;
    ck_assert_int_eq(complete(&d), NR_OK);
    ck_assert_int_eq(nr_day_weather_make(&solved, &d, &w, &err), NR_OK);
    record->run.rig.collector.gross_area_m2 = given(1.6);
    double usual = nr_joint_usual_store_loss_W_K(
        nr_joint_piece(solved.joint, solved.at.piece).series->water_kg);
    for (int i = 0; i < 8; i++) {
        d.store_loss_W_K = i & 1 ? 2.5 : NAN;
        d.area_m2 = i & 2 ? 2.4 : 0;
        d.same_meter = i & 4;
        for (int included = 0; included < 2; included++) {
            solved.fit->loss_includes_store = included;
            nr_heatup_case c = nr_day_case(&solved, &d, &w);
            double contained = included && (i & 1) ? usual : 0;
            ck_assert(c.contained_W_K == contained && c.u_contained_W_K == contained);
            NEAR(c.grow, i & 2 ? 1.5 : 1, 1e-12);
            ck_assert(c.piece == solved.at.piece && c.water_kg == 21 && c.from_degC == 15);
            ck_assert(c.to_degC == 40 && c.limit_s == 12 * 3600 && c.same_meter == !!(i & 4));
            ck_assert(c.flow_W_K == solved.at.conditions.flow_W_K && c.steps == 0);
            ck_assert(c.weather.sun_W_m2 == w.forecast.sun_W_m2 && !c.true_water);
            ck_assert(i & 1 ? c.store_loss_W_K == 2.5 : isnan(c.store_loss_W_K));
        }
    }
    nr_day_weather_free(&w);
    d.area_m2 = NAN;
    NEAR(nr_day_case(&solved, &d, &w).grow, 1, 0);
    char text[NR_CLOCK_TEXT];
    d = clear_day(9, 20, 15, 40);
    ck_assert_str_eq(nr_day_date(&d, text), "2026-06-21");
}
END_TEST

/* Nothing is said of a day that was not. */
START_TEST(nothing_said)
{
    nr_day d = nr_day_stated();
    const double open[] = {d.sun_W_m2,    d.air_degC,  d.wind_m_s,     d.date_s,
                           d.start_s,     d.tilt_deg,  d.latitude_deg, d.longitude_deg,
                           d.elevation_m, d.water_kg,  d.azimuth_deg,  d.store_loss_W_K,
                           d.area_m2,     d.from_degC, d.to_degC};
    for (size_t i = 0; i < sizeof open / sizeof *open; i++)
        ck_assert(isnan(open[i]));
    ck_assert(!d.clear_sky && !d.re_aimed && !d.same_meter && !d.clock_given);
    ck_assert(d.limit_s == 0 && d.u_sun == 0 && d.u_air_K == 0);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_steady_day,
                                  where_and_when,
                                  until_sunset,
                                  obliquity_of_a_share,
                                  weather_of_days,
                                  a_modifier_left_out,
                                  as_a_case,
                                  nothing_said,
                                  NULL};
    return run_tests_in("day_worked", tests, set_up, tear_down);
}
