/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Newton's cooling fitted to means of readings. Arrays in, numbers out. */
#ifndef NR_COOLDOWN_CURVE_H
#define NR_COOLDOWN_CURVE_H

#include "logger/base/err.h"

#include <stddef.h>

typedef struct nr_cool_curve {
    size_t n;                  /* means, in cells of equal length; without a reading: left out */
    double *t, *reading, *air; /* [n] elapsed s, degC; air at the same times */
    double *fitted;            /* [n] degC */
    unsigned char *used_block; /* [cells] which cells of the grid hold one */
    size_t cells, used;        /* used: readings behind the means */
    double block_s, resolution_K;
    /* nr_cool_curve_fit */
    double rate;                        /* UA/C, 1/s */
    double u_rate_noise, u_rate_probes; /* from the readings' noise; from the thermometers */
    double degrees;                     /* of freedom of the noise */
    double rms_K;
    double jump_z, jump_K, jump_at_s; /* the largest that the water made between two means */
} nr_cool_curve;

/* elapsed_s[rows] ascending; store and air with NAN where there is none. resolution_K: of the
 * store's readings, NAN unknown. NR_CANNOT where fewer than three means come of it. Free with
 * nr_cool_curve_free. */
nr_code nr_cool_curve_make(const double *elapsed_s, const double *store, const double *air,
                           size_t rows, double resolution_K, nr_cool_curve *out, nr_err *err);

/* u_probes_K: standard uncertainty of what store and air thermometer differ by. NR_CANNOT where it
 * finds no curve. */
nr_code nr_cool_curve_fit(nr_cool_curve *curve, double u_probes_K, nr_err *err);

void nr_cool_curve_free(nr_cool_curve *curve);

#endif
