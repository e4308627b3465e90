/* Sun; see sun.h. */
#include "analyze/physics/sun.h"

#include <libnova/dynamical_time.h>
#include <libnova/earth.h>
#include <libnova/precession.h>
#include <libnova/refraction.h>
#include <libnova/sidereal_time.h>
#include <libnova/solar.h>
#include <math.h>
#include <stdbool.h>

#define DEG (3.14159265358979323846 / 180.0)
#define DAY_S 86400.0
#define EARLIEST_S (-2208988800.0) /* 1900-01-01 */
#define LATEST_S 7258118400.0      /* 2200-01-01 */
#define SOLAR_PARALLAX_DEG (8.794 / 3600.0)
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

nr_sun nr_sun_at(double unix_s, double latitude_deg, double longitude_deg)
{
    if (!in_range(unix_s, latitude_deg, longitude_deg))
        return (nr_sun){NAN, NAN, NAN, NAN, NAN, NAN, NAN};
    double jd = unix_s / DAY_S + 2440587.5, jde = ln_get_jde(jd);
    struct ln_equ_posn j2000, of_date;
    ln_get_solar_equ_coords(jde, &j2000);
    ln_get_equ_prec(&j2000, jde, &of_date);

    double hour_angle =
        wrap(ln_get_apparent_sidereal_time(jd) * 15.0 + longitude_deg - of_date.ra, -180.0);
    double h = hour_angle * DEG, phi = latitude_deg * DEG, delta = of_date.dec * DEG;
    /* East, north and up components of the direction to the sun. */
    double east = -cos(delta) * sin(h);
    double north = sin(delta) * cos(phi) - cos(delta) * cos(h) * sin(phi);
    double up = sin(delta) * sin(phi) + cos(delta) * cos(h) * cos(phi);
    double zenith = atan2(hypot(east, north), up) / DEG;
    double distance = ln_get_earth_solar_dist(jde);
    return (nr_sun){
        .zenith_deg = zenith + SOLAR_PARALLAX_DEG / distance * sin(zenith * DEG),
        .azimuth_deg = wrap(atan2(east, north) / DEG, 0.0),
        .right_ascension_deg = wrap(of_date.ra, 0.0),
        .declination_deg = of_date.dec,
        .distance_au = distance,
        .hour_angle_deg = hour_angle,
        .solar_time_h = fmod(hour_angle / 15.0 + 12.0, 24.0),
    };
}

double nr_refraction_deg(double true_zenith_deg, double pressure_Pa, double air_degC)
{
    if (!(true_zenith_deg >= 0.0 && true_zenith_deg <= 180.0) || !(pressure_Pa >= 0.0) ||
        !(air_degC > -90.0 && air_degC < 70.0))
        return NAN;
    if (true_zenith_deg > 91.0)
        return 0.0;
    return ln_get_refraction_adj(90.0 - true_zenith_deg, pressure_Pa / 100.0, air_degC);
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
