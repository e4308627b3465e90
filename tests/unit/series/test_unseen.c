/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What readings miss, against a process whose law is known: an Ornstein-Uhlenbeck process by its
 * exact discrete form (a first-order autoregression), of which every second is known. */
#include "analyze/series/inside.h"
#include "analyze/series/unseen.h"
#include "tests/unit/near.h"

#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdlib.h>

#define MEAN 700.0
#define SD 120.0

static void wander(gsl_rng *rng, double tau, size_t n, double *v)
{
    double r = exp(-1 / tau), x = gsl_ran_gaussian(rng, SD);
    for (size_t i = 0; i < n; i++) {
        v[i] = MEAN + x;
        x = r * x + gsl_ran_gaussian(rng, SD * sqrt(1 - r * r));
    }
}

/* The error of straight lines between readings h apart, over the time from 0 to n - 1 s. */
static double missed(const double *v, size_t n, size_t h)
{
    double all = 0, lines = 0;
    for (size_t i = 0; i + 1 < n; i++)
        all += (v[i] + v[i + 1]) / 2;
    for (size_t i = 0; i + h < n; i += h)
        lines += (double)h * (v[i] + v[i + h]) / 2;
    return lines - all;
}

static const struct {
    double tau;
    size_t h;
} spaced[] = {{600, 10}, {120, 60}, {120, 300}, {60, 600}};

/* Of 1,000 records of 30 intervals: the mean square of what lines miss is what the formula says;
 * its own standard deviation is sqrt(2 / 1000), the ends of a record a thirtieth. */
static void hold_against(double tau, size_t h)
{
    size_t n = 30 * h + 1, records = 1000;
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    double *v = malloc(n * sizeof *v), sum = 0;
    gsl_rng_set(rng, 13);
    for (size_t k = 0; k < records; k++) {
        wander(rng, tau, n, v);
        sum += pow(missed(v, n, h), 2) / 30;
    }
    nr_unseen u = {SD, tau};
    double said = nr_unseen_integral(&u, (double)h), seen = sum / (double)records;
    ck_assert_msg(fabs(seen / said - 1) < 0.2, "missed %.4g, said %.4g", seen, said);
    ck_assert_double_ge(nr_unseen_integral_most(&u, (double)h), said);
    nr_unseen long_memory = {SD, 1e4 * (double)h}; /* a bridge: the bound is reached */
    ck_assert_double_eq_tol(nr_unseen_integral_most(&long_memory, (double)h) /
                                nr_unseen_integral(&long_memory, (double)h),
                            1, 1e-6);
    free(v);
    gsl_rng_free(rng);
}

START_TEST(as_much_as_is_missed)
{
    for (size_t i = 0; i < sizeof spaced / sizeof spaced[0]; i++)
        hold_against(spaced[i].tau, spaced[i].h);
}
END_TEST

/* From the readings alone: standard deviation and memory come back where h can tell them. */
START_TEST(the_record_tells_its_wander)
{
    size_t n = 200000, h = 30, m = n / h;
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    double *v = malloc(n * sizeof *v), *t = malloc(m * sizeof *t), *r = malloc(m * sizeof *r);
    gsl_rng_set(rng, 12);
    wander(rng, 60, n, v);
    for (size_t i = 0; i < m; i++) {
        t[i] = (double)(i * h);
        r[i] = v[i * h];
    }
    nr_unseen u = nr_unseen_of(t, r, m, (double)h);
    NEAR(u.sd, SD, 0.1 * SD);
    NEAR(u.memory_s, 60, 12);
    free(v);
    free(t);
    free(r);
    gsl_rng_free(rng);
}
END_TEST

/* Error of the mean of a record that is read every h s, of its mean. */
static double share(const nr_unseen *u, double h, double record_s)
{
    return sqrt(nr_unseen_integral(u, h) * record_s / h) / record_s / 900;
}

/* A smooth day. Where readings are many the lines miss next to nothing; two in an hour and a half
 * say nothing of the clouds between (a third of the mean, halved by the day's having any), and each
 * more on its line makes them less likely. */
