/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Ranks of numbers that are too many to be kept: they are made anew each time they are looked at,
 * chunk by chunk of rows, NR_VALUES_BLOCK at most of each. All are finite. */
#ifndef NR_QUALITY_PASSES_H
#define NR_QUALITY_PASSES_H

#include "logger/run/values.h"

typedef struct nr_passes {
    size_t chunks;
    size_t (*fill)(void *context, size_t chunk, double *out); /* returns how many */
    void *context;
} nr_passes;

/* Work space, doubles: up to so many numbers are kept and selected among. Room for fewer does where
 * there are no more. */
#define NR_PASSES_KEPT 1048576

/* Of very many rows, chunks evenly spread tell a rank within a thousandth of them all: every so
 * many-th, and how many these are. All of them below NR_PASSES_ENOUGH chunks. */
#define NR_PASSES_ENOUGH 1024
static inline size_t nr_passes_every(size_t rows)
{
    return 1 + rows / NR_VALUES_BLOCK / NR_PASSES_ENOUGH;
}
static inline size_t nr_passes_chunks(size_t rows)
{
    return rows / NR_VALUES_BLOCK / nr_passes_every(rows) + 1;
}

/* Which of so many is wanted, from 0 for the smallest. */
typedef size_t nr_passes_rank(size_t count);

/* That number, and how many there are; NAN of none. Where they are no more than NR_PASSES_KEPT they
 * are in kept[] afterwards, reordered. */
double nr_passes_smallest(const nr_passes *stream, nr_passes_rank *rank, double *kept,
                          size_t *count);

/* Another rank of the same: kept and count as nr_passes_smallest has left them. */
double nr_passes_another(const nr_passes *stream, nr_passes_rank *rank, double *kept, size_t count);

/* As nr_median of them all. */
double nr_passes_median(const nr_passes *stream, double *kept, size_t *count);

#endif
