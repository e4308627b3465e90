/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rows of an uncertainty budget (budget.h says by which rules), for any result of an estimate.
 */
#ifndef NR_FIT_BUDGET_ROWS_H
#define NR_FIT_BUDGET_ROWS_H

#include "analyze/fit/results.h"
#include "logger/run/rig.h"

typedef struct nr_budget_row {
    char label[96];
    char channel[NR_NAME];     /* whose sensor or readings; "" none */
    char key[2 * NR_NAME];     /* which of several: a sensor's identity, a run; "" of noise */
    char unit[16];             /* of estimate and u; "" relative */
    double estimate;           /* the stated value; NAN: readings */
    double u;                  /* its standard uncertainty, in unit; of noise: that of the result */
    double sensitivity;        /* change of the result per unit; 1 of noise */
    double contribution;       /* |sensitivity| u, in the result's unit */
    double share;              /* of the variance */
    double degrees_of_freedom; /* INFINITY: exact */
    bool type_a;               /* from the scatter of readings; else from other knowledge */
    bool stated;               /* rig.ini states it; else assumed */
} nr_budget_row;

/* Rows of a result; free(*row), also after an error. */
nr_code nr_budget_rows_of(const nr_joint *joint, nr_result_fn fn, const void *context,
                          nr_budget_row **row, size_t *rows, nr_err *err);

/* Effective degrees of freedom of those rows. */
double nr_budget_rows_dof(const nr_budget_row *row, size_t rows);

/* The same of a result at once. */
nr_code nr_result_dof(const nr_joint *joint, nr_result_fn fn, const void *context, double *dof,
                      nr_err *err);

#endif
