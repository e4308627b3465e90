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

#endif
