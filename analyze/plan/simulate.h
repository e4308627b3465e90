/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A test that has not been done: the run that a rig would record if its collector were an ordinary
 * one. The fitted model itself run forward (model/loop.h) with weather, gusts and sensor noise of
 * the usual size, so that what a fit of it leaves open is what a fit of the real test will.
 */
#ifndef NR_PLAN_SIMULATE_H
#define NR_PLAN_SIMULATE_H

#include "analyze/forecast/predict.h"

typedef struct nr_plan_test {
    nr_day day; /* sun or a clear-sky day, air, wind, from_degC; water as in the rig */
    double duration_s;
    double optical;        /* absorbed share of the irradiance; NAN: usual for the glazing */
    double loss_W_m2K;     /* collector; NAN: usual */
    double store_loss_W_K; /* container; NAN: as stated in the rig, else usual for its size */
    double flow_L_min;     /* NAN: usual for the area */
    unsigned long seed;
} nr_plan_test;

/* Changes a rig that was just read, before its test is simulated; may be NULL. */
typedef void (*nr_plan_edit)(nr_rig *rig, const void *context);

/* rig_text: the rig file and what is added to it; path: for messages. What the test leaves NAN is
 * filled in. NR_BAD when the rig or the question is incomplete. Free with nr_run_free. */
nr_code nr_plan_simulate(const char *rig_text, const char *path, nr_plan_edit edit,
                         const void *context, nr_plan_test *test, nr_run **out, nr_err *err);

#endif
