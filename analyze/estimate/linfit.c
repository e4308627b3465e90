/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Linear least squares; see linfit.h. */
#include "analyze/estimate/linfit.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

/* Everything a solution needs besides its result. */
typedef struct work {
    gsl_matrix *a;           /* [n * p] weighted rows, scaled columns; then its QR */
    gsl_matrix *r, *v;       /* [p * p] */
    gsl_vector *tau, *s, *x; /* [p] */
    gsl_vector *b, *left;    /* [n] */
    double *scale;           /* [p] */
} work;

static void work_free(work *w)
{
    gsl_matrix_free(w->a);
    gsl_matrix_free(w->r);
    gsl_matrix_free(w->v);
    gsl_vector_free(w->tau);
    gsl_vector_free(w->s);
    gsl_vector_free(w->x);
    gsl_vector_free(w->b);
    gsl_vector_free(w->left);
    free(w->scale);
}

static bool work_alloc(work *w, size_t n, size_t p)
{
    *w = (work){.a = gsl_matrix_alloc(n, p),
                .r = gsl_matrix_alloc(p, p),
                .v = gsl_matrix_alloc(p, p),
                .tau = gsl_vector_alloc(p),
                .s = gsl_vector_alloc(p),
                .x = gsl_vector_alloc(p),
                .b = gsl_vector_alloc(n),
                .left = gsl_vector_alloc(n),
                .scale = malloc(p * sizeof(double))};
    return w->a && w->r && w->v && w->tau && w->s && w->x && w->b && w->left && w->scale;
}

static nr_linfit *fit_alloc(size_t n, size_t p)
{
    nr_linfit *fit = calloc(1, sizeof *fit);
    if (!fit)
        return NULL;
    fit->n = n;
    fit->p = p;
    fit->beta = calloc(p, sizeof(double));
    fit->covariance = calloc(p * p, sizeof(double));
    fit->residual = calloc(n, sizeof(double));
    if (!fit->beta || !fit->covariance || !fit->residual) {
        nr_linfit_free(fit);
        return NULL;
    }
    return fit;
}

void nr_linfit_free(nr_linfit *fit)
{
    if (!fit)
        return;
    free(fit->beta);
    free(fit->covariance);
    free(fit->residual);
    free(fit);
}

static nr_code check(const nr_linfit_problem *q, nr_err *err)
{
    if (q->p < 1 || q->n < q->p)
        return nr_fail(err, NR_CANNOT, NULL, 0, "%zu points cannot determine %zu coefficients",
                       q->n, q->p);
    if (q->errors == NR_LINFIT_FROM_RESIDUALS && q->n == q->p)
        return nr_fail(
            err, NR_CANNOT, NULL, 0,
            "%zu points for %zu coefficients leave no residual to judge their scatter by", q->n,
            q->p);
    for (size_t i = 0; i < q->n; i++) {
        bool sound =
            isfinite(q->y[i]) && (!q->weight || (q->weight[i] > 0.0 && isfinite(q->weight[i])));
        for (size_t j = 0; j < q->p; j++)
            sound = sound && isfinite(q->design[i * q->p + j]);
        if (!sound)
            return nr_fail(err, NR_BAD, NULL, 0, "point %zu is not finite or has no weight", i + 1);
    }
    return NR_OK;
}

/* Fills w->a and w->b. False: a column is all zero. */
static bool fill(const nr_linfit_problem *q, work *w)
{
    for (size_t i = 0; i < q->n; i++) {
        double root = q->weight ? sqrt(q->weight[i]) : 1.0;
        gsl_vector_set(w->b, i, root * q->y[i]);
        for (size_t j = 0; j < q->p; j++)
            gsl_matrix_set(w->a, i, j, root * q->design[i * q->p + j]);
    }
    for (size_t j = 0; j < q->p; j++) {
        gsl_vector_view column = gsl_matrix_column(w->a, j);
        w->scale[j] = gsl_blas_dnrm2(&column.vector);
        if (!(w->scale[j] > 0.0) || !isfinite(w->scale[j]))
            return false;
        gsl_vector_scale(&column.vector, 1.0 / w->scale[j]);
    }
    return true;
}

/* Condition number of the triangle left by the QR decomposition; INFINITY when singular. */
static double condition_of_r(work *w, size_t p)
{
    for (size_t i = 0; i < p; i++) {
        for (size_t j = 0; j < p; j++)
            gsl_matrix_set(w->r, i, j, i <= j ? gsl_matrix_get(w->a, i, j) : 0.0);
    }
    if (gsl_linalg_SV_decomp_jacobi(w->r, w->v, w->s) != GSL_SUCCESS)
        return INFINITY;
    double least = gsl_vector_get(w->s, p - 1);
    return least > 0.0 ? gsl_vector_get(w->s, 0) / least : INFINITY;
}

