/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Residuals and Jacobian of the joint problem; joint.h's solve.c is the only caller. */
#ifndef NR_JOINT_EVALUATE_H
#define NR_JOINT_EVALUATE_H

#include "analyze/joint/inside.h"

/* Whitened residuals (modelled - measured) and prior rows [rows]. context: the nr_joint. */
int nr_joint_residuals(const double *x, void *context, double *residual);
int nr_joint_jacobian(const double *x, void *context, double *jacobian);

/* Derivatives of one channel's readings [blocks * parameters], not whitened; the piece is
 * simulated. */
void nr_joint_channel_jacobian(const nr_joint *joint, size_t piece, int c, const double *x,
                               double *jacobian);

/* Raw residuals measured - modelled [rows], NAN where not used; prior rows are left alone. */
void nr_joint_raw(const nr_joint *joint, const double *x, double *residual);

#endif
