/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the sun's energy went: the parts, for every picture that shows them. Used by plots/. */
#ifndef NR_PLOTS_ENERGY_H
#define NR_PLOTS_ENERGY_H

#include "analyze/fit/fit.h"

#include <stdbool.h>

/* The first is what is kept in the water. */
#define NR_ENERGY_PARTS 5

const char *nr_energy_name(int part);
const char *nr_energy_colour(int part);

/* Shares of the sun on the gross area over all runs, none below 0, together 1. False: not known. */
bool nr_energy_shares(const nr_fit *fit, double share[NR_ENERGY_PARTS]);

#endif
