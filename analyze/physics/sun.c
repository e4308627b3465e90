/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sun; see sun.h. */
#include "analyze/physics/sun.h"

#include <libnova/dynamical_time.h>
#include <libnova/nutation.h>
#include <libnova/precession.h>
#include <libnova/sidereal_time.h>
#include <libnova/solar.h>
#include <math.h>
#include <pthread.h>
#include <stdbool.h>

#define DEG (3.14159265358979323846 / 180.0)
#define DAY_S 86400.0
#define EARLIEST_S (-2208988800.0) /* 1900-01-01 */
#define LATEST_S 7258118400.0      /* 2200-01-01 */
#define SOLAR_PARALLAX_DEG (8.794 / 3600.0)
#define ABERRATION_DEG (20.4898 / 3600.0) /* at 1 au; Meeus 25.10 */
#define OBLIQUITY_J2000_DEG 23.4392911    /* Meeus 22.2 */
#define RISE_ALTITUDE_DEG (-0.8333)
#define ROTATION_DEG_PER_S (360.0 / 86400.0) /* of the sun's hour angle, on average */

static double wrap(double degrees, double low)
{
    double turned = fmod(degrees - low, 360.0);
    return low + (turned < 0.0 ? turned + 360.0 : turned);
}

static bool in_range(double unix_s, double latitude_deg, double longitude_deg)
{
    return unix_s >= EARLIEST_S && unix_s <= LATEST_S && fabs(latitude_deg) <= 90.0 &&
           fabs(longitude_deg) <= 180.0;
}

struct apparent {
    double right_ascension_deg, declination_deg, distance_au;
};

/* Turns longitude and latitude about the direction of the equinox by angle_deg: from ecliptic to
 * equatorial coordinates by the obliquity, and back by its negative. */
static struct ln_equ_posn turned(double longitude_deg, double latitude_deg, double angle_deg)
{
    double lambda = longitude_deg * DEG, beta = latitude_deg * DEG, angle = angle_deg * DEG;
    double x = cos(beta) * cos(lambda);
    double y = cos(beta) * sin(lambda) * cos(angle) - sin(beta) * sin(angle);
    double z = cos(beta) * sin(lambda) * sin(angle) + sin(beta) * cos(angle);
    return (struct ln_equ_posn){.ra = wrap(atan2(y, x) / DEG, 0.0), .dec = asin(z) / DEG};
}

/* libnova keeps the nutation of the time it was last asked for and gives it again within a tenth of
 * a day, to the sidereal time as well; and what it computes anew it adds to a ten-millionth of what
 * it had before. So the sun's place would depend, in its ninth digit, on what was asked before.
 * Asked for two other days first, nothing of that is left. */
static struct ln_nutation nutation_at(double jde)
{
    struct ln_nutation nutation;
    for (int days = 2; days >= 0; days--)
        ln_get_nutation(jde + days, &nutation);
    return nutation;
}

/* Apparent geocentric place from libnova's geometric one. Its ready-made solar coordinates are not
 * used: they stay at the equinox J2000, leave aberration out and turn by the mean obliquity; and
 * its precession of ecliptic coordinates is an empty function (0.15). */
static struct apparent apparent_at(double jde)
{
    struct ln_helio_posn place;
    ln_get_solar_geom_coords(jde, &place);
    struct ln_nutation nutation = nutation_at(jde);
    struct ln_equ_posn j2000 = turned(place.L, place.B, OBLIQUITY_J2000_DEG), mean;
    ln_get_equ_prec(&j2000, jde, &mean);
    struct ln_equ_posn ecliptic = turned(mean.ra, mean.dec, -nutation.ecliptic);
    double longitude = ecliptic.ra + nutation.longitude - ABERRATION_DEG / place.R;
    struct ln_equ_posn true_place =
        turned(longitude, ecliptic.dec, nutation.ecliptic + nutation.obliquity);
    return (struct apparent){true_place.ra, true_place.dec, place.R};
}

/* libnova has its last answers in static memory: one thread at a time asks it. No state of ours. */
static pthread_mutex_t libnova = PTHREAD_MUTEX_INITIALIZER;

