/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A cooling container as a picture. */
#ifndef NR_PLOTS_COOLDOWN_H
#define NR_PLOTS_COOLDOWN_H

#include "analyze/cooldown/cooldown.h"
#include "plots/plots.h"

/* Water measured and fitted, the air, and what is left of the readings. */
nr_code nr_plot_cooldown(const nr_cooldown *cooldown, const char *path, const nr_plot_style *style,
                         nr_err *err);

#endif
