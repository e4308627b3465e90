/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a solution allows for that its residuals do not show: it turns or lifts the curve as the
 * model's own error does, whose prior and posterior are widened. */
#ifndef NR_JOINT_ALLOW_H
#define NR_JOINT_ALLOW_H

#include "analyze/joint/inside.h"

/* Stops of a pump that nothing tells of; fills hidden_K. */
void nr_joint_allow_for_hidden_stops(nr_joint *joint);

/* The sun between its readings, where no fitted outlet shows it. */
void nr_joint_allow_for_unseen_sun(nr_joint *joint);

#endif
