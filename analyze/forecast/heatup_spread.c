/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/forecast/heatup_spread.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define POINTS NR_HEATUP_SPREAD_POINTS
/* Differences are taken over this part of a parameter's scale: see results.c. */
#define PART_OF_SCALE 1e-3
/* What a difference of two traces is simulated in: both lag alike, so that steps twice to four
 * times as long move an uncertainty by a few thousandths of itself. Of no more than STEP_S: the
 * store's layers (model/loop.c) go in 150 s. */
#define STEPS_OF_A_DIFFERENCE 150
#define STEP_S 120.0

static nr_heatup_case coarser(const nr_heatup_case *c)
{
    nr_heatup_case o = *c;
    size_t most = c->steps ? c->steps : NR_HEATUP_STEPS;
    o.steps = (size_t)fmax(STEPS_OF_A_DIFFERENCE, ceil(c->limit_s / STEP_S));
    o.steps = o.steps < most ? o.steps : most;
    return o;
}

/* Change of the trace per standard uncertainty of one change of the weather, added in squares. */
static bool add_weather(const nr_joint *j, const nr_heatup_case *c, double sun, double air,
                        nr_heatup_spread *o, double *above, double *below)
{
    if (!(sun > 0) && !(air > 0))
        return true;
    size_t n = c->weather.count;
    double *values = malloc(2 * n * sizeof(double));
    if (!values)
        return false;
    bool good = true;
    for (int sign = 1; good && sign >= -1; sign -= 2) {
        nr_heatup_case moved = coarser(c);
        for (size_t k = 0; k < n; k++) {
            values[k] = c->weather.sun_W_m2[k] * (1 + sign * sun);
            values[n + k] = c->weather.air_degC[k] + sign * air;
        }
        moved.weather.sun_W_m2 = values;
        moved.weather.air_degC = values + n;
        good = nr_heatup_trace(j, nr_joint_x(j), &moved, POINTS, sign > 0 ? above : below);
    }
    for (size_t k = 0; good && k < POINTS; k++)
        o->u_weather[k] = hypot(o->u_weather[k], (above[k] - below[k]) / 2);
    free(values);
    return good;
}

/* What the record's own container lost is in the fitted loss, unknown how much. */
static bool add_container(const nr_joint *j, const nr_heatup_case *c, nr_heatup_spread *o,
                          double *above, double *below)
{
    nr_heatup_case moved = coarser(c);
    if (!(c->u_contained_W_K > 0))
        return true;
    moved.contained_W_K = c->contained_W_K + c->u_contained_W_K;
    bool good = nr_heatup_trace(j, nr_joint_x(j), &moved, POINTS, above);
    moved.contained_W_K = c->contained_W_K - c->u_contained_W_K;
    good = good && nr_heatup_trace(j, nr_joint_x(j), &moved, POINTS, below);
    for (size_t k = 0; good && k < POINTS; k++)
        o->u_parameter[k] = hypot(o->u_parameter[k], (above[k] - below[k]) / 2);
    return good;
}

static bool moves(const nr_parameter_view *p, const nr_heatup_case *c)
{
    return nr_term_lasts(p->term) ||
           (c->same_meter && (p->term == NR_TERM_SUN_GAIN || p->term == NR_TERM_SUN_OFFSET));
}

static bool slopes(const nr_joint *j, const nr_heatup_case *c, double *slope, double *above,
                   double *below)
{
    size_t m = nr_joint_parameters(j);
    const double *best = nr_joint_x(j);
    double *x = malloc(m * sizeof(double));
    nr_heatup_case coarse = coarser(c);
    bool good = x != NULL;
    if (good)
        memcpy(x, best, m * sizeof(double));
    for (size_t i = 0; good && i < m; i++) {
        nr_parameter_view p = nr_joint_parameter(j, i);
        if (!moves(&p, c))
            continue;
        double h = PART_OF_SCALE * p.scale;
        x[i] = best[i] + h;
        good = nr_heatup_trace(j, x, &coarse, POINTS, above);
        x[i] = best[i] - h;
        good = good && nr_heatup_trace(j, x, &coarse, POINTS, below);
        x[i] = best[i];
        for (size_t k = 0; good && k < POINTS; k++)
            slope[k * m + i] = (above[k] - below[k]) / (2 * h);
    }
    free(x);
    return good;
}

