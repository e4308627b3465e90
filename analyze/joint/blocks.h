/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The same least squares for many pieces: a piece touches a few of hundreds of parameters, so what
 * a step needs (J'J and J'r) is gathered piece by piece, on all cores, and never laid out in full;
 * what belongs to one run alone is eliminated run by run (estimate/arrow.h), so that the cost is
 * linear in the runs. Twenty-four records would make a Jacobian of 26,000 rows and 450 columns,
 * nearly all zero, and minutes of orthogonal factors. Every parameter here has a prior, whose row
 * keeps J'J, scaled by it, away from singular; so the normal equations lose nothing that counts. */
#ifndef NR_JOINT_BLOCKS_H
#define NR_JOINT_BLOCKS_H

#include "analyze/joint/inside.h"

/* How close to a minimum a search ends. */
typedef enum nr_closeness {
    NR_CLOSE_ONE_STEP,  /* wherever one step leads, with the covariance of where it began: for
                           records that are simulated from about there */
    NR_CLOSE_FOR_NOISE, /* near enough for the noise to be estimated */
    NR_CLOSE_ONE_MORE,  /* the same and one more step by the slopes there: one refit of many */
    NR_CLOSE_EXACTLY    /* with slopes of the very point */
} nr_closeness;

/* Gauss-Newton from joint->x with the whiteners as they are, damped (Marquardt, J. SIAM 11 (1963)
 * 431-441) where a full step does not go down; slopes are computed again only where a step did not
 * do as foretold, and at the end. A point is a minimum by the relative offset of Bates and Watts,
 * as in estimate/lsq.h. budget: evaluations of all residuals, slopes counted as three; beyond that
 * NR_CANNOT says so. Fills x [parameters], covariance [parameters^2] and the sum of squares of the
 * channel rows. scale: sizes of typical changes. NR_CANNOT: no minimum. */
nr_code nr_blocks_solve(nr_joint *joint, const double *scale, nr_closeness close, size_t budget,
                        double *x, double *covariance, double *chi2_data, nr_err *err);

#endif
