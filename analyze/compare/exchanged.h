/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sensors that changed places: what one gets wrong is then in both builds' means alike, and the
 * joint estimate, in which an error belongs to its sensor, loses it in their difference. */
#ifndef NR_COMPARE_EXCHANGED_H
#define NR_COMPARE_EXCHANGED_H

#include "analyze/compare/compare.h"
#include "analyze/joint/joint.h"

/* Fills compare->exchanged: the channels (by their meaning) for which two builds had the same two
 * or more sensors, each in other records, and never one at the same time. */
void nr_exchanged_find(const nr_joint *joint, nr_compare *compare);

#endif
