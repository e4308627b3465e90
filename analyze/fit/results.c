/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/fit/results.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Differences are taken over this part of a parameter's scale (its prior uncertainty, or its
 * typical size): far above rounding, far below where results bend. */
#define PART_OF_SCALE 1e-3

/* Dear to have, and of the collector alone: what does not last beyond the record has no part in it.
 */
static bool of_collector(nr_result_fn fn)
{
    return fn == nr_result_time_constant_s;
}

/* Made of one piece's parameters (context: nr_curve_at): those of other runs have no part in it,
 * and many runs have a thousand of them. */
static bool of_one_piece(nr_result_fn fn)
{
    static const nr_result_fn those[] = {nr_result_efficiency,   nr_result_a1,
                                         nr_result_a2,           nr_result_a5,
                                         nr_result_stagnation_K, nr_result_time_constant_s,
                                         nr_result_store_loss,   nr_result_constant_W_m2};
    for (size_t i = 0; i < sizeof those / sizeof those[0]; i++)
        if (those[i] == fn)
            return true;
    return false;
}

static bool has_a_part(const nr_joint *j, nr_result_fn fn, const void *context, size_t parameter)
{
    if (!of_one_piece(fn))
        return true;
    const nr_curve_at *at = context;
    for (int t = 0; t < NR_TERMS; t++)
        if (nr_joint_index(j, at->piece, (nr_term)t) == (int)parameter)
            return true;
    return false;
}

bool nr_result_gradient(const nr_joint *j, nr_result_fn fn, const void *context, double *gradient)
{
    size_t m = nr_joint_parameters(j);
    const double *best = nr_joint_x(j);
    double *x = malloc(m * sizeof(double));
    if (!x)
        return false;
    memcpy(x, best, m * sizeof(double));
    bool good = true;
    for (size_t i = 0; i < m; i++) {
        nr_parameter_view p = nr_joint_parameter(j, i);
        double h = PART_OF_SCALE * p.scale;
        gradient[i] = 0;
        if ((of_collector(fn) && !nr_term_lasts(p.term)) || !has_a_part(j, fn, context, i))
            continue;
        x[i] = best[i] + h;
        double above = fn(j, x, context);
        x[i] = best[i] - h;
        double below = fn(j, x, context);
        x[i] = best[i];
        gradient[i] = (above - below) / (2 * h);
        good = good && isfinite(gradient[i]);
    }
    free(x);
    return good;
}

nr_quantity nr_result_quantity(const nr_joint *j, nr_result_fn fn, const void *context,
                               double extra_random, nr_quantity_unit unit, double *share)
{
    double *gradient = malloc(nr_joint_parameters(j) * sizeof(double));
    nr_quantity q = nr_quantity_unknown(unit);
    double value = fn(j, nr_joint_x(j), context);
    if (gradient && isfinite(value) && nr_result_gradient(j, fn, context, gradient)) {
        double random = 0, systematic = 0;
        nr_joint_variance(j, gradient, &random, &systematic, share);
        if (share)
            share[nr_joint_parameters(j)] += extra_random * extra_random;
        q = nr_quantity_make(value, hypot(random, extra_random), systematic, INFINITY, unit);
    }
    free(gradient);
    return q;
}

nr_quantity nr_result_positive(const nr_joint *j, nr_result_fn fn, const void *context,
                               nr_quantity_unit unit)
{
    nr_quantity q = nr_result_quantity(j, fn, context, 0, unit, NULL);
    if (!q.known || !(q.value > 0))
        return nr_quantity_unknown(unit);
    double k = (q.hi95 - q.value) / q.u;
    double relative = q.u / q.value;
    q.lo95 = q.value * exp(-k * relative);
    q.hi95 = q.value * exp(k * relative);
    return q;
}

static double efficiency(const nr_joint *j, const double *x, const nr_curve_at *at, double reduced)
{
    nr_loop_params p = nr_joint_device(j, at->piece, x);
    return nr_steady_efficiency(&p, &at->conditions, reduced, at->mean);
}

double nr_result_efficiency(const nr_joint *j, const double *x, const void *context)
{
    const nr_curve_at *at = context;
    return efficiency(j, x, at, at->x);
}

double nr_result_constant_W_m2(const nr_joint *j, const double *x, const void *context)
{
    const nr_curve_at *at = context;
    nr_curve_at twice = *at;
    twice.conditions.sun_W_m2 *= 2;
    return twice.conditions.sun_W_m2 *
           (nr_result_efficiency(j, x, at) - nr_result_efficiency(j, x, &twice));
}

/* Divided differences of the three points. */
static void coefficients(const nr_joint *j, const double *x, const nr_curve_at *at, double *a1,
                         double *a2)
{
    double e0 = efficiency(j, x, at, 0), e2 = efficiency(j, x, at, at->span);
    double slope = (e2 - e0) / at->span, bend = 0;
    if (at->bend) {
        double e1 = efficiency(j, x, at, at->span / 2);
        double first = (e1 - e0) / (at->span / 2);
        bend = (slope - first) / (at->span / 2);
        slope = first - bend * at->span / 2;
    }
    *a1 = -slope;
    *a2 = -bend / at->conditions.sun_W_m2;
}

double nr_result_a1(const nr_joint *j, const double *x, const void *context)
{
    double a1, a2;
    coefficients(j, x, context, &a1, &a2);
    return a1;
}

double nr_result_a2(const nr_joint *j, const double *x, const void *context)
{
    double a1, a2;
    nr_curve_at at = *(const nr_curve_at *)context;
    at.bend = true;
    coefficients(j, x, &at, &a1, &a2);
    return a2;
}

double nr_result_a5(const nr_joint *j, const double *x, const void *context)
{
    const nr_curve_at *at = context;
    nr_loop_params p = nr_joint_device(j, at->piece, x);
    double f = p.exchange_W_m2K / (p.exchange_W_m2K + p.loss_W_m2K);
    return f * f * p.capacity_J_m2K + p.fluid_J_K / p.area_m2;
}

double nr_result_stagnation_K(const nr_joint *j, const double *x, const void *context)
{
    const nr_curve_at *at = context;
    nr_loop_params p = nr_joint_device(j, at->piece, x);
    p.optical -= p.aside_W_m2 / NR_STANDSTILL_SUN_W_M2;
    if (at->conditions.has_sky)
        p.optical += p.sky * (at->conditions.sky_W_m2 + p.sky_offset_W_m2) / NR_STANDSTILL_SUN_W_M2;
    return nr_stagnation_rise_K(&p, NR_STANDSTILL_SUN_W_M2);
}

double nr_result_time_constant_s(const nr_joint *j, const double *x, const void *context)
{
    const nr_curve_at *at = context;
    nr_loop_params p = nr_joint_device(j, at->piece, x);
    return nr_time_constant_s(&p, &at->conditions);
}

double nr_result_store_loss(const nr_joint *j, const double *x, const void *context)
{
    const nr_curve_at *at = context;
    return nr_joint_term(j, at->piece, NR_TERM_STORE_LOSS, x);
}
