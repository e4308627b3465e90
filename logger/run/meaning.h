/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Channels with a meaning: what the analyzer looks for by name.
 *
 * Other channels may be recorded; they are plotted but not used.
 */
#ifndef NR_RUN_MEANING_H
#define NR_RUN_MEANING_H

#include "logger/base/units.h"

#include <stdbool.h>
#include <stddef.h>

#define NR_MEANING_DIMENSIONS 3

typedef struct nr_meaning {
    const char *channel;                           /* "store" */
    nr_dimension dimension[NR_MEANING_DIMENSIONS]; /* accepted; NR_DIM_NONE fills up */
    bool own;         /* read at one collector; else all collectors of a record share it */
    const char *text; /* "water in the container, well mixed" */
} nr_meaning;

/* The table row by row; NULL behind the last. */
const nr_meaning *nr_meaning_at(size_t index);

/* NULL when the name has no meaning. */
const nr_meaning *nr_meaning_find(const char *channel);

bool nr_meaning_accepts(const nr_meaning *meaning, nr_dimension dimension);

/* "degC, degF, K" or "V, mV, A, ...": the units accepted, for error messages. */
void nr_meaning_units(const nr_meaning *meaning, char *out, size_t size);

/* Splits a column's name into channel and unit: "sun_W_m2" -> "sun", "W_m2". The longest known unit
 * wins; else what follows the last '_'. No '_': all is channel and unit is "". Both are cut to
 * size; false when they were. */
bool nr_column_split(const char *column, char *channel, char *unit, size_t size);

#endif