START_TEST(few_readings_do_not_say_that_it_was_clear)
{
    double t[541], v[541], before = 1;
    for (size_t i = 0; i < 541; i++) {
        t[i] = 10 * (double)i;
        v[i] = 900 * cos((t[i] - 3000) / 86400 * 2 * M_PI);
    }
    nr_unseen many = nr_unseen_of(t, v, 541, 10);
    ck_assert_double_lt(share(&many, 10, 5400), 1e-3);
    for (size_t n = 2; n <= 19; n = n * 2 - (n > 3)) {
        double h = 5400 / (double)(n - 1), at[19], r[19];
        for (size_t i = 0; i < n; i++) {
            at[i] = h * (double)i;
            r[i] = 900;
        }
        nr_unseen few = nr_unseen_of(at, r, n, h);
        double now = share(&few, h, 5400);
        ck_assert_msg(now < before, "%zu readings: %g after %g", n, now, before);
        before = now;
        if (n == 2)
            ck_assert_msg(now > 0.15 && now < 0.35, "two readings: %g", now);
        if (n > 12)
            ck_assert_msg(now < 0.01, "%zu readings: %g", n, now);
    }
}
END_TEST

/* ---- what is to be expected between readings ---- */

#define STEP 30
#define EVERY 10 /* steps: a reading in five minutes */
#define STEPS (600 * EVERY + 1)

/* Slope of the truth against what was taken for it between the readings: one where the errors do
 * not go with what was taken (Berkson 1950), the share that a regression keeps. */
static double kept(const double *truth, const double *taken)
{
    double n = 0, x = 0, y = 0, xx = 0, xy = 0;
    for (size_t k = 0; k < STEPS; k++) {
        if (k % EVERY == 0)
            continue;
        n++;
        x += taken[k];
        y += truth[k];
        xx += taken[k] * taken[k];
        xy += taken[k] * truth[k];
    }
    return (n * xy - x * y) / (n * xx - x * x);
}

/* 600 intervals of five minutes, memory 100 s; u of a slope 0.03. Straight lines keep, by their
 * covariances (r^u and r^(1 - u) with weights 1 - u and u, over their own variance), 0.617. One
 * would be kept were law and course known; the course of nine readings brings 0.11 of the variance
 * in, and readings so far apart say of the memory only that it is short. */
START_TEST(what_is_expected_errs_by_itself)
{
    static double seconds[STEPS * STEP], truth[STEPS], raw[STEPS], lines[STEPS], v[STEPS];
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, 14);
    wander(rng, 100, STEPS * STEP, seconds);
    for (size_t k = 0; k < STEPS; k++) {
        truth[k] = seconds[k * STEP];
        raw[k] = lines[k] = k % EVERY ? NAN : truth[k];
    }
    (void)nr_grid_bridge(lines, STEPS, STEP, 1e9, 1e9, 0);
    for (size_t k = 0; k < STEPS; k++)
        v[k] = lines[k];
    ck_assert(nr_grid_forget(raw, v, STEPS, STEP, STEP * EVERY));
    NEAR(kept(truth, lines), 0.617, 0.09);
    ck_assert_double_gt(kept(truth, v), 0.7);
    ck_assert_double_lt(kept(truth, v), 1.1);
    for (size_t k = 0; k < STEPS; k += EVERY)
        ck_assert(v[k] == truth[k]);
    gsl_rng_free(rng);
}
END_TEST

/* A sun that rises evenly does not wander; a gap that was not bridged stays one. */
START_TEST(a_straight_course_stays)
{
    double raw[8 * EVERY + 1], v[8 * EVERY + 1];
    for (size_t k = 0; k <= 8 * EVERY; k++) {
        v[k] = 300 + 2 * (double)k;
        raw[k] = k % EVERY ? NAN : v[k];
        v[k] = k > 5 * EVERY && k < 6 * EVERY ? NAN : v[k];
    }
    ck_assert(nr_grid_forget(raw, v, 8 * EVERY + 1, STEP, STEP * EVERY));
    for (size_t k = 0; k <= 8 * EVERY; k++) {
        if (k > 5 * EVERY && k < 6 * EVERY)
            ck_assert(isnan(v[k]));
        else
            NEAR(v[k], 300 + 2 * (double)k, 1e-9);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {as_much_as_is_missed,
                                  the_record_tells_its_wander,
                                  few_readings_do_not_say_that_it_was_clear,
                                  what_is_expected_errs_by_itself,
                                  a_straight_course_stays,
                                  NULL};
    return run_tests("unseen", tests);
}
