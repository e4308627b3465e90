/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Trials over all cores: each is computed in a process of its own kind and comes back by a pipe. */
#ifndef NR_BENCH_SPREAD_H
#define NR_BENCH_SPREAD_H

#include <stdbool.h>
#include <stddef.h>

/* Computes trial `index` into outcome, which is zeroed and free of pointers. */
typedef void (*nr_trial)(size_t index, const void *context, void *outcome);

/* An outcome must fit into a pipe's atomic write with its index. */
#define NR_SPREAD_MOST 4000

/* Runs trials 0 .. runs - 1 into all[runs] (outcomes of `size` bytes each, in order). Shows
 * progress on stderr when that is a terminal. False when a trial got lost. */
bool nr_spread(size_t runs, size_t size, nr_trial trial, const void *context, const char *name,
               void *all);

#endif
