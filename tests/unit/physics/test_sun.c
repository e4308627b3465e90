/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sun position, incidence, rise and set against the Solar Position Algorithm and the textbooks. */
#include "analyze/physics/clearsky.h"
#include "analyze/physics/sun.h"
#include "logger/base/utc.h"
#include "tests/unit/near.h"

#define DEG (3.14159265358979323846 / 180.0)

static double at(const char *utc)
{
    double unix_s = NAN;
    ck_assert_msg(nr_utc_parse(utc, &unix_s), "%s", utc);
    return unix_s;
}

/* Angle on the sky between two directions, degrees. */
static double apart(double zenith1, double azimuth1, double zenith2, double azimuth2)
{
    return nr_incidence_deg(zenith1, azimuth1, zenith2, azimuth2);
}

/* NREL/TP-560-34302, Appendix A.5 (found in the tests of several libraries). */
#define SPA_EXAMPLE "2003-10-17T19:30:30Z"

START_TEST(spa_example)
{
    nr_sun sun = nr_sun_at(at(SPA_EXAMPLE), 39.742476, -105.1786);
    double apparent = sun.zenith_deg - nr_refraction_deg(sun.zenith_deg, 82000, 11);
    NEAR(apart(apparent, sun.azimuth_deg, 50.11162, 194.34024), 0, 0.01);
    NEAR(apparent, 50.11162, 0.01);
    NEAR(sun.azimuth_deg, 194.34024, 0.01 / sin(50.1 * DEG));
    NEAR(nr_incidence_deg(apparent, sun.azimuth_deg, 30, 170), 25.18700, 0.01);
    NEAR(sun.zenith_deg, 50.1279, 0.01); /* without refraction */
    NEAR(sun.distance_au, 0.996542, 1e-5);
    NEAR(sun.right_ascension_deg, 202.22741, 0.01);
    NEAR(sun.declination_deg, -9.31434, 0.01);
    /* equation of time 14.6415 min: solar time less mean time at that longitude */
    double mean_h = 19.0 + 30.5 / 60.0 - 105.1786 / 15.0;
    NEAR(60.0 * (sun.solar_time_h - mean_h), 14.6415, 0.05);
}
END_TEST

/* 47 N 10 E and 33.9 S 151.2 E at sea level without refraction: the SPA and an independent library
 * agree on these to 0.0002. They show a sun left at the equinox of J2000; the row of 2003 hardly
 * does. */
START_TEST(rows_of_2026)
{
    static const struct {
        const char *utc;
        double latitude, longitude, facing, zenith, azimuth, incidence;
    } rows[] = {
        {"2026-06-21T11:30:00Z", 47, 10, 180, 23.6202, 184.6913, 11.601},
        {"2026-03-21T10:00:00Z", 47, 10, 180, 50.4111, 151.2020, 24.581},
        {"2026-09-23T15:00:00Z", 47, 10, 180, 68.3377, 244.3650, 57.791},
        {"2026-07-15T02:00:00Z", -33.9, 151.2, 0, 55.4410, 0.3304, 20.442},
    };
    for (int i = 0; i < 4; i++) {
        nr_sun sun = nr_sun_at(at(rows[i].utc), rows[i].latitude, rows[i].longitude);
        NEAR_AT(rows[i].utc, sun.zenith_deg, rows[i].zenith, 0.01);
        NEAR_AT(rows[i].utc,
                apart(sun.zenith_deg, sun.azimuth_deg, rows[i].zenith, rows[i].azimuth), 0, 0.01);
        NEAR_AT(rows[i].utc, nr_incidence_deg(sun.zenith_deg, sun.azimuth_deg, 35, rows[i].facing),
                rows[i].incidence, 0.011); /* the same, and the rounding of the plane's angle */
    }
}
END_TEST

START_TEST(meeus_25b)
{
    /* Meeus, Astronomical Algorithms, example 25.b, from memory: 1992-10-13 0h TD, which was 59 s
     * ahead of UTC. */
    nr_sun sun = nr_sun_at(at("1992-10-13T00:00:00Z") - 59.0, 0, 0);
    NEAR(sun.right_ascension_deg, 198.378179, 0.001);
    NEAR(sun.declination_deg, -7.783871, 0.001);
    NEAR(sun.distance_au, 0.997608, 1e-5);
}
END_TEST

/* Every 86 hours and some through three years (the right ascension passes 360 in each March), and
 * back and forth over a knot: the knots are the same whatever was asked before. */
