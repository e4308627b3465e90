/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the checks share. Used by quality/ only. */
#ifndef NR_QUALITY_MARKS_H
#define NR_QUALITY_MARKS_H

#include "analyze/quality/quality.h"

/* One channel's usable readings without the empty cells, so that neighbours are neighbours. */
typedef struct nr_dense {
    nr_role role;
    size_t count;
    const double *t_s, *value;   /* [count] */
    const size_t *row;           /* [count] of the record; NULL: all rows, nothing is left out */
    double *own_t_s, *own_value; /* [rows] room for those of a channel with holes */
    size_t *own_row;
} nr_dense;

static inline size_t nr_dense_row(const nr_dense *dense, size_t i)
{
    return dense->row ? dense->row[i] : i;
}

/* Readings that are there and not marked yet. */
void nr_dense_fill(nr_dense *dense, const nr_quality *quality, const double *elapsed_s,
                   nr_role role);
void nr_quality_mark(nr_quality *quality, nr_role role, size_t row, nr_bad why);
void nr_quality_add_span(nr_quality_channel *channel, size_t from, size_t to, nr_bad why);

/* The k-th smallest share (0..1) of values; reorders them. NAN when there are none. */
double nr_quantile(double *values, size_t count, double share);

#endif
