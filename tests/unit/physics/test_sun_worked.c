/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sun worked out a second time: the equinoxes and the earth's nearest and farthest points as
 * almanacs print them, the place seen from a place on earth by turning a vector, rise and set by
 * their definition, refraction by another formula. */
#include "analyze/physics/sun.h"
#include "logger/base/utc.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

#include <libnova/dynamical_time.h>

#define DEG (3.14159265358979323846 / 180.0)
#define DAY_S 86400.0

static double at(const char *utc)
{
    double unix_s = NAN;
    ck_assert_msg(nr_utc_parse(utc, &unix_s), "%s", utc);
    return unix_s;
}

/* Evenly over low..high; the same numbers each time. */
static double drawn(double low, double high)
{
    static uint64_t state = 7701;
    return low + (high - low) * chance_share(&state);
}

/* --- the sky of a day ------------------------------------------------------------------------- */

/* Meeus, Astronomical Algorithms, chapter 22 (from memory): mean obliquity 22.2 and the largest
 * terms of nutation, good to half a second of arc. Degrees; T in centuries since J2000. */
typedef struct nutation {
    double longitude, obliquity, true_obliquity;
} nutation;

static nutation nutation_of(double T)
{
    double node = (125.04452 - 1934.136261 * T) * DEG, sun = (280.4665 + 36000.7698 * T) * DEG,
           moon = (218.3165 + 481267.8813 * T) * DEG;
    nutation n = {.longitude = (-17.20 * sin(node) - 1.32 * sin(2 * sun) - 0.23 * sin(2 * moon) +
                                0.21 * sin(2 * node)) /
                               3600,
                  .obliquity = (9.20 * cos(node) + 0.57 * cos(2 * sun) + 0.10 * cos(2 * moon) -
                                0.09 * cos(2 * node)) /
                               3600};
    n.true_obliquity = 23.4392911 - 46.8150 / 3600 * T + n.obliquity;
    return n;
}

static double centuries(double unix_s)
{
    return (unix_s - at("2000-01-01T12:00:00Z")) / DAY_S / 36525;
}

/* Apparent longitude in the ecliptic of date. */
static double ecliptic_longitude(const nr_sun *sun, double unix_s)
{
    double a = sun->right_ascension_deg * DEG, d = sun->declination_deg * DEG,
           e = nutation_of(centuries(unix_s)).true_obliquity * DEG;
    return atan2(sin(a) * cos(e) + tan(d) * sin(e), cos(a)) / DEG;
}

/* The instant to ask for so that the theory is asked for this one: dynamical time is ahead of UTC
 * by what was observed, for which libnova has a table that ends in 2005 and a guess that is 64 s
 * too much in 2024 (2.6 seconds of arc of the sun's way). */
static double asked(const char *utc, double ahead_s)
{
    double unix_s = at(utc), jd = unix_s / DAY_S + 2440587.5;
    return unix_s + ahead_s - (ln_get_jde(jd) - jd) * DAY_S;
}

/* Instants of equinoxes and solstices as almanacs print them, to the second (from memory): the
 * apparent longitude is 0, 90, 180 and 270. Dynamical time was 69.2 s ahead (IERS). */
START_TEST(equinoxes_and_solstices)
{
    static const char *const when[][4] = {{"2023-03-20T21:24:24Z", "2023-06-21T14:57:47Z",
                                           "2023-09-23T06:49:56Z", "2023-12-22T03:27:19Z"},
                                          {"2024-03-20T03:06:21Z", "2024-06-20T20:50:56Z",
                                           "2024-09-22T12:43:36Z", "2024-12-21T09:20:30Z"},
                                          {"2025-03-20T09:01:25Z", "2025-06-21T02:42:11Z",
                                           "2025-09-22T18:19:16Z", "2025-12-21T15:03:01Z"}};
    for (int year = 0; year < 3; year++)
        for (int k = 0; k < 4; k++) {
            double unix_s = asked(when[year][k], 69.2);
            nr_sun sun = nr_sun_at(unix_s, 0, 0);
            NEAR_AT(when[year][k], remainder(ecliptic_longitude(&sun, unix_s) - 90 * k, 360), 0,
                    1e-4);
            /* At a solstice the declination is the obliquity; the sun's own latitude is below a
             * second of arc. */
            double e = nutation_of(centuries(unix_s)).true_obliquity;
            NEAR_AT(when[year][k], sun.declination_deg, k % 2 ? (k == 1 ? e : -e) : 0, 4e-4);
        }
}
END_TEST

