/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The cross-check of the linear uncertainties by Monte Carlo (JCGM 101). */
#ifndef NR_FIT_MONTECARLO_H
#define NR_FIT_MONTECARLO_H

#include "analyze/fit/fit.h"
#include "analyze/fit/results.h"

/* A result to be sampled. */
typedef struct nr_sample_of {
    nr_result_fn fn;
    const void *context;
    nr_sampled *into;
} nr_sample_of;

/* Runs `trials` trials of a solved joint estimate on copies of it, on all cores. Progress goes to
 * the sink as "N of M", from the caller's thread. The same seed gives the same numbers, however
 * many threads there are: each trial draws from a generator of its own. NR_CANNOT when more than a
 * tenth of the trials fail. */
nr_code nr_monte_carlo_run(const nr_joint *joint, const nr_sample_of *results, size_t count,
                           size_t trials, unsigned long seed, const nr_sink *progress,
                           size_t *failed, nr_err *err);

/* The same by so many threads. 0: by all cores. */
nr_code nr_monte_carlo_threads(const nr_joint *joint, const nr_sample_of *results, size_t count,
                               size_t trials, unsigned long seed, size_t threads,
                               const nr_sink *progress, size_t *failed, nr_err *err);

#endif
