/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Clouds that no sensor of the sun has seen, by whatever else reacts to them.
 *
 * Against a cloudless sky's irradiance each of these goes slowly, and under a cloud it drops within
 * minutes: what the loop carries, the box over the air, the store's rise, a pump's supply on a
 * panel. Each is taken over its clear-sky irradiance in means of some minutes; through its upper
 * readings goes a parabola in time, and what lies well below it, by its own scatter, is a cloud,
 * where nothing but the sun can be the cause, or a cloud or a pump that stood. Arrays in, a mask
 * out.
 */
#ifndef NR_PLANE_CLOUDS_H
#define NR_PLANE_CLOUDS_H

#include <stdbool.h>
#include <stddef.h>

typedef struct nr_cloud_signs {
    size_t rows;
    const double *elapsed_s, *clear_W_m2;             /* [rows]; ascending */
    const double *store, *inlet, *outlet, *box, *air; /* [rows], degC; NULL: not recorded */
    const double *flow, *pump;                        /* [rows]; NULL: not recorded */
    double store_step_K;                              /* of the store's readings; 0 not known */
} nr_cloud_signs;

typedef struct nr_clouds {
    double seen_s;   /* of the sunny time in which anything could be seen */
    double cloud_s;  /* of that under clouds */
    double unsure_s; /* of that under a cloud or with a pump that stood: the record cannot tell */
    double first_s;  /* elapsed, of the first of either; NAN: none */
} nr_clouds;

/* mask[rows] is set where the irradiance is not a cloudless sky's, with some minutes around. False:
 * out of memory. */
bool nr_cloud_mask(const nr_cloud_signs *signs, bool *mask, nr_clouds *out);

#endif
