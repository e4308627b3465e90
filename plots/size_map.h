/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The day of a sizing as one map: area against water. Used by size.c. */
#ifndef NR_PLOTS_SIZE_MAP_H
#define NR_PLOTS_SIZE_MAP_H

#include "plots/picture.h"

/* Below the lower line the target is surely reached, between the two more likely than not; what was
 * asked about stands on the map, and how far it is to the lines either way. */
void nr_draw_size_map(nr_picture *p, const nr_size *z, const nr_box *box);

#endif