/* What the fit left open, split into the model's own error and the rest. */
static void add_parameters(const nr_joint *j, const double *slope, double *share, bool *of_model,
                           nr_heatup_spread *o)
{
    size_t m = nr_joint_parameters(j);
    for (size_t i = 0; i < m; i++)
        of_model[i] = nr_term_is_model(nr_joint_parameter(j, i).term);
    for (size_t k = 0; k < POINTS; k++) {
        double all = nr_joint_variance(j, slope + k * m, &o->u_random[k], NULL, share);
        double model = 0;
        for (size_t i = 0; i < m; i++)
            if (of_model[i])
                model += share[i];
        o->u_model[k] = sqrt(model);
        o->u_parameter[k] = sqrt(fmax(all - model, 0));
    }
}

bool nr_heatup_spread_make(const nr_joint *j, const nr_heatup_case *c, const nr_weather_u *weather,
                           nr_heatup_spread *o)
{
    size_t m = nr_joint_parameters(j);
    memset(o, 0, sizeof *o);
    o->span_s = c->limit_s;
    double *slope = calloc(POINTS * m, sizeof(double)), *share = malloc((m + 1) * sizeof(double));
    double *above = malloc(2 * POINTS * sizeof(double)), *below = above ? above + POINTS : NULL;
    bool *of_model = malloc((m + 1) * sizeof(bool));
    bool good = slope && share && above && of_model &&
                nr_heatup_trace(j, nr_joint_x(j), c, POINTS, o->store_degC) &&
                slopes(j, c, slope, above, below);
    if (good)
        add_parameters(j, slope, share, of_model, o);
    good = good && add_container(j, c, o, above, below) &&
           add_weather(j, c, weather->sun, 0, o, above, below) &&
           add_weather(j, c, 0, weather->air_K, o, above, below);
    for (size_t k = 0; good && k < POINTS; k++)
        o->u[k] = sqrt(o->u_parameter[k] * o->u_parameter[k] + o->u_model[k] * o->u_model[k] +
                       o->u_weather[k] * o->u_weather[k]);
    free(slope);
    free(share);
    free(of_model);
    free(above);
    return good;
}

double nr_heatup_spread_time_s(const nr_heatup_spread *o, double target, double k)
{
    double step = o->span_s / (POINTS - 1);
    double before = o->store_degC[0] + k * o->u[0];
    if (before >= target)
        return 0;
    for (size_t i = 1; i < POINTS; i++) {
        double now = o->store_degC[i] + k * o->u[i];
        if (now >= target)
            return step * ((double)i - (now - target) / (now - before));
        before = now;
    }
    return NAN;
}

double nr_heatup_spread_at(const nr_heatup_spread *o, const double *values, double time_s)
{
    double at = fmin(fmax(time_s / o->span_s, 0), 1) * (POINTS - 1);
    size_t i = (size_t)at;
    if (i + 1 >= POINTS)
        return values[POINTS - 1];
    return values[i] + (values[i + 1] - values[i]) * (at - (double)i);
}

double nr_heatup_spread_slope(const nr_heatup_spread *o, double time_s)
{
    double step = o->span_s / (POINTS - 1);
    double at = fmin(fmax(time_s / o->span_s, 0), 1) * (POINTS - 1);
    size_t i = at < 1 ? 1 : (size_t)at;
    i = i > POINTS - 2 ? POINTS - 2 : i;
    return (o->store_degC[i + 1] - o->store_degC[i - 1]) / (2 * step);
}
