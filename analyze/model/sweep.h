/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the simulation: one step along the collector's tube, without tangents. */
#ifndef NR_MODEL_SWEEP_H
#define NR_MODEL_SWEEP_H

#include "analyze/model/loop.h"

#include <stdbool.h>

/* The loss over what lies inside the cover, and outside of it. */
#define NR_BY_INSIDE (1 / (1 - NR_COVER_SHARE))
#define NR_BY_OUTSIDE (1 / NR_COVER_SHARE)

/* One step's weather, corrected for the sensors' errors. */
typedef struct nr_weather {
    double sun; /* true, times the incidence modifier */
    double air;
    double flow_W_K; /* true */
    double drive;    /* ln of what the flow follows */
    double wind;     /* above the mean */
    double modifier, raw_sun, obliquity;
    double by_gain, by_fade; /* what the reading is multiplied by: gain and fade of its sensor */
    double windy;            /* factor of the wind on the gain */
    double dried;            /* for so many of its drying times; */
    double wet;              /* what is left of the dew; */
    double dry;              /* its factor on the gain */
    double on_air;           /* recorded irradiance, 1000 W/m2 */
    double when;             /* -0.5 at the first step, 0.5 at the last */
    double trend;            /* factor of the loss */
    double sky;              /* net long-wave exchange, W/m2 */
    bool has_sky;
    double power; /* on the absorber: of the sun and the sky, W/m2 */
} nr_weather;

/* The constants of one segment's system that do not change along the tube, W/K. */
typedef struct nr_segment {
    double area; /* m2 */
    double c_dt; /* absorber capacity / step */
    double k_dt; /* cover capacity / step */
    double f_dt; /* fluid capacity / step */
    double exchange;
    /* of the board behind: what couples it, its capacity / step as seen from the absorber, what of
     * it answers within a step, and how gap and heat act (d ln coupling / d ln gap, ...) */
    double back, b_dt, behind, gap_to_back, gap_to_heat;
    double by_back; /* 1 / (back + b_dt); 0: no board */
} nr_segment;

/* All segments in one step: 0 before, without a digit after. The cover is eliminated first,
 * c = (k c0 + in a + out Ta) / sum, then the absorber, a = alpha + share f, then the fluid. Only
 * the fluid goes from one to the next: all else is done side by side. It is divisions that a
 * simulation waits for, so each divisor is inverted once. */
typedef struct nr_tube {
    double a0[NR_SEGMENTS], c0[NR_SEGMENTS], f0[NR_SEGMENTS], b0[NR_SEGMENTS];
    double a[NR_SEGMENTS], c[NR_SEGMENTS], f[NR_SEGMENTS], b[NR_SEGMENTS];
    double before[NR_SEGMENTS]; /* what enters each, degC */
    /* of the way to the air, W/K */
    double loss[NR_SEGMENTS], in[NR_SEGMENTS], out[NR_SEGMENTS], sum[NR_SEGMENTS];
    double by_sum[NR_SEGMENTS], by_diag[NR_SEGMENTS], by_pivot[NR_SEGMENTS]; /* 1 / each */
    double share[NR_SEGMENTS], alpha[NR_SEGMENTS];
} nr_tube;

nr_segment nr_segment_of(const nr_loop_params *p, double step_s);

/* a0, c0, f0 and b0 are given; inlet: the water that enters, degC. */
void nr_tube_solve(nr_tube *x, const nr_segment *g, const nr_loop_params *p, const nr_weather *w,
                   double inlet);

#endif
