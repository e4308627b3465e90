/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Calm stretches of an irradiance are averaged over as much as lies on a straight line: which
 * values belong, how far the line goes on, where nothing is touched. Limits worked out by hand:
 * five standard uncertainties of one value, two and a half of a mean of n and m values, s (1/2n +
 * 1/m)^1/2. Records of one time, by the half of the shorter. */
#include "analyze/series/inside.h"
#include "tests/unit/near.h"

#define STEPS 60
static double raw[STEPS], value[STEPS];

static void calm(double noise, double each, size_t reach, size_t farthest)
{
    memcpy(value, raw, sizeof value);
    ck_assert(nr_grid_calm(raw, value, STEPS, noise, each, reach, farthest));
}

/* A parabola about step 30: 500 + a (k - 30)^2. */
static void bend(double a)
{
    for (int k = 0; k < STEPS; k++)
        raw[k] = 500 + a * (k - 30) * (k - 30);
}

START_TEST(a_line_stays_a_line)
{
    for (int k = 0; k < STEPS; k++)
        raw[k] = 400 + 3 * k;
    calm(1, 1, 2, 16);
    for (int k = 0; k < STEPS; k++)
        NEAR(value[k], raw[k], 1e-9);
    /* What alternates about it is taken out, but for the ends. */
    for (int k = 0; k < STEPS; k++)
        raw[k] = 400 + 3 * k + (k % 2 ? 0.5 : -0.5);
    calm(1, 1, 2, 2);
    for (int k = 2; k < STEPS - 2; k++) /* of five, three are on one side */
        NEAR(value[k] - (400 + 3 * k), k % 2 ? 0.1 : -0.1, 1e-9);
    for (int k = 0; k < 2; k++) {
        ck_assert(value[k] == raw[k]);
        ck_assert(value[STEPS - 1 - k] == raw[STEPS - 1 - k]);
    }
}
END_TEST

/* Of seven values the middle one pulls their mean by a seventh: 5 noises of what is left. */
START_TEST(what_does_not_belong)
{
    for (int more = 0; more < 2; more++) {
        bend(0);
        raw[30] += more ? 5.84 : 5.82;
        calm(1, 1, 3, 3);
        NEAR(value[30], more ? 505.84 : 500 + 5.82 / 7, 1e-9);
        ck_assert(value[20] == 500 && value[26] == 500);
    }
    /* A hole or a standstill beside it: nothing is done there. */
    for (int hole = 0; hole < 2; hole++) {
        for (int k = 0; k < STEPS; k++)
            raw[k] = 500 + (k % 2 ? 0.5 : -0.5);
        raw[30] = hole ? NAN : 0;
        calm(1, 1, 2, 2);
        for (int k = 28; k <= 32; k++)
            if (k != 30)
                ck_assert(value[k] == raw[k]);
        ck_assert(value[27] != raw[27] && value[33] != raw[33]);
    }
}
END_TEST

/* Two steps to each side and then four: two outer ones to each side lie 12.5 a above the middle,
 * the five within 2 a; u = s (1/4 + 1/5)^1/2. */
START_TEST(how_far_a_line_goes_on)
{
    static const struct {
        double each, noise;
    } of[] = {{1, 1}, {0.25, 1}, {4, 1}, {1, 2}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        double u = of[i].noise * sqrt((0.25 + 0.2) / fmin(of[i].each, 1));
        double limit = 2.5 * u / 10.5;
        bend(0.99 * limit);
        calm(of[i].noise, of[i].each, 2, 4);
        NEAR(value[30], 500 + 0.99 * limit * 60 / 9, 1e-9); /* 2 (1 + 4 + 9 + 16) over nine */
        bend(1.01 * limit);
        calm(of[i].noise, of[i].each, 2, 4);
        NEAR(value[30], 500 + 1.01 * limit * 2, 1e-9);
        bend(0.99 * limit); /* no farther than asked */
        calm(of[i].noise, of[i].each, 2, 3);
        NEAR(value[30], 500 + 0.99 * limit * 2, 1e-9);
    }
    bend(0); /* from one step to each side at least; doubled up to where there are steps */
    raw[30] = 503;
    calm(1, 1, 0, 2);
    NEAR(value[30], 500 + 3.0 / 5, 1e-9);
    calm(1, 1, 1, 100);
    NEAR(value[30], 500 + 3.0 / 33, 1e-9); /* 16 to each side: 32 are not there */
    NEAR(value[3], 500, 1e-9);
}
END_TEST

/* --- the same time -----------------------------------------------------------------------------
 */

static double first[3], second[3];
static bool same_time(double a_from, double a_to, double b_from, double b_to)
{
    nr_readings p = {.rows = 2, .utc_s = first}, q = {.rows = 2, .utc_s = second};
    nr_run a = {.readings = &p}, b = {.readings = &q};
    nr_series x = {.run = &a}, y = {.run = &b};
    first[0] = a_from;
    first[1] = a_to;
    second[0] = b_from;
    second[1] = b_to;
    bool same = nr_series_same_time(&x, &y);
    ck_assert(nr_series_same_time(&y, &x) == same);
    p.rows = 1;
    ck_assert(!nr_series_same_time(&x, &y) && !nr_series_same_time(&y, &x));
    return same;
}

START_TEST(half_of_the_shorter)
{
    ck_assert(same_time(0, 100, 0, 100));
    ck_assert(same_time(0, 100, 50, 150) && !same_time(0, 100, 51, 151));
    ck_assert(same_time(0, 1000, 980, 1020) && !same_time(0, 1000, 981, 1021));
    ck_assert(same_time(0, 1000, 400, 410) && !same_time(0, 100, 200, 300));
    ck_assert(!same_time(NAN, NAN, 0, 100));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_line_stays_a_line, what_does_not_belong, how_far_a_line_goes_on,
                                  half_of_the_shorter, NULL};
    return run_tests("calm", tests);
}
