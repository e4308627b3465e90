/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of `noonfit budget`: as text for people, as CSV for a spreadsheet (SI), as JSON. */
#ifndef NR_SHOW_BUDGET_H
#define NR_SHOW_BUDGET_H

#include "analyze/fit/budget.h"
#include "analyze/tell/display.h"

#include <stdio.h>

/* check: the Monte Carlo of eta0 and a1; NULL or without trials: not asked for. */
void nr_show_budget(FILE *to, const nr_gum_budget *budget, size_t count,
                    const nr_monte_carlo *check, nr_units units);
nr_code nr_json_budget(FILE *to, const nr_gum_budget *budget, size_t count,
                       const nr_monte_carlo *check, nr_err *err);

/* RFC 4180; one row an input and one for the result, the number of columns always the same. Empty:
 * does not apply; degrees of freedom "inf": exact. Trouble of `to` is the caller's to look for. */
void nr_csv_budget(FILE *to, const nr_gum_budget *budget, size_t count);

#endif
