/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Long-wave radiation between a plane at air temperature and what it sees: what a bare absorber
 * loses to the sky (the EL of ISO 9806, term c4). W/m2, degC, degrees, relative humidity in %. */
#ifndef NR_PHYSICS_LONGWAVE_H
#define NR_PHYSICS_LONGWAVE_H

#define NR_STEFAN_BOLTZMANN 5.670374419e-8 /* W/(m2 K4), CODATA 2018, exact */

/* sigma T^4 */
double nr_black_W_m2(double degC);

/* Dew point over water by the Magnus form of Alduchov and Eskridge, Journal of Applied Meteorology
 * 35 (1996) 601-609; within 0.4 % of saturation pressure from -40 to 50 degC. NAN without
 * humidity. */
double nr_dew_point_degC(double air_degC, double humidity_percent);

/* Emissivity of a cloudless sky from the dew point: 0.711 + 0.56 (Td/100) + 0.73 (Td/100)^2,
 * P. Berdahl and M. Martin, Emissivity of clear skies, Solar Energy 32 (1984) 663-664 (mean over
 * the day). */
double nr_clear_sky_emissivity(double dew_point_degC);

/* Emissivity of the sky where nothing tells of it: Berdahl and Martin at a dew point of 12 degC is
 * 0.79; clouds and a horizon raise it. */
#define NR_USUAL_SKY_EMISSIVITY 0.81
/* Tilt of the plane where it is not stated: between lying and standing. */
#define NR_USUAL_TILT_DEG 45.0
/* A bare absorber's share in it: the emissivity of black paint, 0.9 (handbook value), less what
 * gets to the water only by the plate's efficiency factor. */
#define NR_BARE_SKY_SHARE 0.8

/* E - sigma Ta^4 of a plane at this tilt: it sees (1 + cos tilt)/2 of the sky, the rest is ground
 * of emissivity 0.95 at air temperature that does not reflect. Negative under a clear sky. */
double nr_net_longwave_W_m2(double air_degC, double sky_emissivity, double tilt_deg);

#endif
