/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An uncertainty budget in words. */
#ifndef NR_TELL_BUDGET_H
#define NR_TELL_BUDGET_H

#include "analyze/fit/budget.h"
#include "analyze/tell/display.h"

/* The result, its u, degrees of freedom, k and U. kind: what the result is shown as. */
void nr_tell_budget(char *text, size_t size, const nr_gum_budget *budget, nr_shown kind,
                    nr_units units);
/* What the columns of the table are. */
void nr_tell_budget_columns(char *text, size_t size);
/* The Monte Carlo beside it; empty where it did not look at that result. */
void nr_tell_budget_check(char *text, size_t size, const nr_gum_budget *budget,
                          const nr_monte_carlo *check, nr_shown kind, nr_units units);

#endif
