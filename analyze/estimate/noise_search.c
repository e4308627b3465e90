/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The most likely noise: a grid, then smaller and smaller steps. */
#include "analyze/estimate/noise.h"

#include "logger/base/wide.h"

#include <math.h>
#include <string.h>

/* Correlation times searched, in blocks. The longest is bounded by the record: wander slower than
 * a quarter of it cannot be told from the parameters. */
#define SHORTEST_TAU 1.0
#define LONGEST_PART 4.0
#define GRID_TAU 10
#define GRID_SLOW 9
#define REFINEMENTS 24
/* Of second order: the shortest memory of what drives, in blocks; shorter is first order. The grid
 * looks at the longer memory, at how much shorter the other is, and at the share. */
#define SHORTEST_DRIVER 0.4
#define GRID_LONGER 8
#define GRID_SHORTER 3
#define GRID_SHARE 4
#define REFINEMENTS_SECOND 40

/* Search coordinates without bounds: log of the correlation time, logit of the slow share; for
 * second order also how much shorter the driver's time is, as a logarithm (0: the same). */
typedef struct point {
    double log_tau, logit, shorter, value, sigma;
} point;

static double phi_of(double log_tau)
{
    return exp(-exp(-log_tau));
}

static double slow_of(double logit)
{
    return 1 / (1 + exp(-logit));
}

/* Points of the search whose filters run side by side, in two vectors of four: each waits for
 * itself at every block, and none for another. */
#define LANES 8
typedef double four __attribute__((vector_size(4 * sizeof(double))));
typedef four lanes[LANES / 4];
#define LANE(name, l) f->name[(l) / 4][(l) % 4]
typedef struct filters {
    lanes white, drive, phi, variance;
    lanes gain, inverse, log_one;
    lanes s, sum, log_f;
    lanes phi2, variance2, common, gain2, u; /* of what drives s, where it remembers */
    bool settled[LANES], all_settled;
} filters;

/* Variances before the next block, of filters of second order. */
static NR_WIDE_LOOP void predict_second(filters *f, int l, double variance, double common,
                                        double variance2)
{
    double phi = LANE(phi, l), phi2 = LANE(phi2, l);
    variance2 = phi2 * phi2 * variance2 + LANE(drive, l);
    LANE(variance2, l) = variance2;
    LANE(variance, l) = phi * phi * variance + 2 * phi * phi2 * common + variance2;
    LANE(common, l) = phi * phi2 * common + variance2;
}

/* A filter settles within some correlation times; from then on, until the next hole, its variance
 * is constant and costs no division and no logarithm. */
static NR_WIDE_LOOP void settle(filters *f, bool second)
{
    f->all_settled = true;
    for (int l = 0; l < LANES; l++) {
        if (f->settled[l])
            continue;
        double variance = LANE(variance, l), white = LANE(white, l), phi = LANE(phi, l);
        double innovation = variance + white, inverse = 1 / innovation;
        LANE(inverse, l) = inverse;
        LANE(gain, l) = variance * inverse;
        LANE(log_one, l) = log(innovation);
        if (second) {
            double common = LANE(common, l);
            LANE(gain2, l) = common * inverse;
            predict_second(f, l, variance * white * inverse, common * white * inverse,
                           LANE(variance2, l) - common * common * inverse);
            f->settled[l] = fabs(LANE(variance, l) - variance) < 1e-10 * variance &&
                            fabs(LANE(common, l) - common) < 1e-10 * common;
        } else {
            LANE(variance, l) = phi * phi * variance * white * inverse + LANE(drive, l);
            f->settled[l] = fabs(LANE(variance, l) - variance) < 1e-10 * variance;
        }
        f->all_settled = f->all_settled && f->settled[l];
    }
}

static NR_WIDE_LOOP void pass_hole(filters *f, bool second)
{
    f->all_settled = false;
    for (int l = 0; l < LANES; l++)
        f->settled[l] = false;
    for (int v = 0; v < LANES / 4; v++) {
        f->s[v] *= f->phi[v];
        if (second) {
            f->u[v] *= f->phi2[v];
            f->s[v] += f->u[v];
        } else {
            f->variance[v] = f->phi[v] * f->phi[v] * f->variance[v] + f->drive[v];
        }
    }
    for (int l = 0; second && l < LANES; l++)
        predict_second(f, l, LANE(variance, l), LANE(common, l), LANE(variance2, l));
}