/* What the theory says of an instant, for all places on earth. */
static nr_sun_knot knot_at(double unix_s)
{
    double jd = unix_s / DAY_S + 2440587.5, jde = ln_get_jde(jd);
    pthread_mutex_lock(&libnova);
    struct apparent sun = apparent_at(jde);
    double turn_h = ln_get_apparent_sidereal_time(jd) - ln_get_mean_sidereal_time(jd);
    pthread_mutex_unlock(&libnova);
    return (nr_sun_knot){.right_ascension_deg = sun.right_ascension_deg,
                         .declination_deg = sun.declination_deg,
                         .distance_au = sun.distance_au,
                         .sidereal_more_deg = wrap(turn_h * 15.0, -180.0)};
}

static nr_sun seen_from(const nr_sun_knot *k, double unix_s, double latitude_deg,
                        double longitude_deg)
{
    double sidereal_deg =
        ln_get_mean_sidereal_time(unix_s / DAY_S + 2440587.5) * 15.0 + k->sidereal_more_deg;
    double hour_angle = wrap(sidereal_deg + longitude_deg - k->right_ascension_deg, -180.0);
    double h = hour_angle * DEG, phi = latitude_deg * DEG, delta = k->declination_deg * DEG;
    /* East, north and up components of the direction to the sun. */
    double east = -cos(delta) * sin(h);
    double north = sin(delta) * cos(phi) - cos(delta) * cos(h) * sin(phi);
    double up = sin(delta) * sin(phi) + cos(delta) * cos(h) * cos(phi);
    double zenith = atan2(hypot(east, north), up) / DEG;
    return (nr_sun){
        .zenith_deg = zenith + SOLAR_PARALLAX_DEG / k->distance_au * sin(zenith * DEG),
        .azimuth_deg = wrap(atan2(east, north) / DEG, 0.0),
        .right_ascension_deg = wrap(k->right_ascension_deg, 0.0),
        .declination_deg = k->declination_deg,
        .distance_au = k->distance_au,
        .hour_angle_deg = hour_angle,
        .solar_time_h = fmod(hour_angle / 15.0 + 12.0, 24.0),
    };
}

static const nr_sun unknown = {NAN, NAN, NAN, NAN, NAN, NAN, NAN};

nr_sun nr_sun_at(double unix_s, double latitude_deg, double longitude_deg)
{
    if (!in_range(unix_s, latitude_deg, longitude_deg))
        return unknown;
    nr_sun_knot now = knot_at(unix_s);
    return seen_from(&now, unix_s, latitude_deg, longitude_deg);
}

/* Knots stand at the same instants whatever was asked before. The fastest that the theory has are
 * terms of nutation and the moon's, of a week and more: a cubic over four knots is within 1e-8
 * degrees of it. */
#define KNOT_S 21600.0

static void draw_knots(nr_sun_path *path, double unix_s)
{
    path->from_s = floor(unix_s / KNOT_S) * KNOT_S;
    for (int i = 0; i < 4; i++) {
        path->knot[i] = knot_at(path->from_s + (i - 1) * KNOT_S);
        if (i) /* it goes on past 360 */
            path->knot[i].right_ascension_deg =
                wrap(path->knot[i].right_ascension_deg, path->knot[0].right_ascension_deg - 180.0);
    }
    path->drawn = true;
}

nr_sun nr_sun_along(nr_sun_path *path, double unix_s, double latitude_deg, double longitude_deg)
{
    if (!in_range(unix_s, latitude_deg, longitude_deg))
        return unknown;
    if (!path->drawn || !(unix_s >= path->from_s && unix_s < path->from_s + KNOT_S))
        draw_knots(path, unix_s);
    /* Lagrange through knots at -1, 0, 1 and 2 */
    double t = (unix_s - path->from_s) / KNOT_S;
    const double part[4] = {-t * (t - 1) * (t - 2) / 6, (t + 1) * (t - 1) * (t - 2) / 2,
                            -(t + 1) * t * (t - 2) / 2, (t + 1) * t * (t - 1) / 6};
    nr_sun_knot now = {0};
    for (int i = 0; i < 4; i++) {
        now.right_ascension_deg += part[i] * path->knot[i].right_ascension_deg;
        now.declination_deg += part[i] * path->knot[i].declination_deg;
        now.distance_au += part[i] * path->knot[i].distance_au;
        now.sidereal_more_deg += part[i] * path->knot[i].sidereal_more_deg;
    }
    return seen_from(&now, unix_s, latitude_deg, longitude_deg);
}

