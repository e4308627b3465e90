/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of nr_quality: one check a file, each a function of arrays. */
#ifndef NR_QUALITY_PARTS_H
#define NR_QUALITY_PARTS_H

#include "analyze/quality/quality.h"

/* One channel's usable readings without the empty cells, so that neighbours are neighbours. */
typedef struct nr_dense {
    nr_role role;
    size_t count;
    double *t_s, *value; /* [count] */
    size_t *row;         /* [count] of the record */
} nr_dense;

/* Work space of one check, allocated once. */
typedef struct nr_quality_work {
    nr_dense dense;
    double *scratch;      /* [rows] */
    unsigned char *equal; /* [rows] the whole row repeats the one before */
} nr_quality_work;

/* Readings that are there and not marked yet. */
void nr_dense_fill(nr_dense *dense, const nr_quality *quality, const double *elapsed_s,
                   nr_role role);
void nr_quality_mark(nr_quality *quality, nr_role role, size_t row, nr_bad why);
void nr_quality_add_span(nr_quality_channel *channel, size_t from, size_t to, nr_bad why);

/* The k-th smallest share (0..1) of values; reorders them. NAN when there are none. */
double nr_quantile(double *values, size_t count, double share);

/* Chance that one reading of a channel equals the next, at most, by its noise in quiet times and
 * its resolution. 1: cannot tell. */
double nr_stay_chance(const nr_quality_channel *channel);

void nr_check_timing(nr_quality *quality, const nr_quality_input *input, double *scratch);
void nr_check_duplicates(nr_quality *quality, const nr_quality_input *input, nr_quality_work *work);
void nr_check_range(nr_quality *quality, const nr_quality_input *input, nr_role role);
void nr_check_noise(nr_quality *quality, const nr_dense *dense, double *scratch);
void nr_check_spikes(nr_quality *quality, const nr_dense *dense);
void nr_check_pump(nr_quality *quality, const nr_quality_input *input, double *scratch);
void nr_check_stuck(nr_quality *quality, const nr_dense *dense);

#endif
