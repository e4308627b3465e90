/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The cautions an answer carries, only where they apply. */
#ifndef NR_FIT_SAFETY_H
#define NR_FIT_SAFETY_H

#include "analyze/fit/fit.h"

/* Scalding (with the time to a burn and its source), boiling and lukewarm standing water, for water
 * that ends at value degC and may end at hi95. */
void nr_safety_water(nr_warnings *cautions, const nr_quantity *degC);

/* Stagnation, as "at least", when it is hot enough to matter. */
void nr_safety_stagnation(nr_warnings *cautions, const nr_fit *fit);

/* The box got hot while nothing flowed: never close the loop at both ends. */
void nr_safety_closed_loop(nr_warnings *cautions, const nr_run *run);

#endif
