/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The inside of nr_score_parts: products of signatures, from which any sum of them is scored. */
#ifndef NR_JOINT_SCORE_PARTS_H
#define NR_JOINT_SCORE_PARTS_H

#include "analyze/joint/score.h"

struct nr_score_parts {
    size_t count;
    double *self, *own; /* [count * count] products of two */
    double *with;       /* [count] */
};

/* self: a signature's square; own: what of it nothing else can imitate; with: its product with what
 * is left over. */
nr_score nr_score_from(double self, double own, double with);

#endif
