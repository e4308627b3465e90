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

/* -2 log likelihood with sigma profiled out (constants dropped); *sigma gets the profile value.
 * The filter settles within some correlation times; from then on, until the next hole, its
 * variance is constant and costs no division and no logarithm. */
static double deviance(const double *r, const unsigned char *used, size_t count, double slow,
                       double phi, double *sigma)
{
    const double white = 1 - slow, drive = slow * (1 - phi * phi);
    double variance = slow, s = 0, sum = 0, log_f = 0;
    double f = 0, gain = 0, inverse = 0, log_one = 0;
    size_t n = 0;
    bool settled = false;
    for (size_t k = 0; k < count; k++) {
        if (!used[k]) {
            s *= phi;
            variance = phi * phi * variance + drive;
            settled = false;
            continue;
        }
        if (!settled) {
            f = variance + white;
            inverse = 1 / f;
            gain = variance * inverse;
            log_one = log(f);
            double next = phi * phi * variance * white * inverse + drive;
            settled = fabs(next - variance) < 1e-10 * variance;
            variance = next;
        }
        double innovation = r[k] - s;
        sum += innovation * innovation * inverse;
        log_f += log_one;
        s = phi * (s + gain * innovation);
        n++;
    }
    *sigma = n ? sqrt(sum / (double)n) : 0;
    return (double)n * log(sum / (double)(n ? n : 1) + 1e-300) + log_f;
}

/* Search coordinates without bounds: log of the correlation time, logit of the slow share. */
typedef struct point {
    double log_tau, logit, value, sigma;
} point;

static double slow_of(double logit)
{
    return 1 / (1 + exp(-logit));
}

static void evaluate(point *p, const double *r, const unsigned char *used, size_t n)
{
    p->value = deviance(r, used, n, slow_of(p->logit), exp(-exp(-p->log_tau)), &p->sigma);
}

nr_noise nr_noise_estimate(const double *r, const unsigned char *used, size_t n, double floor)
{
    double lo = log(SHORTEST_TAU), hi = log(fmax((double)n / LONGEST_PART, 4));
    point best = {.value = INFINITY};
    for (int i = 0; i < GRID_TAU; i++) {
        for (int j = 0; j < GRID_SLOW; j++) {
            point p = {.log_tau = lo + (hi - lo) * i / (GRID_TAU - 1),
                       .logit = -4 + 10.0 * j / (GRID_SLOW - 1)};
            evaluate(&p, r, used, n);
            if (p.value < best.value)
                best = p;
        }
    }
    double step_tau = (hi - lo) / GRID_TAU / 2, step_logit = 0.6;
    for (int i = 0; i < REFINEMENTS; i++) {
        point tries[4] = {best, best, best, best};
        tries[0].log_tau = fmin(best.log_tau + step_tau, hi);
        tries[1].log_tau = fmax(best.log_tau - step_tau, lo);
        tries[2].logit = fmin(best.logit + step_logit, 8);
        tries[3].logit = fmax(best.logit - step_logit, -8);
        point before = best;
        for (int t = 0; t < 4; t++) {
            evaluate(&tries[t], r, used, n);
            if (tries[t].value < best.value)
                best = tries[t];
        }
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
