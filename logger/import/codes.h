/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers by which loggers say that there is no reading: 888.8, -999.9, -9999, 32767.
 *
 * A number of such a shape is taken for a code by evidence only: it cannot be in its column's
 * quantity, or another column has it as one, or it comes again and again, alike to the last figure,
 * far from what stands beside it. 888.8 W/m2 between 880 and 895 is a reading.
 */
#ifndef NR_IMPORT_CODES_H
#define NR_IMPORT_CODES_H

#include "logger/base/units.h"

#include <stdbool.h>
#include <stddef.h>

#define NR_CODES 16

/* Codes that are certain, of the whole table. Zero to begin with. */
typedef struct nr_codes {
    size_t count;
    double code[NR_CODES];
} nr_codes;

/* Collects what cannot be a reading. value[rows] as in the table, NAN where there is none; unit:
 * what they are in, NULL: unknown. */
void nr_codes_look(nr_codes *codes, const double *value, size_t rows, const nr_unit *unit);

/* Writes NAN over the codes among value[rows]; returns how many, and one of them in *example. */
size_t nr_codes_drop(const nr_codes *codes, double *value, size_t rows, const nr_unit *unit,
                     double *example);

#endif
