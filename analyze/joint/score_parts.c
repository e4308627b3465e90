/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/joint/score_parts.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>

#include <math.h>
#include <stdlib.h>

/* Below this share of itself a signature is what parameters can do as well. */
#define OWN_SHARE 1e-6
nr_score nr_score_from(double self, double own, double with)
{
    if (!(own > OWN_SHARE * self))
        return (nr_score){0, INFINITY, 0};
    return (nr_score){with / own, 1 / sqrt(own), with / sqrt(own)};
}

void nr_score_parts_free(nr_score_parts *p)
{
    if (!p)
        return;
    free(p->self);
    free(p->own);
    free(p->with);
    free(p);
}

nr_score nr_score_of_parts(const nr_score_parts *p, size_t from, size_t to)
{
    double self = 0, own = 0, with = 0;
    for (size_t k = from; k < to; k++) {
        with += p->with[k];
        for (size_t l = from; l < to; l++) {
            self += p->self[k * p->count + l];
            own += p->own[k * p->count + l];
        }
    }
    return nr_score_from(self, own, with);
}

bool nr_score_of_all(const nr_score_parts *p, double *size, double *covariance)
{
    size_t n = p->count;
    gsl_matrix_view own = gsl_matrix_view_array(covariance, n, n);
    gsl_error_handler_t *before = gsl_set_error_handler_off();
    bool good = n > 0;
    for (size_t i = 0; good && i < n; i++)
        good = p->own[i * n + i] > OWN_SHARE * p->self[i * n + i];
    for (size_t i = 0; i < n * n; i++)
        covariance[i] = p->own[i];
    good = good && gsl_linalg_cholesky_decomp1(&own.matrix) == GSL_SUCCESS &&
           gsl_linalg_cholesky_invert(&own.matrix) == GSL_SUCCESS;
    gsl_set_error_handler(before);
    for (size_t i = 0; good && i < n; i++) {
        size[i] = 0;
        for (size_t k = 0; k < n; k++)
            size[i] += covariance[i * n + k] * p->with[k];
    }
    return good;
}
