/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Air pressure by elevation and the boiling point of water. */
#ifndef NR_PHYSICS_ATMOSPHERE_H
#define NR_PHYSICS_ATMOSPHERE_H

#define NR_STANDARD_PRESSURE_PA 101325.0

/* Standard atmosphere, ISO 2533: the mean pressure at an elevation (m above sea level, taken as
 * geopotential: 1.7 Pa off at 1000 m). -500..11000 m, NAN outside. Weather moves the true pressure
 * by some +-30 hPa. */
double nr_pressure_at_elevation_Pa(double elevation_m);

/* Saturation of water, IAPWS-IF97 region 4. Pressure 611.213 Pa..22.064 MPa, temperature
 * 0..373.946 degC; NAN outside. */
double nr_boiling_degC(double pressure_Pa);
#endif
