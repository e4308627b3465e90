/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A predicted heat-up with its uncertainty, each origin apart: what the fit left open about the
 * collector, what the model itself misreads, what the weather may do. */
#ifndef NR_FORECAST_HEATUP_SPREAD_H
#define NR_FORECAST_HEATUP_SPREAD_H

#include "analyze/forecast/heatup.h"

/* Standard uncertainties of the forecast, constant over the day. */
typedef struct nr_weather_u {
    double sun; /* relative */
    double air_K;
} nr_weather_u;

#define NR_HEATUP_SPREAD_POINTS 601

typedef struct nr_heatup_spread {
    double span_s; /* the points are equally spaced over it */
    double store_degC[NR_HEATUP_SPREAD_POINTS];
    /* standard uncertainties of it, K; parameter includes random */
    double u_parameter[NR_HEATUP_SPREAD_POINTS], u_random[NR_HEATUP_SPREAD_POINTS];
    double u_model[NR_HEATUP_SPREAD_POINTS], u_weather[NR_HEATUP_SPREAD_POINTS],
        u[NR_HEATUP_SPREAD_POINTS];
} nr_heatup_spread;

/* False when out of memory. */
bool nr_heatup_spread_make(const nr_joint *joint, const nr_heatup_case *c,
                           const nr_weather_u *weather, nr_heatup_spread *out);

/* Seconds at which store + k u first reaches the target; NAN when it does not. */
double nr_heatup_spread_time_s(const nr_heatup_spread *outlook, double target_degC, double k);

/* Value of one of the arrays at a time within the span. */
double nr_heatup_spread_at(const nr_heatup_spread *outlook, const double *values, double time_s);

/* Slope of the store's temperature at a time, K/s. */
double nr_heatup_spread_slope(const nr_heatup_spread *outlook, double time_s);

#endif
