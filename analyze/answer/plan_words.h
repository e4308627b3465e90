/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sentences of a plan. */
#ifndef NR_ANSWER_PLAN_WORDS_H
#define NR_ANSWER_PLAN_WORDS_H

#include "analyze/answer/plan.h"

/* Fills sentence, limits and warnings of a plan that has its numbers. */
void nr_plan_write(nr_plan *plan, const nr_rig *rig);

#endif
