/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Liquid water at atmospheric pressure: IAPWS SR6-08(2011), which stands for IAPWS-95 at 0.1 MPa
 * within 0.001 kg/m3, 0.15 J/(kg K) and 0.005 % of viscosity and conductivity.
 *
 * Temperatures in degC (ITS-90). Valid from NR_WATER_LOW_DEGC (supercooled) to NR_WATER_HIGH_DEGC
 * (metastable above the boiling point); NAN outside and for NAN. Pressure is left out: at the 0.3
 * MPa of a house main cp changes by 1 J/(kg K).
 */
#ifndef NR_PHYSICS_WATER_H
#define NR_PHYSICS_WATER_H

#define NR_WATER_LOW_DEGC (-20.0)
#define NR_WATER_HIGH_DEGC 110.0

double nr_water_density_kg_m3(double degC);
double nr_water_cp_J_kgK(double degC);
double nr_water_viscosity_Pa_s(double degC);
double nr_water_conductivity_W_mK(double degC);

/* cp * viscosity / conductivity */
double nr_water_prandtl(double degC);

/* Heat to bring 1 kg from one temperature to the other at constant pressure, J/kg; exact integral
 * of cp. Negative when cooling. */
double nr_water_enthalpy_rise_J_kg(double from_degC, double to_degC);

/* Density and cp by straight lines between whole and half degrees, for sums over many readings: a
 * tenth of the time. A line is off by an eighth of its length squared times the curvature: above 0
 * degC within 6e-4 kg/m3 (0.0185 kg/(m3 K2) at most) and 0.02 J/(kg K) of the formulas. */
#define NR_WATER_LINES 261
typedef struct nr_water_lines {
    double density_kg_m3[NR_WATER_LINES], cp_J_kgK[NR_WATER_LINES];
} nr_water_lines;

void nr_water_lines_make(nr_water_lines *lines);
double nr_water_lines_density_kg_m3(const nr_water_lines *lines, double degC);
double nr_water_lines_cp_J_kgK(const nr_water_lines *lines, double degC);

#endif
