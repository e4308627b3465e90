/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Units as people and programs write them: "°F", "deg C", "W/m²", "W/m^2", "GPM", "km/h". */
#ifndef NR_IMPORT_UNIT_WORDS_H
#define NR_IMPORT_UNIT_WORDS_H

#include "logger/base/units.h"

#include <stdbool.h>
#include <stddef.h>

typedef enum nr_measure {
    NR_MEASURE_NONE,  /* no unit is stated */
    NR_MEASURE_UNIT,  /* `unit`, of the table of base/units.h */
    NR_MEASURE_RAW,   /* ohms, counts: for a sensor's law only */
    NR_MEASURE_TIME,  /* `time_s` */
    NR_MEASURE_CLOCK, /* a way to write a time of day or a duration: hh:mm, h:mm:ss, mm:ss */
    NR_MEASURE_OTHER  /* a unit that no channel of a rig has: hPa, mm, lux */
} nr_measure;

typedef struct nr_stated_unit {
    nr_measure measure;
    const nr_unit *unit;
    double time_s;      /* seconds that one is */
    bool minutes_first; /* NR_MEASURE_CLOCK: mm:ss */
    const char *word;   /* as this table writes it; "" for none */
} nr_stated_unit;

/* A unit and nothing else (blanks around it aside), folded (fold.h). NR_MEASURE_NONE: it is
 * none. */
nr_stated_unit nr_unit_of_words(const char *folded);

/* A table's head: what stands before, behind or around its unit becomes `name` (folded; may be
 * empty), and the unit is taken from brackets, from behind the last '_', '/', ',' or blank. */
nr_stated_unit nr_unit_of_head(const char *head, char *name, size_t size);

#endif