/* From a used block on, as far as the filters stay as they are; returns where that ends. */
static NR_WIDE_LOOP size_t pass_used(filters *f, const double *r, const unsigned char *used,
                                     size_t k, size_t count, bool second)
{
    lanes s, u, sum, log_f;
    memcpy(s, f->s, sizeof s);
    memcpy(u, f->u, sizeof u);
    memcpy(sum, f->sum, sizeof sum);
    memcpy(log_f, f->log_f, sizeof log_f);
    do {
        four reading = {r[k], r[k], r[k], r[k]};
        for (int v = 0; v < LANES / 4; v++) {
            four innovation = reading - s[v];
            sum[v] += innovation * innovation * f->inverse[v];
            log_f[v] += f->log_one[v];
            s[v] = f->phi[v] * (s[v] + f->gain[v] * innovation);
            if (second) {
                u[v] = f->phi2[v] * (u[v] + f->gain2[v] * innovation);
                s[v] += u[v];
            }
        }
        k++;
    } while (f->all_settled && k < count && used[k]);
    memcpy(f->s, s, sizeof s);
    memcpy(f->u, u, sizeof u);
    memcpy(f->sum, sum, sizeof sum);
    memcpy(f->log_f, log_f, sizeof log_f);
    return k;
}

/* Stationary, a variance of one in all. */
static NR_WIDE_LOOP void begin(filters *f, int l, const point *p, bool second)
{
    double slow = slow_of(p->logit), phi = phi_of(p->log_tau);
    LANE(phi, l) = phi;
    LANE(white, l) = 1 - slow;
    LANE(drive, l) = slow * (1 - phi * phi);
    LANE(variance, l) = slow;
    if (second) {
        double phi2 = phi_of(p->log_tau - p->shorter), both = phi * phi2;
        LANE(phi2, l) = phi2;
        LANE(common, l) = slow * (1 - phi * phi) / (1 + both);
        LANE(variance2, l) = LANE(common, l) * (1 - both);
        LANE(drive, l) = LANE(variance2, l) * (1 - phi2 * phi2);
    }
}

/* -2 log likelihood with sigma profiled out (constants dropped) of LANES points; sigma gets the
 * profile value. */
static NR_WIDE_LOOP void evaluate_order(point p[LANES], const double *r, const unsigned char *used,
                                        size_t count, bool second)
{
    filters filter = {.all_settled = false}, *f = &filter;
    size_t n = 0;
    for (int l = 0; l < LANES; l++)
        begin(f, l, &p[l], second);
    for (size_t k = 0; k < count;) {
        if (!used[k]) {
            pass_hole(f, second);
            k++;
            continue;
        }
        if (!f->all_settled)
            settle(f, second);
        size_t from = k;
        k = pass_used(f, r, used, k, count, second);
        n += k - from;
    }
    double of = (double)(n ? n : 1);
    for (int l = 0; l < LANES; l++) {
        double sum = LANE(sum, l);
        p[l].sigma = n ? sqrt(sum / (double)n) : 0;
        p[l].value = (double)n * log(sum / of + 1e-300) + LANE(log_f, l);
    }
}

static NR_WIDE_LOOP void evaluate_loop(point p[LANES], const double *r, const unsigned char *used,
                                       size_t count)
{
    evaluate_order(p, r, used, count, false);
}

NR_WIDE(evaluate, (point p[LANES], const double *r, const unsigned char *used, size_t count),
        (p, r, used, count))

static NR_WIDE_LOOP void evaluate_second_loop(point p[LANES], const double *r,
                                              const unsigned char *used, size_t count)
{
    evaluate_order(p, r, used, count, true);
}

NR_WIDE(evaluate_second, (point p[LANES], const double *r, const unsigned char *used, size_t count),
        (p, r, used, count))

static point best_of(point best, const point *p, int count)
{
    for (int l = 0; l < count; l++)
        if (p[l].value < best.value)
            best = p[l];
    return best;
}

static point best_of_grid(double lo, double hi, const double *r, const unsigned char *used,
                          size_t n)
{
    point best = {.value = INFINITY};
    for (int at = 0; at < GRID_TAU * GRID_SLOW; at += LANES) {
        point p[LANES];
        for (int l = 0; l < LANES; l++) {
            int k = at + l < GRID_TAU * GRID_SLOW ? at + l : at;
            p[l] = (point){.log_tau = lo + (hi - lo) * (k / GRID_SLOW) / (GRID_TAU - 1),
                           .logit = -4 + 10.0 * (k % GRID_SLOW) / (GRID_SLOW - 1)};
        }
        evaluate(p, r, used, n);
        best = best_of(best, p, LANES);
    }
    return best;
}

