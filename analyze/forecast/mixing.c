/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/forecast/mixing.h"

#include "analyze/physics/water.h"

#include <math.h>

double nr_mixed_L(double hot_kg, double hot, double tap, double use)
{
    if (isnan(hot_kg + hot + tap + use))
        return NAN;
    if (tap >= use)
        return INFINITY;
    if (hot < use)
        return 0;
    double kg =
        hot_kg * nr_water_enthalpy_rise_J_kg(tap, hot) / nr_water_enthalpy_rise_J_kg(tap, use);
    return 1000 * kg / nr_water_density_kg_m3(use);
}
