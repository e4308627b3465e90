/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The one or two plain sentences of a comparison. */
#ifndef NR_ANSWER_VERDICT_H
#define NR_ANSWER_VERDICT_H

#include "analyze/answer/compare.h"

/* Writes compare->verdict from the results that are already in it. */
void nr_verdict_write(nr_compare *compare);

#endif
