/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bars of an uncertainty budget, for its own picture and as a part of others. */
#ifndef NR_PLOTS_BUDGET_H
#define NR_PLOTS_BUDGET_H

#include "plots/picture.h"

#define NR_BARS 9

typedef struct nr_bars {
    size_t count;
    char label[NR_BARS + 1][96];
    double share[NR_BARS + 1][2]; /* of the variance of eta0, of a1 */
} nr_bars;

/* The `most` (at most NR_BARS) items of the fit's budget that matter most to either result, largest
 * share of eta0 first, labels cut to so many characters; the rest is one last bar. */
nr_bars nr_budget_bars(const nr_fit *fit, size_t most, size_t letters);

/* One panel: shares of eta0 (0) or of a1 (1). named: the inputs' names on its left,
 * in letters of px. */
void nr_draw_budget(nr_picture *p, const nr_bars *bars, int which, const nr_box *box,
                    const char *heading, bool named, double px);

#endif
