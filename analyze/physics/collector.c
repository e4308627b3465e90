/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Collector; see collector.h. Equation numbers are those of Duffie and Beckman. */
#include "analyze/physics/collector.h"

#include <math.h>

double nr_heat_removal_factor(double loss_W_m2K, double efficiency_factor, double capacity_flow)
{
    if (!(capacity_flow > 0.0) || !(loss_W_m2K >= 0.0))
        return NAN;
    if (loss_W_m2K == 0.0)
        return efficiency_factor;
    return -capacity_flow / loss_W_m2K *
           expm1(-loss_W_m2K * efficiency_factor / capacity_flow); /* 6.7.4 */
}

double nr_mean_plate_degC(double inlet_degC, double useful_W_m2, double removal_factor,
                          double loss_W_m2K)
{
    return inlet_degC +
           useful_W_m2 / (removal_factor * loss_W_m2K) * (1.0 - removal_factor); /* 6.9.4 */
}
