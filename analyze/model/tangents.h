/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the simulation: derivatives of the tube's temperatures, one step at a time. */
#ifndef NR_MODEL_TANGENTS_H
#define NR_MODEL_TANGENTS_H

#include "analyze/model/sweep.h"

/* Tangents are carried only of parameters that have a part in this input, packed: at[parameter] is
 * the place, NR_SPARE for the others. Those that act on the collector come first. */
#define NR_SPARE (NR_DYN_COUNT - 1)
typedef struct nr_places {
    int at[NR_DYN_COUNT];
    int collector, all; /* how many are carried along the tube, and everywhere; by fours */
} nr_places;

/* Of one segment, by place. */
typedef struct nr_of_segment {
    double absorber[NR_DYN_COUNT], cover[NR_DYN_COUNT], fluid[NR_DYN_COUNT], back[NR_DYN_COUNT];
} nr_of_segment;

/* d: of the temperatures. more: what a parameter adds to each balance in a step, W per unit, beside
 * what it did before; of_sun: the same for all absorbers. Begins as zeros, and a place that nothing
 * is added to stays zero. */
typedef struct nr_tube_tangents {
    nr_of_segment d[NR_SEGMENTS], more[NR_SEGMENTS];
    double of_sun[NR_DYN_COUNT];
} nr_tube_tangents;

/* The same elimination as nr_tube_solve, with each parameter's own right-hand side. d_inlet
 * [places]: of the water that enters. */
void nr_tube_tangents_step(nr_tube_tangents *t, const nr_places *of, const nr_tube *x,
                           const nr_segment *g, const nr_loop_params *p, const nr_weather *w,
                           const double *d_inlet);

#endif
