/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The stages of nr_series_build; only series.c calls them. */
#ifndef NR_SERIES_PARTS_H
#define NR_SERIES_PARTS_H

#include "analyze/series/series.h"

/* The whole record on one grid of steps, before it is cut into parts. NAN: nothing known. */
typedef struct nr_grid {
    size_t steps;
    double start_s; /* elapsed_s at the first step */
    double *value[NR_ROLES]; /* [steps] step means; NULL when not recorded */
    unsigned char *pump;     /* [steps] nr_pump_state */
    double *running;         /* [steps] share of the step in which the pump was not off, 0..1 */
    double *drive;           /* [steps] see nr_grid_drive; NULL: none */
} nr_grid;

/* Step means of every meaningful channel. */
nr_code nr_grid_build(const nr_quality *quality, const nr_run *run, double step_s, nr_grid *grid,
                      nr_err *err);
void nr_grid_free(nr_grid *grid);

/* Fills holes of at most limit_s by straight lines (ends: the nearest value). Returns the number
 * of steps filled. */
size_t nr_grid_bridge(double *value, size_t steps, double step_s, double limit_s);

/* Averages each value with its neighbours up to `reach` steps away, as long as they are within
 * four noise standard deviations of it, so that noise goes and steps stay (the sigma filter,
 * J.-S. Lee, Computer Vision, Graphics, and Image Processing 24 (1983) 255-269, in one dimension).
 * noise INFINITY: a plain moving average. A zero (a standing pump) stays zero unless noise is
 * INFINITY; holes stay and are not reached across. False when out of memory. */
bool nr_grid_smooth(double *value, size_t steps, double noise, size_t reach);

/* Fills the grid's irradiance from the clear-sky model (analyze/physics/clearsky.h) for the rig's
 * site and plane. NR_CANNOT when the rig does not say where it stands or which way it faces. */
nr_code nr_grid_clear_sky(const nr_run *run, double step_s, nr_grid *grid, nr_err *err);

/* Ln of the pump's drive over its typical value, step by step [steps], malloc'd: of its supply
 * where that was recorded (s->drive says which), else of the irradiance. NULL where it hardly
 * changes, or out of memory. */
double *nr_grid_drive(nr_series *series, const nr_grid *grid);

/* Fills part->obliquity and the series' incidence from site, tilt, azimuth and clock; leaves them
 * unknown when the rig does not say, or doubtful when sun and clock contradict each other. */
nr_code nr_series_angles(nr_series *series, nr_err *err);

#endif