START_TEST(along_a_path)
{
    nr_sun_path path = {0};
    double worst = 0, first = at("2025-01-01T00:00:00Z");
    for (int k = 0; k < 300; k++) {
        double t = first + 311234.5 * k, latitude = -89 + k % 179, longitude = -180 + 7 * k % 360;
        nr_sun exact = nr_sun_at(t, latitude, longitude);
        nr_sun there = nr_sun_along(&path, t, latitude, longitude);
        worst = fmax(worst, fabs(there.zenith_deg - exact.zenith_deg));
        worst = fmax(worst, fabs(remainder(there.hour_angle_deg - exact.hour_angle_deg, 360)));
        worst = fmax(worst, fabs(remainder(there.azimuth_deg - exact.azimuth_deg, 360)) *
                                sin(exact.zenith_deg * DEG));
        worst = fmax(worst, fabs(there.right_ascension_deg - exact.right_ascension_deg));
        worst = fmax(worst, fabs(there.distance_au - exact.distance_au));
        ck_assert(there.right_ascension_deg >= 0 && there.right_ascension_deg < 360);
        nr_sun_path other = {0};
        double back = t - 40000;
        ck_assert(nr_sun_along(&path, back, latitude, longitude).zenith_deg ==
                  nr_sun_along(&other, back, latitude, longitude).zenith_deg);
    }
    ck_assert_msg(worst < 1e-8, "%g degrees", worst);
    ck_assert(isnan(nr_sun_along(&path, first, 91, 0).zenith_deg));
    ck_assert(isnan(nr_sun_along(&path, NAN, 47, 10).zenith_deg));
}
END_TEST

static void check_day(const char *noon, double latitude, const char *rise, const char *set)
{
    nr_sun_day day = nr_sun_day_of(at(noon), latitude, 0);
    ck_assert_int_eq(day.kind, NR_SUN_RISES_AND_SETS);
    NEAR_AT(noon, day.rise_s - at(rise), 0, 2.0);
    NEAR_AT(noon, day.set_s - at(set), 0, 2.0);
}

START_TEST(rise_and_set)
{
    /* NREL/TP-560-34302, table A2.1 (found in a library's test). */
    check_day("1994-01-02T12:00:00Z", 35, "1994-01-02T07:08:12.800Z", "1994-01-02T16:59:55.900Z");
    check_day("1996-07-05T12:00:00Z", -35, "1996-07-05T07:08:15.400Z", "1996-07-05T17:01:04.500Z");
    check_day("2004-12-04T12:00:00Z", -35, "2004-12-04T04:38:57.100Z", "2004-12-04T19:02:02.500Z");
    /* Its appendix A.5. It gives rise, transit and set of the UTC day: its sunset, 17:20:19, is
     * that of the evening before. Any instant of the local day will do. */
    static const char *const same_day[] = {SPA_EXAMPLE, "2003-10-18T04:00:00Z"};
    for (int i = 0; i < 2; i++) {
        nr_sun_day day = nr_sun_day_of(at(same_day[i]), 39.742476, -105.1786);
        NEAR(day.rise_s - at("2003-10-17T13:12:43Z"), 0, 2.0);
        NEAR(day.transit_s - at("2003-10-17T18:46:05Z"), 0, 2.0);
    }
    nr_sun_day before = nr_sun_day_of(at("2003-10-16T19:30:30Z"), 39.742476, -105.1786);
    NEAR(before.set_s - at("2003-10-17T00:20:19Z"), 0, 2.0);
}
END_TEST

START_TEST(polar_days)
{
    ck_assert_int_eq(nr_sun_day_of(at("2026-06-21T12:00:00Z"), 75, 20).kind, NR_SUN_NEVER_SETS);
    ck_assert_int_eq(nr_sun_day_of(at("2026-12-21T12:00:00Z"), 75, 20).kind, NR_SUN_NEVER_RISES);
    ck_assert_int_eq(nr_sun_day_of(at("2026-12-21T12:00:00Z"), -75, 20).kind, NR_SUN_NEVER_SETS);
    ck_assert_int_eq(nr_sun_day_of(NAN, 47, 20).kind, NR_SUN_DAY_UNKNOWN);
}
END_TEST

/* Duffie and Beckman, chapter 1, from memory: incidence from declination and hour angle. */
START_TEST(textbook_angles)
{
    /* 1.6.1: 43 N, declination -14, hour angle -22.5, plane 45 facing 15 west of south */
    double phi = 43 * DEG, delta = -14 * DEG, omega = -22.5 * DEG;
    double up = sin(phi) * sin(delta) + cos(phi) * cos(delta) * cos(omega);
    double east = -cos(delta) * sin(omega);
    double north = sin(delta) * cos(phi) - cos(delta) * cos(omega) * sin(phi);
    double azimuth = atan2(east, north) / DEG;
    NEAR(nr_incidence_deg(acos(up) / DEG, azimuth, 45, 195), 35.18, 0.01);
}
END_TEST

