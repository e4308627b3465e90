/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Instruments: true value in, reading out. */
#ifndef NR_VIRTUAL_INSTRUMENT_H
#define NR_VIRTUAL_INSTRUMENT_H

#include "sample-runs/rig/virtual.h"

#include <gsl/gsl_rng.h>

typedef struct nr_instrument {
    double offset, gain, lag_s, noise, step;
    double drift_s, age_s; /* change of the offset, 1/s; since the middle of the test, s */
    double felt; /* the sensor's own temperature (or whatever it measures), after its lag */
    gsl_rng *rng;
} nr_instrument;

/* The identity a channel's sensor has in these params; out holds NR_NAME. */
void nr_instrument_identity(const nr_virtual_params *p, nr_virtual_channel channel,
                            char out[NR_NAME]);

/* Starts settled at `truth`. False when out of memory. Close in any case. */
bool nr_instrument_open(nr_instrument *s, const nr_virtual_params *p, nr_virtual_channel channel,
                        double truth);
void nr_instrument_close(nr_instrument *s);

/* dt_s passes while the true value is `truth`. */
void nr_instrument_feel(nr_instrument *s, double truth, double dt_s);

/* A sample now. */
double nr_instrument_read(nr_instrument *s);

#endif
