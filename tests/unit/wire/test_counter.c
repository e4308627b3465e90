/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The adapter's milliseconds counter on the run's time axis. Expected values follow from the
 * definition of a 32-bit counter; the drift's from the slope the test puts in. */
#include "logger/wire/counter.h"

#include "tests/unit/near.h"

#define WRAP 4294967296.0

static nr_count take(nr_counter *c, double ms, double host_s, double *elapsed_s)
{
    return nr_counter_take(c, ms, host_s, elapsed_s);
}

START_TEST(test_plain)
{
    nr_counter c;
    double t = 0;
    nr_counter_init(&c, 1);
    ck_assert_int_eq(take(&c, 5000, 0.25, &t), NR_COUNT_FIRST);
    NEAR(t, 0.25, 0);
    ck_assert_int_eq(take(&c, 6000, 1.30, &t), NR_COUNT_ON);
    NEAR(t, 1.25, 1e-9);
    ck_assert_int_eq(take(&c, 6000, 1.31, &t), NR_COUNT_ON); /* the same again: no time passed */
    NEAR(t, 1.25, 1e-9);
}
END_TEST

START_TEST(test_wrap)
{
    nr_counter c;
    double t = 0;
    nr_counter_init(&c, 1);
    take(&c, WRAP - 1500, 10, &t);
    take(&c, WRAP - 500, 11, &t);
    ck_assert_int_eq(take(&c, 500, 12, &t), NR_COUNT_WRAPPED);
    NEAR(t, 12, 1e-9);
    ck_assert_int_eq(take(&c, 1500, 13, &t), NR_COUNT_ON);
    NEAR(t, 13, 1e-9);
}
END_TEST

START_TEST(test_reset_goes_on_by_the_host)
{
    nr_counter c;
    double t = 0;
    nr_counter_init(&c, 1);
    take(&c, 700000, 0, &t);
    take(&c, 701000, 1, &t);
    ck_assert_int_eq(take(&c, 900, 4.5, &t), NR_COUNT_RESTARTED);
    NEAR(t, 4.5, 1e-9);
    ck_assert_int_eq(take(&c, 1900, 5.5, &t), NR_COUNT_ON);
    NEAR(t, 5.5, 1e-9);
}
END_TEST

/* A damaged count must not move the series; two in a row that agree are a new counter. */
START_TEST(test_damage)
{
    nr_counter c;
    double t = 0;
    nr_counter_init(&c, 1);
    take(&c, 700000, 0, &t);
    take(&c, 701000, 1, &t);
    ck_assert_int_eq(take(&c, 91702000, 2, &t), NR_COUNT_DOUBTED);
    ck_assert_int_eq(take(&c, 703000, 3, &t), NR_COUNT_ON);
    NEAR(t, 3, 1e-9);
    ck_assert_int_eq(take(&c, 300000, 4, &t), NR_COUNT_DOUBTED); /* back, and not fresh */
    ck_assert_int_eq(take(&c, 705000, 5, &t), NR_COUNT_ON);
    NEAR(t, 5, 1e-9);
    ck_assert_int_eq(take(&c, 300000, 6, &t), NR_COUNT_DOUBTED);
    ck_assert_int_eq(take(&c, 301000, 7, &t), NR_COUNT_RESTARTED);
    NEAR(t, 7, 1e-9);
}
END_TEST

START_TEST(test_not_a_count)
{
    static const double bad[] = {-1, 0.5, WRAP, 1e300, NAN, INFINITY};
    nr_counter c;
    double t = 42;
    nr_counter_init(&c, 1);
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        ck_assert_int_eq(take(&c, bad[i], 1, &t), NR_COUNT_DOUBTED);
    NEAR(t, 42, 0);
}
END_TEST

