/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Priors that lean on each other: what nobody stated of two boxes of one make is partly the same.
 *
 * In a group of n such parameters any two departures from the priors, each over its standard
 * uncertainty u, have the correlation s (nr_term_row.like). Every one is as uncertain as alone; of
 * a difference of two only sqrt(1 - s) of it is left. The rows of the least squares are
 * R^(-1/2) z, R = (1 - s) I + s 11', z = (x - prior) / u: both powers of R have the same closed
 * form a I + b 11'. Outside a group a row is z itself.
 */
#ifndef NR_JOINT_LIKE_H
#define NR_JOINT_LIKE_H

#include "analyze/joint/inside.h"

/* Puts the parameters of a joint that is set up into their groups. */
void nr_like_group(nr_joint *joint);

/* The prior row of a parameter at departures z [parameters], and at x. */
double nr_like_row(const nr_joint *joint, const double *z, size_t row);
double nr_like_residual(const nr_joint *joint, const double *x, size_t row);

/* Its derivative to the departure z of a parameter, and the element of R^(-1) of two. */
double nr_like_slope(const nr_joint *joint, size_t row, size_t of);
double nr_like_information(const nr_joint *joint, size_t one, size_t other);

/* Of shares of a variance [parameters], one a prior row: what the rows of its whole group have, for
 * one of them speaks for all where the others belong to other builds. */
double nr_like_shares(const nr_joint *joint, const double *share, size_t parameter);

#endif
