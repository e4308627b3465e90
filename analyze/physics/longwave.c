/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/physics/longwave.h"

#include <math.h>

#define KELVIN 273.15
#define GROUND_EMISSIVITY 0.95

double nr_black_W_m2(double degC)
{
    return NR_STEFAN_BOLTZMANN * pow(degC + KELVIN, 4);
}

double nr_dew_point_degC(double air_degC, double humidity_percent)
{
    if (!(humidity_percent > 0) || humidity_percent > 110)
        return NAN;
    double g = log(fmin(humidity_percent, 100) / 100) + 17.625 * air_degC / (243.04 + air_degC);
    return 243.04 * g / (17.625 - g);
}

double nr_clear_sky_emissivity(double dew_point_degC)
{
    double t = dew_point_degC / 100;
    return fmin(0.711 + 0.56 * t + 0.73 * t * t, 1);
}

double nr_net_longwave_W_m2(double air_degC, double sky_emissivity, double tilt_deg)
{
    double view = (1 + cos(tilt_deg * M_PI / 180)) / 2;
    double seen = view * sky_emissivity + (1 - view) * GROUND_EMISSIVITY;
    return (seen - 1) * nr_black_W_m2(air_degC);
}
