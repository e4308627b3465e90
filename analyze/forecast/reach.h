/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What it takes to reach a target by the end of a case (limit_s): the questions of sizing, each
 * answered by bisection on the warmest simulated store temperature until then. NAN: nothing in a
 * sensible range does. k: how many standard uncertainties of it to be on the safe side, 0: the best
 * estimate, 1.645: 95 times in 100. */
#ifndef NR_FORECAST_REACH_H
#define NR_FORECAST_REACH_H

#include "analyze/forecast/heatup_spread.h"

/* Warmest that the store gets until limit_s, minus k standard uncertainties, degC; NAN out of
 * memory. */
double nr_reach_degC(const nr_joint *joint, const nr_heatup_case *c, const nr_weather_u *weather,
                     double k);

/* The same with its uncertainties, those at the moment it is warmest; unknown out of memory. */
nr_quantity nr_reach_quantity(const nr_joint *joint, const nr_heatup_case *c,
                              const nr_weather_u *weather);

/* Best estimates. The same collector this many times as large, 1/20 to 20. */
double nr_reach_grow(const nr_joint *joint, const nr_heatup_case *c);
/* Water, 0.5 kg to 20 times what c has. */
double nr_reach_water_kg(const nr_joint *joint, const nr_heatup_case *c);
/* Store temperature at the start, from c's up to the target. */
double nr_reach_start_degC(const nr_joint *joint, const nr_heatup_case *c);

/* With a safety of k standard uncertainties. */
double nr_reach_grow_sure(const nr_joint *joint, const nr_heatup_case *c,
                          const nr_weather_u *weather, double k);
double nr_reach_water_sure_kg(const nr_joint *joint, const nr_heatup_case *c,
                              const nr_weather_u *weather, double k);

#endif
