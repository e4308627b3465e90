/* SPDX-License-Identifier: GPL-3.0-or-later */
/* At which irradiance a pump on its own photovoltaic panel starts and stalls, from the record. */
#ifndef NR_FIT_PANEL_PUMP_H
#define NR_FIT_PANEL_PUMP_H

#include "analyze/result/quantity.h"
#include "analyze/series/series.h"

/* A threshold seen in the record, W/m2. */
typedef struct nr_pump_threshold {
    size_t events;
    nr_quantity W_m2; /* not known without events */
} nr_pump_threshold;

typedef struct nr_panel_pump {
    bool driven; /* the record shows a pump starved of sun */
    nr_pump_threshold start, stall;
} nr_panel_pump;

/* Collects over all runs. NR_BAD when memory runs out. */
nr_code nr_panel_pump_find(nr_series *const *series, size_t runs, nr_panel_pump *out, nr_err *err);

#endif
