/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the sun's energy went: the parts, for every picture that shows them. Used by plots/. */
#ifndef NR_PLOTS_ENERGY_H
#define NR_PLOTS_ENERGY_H

#include "analyze/fit/fit.h"
#include "plots/picture.h"

#include <stdbool.h>

/* From the bottom of a stack to its top. */
enum {
    NR_ENERGY_KEPT,
    NR_ENERGY_CONTAINER,
    NR_ENERGY_COLLECTOR,
    NR_ENERGY_WARMING,
    NR_ENERGY_OPTICAL,
    NR_ENERGY_PARTS
};

/* "collector's loss"; of a fit that cannot tell the losses apart, "both losses". */
const char *nr_energy_name(const nr_fit *fit, int part);
const char *nr_energy_colour(int part);
/* Whether the fit tells that part from the others. */
bool nr_energy_told(const nr_fit *fit, int part);

/* The parts of one block, W; they add up to the sun on the gross area. False: not known. */
bool nr_energy_parts(const nr_fit *fit, const nr_fit_run *run, size_t block,
                     double part[NR_ENERGY_PARTS]);

/* Shares of the sun on the gross area over all runs, none below 0, together 1. What is in the water
 * is the record's own, as everywhere; the others share the rest as the fitted model has it. False:
 * not known. */
bool nr_energy_shares(const nr_fit *fit, double share[NR_ENERGY_PARTS]);

/* "62 %, 2.55 MJ" */
void nr_energy_words(const nr_fit *fit, nr_units units, double share, char *text, size_t size);

/* energy_flow.c: the sun's width over box, pump and bucket, in that part of the canvas. */
void nr_draw_energy_flow(nr_picture *p, const nr_fit *fit, const double share[NR_ENERGY_PARTS],
                         const nr_box *box);

#endif
