/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What falls on a plane out of a table of hours, worked out a second time on drawn tables: the sun
 * by its full theory at each instant (the program goes in straight lines over a day), parts that
 * are missing by what weather.h says of them, air and wind between the middles of their hours. */
#include "analyze/physics/clearsky.h"
#include "analyze/physics/sun.h"
#include "analyze/weather/weather.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

#define DEG (M_PI / 180)
#define ROWS 48
#define PARTS 12
#define EVERY_S 420.0

typedef enum given { ALL, NO_DIFFUSE, NO_BEAM, NO_GLOBAL, GIVENS } given;

static nr_hourly_row row[ROWS];
static nr_hourly w;
static uint64_t seed;

/* 0..1, the same on every computer. */
static double draw(void)
{
    return chance_share(&seed);
}

static double cosine_at(double utc_s)
{
    return cos(nr_sun_at(utc_s, w.latitude_deg, w.longitude_deg).zenith_deg * DEG);
}

static double beyond_air(double utc_s)
{
    return NR_SOLAR_CONSTANT_W_M2 * nr_extraterrestrial_factor(nr_day_of_year(utc_s));
}

/* Two days from some midnight of 2025 on, with an hour that is missing. */
static void make_table(given what, double step_s)
{
    /* from the days on in which the sun's height, and the length of a day, change most */
    static const double days[] = {79, 355, 172, 264, 20};
    double begin_s = 1735689600.0 + 86400 * days[seed % 5] + 3600 * floor(24 * draw());
    w = (nr_hourly){.latitude_deg = -55 + 110 * draw(),
                    .longitude_deg = -170 + 340 * draw(),
                    .step_s = step_s,
                    .rows = ROWS - 1,
                    .row = row};
    for (size_t i = 0, n = 0; i < ROWS; i++) {
        double from_s = begin_s + step_s * (double)i, c;
        if (i == 20)
            continue;
        c = fmax(cosine_at(from_s + step_s / 2), 0);
        double clear = (0.05 + 0.7 * draw()) * beyond_air(from_s) * c;
        double dhi = clear * (0.1 + 0.8 * draw());
        row[n++] = (nr_hourly_row){.from_s = from_s,
                                   .ghi_W_m2 = what == NO_GLOBAL ? NAN : clear,
                                   .dni_W_m2 = what == NO_BEAM ? NAN
                                               : c > 0.001     ? (clear - dhi) / c
                                                               : 0,
                                   .dhi_W_m2 = what == NO_DIFFUSE || what == NO_BEAM ? NAN : dhi,
                                   .air_degC = -10 + 40 * draw(),
                                   .wind_m_s = 8 * draw()};
    }
    row[w.rows] = row[w.rows - 1]; /* none of the table's */
    row[w.rows].from_s += step_s;
    row[w.rows].air_degC += 30;
}

/* What a row holds: mean cosine of the sun, normal beam, diffuse. */
typedef struct hour {
    double mean, beam, diffuse;
} hour;

static hour make_hour(const nr_hourly_row *r)
{
    double mean = 0, up = 0;
    for (int k = 0; k < PARTS; k++) {
        double c = cosine_at(r->from_s + w.step_s * (k + 0.5) / PARTS);
        mean += c > 0 ? c / PARTS : 0;
        up += c > 0 ? 1.0 / PARTS : 0;
    }
    double most = beyond_air(r->from_s), ghi = r->ghi_W_m2, dhi = r->dhi_W_m2;
    if (isnan(dhi))
        dhi = isnan(r->dni_W_m2) ? ghi * nr_erbs_diffuse_fraction(fmin(1, ghi / (most * mean)))
                                 : ghi - r->dni_W_m2 * mean;
    if (isnan(ghi))
        ghi = dhi + r->dni_W_m2 * mean;
    dhi = dhi < 0 ? 0 : dhi > ghi ? ghi : dhi;
    /* two degrees above the horizon: as low as the beam is divided by */
    double beam = (ghi - dhi) / fmax(mean, sin(2 * DEG) * up);
    return (hour){mean, fmin(beam, most), dhi};
}