/* (A'A)^-1 = R^-1 R^-T, unscaled, times the variance of an observation of weight 1. */
static bool covariance(const work *w, double variance, nr_linfit *fit)
{
    size_t p = fit->p;
    gsl_matrix_set_zero(w->r);
    for (size_t i = 0; i < p; i++) {
        for (size_t j = i; j < p; j++)
            gsl_matrix_set(w->r, i, j, gsl_matrix_get(w->a, i, j));
    }
    if (gsl_linalg_tri_invert(CblasUpper, CblasNonUnit, w->r) != GSL_SUCCESS)
        return false;
    for (size_t i = 0; i < p; i++) {
        for (size_t j = 0; j <= i; j++) {
            double sum = 0.0;
            for (size_t k = i; k < p; k++)
                sum += gsl_matrix_get(w->r, i, k) * gsl_matrix_get(w->r, j, k);
            sum *= variance / (w->scale[i] * w->scale[j]);
            fit->covariance[i * p + j] = fit->covariance[j * p + i] = sum;
        }
    }
    return true;
}

static void residuals(const nr_linfit_problem *q, nr_linfit *fit)
{
    for (size_t i = 0; i < q->n; i++) {
        double fitted = 0.0;
        for (size_t j = 0; j < q->p; j++)
            fitted += q->design[i * q->p + j] * fit->beta[j];
        fit->residual[i] = q->y[i] - fitted;
    }
}

static nr_code solve(const nr_linfit_problem *q, work *w, nr_linfit *fit, nr_err *err)
{
    if (!fill(q, w))
        return nr_fail(err, NR_CANNOT, NULL, 0,
                       "a coefficient is multiplied by zero in every point: not determined");
    if (gsl_linalg_QR_decomp(w->a, w->tau) != GSL_SUCCESS)
        return nr_fail(err, NR_CANNOT, NULL, 0, "the points could not be decomposed");
    fit->condition = condition_of_r(w, q->p);
    if (!(fit->condition <= NR_LINFIT_CONDITION_MAX))
        return nr_fail(err, NR_CANNOT, NULL, 0,
                       "the points do not determine all %zu coefficients (condition number %.1g)",
                       q->p, fit->condition);
    if (gsl_linalg_QR_lssolve(w->a, w->tau, w->b, w->x, w->left) != GSL_SUCCESS)
        return nr_fail(err, NR_CANNOT, NULL, 0, "the coefficients could not be solved for");
    for (size_t j = 0; j < q->p; j++)
        fit->beta[j] = gsl_vector_get(w->x, j) / w->scale[j];
    residuals(q, fit);
    /* From the decomposition: differences of large numbers, as in y - fitted, cancel. */
    double norm = gsl_blas_dnrm2(w->left);
    fit->chi2 = norm * norm;
    fit->sd = q->n > q->p ? sqrt(fit->chi2 / (double)(q->n - q->p)) : NAN;
    double variance = q->errors == NR_LINFIT_STATED ? 1.0 : fit->sd * fit->sd;
    if (!covariance(w, variance, fit))
        return nr_fail(err, NR_CANNOT, NULL, 0, "the covariance could not be solved for");
    return NR_OK;
}

nr_code nr_linfit_solve(const nr_linfit_problem *problem, nr_linfit **out, nr_err *err)
{
    *out = NULL;
    nr_code code = check(problem, err);
    if (code != NR_OK)
        return code;
    gsl_error_handler_t *old = gsl_set_error_handler_off();
    work w;
    nr_linfit *fit = fit_alloc(problem->n, problem->p);
    if (work_alloc(&w, problem->n, problem->p) && fit)
        code = solve(problem, &w, fit, err);
    else
        code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    work_free(&w);
    gsl_set_error_handler(old);
    if (code != NR_OK) {
        nr_linfit_free(fit);
        return code;
    }
    *out = fit;
    return NR_OK;
}

double nr_linfit_u(const nr_linfit *fit, size_t i)
{
    return sqrt(fit->covariance[i * fit->p + i]);
}

double nr_propagate(size_t p, const double *cov, const double *df, const double *dg)
{
    double sum = 0.0;
    for (size_t i = 0; i < p; i++) {
        for (size_t j = 0; df[i] != 0.0 && j < p; j++)
            sum += df[i] * cov[i * p + j] * dg[j];
    }
    return sum;
}

double nr_effective_dof(size_t count, const double *u, const double *dof)
{
    double total = 0.0, divisor = 0.0;
    for (size_t i = 0; i < count; i++) {
        if (!(u[i] >= 0.0) || !(dof[i] > 0.0))
            return NAN;
        double square = u[i] * u[i];
        total += square;
        divisor += square * square / dof[i];
    }
    if (count == 0)
        return NAN;
    return divisor > 0.0 ? total * total / divisor : INFINITY;
}
