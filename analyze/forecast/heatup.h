/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How a fitted collector warms a store under stated weather: the segmented model run forward.
 *
 * The same model that was fitted, so that a prediction costs no second set of assumptions. The
 * collector, its fluid and the store all begin at the start temperature.
 */
#ifndef NR_FORECAST_HEATUP_H
#define NR_FORECAST_HEATUP_H

#include "analyze/fit/results.h"

/* Weather on a grid: sample k holds from k * every_s on; between samples straight lines. One
 * sample: constant for ever. Arrays are borrowed. */
typedef struct nr_forecast {
    size_t count;
    double every_s;
    const double *sun_W_m2, *air_degC; /* [count], true */
    const double *obliquity;           /* [count] 1/cos(incidence) - 1; NULL: normal incidence */
    const double *iam;                 /* [count] modifier from a table instead of b0; NULL: b0 */
    const double *flow_share;          /* [count] of flow_W_K; NULL: 1, a pump that always runs */
    double from_s;                     /* of the grid, where the simulation begins */
    double wind_above_mean_m_s;        /* against the mean wind of the fit */
} nr_forecast;

typedef struct nr_heatup_case {
    size_t piece; /* of the build in question */
    nr_forecast weather;
    double water_kg;       /* NAN: as in the record */
    bool true_water;       /* as much water indeed, not as the record's scales would say it */
    double store_loss_W_K; /* NAN: as fitted */
    /* Where the fitted loss contains the container's: what of it that is taken to be, and how far
     * that may be off. 0: it contains none. */
    double contained_W_K, u_contained_W_K;
    double flow_W_K; /* as recorded, before flow_factor */
    double grow;     /* the same collector this many times as large, its flow with it; 0: 1 */
    bool same_meter; /* the irradiance is what the record's own sensor reads, error and all */
    double from_degC, to_degC;
    double limit_s;
    size_t steps; /* of the simulation, at most NR_HEATUP_STEPS; 0: as many */
} nr_heatup_case;

/* Backward Euler lags by half a step: with all of them 0.1 % of the time simulated. */
#define NR_HEATUP_STEPS 600

/* Seconds until the store reaches to_degC; NAN when it does not within limit_s. A nr_result_fn. */
double nr_result_heat_up_s(const nr_joint *joint, const double *x, const void *heatup_case);

/* Store temperature at `count` equally spaced times from 0 to limit_s, at parameters x. False when
 * out of memory. */
bool nr_heatup_trace(const nr_joint *joint, const double *x, const nr_heatup_case *c, size_t count,
                     double *store_degC);

/* The same with its standard uncertainty, from the covariance of the joint estimate. */
bool nr_heatup_band(const nr_joint *joint, const nr_heatup_case *c, size_t count,
                    double *store_degC, double *u_K);

#endif