/* Meeus, example 25.b, what he gives there of the complete VSOP87 (right ascension 13h 13m 30.749s,
 * declination -7d 47' 01.74"); the SPA's appendix A.5 (NREL/TP-560-34302), whose dynamical time is
 * 67 s ahead. From memory. */
START_TEST(printed_places)
{
    nr_sun sun = nr_sun_at(asked("1992-10-13T00:00:00Z", 0), 0, 0);
    NEAR(sun.right_ascension_deg, 15 * (13 + 13 / 60.0 + 30.749 / 3600), 2e-5);
    NEAR(sun.declination_deg, -(7 + 47 / 60.0 + 1.74 / 3600), 2e-5);
    NEAR(sun.distance_au, 0.99760853, 5e-8);
    sun = nr_sun_at(asked("2003-10-17T19:30:30Z", 67), 39.742476, -105.1786);
    NEAR(sun.right_ascension_deg, 202.22741, 5e-5);
    NEAR(sun.declination_deg, -9.31434, 2e-5);
    NEAR(sun.distance_au, 0.9965422974, 5e-7);
}
END_TEST

/* Perihelion and aphelion of 2024, astronomical units (almanacs, from memory). */
START_TEST(nearest_and_farthest)
{
    NEAR(nr_sun_at(at("2024-01-03T00:38:00Z"), 0, 0).distance_au, 0.983307, 1e-6);
    NEAR(nr_sun_at(at("2024-07-05T05:06:00Z"), 0, 0).distance_au, 1.016725, 1e-6);
}
END_TEST

/* --- from a place on earth -------------------------------------------------------------------- */

/* Meeus 12.4: Greenwich mean sidereal time in degrees, and with nutation the apparent one. */
static double sidereal_deg(double unix_s)
{
    double T = centuries(unix_s);
    nutation n = nutation_of(T);
    return 280.46061837 + 360.98564736629 * (T * 36525) + T * T * (0.000387933 - T / 38710000) +
           n.longitude * cos(n.true_obliquity * DEG);
}

/* East, north and up of the sun from a place on a ball of the earth's equatorial radius (6378.14
 * km; an astronomical unit has 149597870.7 km): the geocentric vector turned by the hour angle and
 * the latitude, less the way to the place. */
static void seen(const nr_sun *sun, double latitude_deg, double enu[3])
{
    double h = sun->hour_angle_deg * DEG, d = sun->declination_deg * DEG, phi = latitude_deg * DEG;
    double meridian = cos(d) * cos(h), west = cos(d) * sin(h), pole = sin(d);
    enu[0] = -west;
    enu[1] = pole * cos(phi) - meridian * sin(phi);
    enu[2] = pole * sin(phi) + meridian * cos(phi) - 6378.14 / 149597870.7 / sun->distance_au;
}

