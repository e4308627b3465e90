/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Flat-plate collector algebra: Duffie and Beckman, Solar Engineering of Thermal Processes, ch. 6.
 *
 * Loss coefficients in W/(m2 K), per the same area as the irradiance (W/m2). Temperatures degC.
 * NAN for input that is NAN or has no meaning (negative areas, flows). capacity_flow below is
 * m_dot cp / A in W/(m2 K). The rest of that algebra is an oracle of the tests
 * (tests/unit/algebra.h).
 */
#ifndef NR_PHYSICS_COLLECTOR_H
#define NR_PHYSICS_COLLECTOR_H

/* FR = (c/UL) (1 - exp(-UL F'/c)), c = capacity_flow. */
double nr_heat_removal_factor(double loss_W_m2K, double efficiency_factor, double capacity_flow);

/* Mean temperature of the absorber while useful_W_m2 is drawn. */
double nr_mean_plate_degC(double inlet_degC, double useful_W_m2, double removal_factor,
                          double loss_W_m2K);

#endif
