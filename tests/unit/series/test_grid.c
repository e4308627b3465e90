/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The small parts a record is prepared with: bridging of holes, and smoothing that leaves steps. */
#include "analyze/series/inside.h"
#include "tests/unit/near.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

/* ---- bridging ---- */

START_TEST(short_holes_become_straight_lines)
{
    double v[] = {NAN, 4, NAN, NAN, NAN, 8, 1, NAN};
    ck_assert_uint_eq(nr_grid_bridge(v, 8, 5, 15, 15, 0), 5);
    static const double expected[] = {4, 4, 5, 6, 7, 8, 1, 1};
    for (int i = 0; i < 8; i++)
        NEAR(v[i], expected[i], 1e-12);
}
END_TEST

START_TEST(long_holes_stay)
{
    double v[] = {NAN, NAN, NAN, NAN, 2, NAN, NAN, NAN, NAN, 3, NAN, 5};
    ck_assert_uint_eq(nr_grid_bridge(v, 12, 5, 15, 15, 0), 1); /* four steps are 20 s */
    for (int i = 0; i < 9; i++)
        ck_assert_msg(i == 4 ? v[i] == 2 : isnan(v[i]), "step %d: %g", i, v[i]);
    NEAR(v[10], 4, 1e-12);
    double nothing[] = {NAN, NAN};
    ck_assert_uint_eq(nr_grid_bridge(nothing, 2, 5, 100, 100, 0), 0);
    ck_assert(isnan(nothing[0]) && isnan(nothing[1]));
}
END_TEST

/* A hole matters by what may have happened in it: nothing, where both sides are alike. */
START_TEST(longer_holes_between_like_sides)
{
    double v[] = {100, NAN, NAN, NAN, NAN, 91, NAN, NAN, NAN, NAN, 70};
    ck_assert_uint_eq(nr_grid_bridge(v, 11, 5, 15, 20, 0.1), 4);
    NEAR(v[1], 98.2, 1e-12);
    ck_assert(isnan(v[6]) && isnan(v[9])); /* 91 and 70 are not alike */
    double w[] = {100, NAN, NAN, NAN, NAN, NAN, 100};
    ck_assert_uint_eq(nr_grid_bridge(w, 7, 5, 15, 20, 0.1), 0); /* 25 s */
}
END_TEST

/* A sensor that follows with a time constant: put right, it shows what it was given. */
START_TEST(a_lag_is_taken_out)
{
    enum { STEPS = 200 };
    double v[STEPS], truth[STEPS];
    for (int k = 0; k < STEPS; k++) {
        truth[k] = 20 + 0.01 * k;
        v[k] = truth[k] - 0.01 / 5 * 30; /* a ramp of 2 mK/s, 30 s behind */
    }
    ck_assert(nr_grid_unlag(v, STEPS, 5, 30));
    for (int k = 0; k < STEPS; k++)
        NEAR(v[k], truth[k], 1e-9);
    double still[3] = {1, NAN, 3};
    ck_assert(nr_grid_unlag(still, 3, 5, 0) && still[0] == 1 && still[2] == 3);
}
END_TEST

/* ---- the sigma filter ---- */

#define STEPS 600
#define NOISE 0.02

/* Flow at 1.2, from a third on at 0.8, a pump stop in the last third, noise all over. */
static void coarse_flow(double *v)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, 3);
    for (int k = 0; k < STEPS; k++)
        v[k] = k >= 450 && k < 500 ? 0 : (k < 200 ? 1.2 : 0.8) + gsl_ran_gaussian(rng, NOISE);
    v[300] = NAN;
    gsl_rng_free(rng);
}

/* Thirteen neighbours share the noise: a thirteenth of the variance, somewhat more where one of
 * them lies beyond the four standard deviations. */
START_TEST(noise_goes)
{
    double v[STEPS], sum = 0, count = 0;
    coarse_flow(v);
    ck_assert(nr_grid_smooth(v, STEPS, NOISE, 6));
    for (int k = 20; k < 180; k++, count++)
        sum += pow(v[k] - 1.2, 2);
    ck_assert_double_lt(sqrt(sum / count), 1.5 * NOISE / sqrt(13));
    ck_assert_double_gt(sqrt(sum / count), 0.5 * NOISE / sqrt(13));
}
END_TEST

START_TEST(steps_stay)
{
    double v[STEPS], raw[STEPS];
    coarse_flow(raw);
    memcpy(v, raw, sizeof v);
    ck_assert(nr_grid_smooth(v, STEPS, NOISE, 6));
    for (int k = 190; k < 210; k++) /* nothing of the other side comes across */
        NEAR(v[k], k < 200 ? 1.2 : 0.8, 4 * NOISE);
    for (int k = 450; k < 500; k++)
        ck_assert_msg(v[k] == 0, "a standing pump moved at step %d: %g", k, v[k]);
    for (int k = 440; k < 510; k++)
        ck_assert_msg(k >= 450 && k < 500 ? v[k] == 0 : v[k] > 0.7, "step %d: %g", k, v[k]);
    double slow[4] = {0, 0, 0.05, 0.05}; /* hardly more than the noise */
    ck_assert(nr_grid_smooth(slow, 4, NOISE, 6));
    ck_assert(slow[0] == 0 && slow[1] == 0);
    ck_assert(isnan(v[300]));
    for (int k = 294; k < 306; k++)
        ck_assert_msg(k == 300 || fabs(v[k] - 0.8) < 4 * NOISE, "the hole spread to %d", k);
}
END_TEST

/* The mean of what it reaches, and not one step farther. */
START_TEST(it_reaches_so_far)
{
    double v[9] = {1, 2, 3, 4, 5, 6, 7, 8, 9};
    ck_assert(nr_grid_smooth(v, 9, 100, 2));
    static const double expected[9] = {2, 2.5, 3, 4, 5, 6, 7, 7.5, 8};
    for (int i = 0; i < 9; i++)
        NEAR(v[i], expected[i], 1e-12);
}
END_TEST

/* Without a limit to the noise it is a moving average, of calms too; a hole stays a hole. */
START_TEST(without_a_limit_it_is_a_moving_average)
{
    double v[7] = {3, 0, 0, 6, NAN, 8, 2};
    ck_assert(nr_grid_smooth(v, 7, INFINITY, 1));
    static const double expected[7] = {1.5, 1, 2, 3, NAN, 5, 5};
    for (int i = 0; i < 7; i++)
        ck_assert_msg(i == 4 ? isnan(v[i]) : fabs(v[i] - expected[i]) < 1e-12, "%d: %g", i, v[i]);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {short_holes_become_straight_lines,
                                  long_holes_stay,
                                  longer_holes_between_like_sides,
                                  a_lag_is_taken_out,
                                  noise_goes,
                                  steps_stay,
                                  it_reaches_so_far,
                                  without_a_limit_it_is_a_moving_average,
                                  NULL};
    return run_tests("grid", tests);
}
