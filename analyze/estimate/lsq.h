/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Nonlinear least squares that refuses rather than guesses.
 *
 * GSL's trust-region solvers do the work. On hard problems they can report success far from a
 * minimum, and their covariance gives a lost parameter no variance at all; so the answer is judged
 * here: several starts and methods, the gradient checked against the residual, the rank from the
 * singular values of the scaled Jacobian. Parameters should be of order one (give `scale`).
 */
#ifndef NR_ESTIMATE_LSQ_H
#define NR_ESTIMATE_LSQ_H

#include "logger/base/err.h"

#include <stdbool.h>
#include <stddef.h>

/* Residuals [n] at x [p]; returns 0, or nonzero when x is outside the function's domain. */
typedef int (*nr_lsq_residuals)(const double *x, void *context, double *residual);
/* Jacobian, row-major [n * p]. NULL in the problem: central differences are taken. */
typedef int (*nr_lsq_jacobian)(const double *x, void *context, double *jacobian);

typedef struct nr_lsq_problem {
    size_t n, p; /* n >= p */
    nr_lsq_residuals residuals;
    nr_lsq_jacobian jacobian;
    void *context;
    const double *scale;   /* [p] typical size of each parameter, > 0; NULL: from the start */
    size_t max_iterations; /* 0: 200 */
    size_t budget;         /* evaluations of the residuals in all, a Jacobian counted as three; then
                              the best minimum so far, or none. 0: no limit */
    bool quick;            /* for a refit among many from a good start: Gauss-Newton first, and
                              a hundredth of a standard error is close enough */
    size_t *spent;         /* what was spent of it, also where none is found; NULL: not told */
} nr_lsq_problem;

typedef struct nr_lsq_result {
    size_t n, p;
    double *x;          /* [p] */
    double *residual;   /* [n] */
    double *jacobian;   /* [n * p] row-major, at x */
    double *covariance; /* [p * p] inverse of J'J: NOT multiplied by a residual variance */
    double chi2;        /* sum of squared residuals */
    size_t iterations;
    size_t rank;      /* numerical rank of the scaled Jacobian */
    double condition; /* of the scaled Jacobian */
    double offset;    /* relative offset at the end (Bates and Watts 1981), 0 = exact minimum */
} nr_lsq_result;

/* starts: [count * p]. NR_CANNOT when no start converges to a point whose gradient vanishes and
 * whose Jacobian has full rank; the text says which of the two failed. Free the result always. */
nr_code nr_lsq_solve(const nr_lsq_problem *problem, const double *starts, size_t count,
                     nr_lsq_result **out, nr_err *err);
void nr_lsq_free(nr_lsq_result *result);

#endif
