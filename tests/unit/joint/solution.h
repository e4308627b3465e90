/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What every solution is, whatever way the search went: its rows, its gradient, its covariance and
 * its noise, looked at by a test. */
#ifndef NR_TEST_SOLUTION_H
#define NR_TEST_SOLUTION_H

#include "analyze/joint/evaluate.h"
#include "analyze/joint/misreading.h"
#include "tests/unit/joint/bundle.h"

#include <gsl/gsl_linalg.h>

/* Raw, whitened, their sum of squares and their count. */
static inline void check_rows(const nr_joint *j)
{
    double *raw = calloc(j->rows, sizeof(double)), sum = 0;
    size_t used = 0;
    nr_joint_raw(j, j->x, raw);
    for (size_t i = 0; i < j->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++) {
            const nr_piece *p = &j->piece[i];
            double *row = raw + p->row[c], *white;
            if (!p->fits[c])
                continue;
            white = malloc(p->part->blocks * sizeof(double));
            memcpy(white, row, p->part->blocks * sizeof(double));
            nr_whiten(&p->whitener[c], white, 1, 1);
            for (size_t b = 0; b < p->part->blocks; b++) {
                double is = j->residual[p->row[c] + b], is_white = j->whitened[p->row[c] + b];
                ck_assert(isnan(is) == !p->used[c][b] && isnan(is_white) == !p->used[c][b]);
                if (!p->used[c][b])
                    continue;
                NEAR(is, row[b], 1e-9);
                NEAR(is_white, white[b], 1e-6);
                sum += white[b] * white[b];
                used++;
            }
            free(white);
        }
    ck_assert_uint_eq(j->used_rows, used);
    NEAR_RELATIVE(j->chi2_data, sum, 1e-3);
    free(raw);
}

/* J'r beside the curvature: how far the parameters would still move, in their standard
 * uncertainties; and the covariance, but for what was allowed for behind the solution. */
static inline void check_minimum(const nr_joint *j)
{
    size_t m = j->parameters;
    gsl_matrix *normal = gsl_matrix_calloc(m, m);
    gsl_vector *slope = gsl_vector_calloc(m), *step = gsl_vector_calloc(m);
    double *row = malloc(j->rows * m * sizeof(double)), *r = malloc(j->rows * sizeof(double));
    double move = 0;
    ck_assert_int_eq(nr_joint_residuals(j->x, (void *)j, r), 0);
    ck_assert_int_eq(nr_joint_jacobian(j->x, (void *)j, row), 0);
    for (size_t k = 0; k < j->rows; k++)
        for (size_t a = 0; a < m; a++) {
            *gsl_vector_ptr(slope, a) += row[k * m + a] * r[k];
            for (size_t b = 0; b < m; b++)
                *gsl_matrix_ptr(normal, a, b) += row[k * m + a] * row[k * m + b];
        }
    gsl_linalg_cholesky_decomp2(normal, step);
    gsl_vector *scale = gsl_vector_alloc(m), *move_by = gsl_vector_alloc(m);
    gsl_vector_memcpy(scale, step);
    gsl_linalg_cholesky_solve2(normal, scale, slope, move_by);
    for (size_t a = 0; a < m; a++)
        move += gsl_vector_get(move_by, a) * gsl_vector_get(slope, a);
    ck_assert_msg(move < 0.01, "%g of all standard uncertainties together", sqrt(move));
    for (size_t a = 0; a < m; a++) {
        gsl_vector_set_zero(slope);
        gsl_vector_set(slope, a, 1);
        gsl_linalg_cholesky_solve2(normal, scale, slope, move_by);
        for (size_t b = 0; b < m; b++) {
            double size = sqrt(j->covariance[a * m + a] * j->covariance[b * m + b]);
            NEAR_AT(j->parameter[a].row->name, j->covariance[a * m + b], gsl_vector_get(move_by, b),
                    0.02 * size);
        }
    }
    gsl_matrix_free(normal);
    gsl_vector_free(slope);
    gsl_vector_free(step);
    gsl_vector_free(scale);
    gsl_vector_free(move_by);
    free(row);
    free(r);
}

static inline void same_noise(const nr_noise *is, const nr_noise *e)
{
    NEAR_RELATIVE(is->sigma, e->sigma, 0.03);
    NEAR(is->slow, e->slow, 0.03);
    NEAR(is->phi, e->phi, 0.03);
}

#endif
