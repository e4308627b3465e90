/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Linear least squares, for calibration lines and for the classical regression that the dynamic
 * fit is checked against; propagation of uncertainty.
 *
 * y = design * beta + error, by QR on columns scaled to length one (GSL). A column that the others
 * can nearly replace is refused, not fitted: the rank is judged here, from the singular values.
 * NIST StRD's linear sets are its test, standard deviations included. */
#ifndef NR_ESTIMATE_LINFIT_H
#define NR_ESTIMATE_LINFIT_H

#include "logger/base/err.h"

#include <stddef.h>

/* Above this condition number of the scaled columns a fit is refused: of 16 digits fewer than three
 * would be left. (The worst set of NIST's, filip, has 5e9 and still keeps eight.) */
#define NR_LINFIT_CONDITION_MAX 1e13

/* Where the size of the errors comes from. */
typedef enum nr_linfit_errors {
    NR_LINFIT_FROM_RESIDUALS, /* weights are relative; the residuals set the scale (n > p) */
    NR_LINFIT_STATED          /* weight = 1/u^2 with u the standard uncertainty of y */
} nr_linfit_errors;

typedef struct nr_linfit_problem {
    size_t n, p;          /* rows >= columns >= 1 */
    const double *design; /* [n * p] row by row; a constant term is a column of ones */
    const double *y;      /* [n] */
    const double *weight; /* [n] > 0; NULL: all 1 */
    nr_linfit_errors errors;
} nr_linfit_problem;

typedef struct nr_linfit {
    size_t n, p;
    double *beta;       /* [p] */
    double *covariance; /* [p * p] of beta, symmetric */
    double *residual;   /* [n] y - design * beta, not weighted */
    double chi2;        /* weighted sum of squared residuals */
    double sd;          /* sqrt(chi2 / (n - p)); NAN when n == p */
    double condition;   /* of the scaled columns */
} nr_linfit;

/* NR_CANNOT: the columns do not determine beta, or n == p while the residuals should set the scale.
 * NR_BAD: a size or a number that makes no sense. *out is NULL unless NR_OK; free with
 * nr_linfit_free. */
nr_code nr_linfit_solve(const nr_linfit_problem *problem, nr_linfit **out, nr_err *err);
void nr_linfit_free(nr_linfit *fit);

/* Standard uncertainty of beta[i]. */
double nr_linfit_u(const nr_linfit *fit, size_t i);

/* ---- propagation, JCGM 100 section 5.2 ---- */

/* Covariance of f and g, functions of p quantities with the given covariance [p * p]; df and dg
 * their partial derivatives [p]. With df == dg: the variance of f. First order. */
double nr_propagate(size_t p, const double *covariance, const double *df, const double *dg);

/* Welch and Satterthwaite (JCGM 100, G.4): effective degrees of freedom of a sum of independent
 * contributions u[i] with dof[i] (INFINITY: exactly known). NAN for count 0 or a negative entry. */
double nr_effective_dof(size_t count, const double *u, const double *dof);

#endif
