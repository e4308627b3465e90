/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows in the order of their times: sorted, written twice only once, coarse stamps spread. */
#ifndef NR_IMPORT_ROWS_H
#define NR_IMPORT_ROWS_H

#include "logger/import/said.h"
#include "logger/import/times.h"

typedef struct nr_ordered {
    size_t count;
    size_t *row;  /* [count] data rows of the table */
    double *at_s; /* [count] strictly increasing, at least a millisecond apart */
} nr_ordered;

/* Free with nr_ordered_free, also after an error. */
nr_code nr_rows_order(const nr_table *table, const nr_times *times, nr_ordered *out,
                      nr_import_said *said, nr_err *err);
void nr_ordered_free(nr_ordered *ordered);

#endif
