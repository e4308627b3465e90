/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the sun is, and at what angle it meets a plane.
 *
 * Position by libnova (VSOP87). Its equatorial coordinates are those of the equinox J2000 and are
 * precessed to the date here: left as they are, the azimuth of 2026 is off by up to 0.9 degrees.
 * Held against the Solar Position Algorithm (Reda and Andreas, NREL/TP-560-34302) the result is
 * within 0.01 degrees on the sky. All angles in degrees; azimuth clockwise from north; longitude
 * positive east; instants in UTC seconds since 1970 (utc.h), years 1900..2200. NAN in, or out of
 * range: NAN out.
 */
#ifndef NR_PHYSICS_SUN_H
#define NR_PHYSICS_SUN_H

#include <stdbool.h>

typedef struct nr_sun {
    double zenith_deg;  /* true: without refraction; 90 = mathematical horizon */
    double azimuth_deg; /* 0..360 */
    double right_ascension_deg, declination_deg; /* apparent, of date, geocentric */
    double distance_au;
    double hour_angle_deg; /* -180..180, positive in the afternoon */
    double solar_time_h;   /* 0..24, 12 = sun in the south (north, on the southern half) */
} nr_sun;

/* latitude -90..90, longitude -180..180. */
nr_sun nr_sun_at(double unix_s, double latitude_deg, double longitude_deg);

/* What the theory says of one instant, whatever the place. */
typedef struct nr_sun_knot {
    double right_ascension_deg, declination_deg, distance_au;
    double sidereal_more_deg; /* apparent sidereal time less the mean one */
} nr_sun_knot;

/* Knots of a stretch of hours: the theory is dear (20 to 50 microseconds an instant). Begins as
 * zeros; one thread's. */
typedef struct nr_sun_path {
    bool drawn;
    double from_s;
    nr_sun_knot knot[4];
} nr_sun_path;

/* The same as nr_sun_at within 1e-8 degrees, for many instants that are near each other. */
nr_sun nr_sun_along(nr_sun_path *path, double unix_s, double latitude_deg, double longitude_deg);

/* What refraction takes off a true zenith angle (Saemundsson 1986, as in the Solar Position
 * Algorithm); 0 below 1 degree under the horizon. pressure in Pa, air in degC. (libnova's
 * refraction wants the apparent altitude, which is what one is looking for.) */
double nr_refraction_deg(double true_zenith_deg, double pressure_Pa, double air_degC);

/* Angle between the sun and the normal of a plane, 0..180; above 90 the sun is behind the plane.
 * tilt 0..90 (0 = lying flat), plane_azimuth = where the plane faces. */
double nr_incidence_deg(double zenith_deg, double azimuth_deg, double tilt_deg,
                        double plane_azimuth_deg);

typedef enum nr_sun_day_kind {
    NR_SUN_RISES_AND_SETS,
    NR_SUN_NEVER_SETS,
    NR_SUN_NEVER_RISES,
    NR_SUN_DAY_UNKNOWN /* input out of range */
} nr_sun_day_kind;

typedef struct nr_sun_day {
    nr_sun_day_kind kind;
    double rise_s, transit_s, set_s; /* UTC seconds; NAN where there is none */
} nr_sun_day;

/* The local solar day (midnight to midnight by mean solar time) that contains the instant. Rise and
 * set: upper limb on a level horizon with ordinary refraction (centre at -0.8333 degrees). */
nr_sun_day nr_sun_day_of(double unix_s, double latitude_deg, double longitude_deg);

#endif
