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

/* Points of the search whose filters run side by side: each waits for itself at every block, and
 * none for another. */
#define LANES 4
typedef struct filters {
    double white[LANES], drive[LANES], phi[LANES], variance[LANES];
    double gain[LANES], inverse[LANES], log_one[LANES];
    double s[LANES], sum[LANES], log_f[LANES];
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
        double variance = f->variance[l], innovation = variance + f->white[l];
        f->inverse[l] = 1 / innovation;
        f->gain[l] = variance * f->inverse[l];
        f->log_one[l] = log(innovation);
        f->variance[l] =
            f->phi[l] * f->phi[l] * variance * f->white[l] * f->inverse[l] + f->drive[l];
        f->settled[l] = fabs(f->variance[l] - variance) < 1e-10 * variance;
        f->all_settled = f->all_settled && f->settled[l];
    }
}

static void pass_hole(filters *f)
{
    f->all_settled = false;
    for (int l = 0; l < LANES; l++) {
        f->s[l] *= f->phi[l];
        f->variance[l] = f->phi[l] * f->phi[l] * f->variance[l] + f->drive[l];
        f->settled[l] = false;
    }
}

/* -2 log likelihood with sigma profiled out (constants dropped) of LANES points; sigma gets the
 * profile value. */
static void evaluate(point p[LANES], const double *r, const unsigned char *used, size_t count)
{
    filters f = {.all_settled = false};
    size_t n = 0;
    for (int l = 0; l < LANES; l++) {
        double slow = slow_of(p[l].logit);
        f.phi[l] = exp(-exp(-p[l].log_tau));
        f.white[l] = 1 - slow;
        f.drive[l] = slow * (1 - f.phi[l] * f.phi[l]);
        f.variance[l] = slow;
    }
    for (size_t k = 0; k < count; k++) {
        if (!used[k]) {
            pass_hole(&f);
            continue;
        }
        if (!f.all_settled)
            settle(&f);
        for (int l = 0; l < LANES; l++) {
            double innovation = r[k] - f.s[l];
            f.sum[l] += innovation * innovation * f.inverse[l];
            f.log_f[l] += f.log_one[l];
            f.s[l] = f.phi[l] * (f.s[l] + f.gain[l] * innovation);
        }
        n++;
    }
    double of = (double)(n ? n : 1);
    for (int l = 0; l < LANES; l++) {
        p[l].sigma = n ? sqrt(f.sum[l] / (double)n) : 0;
        p[l].value = (double)n * log(f.sum[l] / of + 1e-300) + f.log_f[l];
    }
}

static point best_of(point best, const point p[LANES])
{
    for (int l = 0; l < LANES; l++)
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
        best = best_of(best, p);
    }
    return best;
}

nr_noise nr_noise_estimate(const double *r, const unsigned char *used, size_t n, double floor)
{
    double lo = log(SHORTEST_TAU), hi = log(fmax((double)n / LONGEST_PART, 4));
    point best = best_of_grid(lo, hi, r, used, n);
    double step_tau = (hi - lo) / GRID_TAU / 2, step_logit = 0.6;
    for (int i = 0; i < REFINEMENTS; i++) {
        point tries[LANES] = {best, best, best, best};
        tries[0].log_tau = fmin(best.log_tau + step_tau, hi);
        tries[1].log_tau = fmax(best.log_tau - step_tau, lo);
        tries[2].logit = fmin(best.logit + step_logit, 8);
        tries[3].logit = fmax(best.logit - step_logit, -8);
        evaluate(tries, r, used, n);
        point before = best;
        best = best_of(best, tries);
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