double nr_refraction_deg(double true_zenith_deg, double pressure_Pa, double air_degC)
{
    if (!(true_zenith_deg >= 0.0 && true_zenith_deg <= 180.0) || !(pressure_Pa >= 0.0) ||
        !(air_degC > -90.0 && air_degC < 70.0))
        return NAN;
    if (true_zenith_deg > 91.0)
        return 0.0;
    double altitude = 90.0 - true_zenith_deg;
    double minutes = 1.02 / tan((altitude + 10.3 / (altitude + 5.11)) * DEG);
    return fmax(0.0, minutes / 60.0 * pressure_Pa / 101000.0 * 283.0 / (273.0 + air_degC));
}

double nr_incidence_deg(double zenith_deg, double azimuth_deg, double tilt_deg,
                        double plane_azimuth_deg)
{
    double z = zenith_deg * DEG, tilt = tilt_deg * DEG;
    double turned = (azimuth_deg - plane_azimuth_deg) * DEG;
    double cosine = cos(z) * cos(tilt) + sin(z) * sin(tilt) * cos(turned);
    if (isnan(cosine))
        return NAN;
    return acos(fmax(-1.0, fmin(1.0, cosine))) / DEG;
}

/* The geocentric altitude, as the definition of sunrise has it. */
static double hour_angle_at_rise_deg(double latitude_deg, double declination_deg)
{
    double phi = latitude_deg * DEG, delta = declination_deg * DEG;
    double cosine =
        (sin(RISE_ALTITUDE_DEG * DEG) - sin(phi) * sin(delta)) / (cos(phi) * cos(delta));
    if (cosine <= -1.0)
        return INFINITY; /* never sets */
    return cosine >= 1.0 ? -INFINITY : acos(cosine) / DEG;
}

/* The instant near start_s when the sun's hour angle is side (-1, 0, 1) times that of rise. The
 * declination moves by less than 0.02 degrees an hour: four passes leave milliseconds. */
static double instant(double start_s, int side, double latitude_deg, double longitude_deg)
{
    double t = start_s;
    for (int i = 0; i < 4; i++) {
        nr_sun sun = nr_sun_at(t, latitude_deg, longitude_deg);
        double wanted =
            side == 0 ? 0.0 : side * hour_angle_at_rise_deg(latitude_deg, sun.declination_deg);
        if (!isfinite(wanted))
            return NAN;
        t += wrap(wanted - sun.hour_angle_deg, -180.0) / ROTATION_DEG_PER_S;
    }
    return t;
}

nr_sun_day nr_sun_day_of(double unix_s, double latitude_deg, double longitude_deg)
{
    nr_sun_day day = {NR_SUN_DAY_UNKNOWN, NAN, NAN, NAN};
    if (!in_range(unix_s, latitude_deg, longitude_deg))
        return day;
    double ahead_s = longitude_deg / 360.0 * DAY_S;
    double noon = floor((unix_s + ahead_s) / DAY_S) * DAY_S + DAY_S / 2.0 - ahead_s;
    day.transit_s = instant(noon, 0, latitude_deg, longitude_deg);
    nr_sun sun = nr_sun_at(day.transit_s, latitude_deg, longitude_deg);
    double half = hour_angle_at_rise_deg(latitude_deg, sun.declination_deg);
    if (!isfinite(half)) {
        day.kind = half > 0.0 ? NR_SUN_NEVER_SETS : NR_SUN_NEVER_RISES;
        return day;
    }
    day.kind = NR_SUN_RISES_AND_SETS;
    double half_s = half / ROTATION_DEG_PER_S;
    day.rise_s = instant(day.transit_s - half_s, -1, latitude_deg, longitude_deg);
    day.set_s = instant(day.transit_s + half_s, 1, latitude_deg, longitude_deg);
    return day;
}
