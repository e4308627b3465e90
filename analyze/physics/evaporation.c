/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/physics/evaporation.h"

#include <math.h>

#define A 17.625
#define B 243.04

double nr_vapour_pressure_kPa(double degC)
{
    return 0.61094 * exp(A * degC / (B + degC));
}

double nr_vapour_slope_kPa_K(double degC)
{
    return nr_vapour_pressure_kPa(degC) * A * B / ((B + degC) * (B + degC));
}

double nr_evaporation_W_m2(double water_degC, double air_degC, double humidity)
{
    return NR_EVAPORATION_W_M2KPA *
           (nr_vapour_pressure_kPa(water_degC) - humidity * nr_vapour_pressure_kPa(air_degC));
}
