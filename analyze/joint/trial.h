/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Records as they might have been, were the fitted values the truth: for Monte Carlo (JCGM 101). */
#ifndef NR_JOINT_TRIAL_H
#define NR_JOINT_TRIAL_H

#include "analyze/joint/joint.h"

#include <gsl/gsl_rng.h>

typedef struct nr_trials nr_trials;

/* The same solved estimate once more, to be moved by itself. NULL: out of memory. Free with
 * nr_joint_free. */
nr_joint *nr_joint_copy(const nr_joint *joint);

/* Of a solved estimate. NULL: out of memory. */
nr_trials *nr_trials_begin(nr_joint *joint);

/* Draws noise and the errors of all stated inputs and fits once more; the estimate then holds this
 * trial's solution. */
nr_code nr_trials_next(nr_trials *trials, gsl_rng *rng, nr_err *err);

/* Puts the estimate back as it was and frees. */
void nr_trials_end(nr_trials *trials);

#endif