/* Steps to either side in both directions. */
#define WAYS 4
static void step_about(point to[WAYS], point best, double step_tau, double step_logit, double lo,
                       double hi)
{
    for (int w = 0; w < WAYS; w++)
        to[w] = best;
    to[0].log_tau = fmin(best.log_tau + step_tau, hi);
    to[1].log_tau = fmax(best.log_tau - step_tau, lo);
    to[2].logit = fmin(best.logit + step_logit, 8);
    to[3].logit = fmax(best.logit - step_logit, -8);
}

static point first_order(double lo, double hi, const double *r, const unsigned char *used, size_t n)
{
    point best = best_of_grid(lo, hi, r, used, n);
    double step_tau = (hi - lo) / GRID_TAU / 2, step_logit = 0.6;
    for (int i = 0; i < REFINEMENTS;) {
        /* And at once half the steps, which are next where these lead nowhere. */
        point tries[LANES];
        step_about(tries, best, step_tau, step_logit, lo, hi);
        step_about(tries + WAYS, best, step_tau / 2, step_logit / 2, lo, hi);
        evaluate(tries, r, used, n);
        bool better = false;
        for (int half = 0; half < 2 && !better && i < REFINEMENTS; half++, i++) {
            point before = best;
            best = best_of(best, tries + half * WAYS, WAYS);
            better = best.value < before.value;
            step_tau /= better ? 1 : 2;
            step_logit /= better ? 1 : 2;
        }
    }
    return best;
}

/* Inside what is searched: the two memories of a cascade add up, and both together are no longer
 * than one may be. */
static point bounded(point p, double lo, double hi)
{
    p.log_tau = fmax(fmin(p.log_tau, hi), lo);
    p.shorter = fmax(fmin(p.shorter, p.log_tau - log(SHORTEST_DRIVER)), 0);
    p.log_tau = fmin(p.log_tau, hi - log1p(exp(-p.shorter)));
    p.logit = fmax(fmin(p.logit, 12), -8);
    return p;
}

static point best_of_second_grid(double lo, double hi, const double *r, const unsigned char *used,
                                 size_t n)
{
    point best = {.value = INFINITY};
    for (int at = 0; at < GRID_LONGER * GRID_SHORTER * GRID_SHARE; at += LANES) {
        point p[LANES];
        for (int l = 0; l < LANES; l++) {
            int k = at + l;
            p[l] = (point){.logit = -2 + 2.5 * (k % GRID_SHARE),
                           .shorter = 0.2 + 0.9 * (k / GRID_SHARE % GRID_SHORTER),
                           .log_tau = lo + (hi - lo) * (k / GRID_SHARE / GRID_SHORTER) /
                                               (GRID_LONGER - 1)};
            p[l] = bounded(p[l], lo, hi);
        }
        evaluate_second(p, r, used, n);
        best = best_of(best, p, LANES);
    }
    return best;
}

/* Steps to either side in the three directions, and in one with the two times moved against each
 * other, along which their product stays: there the valley runs. */
static void step_about_second(point to[LANES], point best, double step, double lo, double hi)
{
    static const double way[LANES / 2][3] = {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {0.5, 1, 0}};
    for (int w = 0; w < LANES; w++) {
        double by = w % 2 ? -step : step;
        to[w] = best;
        to[w].log_tau += by * way[w / 2][0];
        to[w].shorter += by * way[w / 2][1];
        to[w].logit += by * way[w / 2][2];
        to[w] = bounded(to[w], lo, hi);
    }
}

static point second_order(double lo, double hi, const double *r, const unsigned char *used,
                          size_t n)
{
    point best = best_of_second_grid(lo, hi, r, used, n);
    double step = 0.4;
    for (int i = 0; i < REFINEMENTS_SECOND && step > 2e-3; i++) {
        point tries[LANES], before = best;
        step_about_second(tries, best, step, lo, hi);
        evaluate_second(tries, r, used, n);
        best = best_of(best, tries, LANES);
        step *= best.value < before.value ? 1 : 0.5;
    }
    return best;
}

nr_noise nr_noise_estimate(const double *r, const unsigned char *used, size_t n, double floor)
{
    double lo = log(SHORTEST_TAU), hi = log(fmax((double)n / LONGEST_PART, 4));
    point best = first_order(lo, hi, r, used, n), second = second_order(lo, hi, r, used, n);
    bool clearly = second.value < best.value - NR_NOISE_SECOND && best.sigma > floor;
    if (clearly)
        best = second;
    return (nr_noise){.sigma = fmax(best.sigma, floor),
                      .slow = slow_of(best.logit),
                      .phi = phi_of(best.log_tau),
                      .phi2 = clearly ? phi_of(best.log_tau - best.shorter) : 0};
}
