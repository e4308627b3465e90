/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The heater's heat balance in time: absorber, glass and fluid along the tube, pipes, store.
 *
 *   store bottom -> pipe -> segment 0 .. 23 -> pipe -> store top -> store bottom
 *
 * Each segment is solved implicitly with its new upstream temperature, so any step is stable and
 * every joule taken from one node enters another: the ledger closes to rounding at any step. */
#ifndef NR_VIRTUAL_THERMAL_H
#define NR_VIRTUAL_THERMAL_H

#include "sample-runs/rig/virtual.h"

#define NR_THERMAL_SEGMENTS 24

typedef struct nr_thermal {
    double absorber[NR_THERMAL_SEGMENTS]; /* degC, all of them */
    double cover[NR_THERMAL_SEGMENTS];
    double fluid[NR_THERMAL_SEGMENTS];
    double supply, back; /* pipe to the collector (its end is the inlet), pipe from it */
    double top, bottom;
} nr_thermal;

/* What acts on it during a step. */
typedef struct nr_thermal_input {
    double sun_W_m2;
    double modifier; /* K(theta) */
    double air_degC, wind_m_s, flow_L_min;
} nr_thermal_input;

void nr_thermal_start(nr_thermal *s, double collector_degC, double store_degC);

/* Advances by dt_s and books what flowed over the boundary into *ledger (only sun, absorbed, pump
 * and the losses). */
void nr_thermal_step(const nr_virtual_device *d, nr_thermal *s, const nr_thermal_input *in,
                     double dt_s, nr_virtual_ledger *ledger);

/* Heat content against 0 degC, J, into ledger's water, dry, collector, pipes with the given sign:
 * call with -1 before and +1 after. */
void nr_thermal_content(const nr_virtual_device *d, const nr_thermal *s, double sign,
                        nr_virtual_ledger *ledger);

/* Density of water, kg/m3 (Kell 1975; tests/data has the values it is held against). */
double nr_thermal_density(double degC);

/* W/K of the whole loop at a volume flow, and of the bond at that flow. */
double nr_thermal_flow_W_K(double flow_L_min, double degC);
double nr_thermal_bond_W_K(const nr_virtual_device *d, double flow_L_min);

double nr_thermal_store_mean(const nr_thermal *s);

#endif
