/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The usual cautions, as data and as sentences.
 *
 * Nothing here makes a rig safe; local codes and licensed practice decide. Temperatures degC.
 */
#ifndef NR_PHYSICS_CAUTIONS_H
#define NR_PHYSICS_CAUTIONS_H

#include <stdbool.h>
#include <stddef.h>

/* Time of contact to a serious scald of adult skin, as in the US Consumer Product Safety
 * Commission's tap-water sheet and the burn-prevention tables that repeat it (the curve behind
 * them: Moritz and Henriques 1947). Children and the old burn faster. Where the tables give a range
 * the shorter time stands here. */
typedef struct nr_scald_row {
    double degC, degF, seconds;
} nr_scald_row;

#define NR_SCALD_ROWS 6
extern const nr_scald_row nr_scald_table[NR_SCALD_ROWS]; /* rising temperature */

/* From here up the programs caution: the usual limit at a tap, 120 degF. */
#define NR_SCALD_FROM_DEGC 48.8

/* Seconds to a serious scald, between the rows by the logarithm; INFINITY below
 * NR_SCALD_FROM_DEGC, the last row's time above it. */
double nr_scald_seconds(double degC);

/* Legionella in standing water (WHO and health agencies): grows between these, fastest in the
 * inner pair; stored hot water wants 60 degC, 50 at the tap, mixed down against scalding. */
#define NR_LEGIONELLA_LOW_DEGC 20.0
#define NR_LEGIONELLA_HIGH_DEGC 45.0
#define NR_LEGIONELLA_FAST_LOW_DEGC 32.0
#define NR_LEGIONELLA_FAST_HIGH_DEGC 42.0

/* Each writes one sentence (no line break) about water of a temperature and returns true, or
 * returns false with *out empty when the caution does not apply. fahrenheit: units of the text. */
bool nr_caution_scald(double degC, bool fahrenheit, char *out, size_t size);
bool nr_caution_legionella(double degC, bool fahrenheit, char *out, size_t size);

/* Cautions that always hold. */
typedef enum nr_caution {
    NR_CAUTION_STAGNATION,
    NR_CAUTION_CLOSED_LOOP,
    NR_CAUTION_POTABLE,
    NR_CAUTION_ELECTRIC,
    NR_CAUTION_CODES,
    NR_CAUTIONS
} nr_caution;

/* One or two sentences; NULL for a number that is no caution. */
const char *nr_caution_text(nr_caution which);

#endif
