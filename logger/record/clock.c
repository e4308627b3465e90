/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/record/clock.h"

#include <math.h>
#include <time.h>

static const double step_limit_s = 0.5;

static double seconds(clockid_t id)
{
    struct timespec t;
    clock_gettime(id, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static void system_now(void *context, nr_now *out)
{
    (void)context;
    out->utc_s = seconds(CLOCK_REALTIME);
    out->steady_s = seconds(CLOCK_BOOTTIME);
    out->awake_s = seconds(CLOCK_MONOTONIC);
}

const nr_clock nr_clock_system = {.now = system_now};

void nr_clock_compare(nr_clock_watch *watch, const nr_now *now, double *step_s, double *slept_s)
{
    *step_s = *slept_s = 0;
    if (watch->started) {
        double steady = now->steady_s - watch->last.steady_s;
        double step = now->utc_s - watch->last.utc_s - steady;
        double slept = steady - (now->awake_s - watch->last.awake_s);
        *step_s = fabs(step) > step_limit_s ? step : 0;
        *slept_s = slept > step_limit_s ? slept : 0;
    }
    watch->last = *now;
    watch->started = 1;
}
