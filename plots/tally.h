/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Before and after as a picture. */
#ifndef NR_PLOTS_TALLY_H
#define NR_PLOTS_TALLY_H

#include "analyze/tally/tally.h"
#include "plots/plots.h"

/* The sun on the collector against the heat in the water with its interval; what limits the answer;
 * in words, what it cannot tell and what three more readings would. */
nr_code nr_plot_tally(const nr_tally *tally, const char *path, const nr_plot_style *style,
                      nr_err *err);

#endif
