/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Residuals and Jacobian of the joint problem; joint.h's solve.c is the only caller. */
#ifndef NR_JOINT_EVALUATE_H
#define NR_JOINT_EVALUATE_H

#include "analyze/joint/inside.h"

/* Whitened residuals (modelled - measured) and prior rows [rows]. context: the nr_joint. */
int nr_joint_residuals(const double *x, void *context, double *residual);
int nr_joint_jacobian(const double *x, void *context, double *jacobian);

/* Adds the derivatives of one channel's readings, not whitened, to jacobian [blocks * columns]; the
 * piece is simulated. column[term]: where the term's parameter is. */
void nr_joint_channel_jacobian(const nr_joint *joint, size_t piece, int c, const double *x,
                               const int *column, size_t columns, double *jacobian);

/* ---- piece by piece: a piece knows few of many parameters ---- */

bool nr_joint_in_domain(const nr_joint *joint, const double *x);

/* The parameters that have a part in a piece, each once; returns how many. column[term]: where the
 * term's parameter is among them, -1: none. */
size_t nr_joint_piece_columns(const nr_joint *joint, size_t piece, size_t parameter[NR_TERMS],
                              int column[NR_TERMS]);

/* Rows of a piece: blocks of its fitted channels. */
size_t nr_joint_piece_height(const nr_joint *joint, size_t piece);

/* Whether the piece's slopes are wanted and of where. Kept: those of the last simulation with
 * slopes, whitened again, and the readings of the last simulation, which was at x: for nearly
 * nothing. */
typedef enum nr_slopes { NR_SLOPES_NONE, NR_SLOPES_KEPT, NR_SLOPES_HERE } nr_slopes;

/* Whitened residuals of a piece's channels, one behind the other, and their derivatives to those
 * columns [height * columns]. Pieces are independent: threads may do one each. */
void nr_joint_piece_rows(const nr_joint *joint, size_t piece, const double *x, const int *column,
                         size_t columns, nr_slopes slopes, double *residual, double *jacobian);

/* Simulates all pieces at the solution, with slopes, to be kept. */
void nr_joint_slopes(const nr_joint *joint);

/* work(context, worker, piece) for every piece, on the estimate's threads; worker below
 * nr_joint_workers. */
size_t nr_joint_workers(const nr_joint *joint);
void nr_joint_each_piece(const nr_joint *joint,
                         void (*work)(void *context, size_t worker, size_t piece), void *context);
/* The same for any count of things. */
void nr_joint_each(const nr_joint *joint, size_t count,
                   void (*work)(void *context, size_t worker, size_t i), void *context);

/* Of each parameter [parameters] the run that it is alone in, or NR_ARROW_SHARED
 * (estimate/arrow.h): two runs meet in the shared ones only. */
void nr_joint_groups(const nr_joint *joint, size_t *group_of);

/* Raw residuals measured - modelled [rows], NAN where not used; prior rows are left alone. */
void nr_joint_raw(const nr_joint *joint, const double *x, double *residual);

/* Where a step down (to be taken from x) leads: *step becomes that point. The record tells the
 * products of the absorber's efficiency factor with gain, losses and heat capacity much better than
 * each: a valley that is straight in the products and bends in the parameters. So the step goes
 * straight in the products. */
void nr_joint_straight_step(const nr_joint *joint, const double *x, double *step);

#endif
