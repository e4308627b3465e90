/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Instruments by kind: what a reading is worth when a person can say what it was read with, but has
 * no numbers for it (key `kind` of a channel).
 *
 * A "plus or minus L" of a maker or a standard is taken as a rectangular distribution, u =
 * L/sqrt(3) (JCGM 100:2008, 4.3.7). Each row names its source or says that it has none.
 */
#ifndef NR_RUN_INSTRUMENT_H
#define NR_RUN_INSTRUMENT_H

#include "logger/base/units.h"

#include <stddef.h>

typedef struct nr_instrument_kind {
    const char *name; /* word of the key; the same word may stand for several dimensions */
    nr_dimension dimension;
    double u_offset;   /* canonical unit; NAN: nothing is said */
    double u_gain;     /* relative; NAN: nothing is said */
    double resolution; /* canonical unit; NAN: nothing is said */
    double lag_s;
    double u_drift;   /* of temperatures, K from a record's first reading to its last; NAN: nothing
                         is said */
    const char *text; /* what it is, for people */
    const char *source; /* of the numbers */
} nr_instrument_kind;

/* The table row by row; NULL behind the last. */
const nr_instrument_kind *nr_instrument_at(size_t index);

/* NULL when there is no such instrument for the dimension. NR_DIM_NONE: of any dimension. */
const nr_instrument_kind *nr_instrument_find(const char *name, nr_dimension dimension);

/* The words for one dimension, comma separated; NR_DIM_NONE: all, each once. */
void nr_instrument_names(nr_dimension dimension, char *out, size_t size);

/* All words, for texts that have to be literals; a test holds it against the table. */
#define NR_INSTRUMENT_LIST                                                                         \
    "glass, kitchen, oven, infrared, one-wire, thermistor, platinum, thermocouple, station, "      \
    "pyranometer, cell, lux, turbine, bucket, float, cup, hygrometer"

#endif
