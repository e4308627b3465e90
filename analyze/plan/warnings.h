/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What to know before trusting a plan. */
#ifndef NR_PLAN_WARNINGS_H
#define NR_PLAN_WARNINGS_H

#include "analyze/plan/plan.h"

/* Fills warnings of a plan that has its numbers. */
void nr_plan_warn(nr_plan *plan, const nr_rig *rig);

#endif
