/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The pump: what flow there is at a moment. */
#ifndef NR_VIRTUAL_PUMP_H
#define NR_VIRTUAL_PUMP_H

#include "sample-runs/rig/virtual.h"

#include <gsl/gsl_rng.h>

typedef struct nr_turning_pump {
    bool running; /* turning; false also while it is stalled */
    double flow_L_min;
    double supply_V;
    double wander; /* relative, slow */
    gsl_rng *rng;
} nr_turning_pump;

/* False when out of memory. Close in any case. Settled at the first irradiance. */
bool nr_turning_pump_open(nr_turning_pump *pump, const nr_virtual_params *p, double sun_W_m2);
void nr_turning_pump_close(nr_turning_pump *pump);

/* dt_s passes; t_s is the time at its end. */
void nr_turning_pump_step(nr_turning_pump *pump, const nr_virtual_params *p, double t_s,
                          double sun_W_m2, double dt_s);

#endif
