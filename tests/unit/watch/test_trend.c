/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The heating rate and the minutes to a target, against the exact solution of a lumped heater. */
#include "logger/watch/trend.h"
#include "tests/unit/algebra.h"
#include "tests/unit/near.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

#define ROWS 600

static double time_s[ROWS], value[ROWS];
static const nr_slowing none = {0, 0, 0};

/* A second apart: rate in K/s, autoregressive noise. */
static void line(gsl_rng *rng, double from, double rate, double sd, double rho)
{
    double noise = 0;
    for (int i = 0; i < ROWS; i++) {
        noise = rho * noise + gsl_ran_gaussian(rng, sd * sqrt(1 - rho * rho));
        time_s[i] = i;
        value[i] = from + rate * i + noise;
    }
}

START_TEST(exact_line)
{
    for (int i = 0; i < ROWS; i++) {
        time_s[i] = i;
        value[i] = 20.0 + 0.005 * i;
    }
    nr_trend trend = nr_trend_of(time_s, value, ROWS);
    ck_assert(trend.known);
    NEAR(trend.rate_s, 0.005, 1e-12);
    NEAR(trend.now, 20.0 + 0.005 * (ROWS - 1), 1e-9);
    nr_time_to eta = nr_trend_time_to(&trend, trend.now + 3.0, none);
    ck_assert_int_eq(eta.kind, NR_TIME_TO_COMING);
    NEAR(eta.seconds, 600, 1e-6);
    NEAR(eta.lo95_s, 600, 1e-3);
    NEAR(eta.hi95_s, 600, 1e-3);
    ck_assert_int_eq(nr_trend_time_to(&trend, 20.0, none).kind, NR_TIME_TO_REACHED);
    ck_assert_int_eq(nr_trend_time_to(&trend, NAN, none).kind, NR_TIME_TO_UNKNOWN);
    for (int i = 0; i < ROWS; i++)
        value[i] = 40.0 - 0.005 * i;
    trend = nr_trend_of(time_s, value, ROWS);
    ck_assert_int_eq(nr_trend_time_to(&trend, 50.0, none).kind, NR_TIME_TO_AWAY);
}
END_TEST

START_TEST(only_the_last_minutes_count)
{
    for (int i = 0; i < ROWS; i++) {
        time_s[i] = i;
        value[i] = i < ROWS - 300 ? 20.0 : 20.0 + 0.01 * (i - (ROWS - 300));
    }
    NEAR(nr_trend_of(time_s, value, ROWS).rate_s, 0.01, 1e-4);
    /* gaps are left out, not taken for zero */
    for (int i = 0; i < ROWS; i += 3)
        value[i] = NAN;
    NEAR(nr_trend_of(time_s, value, ROWS).rate_s, 0.01, 1e-4);
}
END_TEST

START_TEST(too_little_to_tell)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    line(rng, 20, 0.005, 0.02, 0);
    ck_assert(!nr_trend_of(time_s, value, 10).known);
    ck_assert(!nr_trend_of(time_s, value, 0).known);
    line(rng, 20, 1e-6, 0.05, 0.9); /* standing still */
    nr_trend trend = nr_trend_of(time_s, value, ROWS);
    ck_assert(trend.known);
    ck_assert_int_eq(nr_trend_time_to(&trend, 40, none).kind, NR_TIME_TO_UNKNOWN);
    for (int i = 0; i < ROWS; i++)
        value[i] = NAN;
    ck_assert(!nr_trend_of(time_s, value, ROWS).known);
    gsl_rng_free(rng);
}
END_TEST

/* The rate's 95 % interval holds the true rate in 95 % of runs also when readings a second apart
 * share their noise. Limits: four standard errors of a proportion of 1000, and below that the few
 * percent that an estimated correlation costs. */
