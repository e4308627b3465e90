/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What readings miss, against a process whose law is known: an Ornstein-Uhlenbeck process by its
 * exact discrete form (a first-order autoregression), of which every second is known. */
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

int main(void)
{
    const TTest *const tests[] = {as_much_as_is_missed, the_record_tells_its_wander,
                                  few_readings_do_not_say_that_it_was_clear, NULL};
    return run_tests("unseen", tests);
}
