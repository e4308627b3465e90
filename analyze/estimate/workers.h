/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Independent pieces of work on all cores. What a piece gives may depend on its number and on
 * nothing else, so that the answer is the same for any number of threads.
 */
#ifndef NR_ESTIMATE_WORKERS_H
#define NR_ESTIMATE_WORKERS_H

#include <stddef.h>

#define NR_WORKERS_MOST 16

/* The cores this process may use, 1..NR_WORKERS_MOST. */
size_t nr_workers_here(void);

/* Calls work(context, worker, i) for i = 0..count-1, each once, from up to `threads` threads (0: as
 * many as nr_workers_here); `worker` below the number of threads says which one asks, so that
 * each may have a work space of its own. Returns when all is done; where no thread can be had the
 * caller does it alone. GSL's error handler is off meanwhile, for it is common to all. */
void nr_workers_run(size_t count, size_t threads,
                    void (*work)(void *context, size_t worker, size_t i), void *context);

#endif
