/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The picture of more than two builds. Used by plots/ only. */
#ifndef NR_PLOTS_COMPARE_RANKING_H
#define NR_PLOTS_COMPARE_RANKING_H

#include "plots/picture.h"

/* All of the canvas below the subtitle. */
void nr_draw_compare_ranking(nr_picture *p, const nr_compare *compare);

#endif
