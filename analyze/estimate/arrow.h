/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Symmetric positive definite systems shaped like an arrow: unknowns that belong to one of many
 * groups meet those of their own group and the few that all share, and no others. Eliminated group
 * by group (Schur complement: G. H. Golub, C. F. Van Loan, Matrix Computations, section on block
 * elimination) the cost is linear in the number of groups, where a dense factor costs its cube.
 */
#ifndef NR_ESTIMATE_ARROW_H
#define NR_ESTIMATE_ARROW_H

#include <stdbool.h>
#include <stddef.h>

typedef struct nr_arrow nr_arrow;

#define NR_ARROW_SHARED ((size_t)-1)

/* All zero. group_of [n]: 0..groups-1 or NR_ARROW_SHARED. NULL: out of memory. */
nr_arrow *nr_arrow_new(size_t n, const size_t *group_of, size_t groups);
void nr_arrow_free(nr_arrow *a);

void nr_arrow_clear(nr_arrow *a);
/* Element (i, k) and (k, i) grow by `value`. Not of two groups. */
void nr_arrow_add(nr_arrow *a, size_t i, size_t k, double value);

/* Factors the matrix with each diagonal element times 1 + damping; it may be factored again, and
 * grow further. False: not positive definite (or out of memory). GSL's error handler is to be off.
 */
bool nr_arrow_factor(nr_arrow *a, double damping);

/* ---- of the last factor ---- */

/* Solves in place, x [n]. */
void nr_arrow_solve(const nr_arrow *a, double *x);

/* What the elements of the inverse are made of; to be called before nr_arrow_inverse. */
bool nr_arrow_invert(nr_arrow *a);
double nr_arrow_inverse(const nr_arrow *a, size_t i, size_t k);

#endif
