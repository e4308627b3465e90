/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/forecast/predict.h"

#include "analyze/fit/safety.h"
#include "analyze/forecast/day.h"
#include "analyze/forecast/heatup_spread.h"
#include "analyze/forecast/predict_advice.h"

#include <gsl/gsl_cdf.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define TRACE 121
#define K95 1.959963984540054
/* The trace goes on this much past the late end of the interval. */
#define BEYOND 1.2
/* Degrees of slack before a temperature difference, and part of slack before an irradiance, counts
 * as outside what was tested. */
#define OUTSIDE_K 1.0
#define OUTSIDE_SUN 0.1

void nr_predict_free(nr_predict *p)
{
    if (!p)
        return;
    nr_fit_free(p->fit);
    free(p->trace);
    free(p);
}

/* The chance that the target is reached at all within the outlook. */
static double probability_reached(const nr_heatup_spread *o, double target)
{
    double best = -INFINITY;
    for (size_t k = 1; k < NR_HEATUP_SPREAD_POINTS; k++)
        if (o->u[k] > 0)
            best = fmax(best, (o->store_degC[k] - target) / o->u[k]);
    return gsl_cdf_ugaussian_P(best);
}

/* Where a clear day's trace ends: at its warmest, since nobody keeps the pump on after that. */
static double warmest_s(const nr_heatup_spread *o)
{
    size_t top = 1;
    for (size_t k = 1; k < NR_HEATUP_SPREAD_POINTS; k++)
        if (o->store_degC[k] > o->store_degC[top])
            top = k;
    return o->span_s * (double)top / (NR_HEATUP_SPREAD_POINTS - 1);
}

static bool outlook_over(const nr_solved *s, const nr_heatup_case *c, const nr_day *day,
                         double span_s, nr_heatup_spread *o)
{
    nr_heatup_case part = *c;
    part.limit_s = span_s;
    nr_weather_u u = {.sun = day->u_sun, .air_K = day->u_air_K};
    return nr_heatup_spread_make(s->joint, &part, &u, o);
}

/* The interval is read off the band: the earliest and the latest time at which the water may pass
 * the target. It is wide on the late side where the water warms slowly, as it should be. */
static void put_time(nr_predict *p, const nr_heatup_spread *o)
{
    double target = p->day.to_degC, t = nr_heatup_spread_time_s(o, target, 0);
    double slope = nr_heatup_spread_slope(o, t);
    p->u_parameter = nr_heatup_spread_at(o, o->u_parameter, t) / slope;
    p->u_model = nr_heatup_spread_at(o, o->u_model, t) / slope;
    p->u_weather = nr_heatup_spread_at(o, o->u_weather, t) / slope;
    double u = nr_heatup_spread_at(o, o->u, t) / slope,
           random = nr_heatup_spread_at(o, o->u_random, t) / slope;
    p->time_s =
        nr_quantity_make(t, random, sqrt(fmax(u * u - random * random, 0)), INFINITY, NR_UNIT_S);
    p->time_s.lo95 = nr_heatup_spread_time_s(o, target, K95);
    p->time_s.hi95 = nr_heatup_spread_time_s(o, target, -K95);
    if (isnan(p->time_s.hi95))
        p->time_s.hi95 = INFINITY;
}

static nr_quantity store_at(const nr_heatup_spread *o, double t)
{
    double u = nr_heatup_spread_at(o, o->u, t), random = nr_heatup_spread_at(o, o->u_random, t);
    return nr_quantity_make(nr_heatup_spread_at(o, o->store_degC, t), random,
                            sqrt(fmax(u * u - random * random, 0)), INFINITY, NR_UNIT_DEGC);
}

static double sun_at(const nr_day_weather *w, double t)
{
    const nr_forecast *f = &w->forecast;
    double at = t / f->every_s;
    size_t k = (size_t)at;
    if (f->count < 2 || k + 1 >= f->count)
        return f->sun_W_m2[f->count - 1];
    return f->sun_W_m2[k] + (f->sun_W_m2[k + 1] - f->sun_W_m2[k]) * (at - (double)k);
}

static bool put_trace(nr_predict *p, const nr_heatup_spread *o, const nr_day_weather *w)
{
    p->trace = calloc(TRACE, sizeof *p->trace);
    p->count = p->trace ? TRACE : 0;
    for (size_t i = 0; i < p->count; i++) {
        double t = o->span_s * (double)i / (TRACE - 1);
        double u = nr_heatup_spread_at(o, o->u, t),
               store = nr_heatup_spread_at(o, o->store_degC, t);
        p->trace[i] = (nr_trace_point){t, store, store - K95 * u, store + K95 * u, sun_at(w, t)};
    }
    return p->trace != NULL;
}