START_TEST(rate_interval)
{
    const unsigned long seed = 11;
    static const double rhos[] = {0.0, 0.9};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, seed);
    for (int k = 0; k < 2; k++) {
        int inside = 0;
        for (int run = 0; run < 1000; run++) {
            line(rng, 20, 0.005, 0.03, rhos[k]);
            nr_trend trend = nr_trend_of(time_s, value, ROWS);
            inside += fabs(trend.rate_s - 0.005) <= 1.96 * trend.u_rate_s;
        }
        printf("rate: rho %.1f: %d of 1000 inside (seed %lu)\n", rhos[k], inside, seed);
        ck_assert_int_ge(inside, k == 0 ? 922 : 880);
        ck_assert_int_le(inside, 978);
    }
    gsl_rng_free(rng);
}
END_TEST

/* Heaters whose loss is anywhere in their kind's range, under steady sun: the exact time at which
 * the store is warm enough lies in the stated interval. */
START_TEST(time_to_target)
{
    static const struct {
        nr_glazing glazing;
        double low, high;
    } kinds[] = {
        {NR_GLAZING_NONE, 13, 24}, {NR_GLAZING_SINGLE, 4, 9.5}, {NR_GLAZING_UNKNOWN, 4, 24}};
    const unsigned long seed = 12;
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, seed);
    int inside = 0, all = 0;
    for (int run = 0; run < 600; run++) {
        int k = run % 3;
        nr_heat_up h = {.area_m2 = 1,
                        .eta0 = 0.75,
                        .irradiance_W_m2 = 900,
                        .air_degC = 20,
                        .start_degC = gsl_ran_flat(rng, 12, 30),
                        .capacity_J_K = 160000,
                        .loss_W_m2K = gsl_ran_flat(rng, kinds[k].low, kinds[k].high)};
        for (int i = 0; i < ROWS; i++) {
            time_s[i] = i;
            value[i] = nr_heat_up_degC(h, i) + gsl_ran_gaussian(rng, 0.02);
        }
        double target = nr_heat_up_degC(h, ROWS - 1) + gsl_ran_flat(rng, 2, 12);
        double exact = nr_heat_up_time_s(h, target) - (ROWS - 1);
        if (isinf(exact))
            continue;
        nr_trend trend = nr_trend_of(time_s, value, ROWS);
        nr_time_to eta =
            nr_trend_time_to(&trend, target, nr_slowing_of(kinds[k].glazing, 1, 160000));
        ck_assert_int_eq(eta.kind, NR_TIME_TO_COMING);
        inside += exact >= eta.lo95_s && exact <= eta.hi95_s;
        all++;
    }
    printf("time to target: %d of %d inside (seed %lu)\n", inside, all, seed);
    ck_assert_int_gt(all, 500);
    ck_assert_double_ge((double)inside / all, 0.95);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(slowing_by_kind)
{
    nr_slowing s = nr_slowing_of(NR_GLAZING_SINGLE, 2, 100000);
    ck_assert(s.lo_1_s > 0 && s.lo_1_s < s.mid_1_s && s.mid_1_s < s.hi_1_s);
    NEAR(s.mid_1_s, 7.0 * 2 / 100000, 1e-12);
    NEAR(nr_slowing_of(NR_GLAZING_NONE, 2, 1e5).mid_1_s, 18.0 * 2 / 1e5, 1e-12);
    NEAR(nr_slowing_of(NR_GLAZING_DOUBLE, 2, 1e5).mid_1_s, 4.5 * 2 / 1e5, 1e-12);
    NEAR(nr_slowing_of(NR_GLAZING_UNKNOWN, 2, 1e5).hi_1_s, 25.0 * 2 / 1e5, 1e-12);
    NEAR(nr_slowing_of(NR_GLAZING_SINGLE, NAN, 1e5).hi_1_s, 0, 0);
    NEAR(nr_slowing_of(NR_GLAZING_SINGLE, 2, NAN).hi_1_s, 0, 0);
    /* a target beyond what the losses allow is never met */
    nr_trend trend = {.known = true, .now = 30, .u_now = 0.01, .rate_s = 0.001, .u_rate_s = 1e-5};
    ck_assert(isinf(nr_trend_time_to(&trend, 60, (nr_slowing){1e-4, 1e-4, 1e-4}).seconds));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {exact_line,
                                  only_the_last_minutes_count,
                                  too_little_to_tell,
                                  rate_interval,
                                  time_to_target,
                                  slowing_by_kind,
                                  NULL};
    return run_tests("trend", tests);
}