START_TEST(seen_from_anywhere)
{
    for (int i = 0; i < 250; i++) {
        double unix_s = drawn(-2.2e9, 7.25e9), enu[3];
        double latitude = drawn(-90, 90), longitude = drawn(-180, 180);
        nr_sun sun = nr_sun_at(unix_s, latitude, longitude);
        /* libnova's equation of the equinoxes lacks the cosine of the obliquity: 8 % of 17.2". */
        NEAR(remainder(sidereal_deg(unix_s) + longitude - sun.right_ascension_deg -
                           sun.hour_angle_deg,
                       360),
             0, 0.083 * 17.2 / 3600 + 1.5e-4);
        ck_assert(sun.hour_angle_deg >= -180 && sun.hour_angle_deg < 180);
        ck_assert(sun.right_ascension_deg >= 0 && sun.right_ascension_deg < 360);
        seen(&sun, latitude, enu);
        NEAR(sun.zenith_deg, atan2(hypot(enu[0], enu[1]), enu[2]) / DEG, 1e-6);
        NEAR(remainder(sun.azimuth_deg - atan2(enu[0], enu[1]) / DEG, 360), 0, 1e-9);
        ck_assert(sun.azimuth_deg >= 0 && sun.azimuth_deg < 360);
        /* Noon is 12; a day has 24 hours for the whole turn. */
        NEAR((sun.solar_time_h - 12) * 15, sun.hour_angle_deg, 1e-9);
        /* Mean longitude of the sun and its equation: Meeus 25, low accuracy, 0.01 degrees. */
        double T = centuries(unix_s), m = (357.52911 + 35999.05029 * T) * DEG;
        double wanted = 280.46646 + 36000.76983 * T + (1.914602 - 0.004817 * T) * sin(m) +
                        0.019993 * sin(2 * m) + 0.000289 * sin(3 * m) - 0.00569;
        wanted += nutation_of(T).longitude;
        NEAR(remainder(ecliptic_longitude(&sun, unix_s) - wanted, 360), 0, 0.012);
    }
}
END_TEST

/* --- rise and set ----------------------------------------------------------------------------- */

static double altitude_deg(double unix_s, double latitude_deg, double longitude_deg)
{
    nr_sun sun = nr_sun_at(unix_s, latitude_deg, longitude_deg);
    double d = sun.declination_deg * DEG, phi = latitude_deg * DEG;
    return asin(sin(phi) * sin(d) + cos(phi) * cos(d) * cos(sun.hour_angle_deg * DEG)) / DEG;
}

/* By what the header says: the geocentric altitude is -0.8333 at both, the hour angle 0 between;
 * all of the day, by mean solar time of the place, that holds the instant. */
START_TEST(a_day_of_the_sun)
{
    int kinds[4] = {0};
    for (int i = 0; i < 70; i++) {
        double unix_s = drawn(at("1980-01-01T00:00:00Z"), at("2060-01-01T00:00:00Z"));
        double latitude = i % 2 ? drawn(-62, 62) : drawn(62, 89) * (i % 4 ? 1 : -1);
        double longitude = drawn(-180, 180);
        nr_sun_day day = nr_sun_day_of(unix_s, latitude, longitude);
        kinds[day.kind]++;
        double noon = DAY_S * (floor(unix_s / DAY_S + longitude / 360) + 0.5 - longitude / 360);
        nr_sun high = nr_sun_at(day.transit_s, latitude, longitude);
        NEAR(high.hour_angle_deg, 0, 1e-6);
        NEAR(day.transit_s, noon, 17 * 60); /* the equation of time is never more */
        double top = 90 - fabs(latitude - high.declination_deg),
               bottom = fabs(latitude + high.declination_deg) - 90;
        nr_sun_day_kind kind = top < -0.8333      ? NR_SUN_NEVER_RISES
                               : bottom > -0.8333 ? NR_SUN_NEVER_SETS
                                                  : NR_SUN_RISES_AND_SETS;
        ck_assert_int_eq(day.kind, kind);
        if (kind != NR_SUN_RISES_AND_SETS) {
            ck_assert(isnan(day.rise_s) && isnan(day.set_s));
            continue;
        }
        if (isnan(day.rise_s + day.set_s)) /* the sun just grazes: at rise or set it does not */
            continue;
        ck_assert(day.rise_s < day.transit_s && day.transit_s < day.set_s);
        ck_assert(day.set_s - day.rise_s < DAY_S + 600);
        if (top - bottom < 8 || fabs(top + 0.8333) < 1 || fabs(bottom + 0.8333) < 1)
            continue; /* flat: the passes end where it hardly rises */
        NEAR(altitude_deg(day.rise_s, latitude, longitude), -0.8333, 1e-4);
        NEAR(altitude_deg(day.set_s, latitude, longitude), -0.8333, 1e-4);
    }
    ck_assert_int_gt(kinds[NR_SUN_RISES_AND_SETS], 30);
    ck_assert_int_gt(kinds[NR_SUN_NEVER_RISES], 2);
    ck_assert_int_gt(kinds[NR_SUN_NEVER_SETS], 2);
}
END_TEST