/* Spencer 1971, minutes; b the day's angle. */
static double spencer_equation_min(double b)
{
    return 229.2 * (0.000075 + 0.001868 * cos(b) - 0.032077 * sin(b) - 0.014615 * cos(2 * b) -
                    0.04089 * sin(2 * b));
}

static double day_angle(double n)
{
    return 360.0 * (n - 1) / 365.0 * DEG;
}

/* Independent, coarser formulas for the same things over a year: Spencer 1971 for the equation of
 * time and the distance, Cooper's declination (all as in Duffie and Beckman, from memory). */
START_TEST(against_simple_formulas)
{
    static const double rows[][2] = {{34, -13.49}, {81, -7.55}, {172, -1.33}, {290, 14.83}};
    for (int i = 0; i < 4; i++)
        NEAR(spencer_equation_min(day_angle(rows[i][0])), rows[i][1], 0.01); /* 229.2 or 229.18 */
    double start = at("2026-01-01T12:00:00Z");
    for (int n = 1; n <= 365; n++) {
        nr_sun sun = nr_sun_at(start + 86400.0 * (n - 1), 0, 0);
        /* good to 0.6 min in a mean year; the leap cycle shifts a date by up to half a day, at up
         * to half a minute a day */
        NEAR(60.0 * (sun.solar_time_h - 12.0), spencer_equation_min(day_angle(n)), 0.85);
        NEAR(sun.declination_deg, 23.45 * sin(360.0 * (284 + n) / 365.0 * DEG), 1.7);
        NEAR(pow(sun.distance_au, -2.0), nr_extraterrestrial_factor(n), 0.001);
    }
}
END_TEST

START_TEST(refraction)
{
    /* Saemundsson's formula: 29 minutes of arc at a true altitude of 0 (Meeus, ch. 16, memory);
     * a sun seen on the horizon is 34 minutes below it. */
    NEAR(60 * nr_refraction_deg(90, 101000, 10), 29.0, 0.1);
    NEAR(60 * nr_refraction_deg(90 + 34.0 / 60, 101000, 10), 34.0, 0.5);
    NEAR(nr_refraction_deg(50.1279, 82000, 11), 50.1279 - 50.11162, 0.001); /* the SPA example */
    NEAR(nr_refraction_deg(120, 101325, 10), 0, 0);
    NEAR(nr_refraction_deg(50, 0, 10), 0, 0);
    ck_assert(isnan(nr_refraction_deg(NAN, 101325, 10)));
}
END_TEST

/* A place in the sky is a function of its time: asked in whatever order, the same to the last bit.
 */
START_TEST(whatever_was_asked_before)
{
    const double noon_s = 1779100200, other_s[] = {-8000, -1, 1, 8000, 86400 + 3000, 86400 * 40};
    for (size_t i = 0; i < 600; i++) {
        double at_s = noon_s + 997 * (double)i;
        nr_sun first = nr_sun_at(at_s, 50.1, 8.7);
        (void)nr_sun_at(at_s + other_s[i % (sizeof other_s / sizeof *other_s)], 50.1, 8.7);
        nr_sun again = nr_sun_at(at_s, 50.1, 8.7);
        ck_assert_double_eq(again.zenith_deg, first.zenith_deg);
        ck_assert_double_eq(again.azimuth_deg, first.azimuth_deg);
        ck_assert_double_eq(again.hour_angle_deg, first.hour_angle_deg);
    }
}
END_TEST

START_TEST(out_of_range_is_unknown)
{
    ck_assert(isnan(nr_sun_at(NAN, 47, 10).zenith_deg));
    ck_assert(isnan(nr_sun_at(0, 91, 10).azimuth_deg));
    ck_assert(isnan(nr_sun_at(0, 47, 181).solar_time_h));
    ck_assert(isnan(nr_sun_at(1e12, 47, 10).zenith_deg));
    /* The poles and the date line are places; the sun does not care which side of it is named. */
    ck_assert(!isnan(nr_sun_at(0, 90, 10).zenith_deg) && !isnan(nr_sun_at(0, -90, 10).zenith_deg));
    ck_assert(isnan(nr_sun_at(0, -90.001, 10).zenith_deg));
    ck_assert(isnan(nr_sun_at(0, 47, -180.001).zenith_deg));
    NEAR(nr_sun_at(0, 47, 180).zenith_deg, nr_sun_at(0, 47, -180).zenith_deg, 1e-9);
    ck_assert(isnan(nr_incidence_deg(NAN, 180, 30, 180)));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {spa_example,
                                  rows_of_2026,
                                  meeus_25b,
                                  along_a_path,
                                  rise_and_set,
                                  polar_days,
                                  textbook_angles,
                                  against_simple_formulas,
                                  refraction,
                                  whatever_was_asked_before,
                                  out_of_range_is_unknown,
                                  NULL};
    return run_tests("sun", tests);
}
