/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of `noonfit season` as a calendar. */
#ifndef NR_PLOTS_SEASON_H
#define NR_PLOTS_SEASON_H

#include "analyze/season/season.h"
#include "plots/plots.h"

/* A calendar: a row a month, a cell a day, the fuller the surer that the target is reached; the
 * months' sums beside it. */
nr_code nr_plot_season(const nr_season *season, const char *path, const nr_plot_style *style,
                       nr_err *err);

#endif
