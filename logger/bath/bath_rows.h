/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The readings of a bath, as they come: grows, one row a sample. */
#ifndef NR_BATH_ROWS_H
#define NR_BATH_ROWS_H

#include "logger/run/readings.h"
#include "logger/run/rig.h"

#include <stdbool.h>
#include <stddef.h>

typedef struct nr_bath_rows {
    size_t channels, rows, room;
    double *time_s;
    double *value[NR_RIG_CHANNELS]; /* [rows] canonical, in the rig's order; NAN: no reading */
    bool out_of_memory;
} nr_bath_rows;

/* Start with all zero; free with nr_bath_rows_free. */
void nr_bath_rows_add(nr_bath_rows *rows, const nr_rig *rig, double time_s, const double *value);

/* Those of a recorded run. False: out of memory. */
bool nr_bath_rows_take(nr_bath_rows *rows, const nr_rig *rig, const nr_readings *readings);

void nr_bath_rows_free(nr_bath_rows *rows);

#endif