/* The same again where it is asked again. */
static hour hour_of(const nr_hourly_row *r)
{
    static hour last;
    static nr_hourly_row of;
    if (memcmp(&of, r, sizeof of) != 0)
        last = make_hour(r);
    of = *r;
    return last;
}

static double middles(double utc_s, size_t at, bool air)
{
    double half = w.step_s / 2, here = row[at].from_s + half;
    double y = air ? row[at].air_degC : row[at].wind_m_s;
    size_t other = utc_s < here ? at - 1 : at + 1;
    if ((at == 0 && utc_s < here) || other == w.rows)
        return y;
    double there = row[other].from_s + half;
    if (fabs(there - here) > 1.2 * w.step_s)
        return y; /* over a hole there is no line */
    return y + ((air ? row[other].air_degC : row[other].wind_m_s) - y) * (utc_s - here) /
                   (there - here);
}

static size_t looked_at;

static void sample_is(const nr_hourly_sample *s, const nr_hourly_plane *plane, double utc_s)
{
    size_t at = 0;
    while (at < w.rows && !(utc_s >= row[at].from_s && utc_s < row[at].from_s + w.step_s))
        at++;
    if (at == w.rows) {
        ck_assert(isnan(s->sun_W_m2) && isnan(s->beam_W_m2) && isnan(s->incidence_deg) &&
                  isnan(s->air_degC) && isnan(s->wind_m_s));
        return;
    }
    NEAR(s->air_degC, middles(utc_s, at, true), 1e-9);
    NEAR(s->wind_m_s, middles(utc_s, at, false), 1e-9);
    nr_sun sun = nr_sun_at(utc_s, w.latitude_deg, w.longitude_deg);
    double c = cos(sun.zenith_deg * DEG);
    hour h = hour_of(&row[at]);
    if (c < -0.001 || !(h.beam + h.diffuse > 0)) { /* no sun, or no light */
        ck_assert(s->sun_W_m2 == 0 && s->beam_W_m2 == 0 && s->incidence_deg == 90);
        return;
    }
    if (c < 0.02 || h.mean < 0.02)
        return; /* a hundredth of a degree is much of so little */
    double tilt = plane->re_aimed ? sun.zenith_deg : plane->tilt_deg;
    double facing = plane->re_aimed ? sun.azimuth_deg : plane->azimuth_deg;
    double angle = nr_incidence_deg(sun.zenith_deg, sun.azimuth_deg, tilt, facing);
    nr_sky sky = {.dni = h.beam, .dhi = h.diffuse / h.mean * c};
    sky.ghi = sky.dni * c + sky.dhi;
    nr_plane_irradiance on = nr_on_plane(NR_SKY_HAY_DAVIES, sky, sun.zenith_deg, angle, tilt,
                                         plane->albedo, beyond_air(utc_s));
    double slack = 1e-3 + 4e-4 / fmin(c, h.mean); /* 0.02 degrees */
    NEAR(s->incidence_deg, angle, 0.03 + (plane->re_aimed ? 0.03 : 0));
    NEAR(s->sun_W_m2, on.total, 0.1 + slack * (on.total + sky.ghi));
    NEAR(s->beam_W_m2, on.beam, 0.1 + slack * (h.beam + on.beam));
    looked_at++;
}