/* How much warmer the reference temperature of the curve is than the store: the mean fluid's is by
 * half the rise across the collector. */
static double reference_above_store(const nr_fit *f, const nr_heatup_case *c, double sun_W_m2)
{
    if (f->reference != NR_REFERENCE_MEAN)
        return 0;
    return f->eta0.value * sun_W_m2 * f->gross_area_m2 / (2 * c->flow_W_K);
}

static bool outside_tested(const nr_predict *p, const nr_heatup_case *c)
{
    const nr_fit *f = p->fit;
    double low = INFINITY, high = -INFINITY, sun = 0;
    for (size_t i = 0; i < p->count; i++) {
        double rise = p->trace[i].store_degC - p->day.air_degC +
                      reference_above_store(f, c, p->trace[i].sun_W_m2);
        low = fmin(low, rise);
        high = fmax(high, rise);
        sun = fmax(sun, p->trace[i].sun_W_m2);
    }
    return high > f->dT_range[1] + OUTSIDE_K || low < f->dT_range[0] - OUTSIDE_K ||
           sun > f->sun_range[1] * (1 + OUTSIDE_SUN) ||
           (!p->day.clear_sky && sun < f->sun_range[0] * (1 - OUTSIDE_SUN));
}

static nr_code look_ahead(const nr_solved *s, const nr_heatup_case *c, const nr_day_weather *w,
                          nr_predict *p, nr_err *err)
{
    nr_heatup_spread *o = malloc(sizeof *o);
    bool good = o && outlook_over(s, c, &p->day, p->day.limit_s, o);
    double end = p->day.limit_s;
    if (good) {
        double t = nr_heatup_spread_time_s(o, p->day.to_degC, 0);
        p->probability_reached = probability_reached(o, p->day.to_degC);
        p->reached = !isnan(t);
        double late = nr_heatup_spread_time_s(o, p->day.to_degC, -K95);
        if (p->day.clear_sky)
            end = warmest_s(o);
        if (p->reached) {
            double span = fmin(BEYOND * (isnan(late) ? p->day.limit_s : late), p->day.limit_s);
            good = outlook_over(s, c, &p->day, span, o);
            if (good && nr_heatup_spread_time_s(o, p->day.to_degC, 0) > 0)
                put_time(p, o);
            end = p->day.clear_sky ? fmax(end, p->time_s.value) : span;
        }
    }
    if (good)
        good = outlook_over(s, c, &p->day, end, o) && put_trace(p, o, w);
    if (good) {
        p->final_degC = store_at(o, end);
        if (!p->reached) {
            p->u_parameter = nr_heatup_spread_at(o, o->u_parameter, end);
            p->u_model = nr_heatup_spread_at(o, o->u_model, end);
            p->u_weather = nr_heatup_spread_at(o, o->u_weather, end);
        }
        p->outside_tested = outside_tested(p, c);
    }
    free(o);
    return good ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
}

static nr_code answer(nr_solved *s, nr_predict *p, nr_err *err)
{
    nr_code code = nr_day_complete(s, &p->day, err);
    nr_day_weather w = {.values = NULL};
    if (!code)
        code = nr_day_weather_make(s, &p->day, &w, err);
    if (code)
        return code;
    nr_heatup_case c = nr_day_case(s, &p->day, &w);
    p->time_s = nr_quantity_unknown(NR_UNIT_S);
    p->final_degC = nr_quantity_unknown(NR_UNIT_DEGC);
    p->fit = s->fit;
    code = look_ahead(s, &c, &w, p, err);
    if (!code)
        nr_predict_advise(s, &c, p);
    nr_day_weather_free(&w);
    s->fit = NULL; /* the prediction's from here on */
    return code;
}

nr_code nr_predict_runs(const nr_run *const *runs, size_t count, const nr_day *day,
                        const nr_fit_options *options, nr_predict **out, nr_err *err)
{
    *out = NULL;
    nr_solved solved;
    nr_predict *p = calloc(1, sizeof *p);
    nr_code code = nr_solve_runs(runs, count, options, &solved, err);
    if (!code && !p)
        code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (!code) {
        p->day = *day;
        code = answer(&solved, p, err);
    }
    nr_solved_free(&solved);
    if (code)
        nr_predict_free(p);
    else
        *out = p;
    return code;
}
