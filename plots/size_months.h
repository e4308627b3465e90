/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The year of a sizing: its twelve clear days. Used by size.c. */
#ifndef NR_PLOTS_SIZE_MONTHS_H
#define NR_PLOTS_SIZE_MONTHS_H

#include "plots/picture.h"

/* A bar a month from the start to the warmest, and a table below them. */
void nr_draw_months(nr_picture *p, const nr_size *z);

#endif
