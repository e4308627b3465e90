/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/estimate/workers.h"

#include <gsl/gsl_errno.h>

#include <pthread.h>
#include <sched.h>
#include <stdatomic.h>

typedef struct crew {
    size_t count;
    atomic_size_t next;
    void (*work)(void *context, size_t worker, size_t i);
    void *context;
} crew;

typedef struct member {
    crew *of;
    size_t number;
    pthread_t thread;
} member;

size_t nr_workers_here(void)
{
    cpu_set_t set;
    size_t cores = sched_getaffinity(0, sizeof set, &set) ? 1 : (size_t)CPU_COUNT(&set);
    return cores < 1 ? 1 : cores > NR_WORKERS_MOST ? NR_WORKERS_MOST : cores;
}

static void *labour(void *context)
{
    const member *m = context;
    for (size_t i; (i = atomic_fetch_add(&m->of->next, 1)) < m->of->count;)
        m->of->work(m->of->context, m->number, i);
    return NULL;
}

void nr_workers_run(size_t count, size_t threads,
                    void (*work)(void *context, size_t worker, size_t i), void *context)
{
    crew c = {.count = count, .work = work, .context = context};
    member m[NR_WORKERS_MOST];
    size_t wanted = threads ? threads : nr_workers_here(), more = 0;
    wanted = wanted > NR_WORKERS_MOST ? NR_WORKERS_MOST : wanted;
    wanted = wanted > count ? count : wanted;
    gsl_error_handler_t *before = gsl_set_error_handler_off();
    for (size_t k = 1; k < wanted; k++) {
        m[k] = (member){.of = &c, .number = k};
        if (pthread_create(&m[k].thread, NULL, labour, &m[k]))
            break;
        more = k;
    }
    m[0] = (member){.of = &c};
    (void)labour(&m[0]);
    for (size_t k = 1; k <= more; k++)
        (void)pthread_join(m[k].thread, NULL);
    gsl_set_error_handler(before);
}