/* --- refraction and incidence ----------------------------------------------------------------- */

/* Bennett 1982 for the apparent altitude (Meeus 16.3, from memory), which agrees with the inverse
 * formula within 0.1 minutes of arc; with pressure, and against the air's kelvin, in proportion. */
START_TEST(refraction_the_other_way)
{
    for (int i = 0; i < 200; i++) {
        double zenith = i < 180 ? 0.5 * i : 90 + 0.025 * (i - 180);
        double minutes = 60 * nr_refraction_deg(zenith, 101000, 10);
        double apparent = 90 - zenith + minutes / 60;
        NEAR(minutes, 1 / tan((apparent + 7.31 / (apparent + 4.4)) * DEG), 0.1);
        double pressure = drawn(60000, 104000), air = drawn(-40, 45);
        NEAR_RELATIVE(nr_refraction_deg(zenith, pressure, air) * 60,
                      minutes * pressure / 101000 * 283 / (273 + air), 1e-9);
    }
    ck_assert(nr_refraction_deg(0, 0, 10) == 0 && nr_refraction_deg(180, 101000, 10) == 0);
    ck_assert(isfinite(nr_refraction_deg(91, 101000, 10)) &&
              nr_refraction_deg(91, 101000, 10) > 0.3);
    ck_assert(isnan(nr_refraction_deg(-0.01, 101000, 10)));
    ck_assert(isnan(nr_refraction_deg(180.01, 101000, 10)));
    ck_assert(isnan(nr_refraction_deg(40, -0.01, 10)) && isnan(nr_refraction_deg(40, NAN, 10)));
    ck_assert(isnan(nr_refraction_deg(40, 101000, -90)) &&
              isnan(nr_refraction_deg(40, 101000, 70)));
    ck_assert(isfinite(nr_refraction_deg(40, 101000, -89.9) + nr_refraction_deg(40, 101000, 69.9)));
    ck_assert(isnan(nr_refraction_deg(40, 101000, NAN)));
}
END_TEST

/* The angle between two unit vectors, from their chord. */
START_TEST(incidence_by_the_chord)
{
    for (int i = 0; i < 300; i++) {
        double z = drawn(0, 180), azimuth = drawn(0, 360), tilt = drawn(0, 90),
               faces = drawn(0, 360);
        double sun[3] = {sin(z * DEG) * sin(azimuth * DEG), sin(z * DEG) * cos(azimuth * DEG),
                         cos(z * DEG)};
        double normal[3] = {sin(tilt * DEG) * sin(faces * DEG), sin(tilt * DEG) * cos(faces * DEG),
                            cos(tilt * DEG)};
        double chord = hypot(hypot(sun[0] - normal[0], sun[1] - normal[1]), sun[2] - normal[2]);
        NEAR(nr_incidence_deg(z, azimuth, tilt, faces), 2 * asin(chord / 2) / DEG, 1e-6);
        /* Upon the normal the cosine may come out above 1, behind it below -1. */
        NEAR(nr_incidence_deg(tilt, faces, tilt, faces), 0, 2e-6);
        NEAR(nr_incidence_deg(180 - tilt, faces + 180, tilt, faces), 180, 2e-6);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {equinoxes_and_solstices, printed_places,
                                  nearest_and_farthest,    seen_from_anywhere,
                                  a_day_of_the_sun,        refraction_the_other_way,
                                  incidence_by_the_chord,  NULL};
    return run_tests("sun worked out", tests);
}
