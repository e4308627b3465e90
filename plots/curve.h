/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Efficiency curves: one with its points beside a fit, several in a comparison. Used by plots/. */
#ifndef NR_PLOTS_CURVE_H
#define NR_PLOTS_CURVE_H

#include "plots/picture.h"

/* The curve panel of the fit picture, with the numbers below it. */
void nr_draw_fit_curve(nr_picture *p, const nr_fit *fit);

/* The curves panel of a comparison, with crossing points. */
void nr_draw_compare_curves(nr_picture *p, const nr_compare *c, const nr_box *box);

#endif
