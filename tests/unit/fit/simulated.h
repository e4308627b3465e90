/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For tests of answers: runs of the virtual rig, whose truth is known. */
#ifndef NR_TESTS_SIMULATED_H
#define NR_TESTS_SIMULATED_H

#include "analyze/forecast/predict.h"
#include "sample-runs/rig/virtual.h"
#include "tests/unit/near.h"

static inline nr_virtual_run *simulated(const nr_virtual_params *p)
{
    nr_virtual_run *run = NULL;
    nr_err err = {.text = ""};
    if (nr_virtual_simulate(p, &run, &err)) {
        fprintf(stderr, "the virtual rig: %s\n", err.text);
        exit(EXIT_FAILURE);
    }
    return run;
}

/* The glazed build on a clear morning, seed 1, at 2 s a row: quick, and right about its sensors
 * (exact), so that what a test compares is the method and not the luck of a draw. */
static inline nr_virtual_params exact_glazed(void)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.interval_s = 2;
    p.exact_device = true;
    for (int c = 0; c < NR_VC_COUNT; c++)
        p.sensor[c].exact = true;
    p.stated.iam_b0 = 0.1;
    return p;
}

static inline nr_day steady_day(double sun, double air, double from, double to)
{
    nr_day day = nr_day_stated();
    day.sun_W_m2 = sun;
    day.air_degC = air;
    day.from_degC = from;
    day.to_degC = to;
    return day;
}

/* Solstice at 46.18 N, the rig's plane; times are solar. */
static inline nr_day clear_day(double start_h, double air, double from, double to)
{
    nr_day day = steady_day(NAN, air, from, to);
    day.clear_sky = true;
    day.date_s = 1782000000.0; /* 2026-06-21T00:00:00Z */
    day.start_s = start_h * 3600;
    return day;
}

static inline const nr_warning *warned(const nr_warnings *w, const char *code)
{
    for (size_t i = 0; i < w->count; i++)
        if (!strcmp(nr_warning_name(w->item[i].code), code))
            return &w->item[i];
    return NULL;
}

#endif
