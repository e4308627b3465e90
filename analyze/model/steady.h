/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the segmented collector does when nothing changes: its efficiency curve, its time constant,
 * its stagnation. Everything reported as "the collector" is read off these.
 */
#ifndef NR_MODEL_STEADY_H
#define NR_MODEL_STEADY_H

#include "analyze/model/loop.h"

#include <stdbool.h>

typedef struct nr_steady_conditions {
    double sun_W_m2;  /* true irradiance in the plane */
    double air_degC;  /* true */
    double flow_W_K;  /* mass flow times specific heat, > 0, before flow_factor */
    double wind_m_s;  /* above the mean of the fit */
    double obliquity; /* 1/cos(incidence) - 1 */
    double iam;       /* modifier from a table instead of b0; 0: b0 */
    double sky_W_m2;  /* net long-wave exchange as in nr_loop_input; 0: none, or not in the fit */
    bool has_sky;
} nr_steady_conditions;

typedef struct nr_operating_point {
    double power_W; /* to the fluid */
    double outlet_degC;
} nr_operating_point;

/* What the absorber gets per gross area, before its loss: the sun by its modifier,
 * less what goes aside, and the sky's part where there is one. The loop's own balance (loop.h). */
double nr_steady_gain_W_m2(const nr_loop_params *params, const nr_steady_conditions *conditions);

/* Fluid enters at inlet_degC. */
nr_operating_point nr_steady_state(const nr_loop_params *params,
                                   const nr_steady_conditions *conditions, double inlet_degC);

/* Efficiency on gross area at reduced temperature x (m2 K/W), T_ref = air + x * sun, where T_ref
 * is the inlet temperature, or with `mean` the arithmetic mean of inlet and outlet. */
double nr_steady_efficiency(const nr_loop_params *params, const nr_steady_conditions *conditions,
                            double x, bool mean);

/* Rise over air of an absorber without flow: optical G = loss d + loss2 d^2, without the sky.
 * INFINITY when the fitted loss never balances. */
double nr_stagnation_rise_K(const nr_loop_params *params, double sun_W_m2);

/* Seconds until the outlet has covered 63.2 % of its way after the sun is let in, inlet at air
 * temperature (the definition of ISO 9806, from memory). NAN when longer than half an hour. */
double nr_time_constant_s(const nr_loop_params *params, const nr_steady_conditions *conditions);

#endif
