/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/joint/found.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define LANDINGS 4

struct nr_found {
    size_t landings;
    double *landing[LANDINGS];  /* [parameters] */
    double *x, *covariance;     /* of the solution that is kept */
    nr_noise (*noise)[NR_OUTS]; /* [pieces] */
    double chi2_data;
};

nr_found *nr_found_new(const nr_joint *j)
{
    nr_found *f = calloc(1, sizeof *f);
    if (!f)
        return NULL;
    size_t m = j->parameters;
    bool good = true;
    for (size_t i = 0; i < LANDINGS; i++) {
        f->landing[i] = malloc(m * sizeof(double));
        good = good && f->landing[i];
    }
    f->x = malloc(m * sizeof(double));
    f->covariance = malloc(m * m * sizeof(double));
    f->noise = malloc(j->pieces * sizeof *f->noise);
    if (good && f->x && f->covariance && f->noise)
        return f;
    nr_found_free(f);
    return NULL;
}

void nr_found_free(nr_found *f)
{
    if (!f)
        return;
    for (size_t i = 0; i < LANDINGS; i++)
        free(f->landing[i]);
    free(f->x);
    free(f->covariance);
    free(f->noise);
    free(f);
}

bool nr_found_landed(nr_found *f, const nr_joint *j, double near)
{
    size_t m = j->parameters;
    for (size_t i = 0; i < f->landings; i++) {
        bool same = true;
        for (size_t k = 0; k < m && same; k++)
            same = fabs(j->x[k] - f->landing[i][k]) < near * sqrt(j->covariance[k * (m + 1)]);
        if (same)
            return true;
    }
    if (f->landings < LANDINGS)
        memcpy(f->landing[f->landings++], j->x, m * sizeof(double));
    return false;
}

void nr_found_keep(nr_found *f, const nr_joint *j)
{
    size_t m = j->parameters;
    memcpy(f->x, j->x, m * sizeof(double));
    memcpy(f->covariance, j->covariance, m * m * sizeof(double));
    for (size_t i = 0; i < j->pieces; i++)
        memcpy(f->noise[i], j->piece[i].noise, sizeof f->noise[i]);
    f->chi2_data = j->chi2_data;
}

void nr_found_take(const nr_found *f, nr_joint *j)
{
    size_t m = j->parameters;
    memcpy(j->x, f->x, m * sizeof(double));
    memcpy(j->covariance, f->covariance, m * m * sizeof(double));
    for (size_t i = 0; i < j->pieces; i++)
        memcpy(j->piece[i].noise, f->noise[i], sizeof f->noise[i]);
    j->chi2_data = f->chi2_data;
    j->has_slopes = false;
}