/* A simulated rig runs 120 times faster than the clock on the wall, and its lines bunch up. */
START_TEST(test_fast_adapter)
{
    nr_counter c;
    double t = 0;
    nr_counter_init(&c, 1);
    for (int i = 0; i < 5400; i++) {
        double host_s = floor(i / 20.0) * 20 / 120;
        nr_count how = take(&c, 1000.0 * i, host_s, &t);
        ck_assert_int_eq(how, i == 0 ? NR_COUNT_FIRST : NR_COUNT_ON);
        NEAR(t, i, 1e-6);
    }
    double drift = 0, u = 0;
    ck_assert(nr_counter_drift(&c, &drift, &u));
    NEAR(drift + 1, 120, 0.1);
}
END_TEST

/* 40 ppm fast, arrivals late by 0 to 3 ms (a triangle, so that the test has no chance in it). */
START_TEST(test_drift)
{
    nr_counter c;
    double t = 0, drift = 0, u = 0;
    nr_counter_init(&c, 1);
    ck_assert(!nr_counter_drift(&c, &drift, &u));
    for (int i = 0; i < 5400; i++) {
        double late_s = 0.0015 * ((i * 7) % 3);
        take(&c, round(1000.0 * i * (1 + 40e-6)), i + late_s, &t);
    }
    ck_assert(nr_counter_drift(&c, &drift, &u));
    NEAR(drift, 40e-6, 3 * u);
    /* sigma of {0, 1.5, 3} ms is 1.22 ms, sxx = n S^2/12: u = 1.22e-3 / (5400 sqrt(5400/12)) */
    NEAR(u, 1.07e-8, 0.1e-8);
}
END_TEST

/* Ten times what is expected and a minute more is an advance (counter.c); expected is the interval,
 * or what the host saw at the rate that five counts have shown. */
START_TEST(test_limit_of_an_advance)
{
    for (int counts = 1; counts <= 5; counts++)
        for (int beyond = 0; beyond < 2; beyond++) {
            nr_counter c;
            double t = 0, ms = 0;
            nr_counter_init(&c, 1);
            for (int i = 0; i < counts; i++, ms += 20000) /* twenty times as fast as the host */
                ck_assert_int_ne(take(&c, ms, i, &t), NR_COUNT_DOUBTED);
            ms += -20000 + (counts < 5 ? 70000 : 260000) + beyond;
            ck_assert_int_eq(take(&c, ms, counts, &t), beyond ? NR_COUNT_DOUBTED : NR_COUNT_ON);
        }
    nr_counter c;
    double t = 0, drift, u;
    nr_counter_init(&c, 30); /* lines every half minute, of which two came at once */
    take(&c, 0, 0, &t);
    ck_assert_int_eq(take(&c, 360000, 0, &t), NR_COUNT_ON);
    ck_assert_int_eq(take(&c, 360000 + 360001, 0, &t), NR_COUNT_DOUBTED);
    nr_counter_init(&c, 1);
    for (int i = 0; i < 10; i++) {
        ck_assert(!nr_counter_drift(&c, &drift, &u));
        take(&c, 1000.0 * i, i, &t);
    }
    ck_assert(nr_counter_drift(&c, &drift, &u)); /* ten counts */
}
END_TEST

/* Over a reset the drift comes from both pieces. */
START_TEST(test_drift_over_reset)
{
    nr_counter c;
    double t = 0, drift = 0, u = 0;
    nr_counter_init(&c, 1);
    for (int i = 0; i < 1000; i++)
        take(&c, round(1e6 + 1000.0 * i * (1 + 500e-6)), i, &t);
    for (int i = 0; i < 1000; i++)
        take(&c, round(1000.0 * i * (1 + 500e-6)), 1100 + i, &t);
    ck_assert(nr_counter_drift(&c, &drift, &u));
    NEAR(drift, 500e-6, 1e-6);
    ck_assert(t > 2099);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {test_plain,
                                  test_wrap,
                                  test_reset_goes_on_by_the_host,
                                  test_damage,
                                  test_not_a_count,
                                  test_fast_adapter,
                                  test_drift,
                                  test_drift_over_reset,
                                  test_limit_of_an_advance,
                                  NULL};
    return run_tests("counter", tests);
}
