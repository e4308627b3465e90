/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the checks share. Used by quality/ only. */
#ifndef NR_QUALITY_MARKS_H
#define NR_QUALITY_MARKS_H

#include "analyze/quality/passes.h"
#include "analyze/quality/quality.h"

#include <stdint.h>

/* One channel's usable readings without the empty cells, so that neighbours are neighbours. */
typedef struct nr_dense {
    nr_role role;
    size_t count;
    nr_cursor *t_s, *value; /* of the record */
    const uint32_t *row;    /* [count] of the record; NULL: all rows, nothing is left out */
    uint32_t *own_row;      /* [rows] room for those of a channel with holes */
} nr_dense;

static inline size_t nr_dense_row(const nr_dense *dense, size_t i)
{
    return dense->row ? dense->row[i] : i;
}

static inline double nr_dense_t_s(const nr_dense *dense, size_t i)
{
    return nr_at(dense->t_s, nr_dense_row(dense, i));
}

static inline double nr_dense_value(const nr_dense *dense, size_t i)
{
    return nr_at(dense->value, nr_dense_row(dense, i));
}

/* Readings that are there and not marked yet, of the channel that dense->value reads. */
void nr_dense_fill(nr_dense *dense, const nr_quality *quality, nr_role role);

/* Of a row that has a reading. */
void nr_quality_mark(nr_quality *quality, nr_role role, size_t row, nr_bad why);
void nr_quality_add_span(nr_quality_channel *channel, size_t from, size_t to, nr_bad why);

/* Which of so many is the one below which this share (0..1) of them lies. */
size_t nr_rank_of(double share, size_t count);
size_t nr_rank_middle(size_t count);

/* The k-th smallest share (0..1) of values; reorders them. NAN when there are none. */
double nr_quantile(double *values, size_t count, double share);

#endif
