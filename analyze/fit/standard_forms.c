/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The standard's forms themselves. */
#include "analyze/fit/standard.h"

#include <math.h>

/* Share of diffuse light that eta0,hem is defined with. */
#define STANDARD_DIFFUSE 0.15

double nr_standard_modifier(double b0, double angle_deg)
{
    return fmax(1 - b0 * (1 / cos(angle_deg * M_PI / 180) - 1), 0);
}

double nr_standard_kd(double b0)
{
    return 1 / (1 + b0);
}

double nr_standard_hemispherical(double eta0_b, double kd)
{
    return eta0_b * (1 - STANDARD_DIFFUSE + STANDARD_DIFFUSE * kd);
}

double nr_standard_power_W(double area, double eta0, double a1, double a2, double sun, double dT)
{
    return area * (eta0 * sun - a1 * dT - a2 * dT * dT);
}

double nr_standard_inlet_factor(double a1, double capacity_flow)
{
    return 1 + a1 / (2 * capacity_flow);
}
