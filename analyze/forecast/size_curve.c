/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/forecast/size_curve.h"

#include "analyze/forecast/reach.h"

#include <math.h>

/* How far the curves go beyond the largest of what is and what just suffices. */
#define BEYOND 1.3
/* Where nothing suffices for sure, or even far too much does: to see whether it levels off. */
#define FAR_BEYOND 3.0
#define MOST_TIMES 20.0
/* Smallest over largest. */
#define SMALLEST 0.025
#define LEAST_WATER_KG 0.5
/* The map begins later: a hand of plate warms no bucket. */
#define SMALLEST_OF_MAP 0.1

static double largest_area(const nr_size *z, double own_m2)
{
    double best = z->area_m2.best, sure = z->area_m2.sure;
    if (isfinite(sure))
        return BEYOND * fmax(own_m2, fmax(best, sure));
    if (isfinite(best))
        return FAR_BEYOND * fmax(own_m2, best);
    /* Either any size does, or none. */
    return z->warmest_degC.value >= z->asked.day.to_degC ? BEYOND * own_m2 : MOST_TIMES * own_m2;
}

static double largest_water(const nr_size *z)
{
    double own = z->asked.day.water_kg, best = z->water_kg.best;
    if (isfinite(best))
        return BEYOND * fmax(own, best);
    return (z->warmest_degC.value >= z->asked.day.to_degC ? FAR_BEYOND : BEYOND) * own;
}

/* From low to high, closer together below, where the temperature changes most. */
static double spaced(double low, double high, int i)
{
    double part = (double)i / (NR_SIZE_CURVE - 1);
    return low + (high - low) * part * part;
}

/* Water that just reaches the target and that surely does, over the areas: evenly, the border bends
 * little. */
static void borders(const nr_joint *j, const nr_heatup_case *c, const nr_weather_u *weather,
                    double area_m2, double largest_m2, nr_size *z)
{
    for (int i = 0; i < NR_SIZE_MAP; i++) {
        nr_heatup_case one = *c;
        z->map[i].area_m2 =
            largest_m2 * (SMALLEST_OF_MAP + (1 - SMALLEST_OF_MAP) * i / (double)(NR_SIZE_MAP - 1));
        one.grow = z->map[i].area_m2 / area_m2;
        z->map[i].water_kg.best = nr_reach_water_kg(j, &one);
        z->map[i].water_kg.sure = nr_reach_water_sure_kg(j, &one, weather, NR_SIZE_K_SURE);
    }
}

void nr_size_curves(const nr_joint *j, const nr_heatup_case *c, const nr_weather_u *weather,
                    double area_m2, nr_size *z)
{
    double area = largest_area(z, c->grow > 0 ? area_m2 * c->grow : area_m2);
    double water = largest_water(z);
    for (int i = 0; i < NR_SIZE_CURVE; i++) {
        nr_heatup_case one = *c;
        z->by_area[i].x = spaced(SMALLEST * area, area, i);
        one.grow = z->by_area[i].x / area_m2;
        z->by_area[i].warmest_degC = nr_reach_quantity(j, &one, weather);
        one = *c;
        one.water_kg = z->by_water[i].x =
            spaced(fmax(SMALLEST * water, LEAST_WATER_KG), fmax(water, 2 * LEAST_WATER_KG), i);
        z->by_water[i].warmest_degC = nr_reach_quantity(j, &one, weather);
    }
    borders(j, c, weather, area_m2, area, z);
}
