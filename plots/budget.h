/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bars of an uncertainty budget, for its own picture and as a part of others. */
#ifndef NR_PLOTS_BUDGET_H
#define NR_PLOTS_BUDGET_H

#include "plots/bar_rows.h"

#define NR_BARS 9

typedef struct nr_bars {
    size_t count;
    char label[NR_BARS + 1][96];
    const char *action[NR_BARS + 1]; /* what would help, or "" */
    double share[NR_BARS + 1][2];    /* of the variance of eta0, of a1 */
} nr_bars;

/* The `most` (at most NR_BARS) items of the fit's budget that matter most to either result, largest
 * share of eta0 first; the rest is one last bar. */
nr_bars nr_budget_bars(const nr_fit *fit, size_t most);

/* The same as rows: each item's part of the half-widths `half`, which add up as the roots of their
 * squares. Returns how many. */
size_t nr_budget_rows(const nr_bars *bars, const double half[2], nr_bar_row *row, size_t most);

#endif
