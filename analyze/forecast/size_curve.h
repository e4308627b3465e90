/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The store's warmest by the deadline against what can be changed: area and water. For pictures and
 * other programs; what just suffices is solved for (reach.h), not read off here. */
#ifndef NR_FORECAST_SIZE_CURVE_H
#define NR_FORECAST_SIZE_CURVE_H

#include "analyze/forecast/heatup_spread.h"
#include "analyze/forecast/size.h"

/* Fills by_area and by_water of a sizing that has its ways. area_m2: the record's own, which c
 * grows. */
void nr_size_curves(const nr_joint *joint, const nr_heatup_case *c, const nr_weather_u *weather,
                    double area_m2, nr_size *size);

#endif
