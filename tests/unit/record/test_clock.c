/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Clock steps and suspend, seen by comparing three clocks. */
#include "logger/record/clock.h"

#include "tests/unit/near.h"

#include <stdbool.h>

static void compare(nr_clock_watch *w, double utc, double steady, double awake, double *step,
                    double *slept)
{
    nr_now now = {.utc_s = utc, .steady_s = steady, .awake_s = awake};
    nr_clock_compare(w, &now, step, slept);
}

START_TEST(test_compare)
{
    nr_clock_watch w = {0};
    double step = 9, slept = 9;
    compare(&w, 1000, 50, 40, &step, &slept);
    NEAR(step, 0, 0);
    NEAR(slept, 0, 0);
    compare(&w, 1001, 51, 41, &step, &slept); /* nothing */
    NEAR(step, 0, 0);
    compare(&w, 1002.4, 52, 42, &step, &slept); /* slewed: no step */
    NEAR(step, 0, 0);
    compare(&w, 4603.4, 53, 43, &step, &slept); /* an hour forward */
    NEAR(step, 3600, 1e-9);
    NEAR(slept, 0, 0);
    compare(&w, 1003.4, 53, 43, &step, &slept); /* and back */
    NEAR(step, -3600, 1e-9);
    compare(&w, 1303.4, 353, 44, &step, &slept); /* suspended for 299 s */
    NEAR(step, 0, 0);
    NEAR(slept, 299, 1e-9);
}
END_TEST

/* Both sides of half a second, each way; common practice, no source. */
START_TEST(test_limits)
{
    static const struct {
        double by;
        bool seen;
    } of[] = {{0.49, false}, {0.51, true}, {-0.49, false}, {-0.51, true}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_clock_watch w = {0};
        double step = 9, slept = 9;
        compare(&w, 1000, 50, 40, &step, &slept);
        compare(&w, 1010 + of[i].by, 60, 50, &step, &slept);
        NEAR(step, of[i].seen ? of[i].by : 0, 1e-9);
        NEAR(slept, 0, 0);
        compare(&w, 1020 + of[i].by, 70, 60 - of[i].by, &step, &slept);
        NEAR(step, 0, 0);
        NEAR(slept, of[i].seen && of[i].by > 0 ? of[i].by : 0, 1e-9);
    }
}
END_TEST

START_TEST(test_system)
{
    nr_now a, b;
    nr_clock_system.now(NULL, &a);
    nr_clock_system.now(NULL, &b);
    ck_assert(b.steady_s >= a.steady_s && b.awake_s >= a.awake_s);
    ck_assert(a.steady_s >= a.awake_s - 0.001);
    ck_assert(a.utc_s > 1.7e9);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {test_compare, test_limits, test_system, NULL};
    return run_tests("clock", tests);
}
