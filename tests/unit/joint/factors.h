/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A covariance by another way than the program's. */
#ifndef NR_TEST_FACTORS_H
#define NR_TEST_FACTORS_H

#include <gsl/gsl_blas.h>
#include <gsl/gsl_linalg.h>

/* Variance of a parameter by orthogonal factors of the whole Jacobian, J = QR: of (J'J)^-1. r:
 * QR's. */
static inline double variance_of(gsl_matrix *r, size_t i)
{
    gsl_vector *v = gsl_vector_calloc(r->size2);
    gsl_vector_set(v, i, 1);
    gsl_matrix_view upper = gsl_matrix_submatrix(r, 0, 0, r->size2, r->size2);
    gsl_blas_dtrsv(CblasUpper, CblasTrans, CblasNonUnit, &upper.matrix, v);
    double norm = gsl_blas_dnrm2(v);
    gsl_vector_free(v);
    return norm * norm;
}

#endif
