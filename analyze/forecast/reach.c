/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/forecast/reach.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_roots.h>

#include <math.h>
#include <stdlib.h>

#define MOST_TIMES 20.0
#define LEAST_WATER_KG 0.5
/* Of the quantity solved for, relative. */
#define PRECISION 1e-4
#define MOST_ITERATIONS 60
/* The first step of the search for what surely suffices, of the logarithm: the next are each twice
 * as long. */
#define FIRST_STEP 0.4
#define KEPT 4

typedef struct question {
    const nr_joint *joint;
    nr_heatup_case c;
    nr_weather_u weather;
    double k;
    enum { GROW, WATER, START } what;
    /* The last answers, since each end of a bracket is asked for three times. */
    double x[KEPT], excess[KEPT];
    int answers;
} question;

double nr_reach_degC(const nr_joint *j, const nr_heatup_case *c, const nr_weather_u *weather,
                     double k)
{
    nr_heatup_spread *o = calloc(1, sizeof *o);
    double warmest = NAN;
    if (o && (k == 0 ? nr_heatup_trace(j, nr_joint_x(j), c, NR_HEATUP_SPREAD_POINTS, o->store_degC)
                     : nr_heatup_spread_make(j, c, weather, o)))
        for (size_t i = 0; i < NR_HEATUP_SPREAD_POINTS; i++)
            warmest = fmax(warmest, o->store_degC[i] - k * o->u[i]);
    free(o);
    return warmest;
}

nr_quantity nr_reach_quantity(const nr_joint *j, const nr_heatup_case *c,
                              const nr_weather_u *weather)
{
    nr_quantity q = nr_quantity_unknown(NR_UNIT_DEGC);
    nr_heatup_spread *o = malloc(sizeof *o);
    if (o && nr_heatup_spread_make(j, c, weather, o)) {
        size_t top = 0;
        for (size_t i = 0; i < NR_HEATUP_SPREAD_POINTS; i++)
            top = o->store_degC[i] > o->store_degC[top] ? i : top;
        double u = o->u[top], random = o->u_random[top];
        q = nr_quantity_make(o->store_degC[top], random, sqrt(fmax(u * u - random * random, 0)),
                             INFINITY, NR_UNIT_DEGC);
    }
    free(o);
    return q;
}

static double simulate(const question *q, double x)
{
    nr_heatup_case c = q->c;
    if (q->what == GROW)
        c.grow = exp(x);
    else if (q->what == WATER)
        c.water_kg = exp(x);
    else
        c.from_degC = x;
    return nr_reach_degC(q->joint, &c, &q->weather, q->k) - c.to_degC;
}

/* Excess over the target; x is the logarithm for area and water. */
static double excess(double x, void *context)
{
    question *q = context;
    for (int i = 0; i < KEPT && i < q->answers; i++)
        if (q->x[i] == x)
            return q->excess[i];
    int at = q->answers++ % KEPT;
    q->x[at] = x;
    return q->excess[at] = simulate(q, x);
}

/* Brent's method between two ends; NAN when the sign does not change there. */
static double solve(question *q, double one, double other)
{
    double low = fmin(one, other), high = fmax(one, other);
    gsl_function f = {excess, q};
    double a = excess(low, q), b = excess(high, q);
    if (!(isfinite(a) && isfinite(b)) || (a > 0) == (b > 0))
        return NAN;
    gsl_root_fsolver *s = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
    if (!s)
        return NAN;
    double x = NAN;
    gsl_error_handler_t *old = gsl_set_error_handler_off();
    int status = gsl_root_fsolver_set(s, &f, low, high);
    for (int i = 0; i < MOST_ITERATIONS && status == GSL_SUCCESS; i++) {
        status = gsl_root_fsolver_iterate(s);
        x = gsl_root_fsolver_root(s);
        if (gsl_root_test_interval(gsl_root_fsolver_x_lower(s), gsl_root_fsolver_x_upper(s),
                                   PRECISION, 0) == GSL_SUCCESS)
            break;
    }
    gsl_set_error_handler(old);
    gsl_root_fsolver_free(s);
    return x;
}

/* From `near` on towards `end`, in growing steps, to where the target is surely reached. The other
 * way round, a container far below what is asked for is no place to begin: of half a litre nothing
 * is known for sure. */
static double walk(question *q, double near, double end)
{
    double step = end > near ? FIRST_STEP : -FIRST_STEP;
    for (double far = near + step; (end - far) * step > 0; near = far, step *= 2, far += step)
        if (excess(far, q) >= 0)
            return solve(q, near, far);
    return solve(q, near, end);
}

/* `enough`: the end of the bracket where the target is surely reached, if anywhere. */
static double logarithmic(question *q, double enough, double other)
{
    question sure = *q;
    q->k = 0;
    double best = solve(q, enough, other);
    if (sure.k == 0)
        return exp(best);
    double from = isnan(best) ? other : best;
    return exp(excess(from, &sure) >= 0 ? best : walk(&sure, from, enough));
}

double nr_reach_grow_sure(const nr_joint *j, const nr_heatup_case *c, const nr_weather_u *weather,
                          double k)
{
    question q = {.joint = j, .c = *c, .weather = *weather, .k = k, .what = GROW};
    return logarithmic(&q, log(MOST_TIMES), -log(MOST_TIMES));
}

double nr_reach_water_sure_kg(const nr_joint *j, const nr_heatup_case *c,
                              const nr_weather_u *weather, double k)
{
    question q = {.joint = j, .c = *c, .weather = *weather, .k = k, .what = WATER};
    return logarithmic(&q, log(LEAST_WATER_KG), log(MOST_TIMES * fmax(c->water_kg, 1)));
}

double nr_reach_grow(const nr_joint *j, const nr_heatup_case *c)
{
    return nr_reach_grow_sure(j, c, &(nr_weather_u){0}, 0);
}

double nr_reach_water_kg(const nr_joint *j, const nr_heatup_case *c)
{
    return nr_reach_water_sure_kg(j, c, &(nr_weather_u){0}, 0);
}

double nr_reach_start_degC(const nr_joint *j, const nr_heatup_case *c)
{
    question q = {.joint = j, .c = *c, .what = START};
    return solve(&q, c->from_degC, c->to_degC);
}
