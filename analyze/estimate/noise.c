/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/estimate/noise.h"

#include <math.h>
#include <stdlib.h>

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
            double innovation = variance + white;
            w->gain[k] = variance / innovation;
            w->weight[k] = 1 / sqrt(innovation);
            variance = variance * white / innovation;
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

/* Points are looked at by eights: what one waits for is the next reading's turn, and others fill
 * that wait for nothing. */
#define LANES 8

typedef struct lanes {
    double slow[LANES], phi[LANES], drive[LANES];
    double variance[LANES], s[LANES], sum[LANES], log_f[LANES];
    double gain[LANES], inverse[LANES], log_one[LANES];
    bool settled[LANES], all_settled;
} lanes;

static void lanes_begin(lanes *l, const point *p, size_t count)
{
    *l = (lanes){.all_settled = false};
    for (size_t i = 0; i < LANES; i++) {
        const point *at = &p[i < count ? i : 0];
        l->slow[i] = l->variance[i] = slow_of(at->logit);
        l->phi[i] = exp(-exp(-at->log_tau));
        l->drive[i] = l->slow[i] * (1 - l->phi[i] * l->phi[i]);
    }
}

static void lanes_over_a_hole(lanes *l)
{
    for (size_t i = 0; i < LANES; i++) {
        l->s[i] *= l->phi[i];
        l->variance[i] = l->phi[i] * l->phi[i] * l->variance[i] + l->drive[i];
        l->settled[i] = false;
    }
    l->all_settled = false;
}

/* The filter settles within some correlation times; from then on, until the next hole, its
 * variance is constant and costs no division and no logarithm. */
static void lanes_settle(lanes *l)
{
    l->all_settled = true;
    for (size_t i = 0; i < LANES; i++) {
        if (l->settled[i])
            continue;
        double variance = l->variance[i], white = 1 - l->slow[i], f = variance + white;
        l->inverse[i] = 1 / f;
        l->gain[i] = variance * l->inverse[i];
        l->log_one[i] = log(f);
        l->variance[i] = l->phi[i] * l->phi[i] * variance * white * l->inverse[i] + l->drive[i];
        l->settled[i] = fabs(l->variance[i] - variance) < 1e-10 * variance;
        l->all_settled = l->all_settled && l->settled[i];
    }
}

/* -2 log likelihood with sigma profiled out (constants dropped) into each point's value; sigma gets
 * the profile value. */
static void evaluate(point *p, size_t count, const double *r, const unsigned char *used, size_t n)
{
    lanes l;
    lanes_begin(&l, p, count);
    size_t seen = 0;
    for (size_t k = 0; k < n; k++) {
        if (!used[k]) {
            lanes_over_a_hole(&l);
            continue;
        }
        if (!l.all_settled)
            lanes_settle(&l);
        for (size_t i = 0; i < LANES; i++) {
            double innovation = r[k] - l.s[i];
            l.sum[i] += innovation * innovation * l.inverse[i];
            l.log_f[i] += l.log_one[i];
            l.s[i] = l.phi[i] * (l.s[i] + l.gain[i] * innovation);
        }
        seen++;
    }
    double of = (double)(seen ? seen : 1);
    for (size_t i = 0; i < count; i++) {
        p[i].sigma = seen ? sqrt(l.sum[i] / of) : 0;
        p[i].value = (double)seen * log(l.sum[i] / of + 1e-300) + l.log_f[i];
    }
}

static point best_of_grid(double lo, double hi, const double *r, const unsigned char *used,
                          size_t n)
{
    point best = {.value = INFINITY}, p[LANES];
    size_t count = 0;
    for (int k = 0; k < GRID_TAU * GRID_SLOW; k++) {
        p[count++] = (point){.log_tau = lo + (hi - lo) * (k / GRID_SLOW) / (GRID_TAU - 1),
                             .logit = -4 + 10.0 * (k % GRID_SLOW) / (GRID_SLOW - 1)};
        if (count < LANES && k + 1 < GRID_TAU * GRID_SLOW)
            continue;
        evaluate(p, count, r, used, n);
        for (size_t i = 0; i < count; i++)
            if (p[i].value < best.value)
                best = p[i];
        count = 0;
    }
    return best;
}

nr_noise nr_noise_estimate(const double *r, const unsigned char *used, size_t n, double floor)
{
    double lo = log(SHORTEST_TAU), hi = log(fmax((double)n / LONGEST_PART, 4));
    point best = best_of_grid(lo, hi, r, used, n);
    double step_tau = (hi - lo) / GRID_TAU / 2, step_logit = 0.6;
    for (int i = 0; i < REFINEMENTS; i++) {
        point tries[4] = {best, best, best, best};
        tries[0].log_tau = fmin(best.log_tau + step_tau, hi);
        tries[1].log_tau = fmax(best.log_tau - step_tau, lo);
        tries[2].logit = fmin(best.logit + step_logit, 8);
        tries[3].logit = fmax(best.logit - step_logit, -8);
        point before = best;
        evaluate(tries, 4, r, used, n);
        for (int t = 0; t < 4; t++)
            if (tries[t].value < best.value)
                best = tries[t];
        if (best.value == before.value) {
            step_tau /= 2;
            step_logit /= 2;
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
