/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Irradiance under a cloudless sky, and from the horizontal to a tilted plane.
 *
 * A stand-in for a pyranometer on a cloudless day only: even then the true value differs by 10 %
 * and more with haze, so whoever uses it must say so and carry NR_CLEAR_SKY_U. Irradiances in W/m2,
 * angles in degrees, elevation in metres. NAN in or out of range: NAN out.
 */
#ifndef NR_PHYSICS_CLEARSKY_H
#define NR_PHYSICS_CLEARSKY_H

#include "analyze/physics/sun.h"

#define NR_SOLAR_CONSTANT_W_M2 1361.0

/* Relative standard uncertainty of a clear-sky irradiance on one day with a turbidity that was
 * guessed. Common practice, no source. */
#define NR_CLEAR_SKY_U 0.10

/* Linke turbidity when nothing better is known. About 2 in clean mountain air, 3 in the country,
 * 4 to 5 in a city. Common practice, no source. */
#define NR_LINKE_DEFAULT 3.0
#define NR_ALBEDO_DEFAULT 0.2 /* grass, soil, asphalt: 0.1 to 0.25; fresh snow 0.8 */

/* Kasten and Young 1989, relative air mass by apparent zenith angle 0..90 (sea level 1 at 0). NAN
 * past 90. Absolute air mass: times pressure/101325 Pa. */
double nr_air_mass(double apparent_zenith_deg);

/* Extraterrestrial irradiance over the solar constant, Spencer 1971; day 1..366. */
double nr_extraterrestrial_factor(int day_of_year);

/* The day 1..366 of the year an instant falls in (UTC). */
int nr_day_of_year(double unix_s);

typedef struct nr_sky {
    double ghi, dni, dhi; /* global horizontal, direct normal, diffuse horizontal */
} nr_sky;

/* Ineichen and Perez 2002. zenith: apparent; air_mass: absolute; turbidity: Linke, 1..10;
 * extraterrestrial: normal to the sun. Sun at or below the horizon: zeros. */
nr_sky nr_ineichen(double zenith_deg, double air_mass, double turbidity, double elevation_m,
                   double extraterrestrial_W_m2);

/* Diffuse share of the global horizontal irradiance by clearness index, Erbs 1982. */
double nr_erbs_diffuse_fraction(double clearness);

typedef enum nr_sky_model {
    NR_SKY_ISOTROPIC,  /* Liu and Jordan 1963 */
    NR_SKY_HAY_DAVIES, /* Hay and Davies 1980: part of the diffuse comes from around the sun */
    NR_SKY_HDKR        /* the same with Reindl's brightening of the horizon, 1990 */
} nr_sky_model;

typedef struct nr_plane_irradiance {
    double total, beam, diffuse, ground; /* beam: direct only; diffuse: from the sky */
} nr_plane_irradiance;

/* incidence: of the sun on the plane; tilt 0..90; albedo 0..1. */
nr_plane_irradiance nr_on_plane(nr_sky_model model, nr_sky sky, double zenith_deg,
                                double incidence_deg, double tilt_deg, double albedo,
                                double extraterrestrial_W_m2);

/* What lies flat brought to a plane: split into beam and diffuse by Erbs 1982 from the clearness of
 * the moment where dhi is NAN, to the plane by Hay and Davies. Duffie and Beckman's examples 2.15.1
 * and 2.16.1 are its test. Near the horizon the beam is not divided by less than 5 degrees' height.
 */
nr_plane_irradiance nr_from_horizontal(double ghi, double dhi, double zenith_deg,
                                       double incidence_deg, double tilt_deg, double albedo,
                                       double extraterrestrial_W_m2);

/* A place and a plane in it. */
typedef struct nr_place {
    double latitude_deg, longitude_deg, elevation_m;
    double tilt_deg, azimuth_deg;
} nr_place;

typedef struct nr_clear_instant {
    nr_plane_irradiance plane;
    nr_sky sky;
    double zenith_deg, azimuth_deg; /* apparent */
    double incidence_deg;
} nr_clear_instant;

/* All of it together: Ineichen and Perez with the standard pressure of the elevation, Hay and
 * Davies, Spencer's distance. */
nr_clear_instant nr_clear_sky_at(double unix_s, nr_place place, double turbidity, double albedo);
/* The same where the sun's place at that time is known: for several planes or skies. */
nr_clear_instant nr_clear_sky_of(const nr_sun *sun, double unix_s, nr_place place, double turbidity,
                                 double albedo);

#endif
