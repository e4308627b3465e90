/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Incidence angle modifier of flat glazing: K = 1 - b0 (1/cos(theta) - 1), never below 0. */
#ifndef NR_PHYSICS_IAM_H
#define NR_PHYSICS_IAM_H

#include <stdbool.h>

/* b0 when rig.ini gives none, by the number of covers: one flat pane 0.1, two 0.17 (Duffie and
 * Beckman, from memory), none 0. */
double nr_iam_default_b0(int covers);

/* Past this angle certified data and the form part company (70 degrees and more). */
#define NR_IAM_TRUSTED_DEG 60.0

#endif
