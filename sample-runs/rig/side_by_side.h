/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several collectors on one adapter: one sky over all, one pyranometer, one air probe and one
 * anemometer; each with its own container, loop probes, flow meter and pump. */
#ifndef NR_VIRTUAL_SIDE_BY_SIDE_H
#define NR_VIRTUAL_SIDE_BY_SIDE_H

#include "sample-runs/rig/virtual.h"

typedef struct nr_virtual_record {
    nr_run run; /* rig, readings and notes of all; never nr_run_free(&x->run) */
    size_t collectors;
    nr_virtual_run *of[NR_RIG_BUILDS]; /* each as if it stood alone */
} nr_virtual_record;

/* Simulates each and joins what they share. p: [count], the first one's sky and shared sensors are
 * everybody's. NR_BAD when names repeat, or when the skies or the shared readings of two differ.
 * Free with nr_virtual_record_free. */
nr_code nr_virtual_record_make(const nr_virtual_params *p, size_t count, nr_virtual_record **out,
                               nr_err *err);
void nr_virtual_record_free(nr_virtual_record *record);

/* As nr_virtual_write_folder. */
nr_code nr_virtual_record_write(const nr_virtual_record *record, const nr_virtual_params *p,
                                const char *folder, nr_err *err);

/* The truth of each, as {"collectors": [...]}; of one the object alone. */
nr_code nr_virtual_record_truth(const nr_virtual_record *record, const nr_virtual_params *p,
                                FILE *to, nr_err *err);

#endif
