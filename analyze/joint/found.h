/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What searches from several beginnings found: the best is kept instead of being searched again,
 * and where one comes down where another did before, it need not go on. */
#ifndef NR_JOINT_FOUND_H
#define NR_JOINT_FOUND_H

#include "analyze/joint/inside.h"

typedef struct nr_found nr_found;

/* NULL: out of memory. */
nr_found *nr_found_new(const nr_joint *joint);
void nr_found_free(nr_found *found);

/* The estimate's parameters after a search under the first noise. True: another came down within
 * `near` standard uncertainties (of the covariance as it is) of each; else they are remembered. */
bool nr_found_landed(nr_found *found, const nr_joint *joint, double near);

/* The whole solution, instead of the one kept before; and back into the estimate, whose whiteners
 * are to be set from its noise then. */
void nr_found_keep(nr_found *found, const nr_joint *joint);
void nr_found_take(const nr_found *found, nr_joint *joint);

#endif
