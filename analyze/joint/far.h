/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is far beyond the usual, and happens all the same: a container that leaks, water as open as
 * a trough in the wind, a mass of water that is not the one stated.
 *
 * Allowed for in every record, a tenth of the water gone would cost every good one what its
 * container knows of the flow meter; allowed for in none, a leak is read as a wrong flow meter, and
 * bends the collector's gain. So the record is asked (nr_joint_far). From a first solution the
 * likelihood of the term alone follows (posterior over prior, both normal); by the chance that this
 * is a far one (estimate/mixture.h) the prior is wider when all is solved again. */
#ifndef NR_JOINT_FAR_H
#define NR_JOINT_FAR_H

#include "analyze/joint/joint.h"

/* Options [build] and of its runs, for an estimate of that build alone: build 0, run[k] the run of
 * the whole that is the kth of the runs. */
void nr_far_options_of(const nr_joint_options *whole, size_t build, const size_t *run, size_t runs,
                       nr_joint_options *alone);

#endif
