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

/* ---- calm stretches ---- */

#define LONG 1200

/* A flow that falls slowly under noise. */
static void falling(double *v, double bend, unsigned long seed)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, seed);
    for (int k = 0; k < LONG; k++)
        v[k] =
            1.2 - 1e-4 * k + bend * pow((k - LONG / 2) / 100.0, 2) + gsl_ran_gaussian(rng, NOISE);
    gsl_rng_free(rng);
}

static double rms_of(const double *v, double bend, int from, int to)
{
    double sum = 0;
    for (int k = from; k < to; k++)
        sum += pow(v[k] - (1.2 - 1e-4 * k + bend * pow((k - LONG / 2) / 100.0, 2)), 2);
    return sqrt(sum / (to - from));
}

/* rms errors of the sigma filter, and with calm stretches, in the middle of ten records. */
static void both_rms(double bend, double *before, double *after)
{
    double raw[LONG], v[LONG], first = 0, then = 0;
    for (unsigned long seed = 1; seed <= 10; seed++) {
        falling(raw, bend, seed);
        memcpy(v, raw, sizeof v);
        ck_assert(nr_grid_smooth(v, LONG, NOISE, 24));
        first += pow(rms_of(v, bend, 420, 780), 2) / 10;
        ck_assert(nr_grid_calm(raw, v, LONG, NOISE, 1, 24, 384));
        then += pow(rms_of(v, bend, 420, 780), 2) / 10;
    }
    *before = sqrt(first);
    *after = sqrt(then);
}

/* 2 x 384 + 1 values share the noise; some stop earlier by chance (5 % in four steps of 1.2 %). */
START_TEST(calm_goes_far)
{
    double before, after;
    both_rms(0, &before, &after);
    ck_assert_msg(after < 1.7 * NOISE / sqrt(769) && after < 0.5 * before, "%g, %g", before, after);
}
END_TEST

/* A course that bends, by 0.05 within 100 steps, is followed: a mean over 384 to each side would be
 * off by 0.05 x 3.84^2 / 3 = 0.25. */
START_TEST(calm_follows)
{
    double before, after;
    both_rms(0.05, &before, &after);
    ck_assert_msg(after < 1.2 * before && after < 0.4 * NOISE, "%g, %g", before, after);
}
END_TEST

/* A jump, a standing pump and a hole stay as they were, and so do the steps about them. */
START_TEST(calm_stays_away)
{
    double raw[STEPS], smooth[STEPS], v[STEPS];
    coarse_flow(raw);
    memcpy(smooth, raw, sizeof smooth);
    ck_assert(nr_grid_smooth(smooth, STEPS, NOISE, 6));
    memcpy(v, smooth, sizeof v);
    ck_assert(nr_grid_calm(raw, v, STEPS, NOISE, 1, 6, 48));
    for (int k = 0; k < STEPS; k++) {
        bool near =
            abs(k - 200) < 6 || abs(k - 300) < 6 || (k > 444 && k < 505) || k < 6 || k > STEPS - 7;
        ck_assert_msg(!near || v[k] == smooth[k] || (isnan(v[k]) && k == 300), "step %d", k);
        if (k != 300 && !near)
            NEAR(v[k], k < 200 ? 1.2 : 0.8, 2 * NOISE);
    }
    ck_assert(v[100] != smooth[100]);
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
                                  calm_goes_far,
                                  calm_follows,
                                  calm_stays_away,
                                  NULL};
    return run_tests("grid", tests);
}
