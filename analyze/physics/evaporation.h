/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Heat that leaves open water with its vapour. degC, kPa, relative humidity 0 to 1, W/m2. */
#ifndef NR_PHYSICS_EVAPORATION_H
#define NR_PHYSICS_EVAPORATION_H

/* Over water, by the Magnus form of Alduchov and Eskridge, Journal of Applied Meteorology 35 (1996)
 * 601-609, without its correction for moist air: within 0.1 % from 0 to 60 degC. */
double nr_vapour_pressure_kPa(double degC);
/* Its derivative, kPa/K. */
double nr_vapour_slope_kPa_K(double degC);

/* Heat carried away in still air, W/(m2 kPa): W. H. Carrier, The temperature of evaporation, Trans.
 * ASHVE 24 (1918) 25-50, heat = (0.089 + 0.0782 v) (p_water - p_air) kW/m2, as the ASHRAE Handbook
 * (HVAC Applications, Natatoriums) has it for pools in use. For undisturbed water the handbook
 * halves it; a breeze over a bucket in the open makes up for that. */
#define NR_EVAPORATION_W_M2KPA 89.0

/* Over a warm day in the open, where nobody measures it (common practice, no source). */
#define NR_USUAL_HUMIDITY 0.5

/* In still air; negative where vapour condenses on cold water. */
double nr_evaporation_W_m2(double water_degC, double air_degC, double humidity);

#endif
