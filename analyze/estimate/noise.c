/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/estimate/noise.h"

#include "logger/base/wide.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Correlation times searched, in blocks. The longest is bounded by the record: wander slower than
 * a quarter of it cannot be told from the parameters. */
#define SHORTEST_TAU 1.0
#define LONGEST_PART 4.0
#define GRID_TAU 10
#define GRID_SLOW 9
#define REFINEMENTS 24

bool nr_whitener_init(nr_whitener *w, size_t n)
{
    w->n = n;
    w->phi = 0;
    w->more = NULL;
    w->gain = calloc(n ? n : 1, sizeof(double));
    w->weight = calloc(n ? n : 1, sizeof(double));
    if (w->gain && w->weight)
        return true;
    nr_whitener_free(w);
    return false;
}

void nr_whitener_free(nr_whitener *w)
{
    free(w->gain);
    free(w->weight);
    w->gain = w->weight = NULL;
}

void nr_whitener_set(nr_whitener *w, const nr_noise *noise, const unsigned char *used)
{
    double total = noise->sigma * noise->sigma;
    double slow = noise->slow * total, white = (1 - noise->slow) * total;
    double drive = slow * (1 - noise->phi * noise->phi);
    double variance = slow; /* of s before the reading of the block */
    w->phi = noise->phi;
    for (size_t k = 0; k < w->n; k++) {
        if (used[k]) {
            double fast = white + (w->more ? w->more[k] : 0), innovation = variance + fast;
            w->gain[k] = variance / innovation;
            w->weight[k] = 1 / sqrt(innovation);
            variance = variance * fast / innovation;
        } else {
            w->gain[k] = w->weight[k] = 0;
        }
        variance = noise->phi * noise->phi * variance + drive;
    }
}

#define CHUNK 32

static void whiten_chunk(const nr_whitener *w, double *rows, size_t stride, size_t columns)
{
    double s[CHUNK] = {0};
    for (size_t k = 0; k < w->n; k++) {
        double *row = rows + k * stride;
        if (w->weight[k] == 0) {
            for (size_t j = 0; j < columns; j++) {
                row[j] = 0;
                s[j] *= w->phi;
            }
            continue;
        }
        for (size_t j = 0; j < columns; j++) {
            double innovation = row[j] - s[j];
            row[j] = innovation * w->weight[k];
            s[j] = w->phi * (s[j] + w->gain[k] * innovation);
        }
    }
}

void nr_whiten(const nr_whitener *w, double *rows, size_t stride, size_t columns)
{
    for (size_t j = 0; j < columns; j += CHUNK)
        whiten_chunk(w, rows + j, stride, columns - j < CHUNK ? columns - j : CHUNK);
}

/* Search coordinates without bounds: log of the correlation time, logit of the slow share. */
typedef struct point {
    double log_tau, logit, value, sigma;
} point;

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
    bool settled[LANES], all_settled;
} filters;

/* A filter settles within some correlation times; from then on, until the next hole, its variance
 * is constant and costs no division and no logarithm. */
static void settle(filters *f)
{
    f->all_settled = true;
    for (int l = 0; l < LANES; l++) {
        if (f->settled[l])
            continue;
        double variance = LANE(variance, l), white = LANE(white, l), phi = LANE(phi, l);
        double innovation = variance + white, inverse = 1 / innovation;
        double next = phi * phi * variance * white * inverse + LANE(drive, l);
        LANE(inverse, l) = inverse;
        LANE(gain, l) = variance * inverse;
        LANE(log_one, l) = log(innovation);
        LANE(variance, l) = next;
        f->settled[l] = fabs(next - variance) < 1e-10 * variance;
        f->all_settled = f->all_settled && f->settled[l];
    }
}

static void pass_hole(filters *f)
{
    f->all_settled = false;
    for (int l = 0; l < LANES; l++)
        f->settled[l] = false;
    for (int v = 0; v < LANES / 4; v++) {
        f->s[v] *= f->phi[v];
        f->variance[v] = f->phi[v] * f->phi[v] * f->variance[v] + f->drive[v];
    }
}

/* From a used block on, as far as the filters stay as they are; returns where that ends. */
static NR_WIDE_LOOP size_t pass_used(filters *f, const double *r, const unsigned char *used,
                                     size_t k, size_t count)
{
    lanes s, sum, log_f;
    memcpy(s, f->s, sizeof s);
    memcpy(sum, f->sum, sizeof sum);
    memcpy(log_f, f->log_f, sizeof log_f);
    do {
        four reading = {r[k], r[k], r[k], r[k]};
        for (int v = 0; v < LANES / 4; v++) {
            four innovation = reading - s[v];
            sum[v] += innovation * innovation * f->inverse[v];
            log_f[v] += f->log_one[v];
            s[v] = f->phi[v] * (s[v] + f->gain[v] * innovation);
        }
        k++;
    } while (f->all_settled && k < count && used[k]);
    memcpy(f->s, s, sizeof s);
    memcpy(f->sum, sum, sizeof sum);
    memcpy(f->log_f, log_f, sizeof log_f);
    return k;
}

/* -2 log likelihood with sigma profiled out (constants dropped) of LANES points; sigma gets the
 * profile value. */
static NR_WIDE_LOOP void evaluate_loop(point p[LANES], const double *r, const unsigned char *used,
                                       size_t count)
{
    filters filter = {.all_settled = false}, *f = &filter;
    size_t n = 0;
    for (int l = 0; l < LANES; l++) {
        double slow = slow_of(p[l].logit), phi = exp(-exp(-p[l].log_tau));
        LANE(phi, l) = phi;
        LANE(white, l) = 1 - slow;
        LANE(drive, l) = slow * (1 - phi * phi);
        LANE(variance, l) = slow;
    }
    for (size_t k = 0; k < count;) {
        if (!used[k]) {
            pass_hole(f);
            k++;
            continue;
        }
        if (!f->all_settled)
            settle(f);
        size_t from = k;
        k = pass_used(f, r, used, k, count);
        n += k - from;
    }
    double of = (double)(n ? n : 1);
    for (int l = 0; l < LANES; l++) {
        double sum = LANE(sum, l);
        p[l].sigma = n ? sqrt(sum / (double)n) : 0;
        p[l].value = (double)n * log(sum / of + 1e-300) + LANE(log_f, l);
    }
}

NR_WIDE(evaluate, (point p[LANES], const double *r, const unsigned char *used, size_t count),
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

nr_noise nr_noise_estimate(const double *r, const unsigned char *used, size_t n, double floor)
{
    double lo = log(SHORTEST_TAU), hi = log(fmax((double)n / LONGEST_PART, 4));
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
    return (nr_noise){.sigma = fmax(best.sigma, floor),
                      .slow = slow_of(best.logit),
                      .phi = exp(-exp(-best.log_tau))};
}

double nr_noise_effective(const nr_noise *noise, size_t n)
{
    /* Variance of the mean of n: white / n + slow / n * (1 + phi) / (1 - phi), for long records. */
    double inflation = (1 - noise->slow) + noise->slow * (1 + noise->phi) / (1 - noise->phi);
    return fmax((double)n / inflation, 1);
}
