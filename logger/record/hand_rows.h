/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings taken by hand as rows among those of an adapter or a table.
 *
 * A reading that was taken again within half a minute of its time replaces the one before: that is
 * how a wrong one is corrected. Readings of one time make one row.
 */
#ifndef NR_RECORD_HAND_ROWS_H
#define NR_RECORD_HAND_ROWS_H

#include "logger/run/by_hand.h"

#include <stdio.h>

#define NR_HAND_AGAIN_S 30.0

typedef struct nr_hand_row {
    double utc_s;
    double value[NR_RIG_CHANNELS]; /* canonical, NAN: none */
} nr_hand_row;

typedef struct nr_hand_rows {
    size_t count;
    nr_hand_row *row;         /* by time */
    unsigned long replaced;   /* readings that a later one stands for */
    unsigned long strangers;  /* of channels that the rig does not have, or in other units */
    unsigned long unbelieved; /* beyond the channel's low or high */
} nr_hand_rows;

nr_code nr_hand_rows_of(const nr_by_hand_list *list, const nr_rig *rig, nr_hand_rows *out,
                        nr_err *err);
void nr_hand_rows_free(nr_hand_rows *rows);

typedef struct nr_merged {
    unsigned long rows;
    double last_utc_s, last_elapsed_s;
    unsigned long too_early; /* readings before the base's elapsed 0, left out */
} nr_merged;

/* Base: the text of a readings.csv with the rig's columns, whose rows stay as they are. Writes all
 * rows, header not included, to `to`. Elapsed 0 is where the base's first row has it; without rows
 * there, the first reading by hand. */
nr_code nr_hand_merge(const char *base, size_t length, const nr_hand_rows *hands, const nr_rig *rig,
                      FILE *to, nr_merged *out, nr_err *err);

#endif
