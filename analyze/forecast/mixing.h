/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Hot water mixed with cold: how far a container goes. */
#ifndef NR_FORECAST_MIXING_H
#define NR_FORECAST_MIXING_H

/* Litres of mixed water at use_degC from kg of water at hot_degC and cold water from the tap; heat
 * content of water by IAPWS (physics/water.h). No hotter than wanted: 0. Tap as warm as wanted or
 * warmer: INFINITY. NAN for NAN. */
double nr_mixed_L(double hot_kg, double hot_degC, double tap_degC, double use_degC);

#endif
