/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The stages of nr_series_build; only series.c calls them. */
#ifndef NR_SERIES_INSIDE_H
#define NR_SERIES_INSIDE_H

#include "analyze/series/series.h"

/* A stretch of the record on one grid of steps, before it is cut into parts. NAN: nothing known. */
typedef struct nr_grid {
    size_t first, end; /* rows first .. end - 1 */
    size_t steps;
    double start_s;          /* elapsed_s at the first step */
    double *value[NR_ROLES]; /* [steps] step means; NULL when not recorded */
    unsigned char *pump;     /* [steps] nr_pump_state */
    double *running;         /* [steps] share of the step in which the pump was not off, 0..1 */
    double *drive;           /* [steps] see nr_grid_drive; NULL: none */
    double *inlet, *outlet;  /* [steps] readings that drive: bridged, smoothed, without their lag */
    double *sky;             /* [steps] net long-wave exchange, W/m2; NULL: not of this collector */
    float (*weight[NR_OUTS])[2];
} nr_grid;

/* Step means of every meaningful channel, rows first .. end - 1. */
nr_code nr_grid_build(const nr_quality *quality, const nr_run *run, double step_s, size_t first,
                      size_t end, nr_grid *grid, nr_err *err);

/* Weights of the states at both ends of each of `steps` steps from first_step, so that a block's
 * mean is taken at the times of the channel's good readings (model/loop.h). False: out of memory.
 */
bool nr_grid_weights(const nr_quality *quality, const nr_run *run, nr_role role, double step_s,
                     size_t per_block, const nr_grid *grid, size_t first_step, size_t steps,
                     float (**out)[2]);

/* Takes a sensor's time constant out: value + lag * slope. False: out of memory. */
bool nr_grid_unlag(double *value, size_t steps, double step_s, double lag_s);
void nr_grid_free(nr_grid *grid);

/* Fills holes of at most limit_s by straight lines (ends: the nearest value); holes of up to far_s,
 * too, where both sides are alike, relative: then hardly anything happened that is missed. Returns
 * the number of steps filled. */
size_t nr_grid_bridge(double *value, size_t steps, double step_s, double limit_s, double far_s,
                      double alike);

/* Averages each value with its neighbours up to `reach` steps away, as long as they are within
 * four noise standard deviations of it, so that noise goes and steps stay (the sigma filter,
 * J.-S. Lee, Computer Vision, Graphics, and Image Processing 24 (1983) 255-269, in one dimension).
 * noise INFINITY: a plain moving average. A zero (a standing pump) stays zero unless noise is
 * INFINITY; holes stay and are not reached across. False when out of memory. */
bool nr_grid_smooth(double *value, size_t steps, double noise, size_t reach);

/* Calm stretches: where all readings within `reach` steps of one lie along a straight line but for
 * their noise, value[] becomes the mean of them and of as many more, twice as many each time up to
 * `farthest` steps to both sides, as continue it within the noise of means. raw, value [steps]: as
 * read, and as nr_grid_smooth made of it; noise: of a step's value; each: readings a step, below 1
 * where values between them are bridged. Where a zero stands (a pump), at holes and ends nothing
 * changes. False when out of memory. calm.c */
bool nr_grid_calm(const double *raw, double *value, size_t steps, double noise, double each,
                  size_t reach, size_t farthest);

/* Readings of the sun that come seldom, under clouds: between two of them value[], bridged by
 * straight lines, becomes what is to be expected there of a quantity that wanders about its course
 * and forgets (unseen.h). A straight line goes on with a cloud for minutes after it has passed:
 * noise of what drives, which draws gain and loss to the middle of what was seen (errors in the
 * variables); what is expected errs, too, but its errors do not go with it (J. Berkson, Journal of
 * the American Statistical Association 45 (1950) 164-180). Between readings at the distances u and
 * v, of a process with the covariance exp(-t / tau), their departures from the course count with
 * sinh(v / tau) / sinh((u + v) / tau) and the same of u: a straight line for a long memory. raw
 * [steps]: NAN between readings. False: out of memory. forgets.c */
bool nr_grid_forget(const double *raw, double *value, size_t steps, double step_s,
                    double interval_s);

/* Ln of the pump's drive over its typical value, step by step [steps], malloc'd: of its supply
 * where that was recorded (s->drive says which), else of the irradiance. NULL where it hardly
 * changes, or out of memory. */
double *nr_grid_drive(nr_series *series, const nr_grid *grid);

/* drivers.c: prepares what drives the model, all of [steps] of the grid: bridged, smoothed, lags
 * taken out; inlet and outlet where they drive; the sky. False: out of memory. */
bool nr_grid_prepare(nr_series *series, nr_grid *grid);

/* Whether readings of inlet, outlet and flow are there to drive the model. */
bool nr_series_can_drive(const nr_quality *quality);

/* Longest time between rows that is this record's way (readings by hand, in bunches), s; at least
 * the median. */
double nr_series_usual_s(const nr_quality *quality);

/* doubts.c: fills air_sun_K to other_plane_drift. */
void nr_series_doubts(nr_series *series);

/* Fills part->obliquity and the series' incidence from site, tilt, azimuth and clock; leaves them
 * unknown when the rig does not say, or doubtful when sun and clock contradict each other. */
nr_code nr_series_angles(nr_series *series, nr_err *err);

#endif
