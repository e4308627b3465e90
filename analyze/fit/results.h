/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Results of the joint estimate: a function of the parameters in, a quantity with its uncertainty
 * out. The gradient is taken by central differences, which is exact enough because every function
 * here is smooth and close to linear over a standard uncertainty (checked by Monte Carlo,
 * montecarlo.c).
 */
#ifndef NR_FIT_RESULTS_H
#define NR_FIT_RESULTS_H

#include "analyze/joint/joint.h"
#include "analyze/model/steady.h"
#include "analyze/result/quantity.h"

/* A result as a function of the joint parameters. */
typedef double (*nr_result_fn)(const nr_joint *joint, const double *x, const void *context);

/* Gradient [parameters] of fn at joint->x; out of memory or a non-finite value: false. */
bool nr_result_gradient(const nr_joint *joint, nr_result_fn fn, const void *context,
                        double *gradient);

/* Value, uncertainty and 95 % interval. extra_random: a random standard uncertainty that is not in
 * the parameters (0: none). share[parameters + 1] as nr_joint_variance, may be NULL. */
nr_quantity nr_result_quantity(const nr_joint *joint, nr_result_fn fn, const void *context,
                               double extra_random, nr_quantity_unit unit, double *share);

/* The same for a positive quantity whose logarithm is closer to normal: the interval is
 * value * exp(-+ k u/value). */
nr_quantity nr_result_positive(const nr_joint *joint, nr_result_fn fn, const void *context,
                               nr_quantity_unit unit);

/* One point of the steady-state curve of a piece's collector. */
typedef struct nr_curve_at {
    size_t piece;
    nr_steady_conditions conditions;
    bool mean;   /* reference temperature: mean fluid, else inlet */
    double x;    /* reduced temperature difference */
    bool bend;   /* coefficients: a2 is reported, so a1 is the slope at x = 0 */
    double span; /* for the coefficients: x of the far point; half of it the middle point */
} nr_curve_at;

double nr_result_efficiency(const nr_joint *joint, const double *x, const void *curve_at);
/* What of eta G is there whatever the sun, W/m2: diffuse light and a cold sky do not go with it.
 * From twice the irradiance. */
double nr_result_constant_W_m2(const nr_joint *joint, const double *x, const void *curve_at);
/* Coefficients of eta = eta0 - a1 x - a2 G x^2 through the curve's points at x = 0, span/2, span;
 * without `bend` those of eta = eta0 - a1 x through its points at 0 and span. */
double nr_result_a1(const nr_joint *joint, const double *x, const void *curve_at);
double nr_result_a2(const nr_joint *joint, const double *x, const void *curve_at);
/* Effective heat capacity F'^2 C + fluid/A, J/(m2 K): see model/loop.h; F' = h/(h + U). */
double nr_result_a5(const nr_joint *joint, const double *x, const void *curve_at);
/* Rise over the air without flow, in this irradiance. */
#define NR_STANDSTILL_SUN_W_M2 1000.0
double nr_result_stagnation_K(const nr_joint *joint, const double *x, const void *curve_at);
double nr_result_time_constant_s(const nr_joint *joint, const double *x, const void *curve_at);
double nr_result_store_loss(const nr_joint *joint, const double *x, const void *curve_at);

#endif
