/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What nobody stated of the weather's sensors: against records whose truth is known, and against
 * the geometry of an equinox, where the sun goes round in the equator's plane. */
#include "analyze/series/air_sun.h"
#include "analyze/series/other_plane.h"
#include "analyze/series/sky_shape.h"
#include "tests/unit/near.h"

#include <gsl/gsl_randist.h>
#include <math.h>

#define STEPS 1080
#define STEP_S 5.0

/* An hour and a half: clouds of two minutes in seven where there are any, air that wanders by 0.25
 * K in twelve minutes, a thermometer of 40 s that the sun warms by `kelvin`. */
static nr_air_sun seen(double kelvin, bool clouds, unsigned long seed)
{
    static double air[STEPS], sun[STEPS];
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, seed);
    double wander = 0, shown = 0;
    for (size_t k = 0; k < STEPS; k++) {
        double t = STEP_S * (double)k;
        sun[k] = 700 + t / 60 * 2;
        if (clouds && fmod(t, 420) > 300)
            sun[k] *= 0.35;
        wander += -wander * STEP_S / 700 + gsl_ran_gaussian(rng, 0.25 * sqrt(2 * STEP_S / 700));
        shown += (kelvin * sun[k] / 1000 - shown) * (k ? 1 - exp(-STEP_S / 40) : 1);
        air[k] = 20 + t / 3600 + wander + shown;
    }
    gsl_rng_free(rng);
    return nr_air_sun_of(air, sun, STEPS, STEP_S);
}

/* Air itself is left 0.4 K, so the interval is never narrower. */
START_TEST(clouds_tell_of_sun_on_the_air)
{
    for (unsigned long seed = 1; seed <= 20; seed++) {
        nr_air_sun three = seen(3, true, seed), none = seen(0, true, seed);
        NEAR(three.kelvin, 3, 2 * three.u);
        NEAR(none.kelvin, 0, 2 * none.u);
        ck_assert_double_ge(three.u, 0.4);
        ck_assert_double_lt(three.u, 0.8);
    }
}
END_TEST

/* Both rise in the morning: that must not be taken for a warm thermometer, nor clear it. */
START_TEST(steady_sun_tells_nothing)
{
    for (unsigned long seed = 1; seed <= 20; seed++)
        ck_assert_double_gt(seen(3, false, seed).u, 3);
    double air[20] = {20}, sun[20] = {800};
    ck_assert(isinf(nr_air_sun_of(air, sun, 20, 5).u));
}
END_TEST

/* 20 March 2026, 14:46 UTC is the equinox: on 10 degrees west the sun stands in the south about
 * 12:48 UTC. A plane tilted by the latitude sees it under its hour angle h; the ground under
 * cos(latitude) of that. Beams only: a tenth is left for the sky's diffuse light. */
#define NOON 1774010880.0
static const nr_place equator_wise = {
    .latitude_deg = 40, .longitude_deg = -10, .tilt_deg = 40, .azimuth_deg = 180};

START_TEST(lying_flat_reads_the_cosine)
{
    double flat = sqrt(0.25) * (1 - cos(40 * M_PI / 180));
    nr_other_plane p = nr_other_plane_of(equator_wise, NOON - 3600, 7200, false);
    NEAR(p.gain, flat, 0.15 * flat);
    NEAR(p.drift, 0, 0.01);
    nr_place level = equator_wise;
    level.tilt_deg = 0;
    NEAR(nr_other_plane_of(level, NOON - 3600, 7200, false).gain, 0, 1e-6);
}
END_TEST

/* From three hours to one before noon: cos(h) from 0.707 to 0.966, its mean the sine's. */
START_TEST(turned_after_the_sun_reads_the_hour)
{
    double mean = (sin(M_PI / 4) - sin(M_PI / 12)) / (M_PI / 4 - M_PI / 12);
    double change = (cos(M_PI / 12) - cos(M_PI / 4)) / mean;
    nr_other_plane p = nr_other_plane_of(equator_wise, NOON - 3 * 3600, 7200, true);
    nr_other_plane fixed = nr_other_plane_of(equator_wise, NOON - 3 * 3600, 7200, false);
    NEAR(p.drift, sqrt(0.15) * change, 0.25 * sqrt(0.15) * change);
    NEAR(sqrt(p.gain * p.gain - fixed.gain * fixed.gain), sqrt(0.15) * (1 - mean), 0.02);
    ck_assert_double_lt(fixed.drift, 0.3 * p.drift);
}
END_TEST

/* A cloudless day by another law than the program's: Meinel's beam (A. and M. Meinel, Applied Solar
 * Energy, 1976: 1361 * 0.7^(m^0.678), m the air mass as 1/cos(zenith)) under the hour angle, and a
 * tenth of it from the sky. An hour and a half from `from_h` before noon. */
static nr_sky_shape course(double from_h, double fades_per_h, bool clouds)
{
    static double sun[STEPS];
    double lat = equator_wise.latitude_deg * M_PI / 180;
    for (size_t k = 0; k < STEPS; k++) {
        double h = (double)k * STEP_S / 3600, angle = (h - from_h) * 15 * M_PI / 180;
        double beam = 1361 * pow(0.7, pow(1 / (cos(lat) * cos(angle)), 0.678));
        sun[k] = beam * (cos(angle) + 0.1) * (1 - fades_per_h * h);
        if (clouds && fmod(h, 0.2) > 0.15)
            sun[k] *= 0.4;
    }
    return nr_sky_shape_of(equator_wise, NOON - 3600 * from_h, sun, STEPS, STEP_S);
}

START_TEST(a_cloudless_sky_has_its_course)
{
    static const double begins_h[] = {-0.5, 0.75, 2.5};
    for (size_t i = 0; i < 3; i++) {
        nr_sky_shape steady = course(begins_h[i], 0, false),
                     fades = course(begins_h[i], 0.08, false);
        NEAR(steady.per_hour, 0, 2 * steady.u);
        NEAR(fades.per_hour, -0.085, 2 * fades.u); /* 8 % of the first reading an hour, of the mean
                                                      half of an hour and a half's more */
        ck_assert_double_lt(fades.u, 0.03);
        ck_assert_double_gt(fades.u, 0.008); /* haze alone */
    }
}
END_TEST

START_TEST(clouds_tell_nothing_of_the_course)
{
    ck_assert(isinf(course(0.75, 0, true).u));
    ck_assert(isinf(course(12, 0, false).u)); /* by night */
    double sun[100] = {800};
    ck_assert(isinf(nr_sky_shape_of(equator_wise, NOON, sun, 100, STEP_S).u));
}
END_TEST

START_TEST(by_night_nothing)
{
    nr_other_plane p = nr_other_plane_of(equator_wise, NOON + 12 * 3600, 3600, true);
    NEAR(p.gain, 0, 0);
    NEAR(p.drift, 0, 0);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {clouds_tell_of_sun_on_the_air,
                                  steady_sun_tells_nothing,
                                  lying_flat_reads_the_cosine,
                                  turned_after_the_sun_reads_the_hour,
                                  a_cloudless_sky_has_its_course,
                                  clouds_tell_nothing_of_the_course,
                                  by_night_nothing,
                                  NULL};
    return run_tests("doubts", tests);
}
