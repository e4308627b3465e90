/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/estimate/noise.h"

#include <math.h>
#include <stdlib.h>

bool nr_whitener_init(nr_whitener *w, size_t n)
{
    w->n = n;
    w->phi = w->phi2 = 0;
    w->more = NULL;
    w->gain = calloc(n ? n : 1, sizeof(double));
    w->gain2 = calloc(n ? n : 1, sizeof(double));
    w->weight = calloc(n ? n : 1, sizeof(double));
    if (w->gain && w->gain2 && w->weight)
        return true;
    nr_whitener_free(w);
    return false;
}

void nr_whitener_free(nr_whitener *w)
{
    free(w->gain);
    free(w->gain2);
    free(w->weight);
    w->gain = w->gain2 = w->weight = NULL;
}

double nr_noise_driver(const nr_noise *noise)
{
    double both = noise->phi * noise->phi2;
    return (1 - noise->phi * noise->phi) * (1 - both) / (1 + both);
}

void nr_whitener_set(nr_whitener *w, const nr_noise *noise, const unsigned char *used)
{
    double total = noise->sigma * noise->sigma, phi = noise->phi, phi2 = noise->phi2;
    double slow = noise->slow * total, white = (1 - noise->slow) * total;
    /* Of s and u before the reading of the block. */
    double variance = slow, variance2 = slow * nr_noise_driver(noise);
    double common = variance2 / (1 - phi * phi2), drive = variance2 * (1 - phi2 * phi2);
    w->phi = phi;
    w->phi2 = phi2;
    for (size_t k = 0; k < w->n; k++) {
        if (used[k]) {
            double fast = white + (w->more ? w->more[k] : 0), innovation = variance + fast;
            w->gain[k] = variance / innovation;
            w->gain2[k] = phi2 > 0 ? common / innovation : 0;
            w->weight[k] = 1 / sqrt(innovation);
            variance2 -= common * common / innovation;
            variance = variance * fast / innovation;
            common = common * fast / innovation;
        } else {
            w->gain[k] = w->gain2[k] = w->weight[k] = 0;
        }
        variance2 = phi2 * phi2 * variance2 + drive;
        variance = phi * phi * variance + 2 * phi * phi2 * common + variance2;
        common = phi * phi2 * common + variance2;
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

static void whiten_chunk_of_second(const nr_whitener *w, double *rows, size_t stride,
                                   size_t columns)
{
    double s[CHUNK] = {0}, u[CHUNK] = {0};
    for (size_t k = 0; k < w->n; k++) {
        double *row = rows + k * stride, weight = w->weight[k];
        for (size_t j = 0; j < columns; j++) {
            double innovation = weight == 0 ? 0 : row[j] - s[j];
            row[j] = innovation * weight;
            u[j] = w->phi2 * (u[j] + w->gain2[k] * innovation);
            s[j] = w->phi * (s[j] + w->gain[k] * innovation) + u[j];
        }
    }
}

void nr_whiten(const nr_whitener *w, double *rows, size_t stride, size_t columns)
{
    for (size_t j = 0; j < columns; j += CHUNK)
        (w->phi2 > 0 ? whiten_chunk_of_second : whiten_chunk)(
            w, rows + j, stride, columns - j < CHUNK ? columns - j : CHUNK);
}

double nr_noise_slow_correlation(const nr_noise *noise, double blocks)
{
    double phi = noise->phi, phi2 = noise->phi2;
    if (!(phi2 > 0))
        return pow(phi, blocks);
    double both = phi * phi2, apart = log(phi / phi2), own = pow(phi, blocks);
    /* phi^l - phi2^l over phi - phi2, which may be the same. */
    double grown = apart > 1e-9 ? -expm1(-blocks * apart) / -expm1(-apart) : blocks;
    return own + (1 - phi * phi) * phi2 / (1 + both) * (own / phi) * grown;
}

double nr_noise_effective(const nr_noise *noise, size_t n)
{
    /* Variance of the mean of n, for long records: that of its parts over n, slow by the sum of its
     * correlations over all lags. */
    double phi = noise->phi, phi2 = noise->phi2, both = phi * phi2;
    double sum = (1 + phi) / (1 - phi) * (1 + phi2) / (1 - phi2) * (1 - both) / (1 + both);
    double inflation = (1 - noise->slow) + noise->slow * sum;
    return fmax((double)n / inflation, 1);
}
