/* SPDX-License-Identifier: GPL-3.0-or-later */
/* by-hand.csv in a run folder: readings that a person took, as they were taken.
 *
 * One line a reading, only ever added to: time_utc (of the reading), taken_utc (when it was given),
 * channel, value, unit. A wrong reading stays; taking it again at the same time puts another in its
 * place (record/hand_rows.h).
 */
#ifndef NR_RUN_BY_HAND_H
#define NR_RUN_BY_HAND_H

#include "logger/base/err.h"
#include "logger/run/rig.h"

#define NR_BY_HAND_FILE "by-hand.csv"
#define NR_BY_HAND_HEADER "time_utc,taken_utc,channel,value,unit\n"

typedef struct nr_by_hand {
    double utc_s, taken_utc_s;
    char channel[NR_NAME];
    double value; /* in unit, as it was given */
    char unit[NR_NAME];
} nr_by_hand;

typedef struct nr_by_hand_list {
    size_t count;
    nr_by_hand *reading; /* in file order */
    size_t damaged;      /* lines that are no reading, left out */
    bool torn;           /* the last one is such a line and has no end */
} nr_by_hand_list;

/* A missing file is an empty list. Free with nr_by_hand_free, also after an error. */
nr_code nr_by_hand_read(const char *path, nr_by_hand_list *out, nr_err *err);
nr_code nr_by_hand_parse(const char *text, size_t length, const char *path, nr_by_hand_list *out,
                         nr_err *err);
void nr_by_hand_free(nr_by_hand_list *list);

/* One line ending in "\n"; its length, 0 when it did not fit. */
size_t nr_by_hand_row(const nr_by_hand *reading, char *out, size_t size);

#endif
