/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers as tables of several countries write them: 1234.5, 1.234,5, 1'234.5, 1 234,5, 68.2 °F. */
#ifndef NR_IMPORT_NUMBER_H
#define NR_IMPORT_NUMBER_H

#include "logger/import/unit_words.h"

#include <stdbool.h>
#include <stddef.h>

/* A finite number in a cell, with an optional unit behind it. decimal: '.' or ','; the other one,
 * an apostrophe or a blank may part thousands. unit may be NULL. False: it is no number (text, a
 * time, empty). */
bool nr_number_of(const char *cell, char decimal, double *value, nr_stated_unit *unit);

/* What cells say about the decimal sign. Zero to begin with. */
typedef struct nr_decimal_evidence {
    size_t point, comma;           /* cells that can be read in one way only */
    size_t open_point, open_comma; /* "1.234", "1,234": three figures behind the only sign */
    size_t whole;                  /* figures without a sign */
} nr_decimal_evidence;

void nr_decimal_look(nr_decimal_evidence *evidence, const char *cell);

#endif
