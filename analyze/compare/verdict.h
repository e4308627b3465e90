/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who is better, and what would settle it. */
#ifndef NR_COMPARE_VERDICT_H
#define NR_COMPARE_VERDICT_H

#include "analyze/compare/compare.h"

/* Fills compare->verdict from the results that are already in it. */
void nr_verdict_judge(nr_compare *compare);

#endif