START_TEST(of_a_row)
{
    enum { MOST = 60 };
    for (seed = 1; seed < 8; seed++) {
        uint64_t kept = seed;
        seed = 7919 * seed;
        double step_s = kept % 2 ? 3600 : 1800;
        make_table((given)(kept % GIVENS), step_s);
        nr_hourly_plane plane = {.tilt_deg = 70 * draw(),
                                 .azimuth_deg = 360 * draw(),
                                 .albedo = 0.1 + 0.4 * draw(),
                                 .re_aimed = kept > 5};
        for (int part = 0; part < 4; part++) { /* from the middle, and from outside at both ends */
            nr_hourly_sample s[MOST];
            double from_s = row[0].from_s + (part - 0.1) * 14 * step_s;
            nr_hourly_samples(&w, &plane, from_s, EVERY_S * step_s / 3600, MOST, s);
            for (int k = 0; k < MOST; k += 3 + k % 3)
                sample_is(&s[k], &plane, from_s + EVERY_S * step_s / 3600 * (k + 0.5));
        }
        seed = kept;
    }
    ck_assert_uint_gt(looked_at, 100);
}
END_TEST

/* Tables that contradict themselves: never less than nothing, never more than the sun sends, never
 * more diffuse than there is. */
START_TEST(of_impossible_rows)
{
    nr_hourly_plane flat = {.tilt_deg = 0, .azimuth_deg = 180, .albedo = 0.2};
    seed = 5;
    for (int i = 0; i < 24; i++) {
        make_table(ALL, 3600);
        w.latitude_deg = 20;
        w.longitude_deg = 0;
        double noon_s = floor(row[0].from_s / 86400) * 86400 + 86400 + 12 * 3600;
        size_t at = 0;
        while (at < w.rows && row[at].from_s != noon_s)
            at++;
        if (at == w.rows)
            continue;
        row[at].ghi_W_m2 = -40 + 2000 * draw();
        row[at].dhi_W_m2 = i % 3 ? -40 + 1500 * draw() : NAN;
        row[at].dni_W_m2 = i % 2 ? NAN : 1200 * draw();
        nr_hourly_sample s;
        nr_hourly_samples(&w, &flat, noon_s + 1500, 600, 1, &s);
        double c = cosine_at(noon_s + 1800), most = beyond_air(noon_s);
        hour h = hour_of(&row[at]);
        if (row[at].ghi_W_m2 <= 0) {
            ck_assert(s.sun_W_m2 == 0);
            continue;
        }
        NEAR(s.sun_W_m2, h.beam * c + h.diffuse / h.mean * c, 0.005 * (most + h.diffuse));
        NEAR(s.beam_W_m2, h.beam * c, 0.005 * most);
    }
}
END_TEST

/* Sun that stands below two degrees all of the hour. */
START_TEST(of_a_low_sun)
{
    nr_hourly_plane wall = {.tilt_deg = 90, .azimuth_deg = 0, .albedo = 0};
    seed = 3;
    make_table(NO_GLOBAL, 3600);
    w.latitude_deg = 50;
    w.longitude_deg = 0;
    double from_s = floor(row[0].from_s / 86400) * 86400, up = 0, mean = 0;
    while (!(cosine_at(from_s) < -0.003 && cosine_at(from_s + 600) > 0.012))
        from_s += 60;
    w.rows = 24; /* of which the first is looked at */
    w.step_s = 600;
    for (size_t i = 0; i < w.rows; i++)
        row[i] = (nr_hourly_row){from_s + 600 * (double)i, 8, NAN, 4, 10, 1};
    for (int k = 0; k < PARTS; k++) {
        double c = cosine_at(from_s + 600 * (k + 0.5) / PARTS);
        mean += fmax(c, 0) / PARTS;
        up += c > 0 ? 1.0 / PARTS : 0;
    }
    ck_assert(mean > 0 && mean < 0.02 && up < 1);
    nr_sun sun = nr_sun_at(from_s + 570, w.latitude_deg, w.longitude_deg);
    wall.azimuth_deg = sun.azimuth_deg;
    nr_hourly_sample s;
    nr_hourly_samples(&w, &wall, from_s + 540, 60, 1, &s);
    NEAR_RELATIVE(s.beam_W_m2, 4 / (sin(2 * DEG) * up), 0.12); /* a part more or less is up */
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {of_a_row, of_impossible_rows, of_a_low_sun, NULL};
    return run_tests("hours on a plane", tests);
}
