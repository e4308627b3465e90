/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Calm stretches of an irradiance are averaged over as much as lies on a straight line: which
 * values belong, how far the line goes on, where nothing is touched. Limits worked out by hand:
 * five standard uncertainties of one value, two and a half of a mean of n and m values, s (1/2n +
 * 1/m)^1/2; and the whole of it once more, step by step, on drawn courses. Records of one time, by
 * the half of the shorter. */
#include "analyze/series/inside.h"
#include "tests/unit/chance.h"
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

/* Mean of raw from .. to, both included; NAN over a hole or a standstill. */
static double mean_of(size_t from, size_t to)
{
    double sum = 0;
    for (size_t k = from; k <= to; k++)
        sum += raw[k] == 0 ? NAN : raw[k];
    return sum / (double)(to - from + 1);
}

/* What stands at k afterwards: a mean of as many on both sides as lie on one line, twice as far
 * each time. A line through the middles of both halves, which lie reach + 1 apart. */
static double calmed(size_t k, double before, double noise, double each, size_t reach,
                     size_t farthest)
{
    size_t far = reach > 0 ? reach : 1;
    if (k < far || k + far >= STEPS || isnan(mean_of(k - far, k + far)))
        return before;
    double middle = mean_of(k - far, k + far);
    double slope = (mean_of(k + 1, k + far) - mean_of(k - far, k - 1)) / (double)(far + 1);
    for (size_t i = k - far; i <= k + far; i++)
        if (fabs(raw[i] - (middle + slope * ((double)i - (double)k))) > 5 * noise)
            return before;
    for (size_t next = 2 * far; next <= farthest && next <= k && k + next < STEPS; next *= 2) {
        double beyond = (mean_of(k - next, k - far - 1) + mean_of(k + far + 1, k + next)) / 2;
        double outer = 2 * (double)(next - far), inner = 2 * (double)far + 1;
        double u = noise * sqrt((1 / outer + 1 / inner) / (each < 1 ? each : 1));
        if (!(fabs(beyond - mean_of(k - far, k + far)) < 2.5 * u))
            break;
        far = next;
    }
    return mean_of(k - far, k + far);
}

/* Straight, bent and broken courses under noise, with steps, holes and standstills. */
START_TEST(drawn_courses)
{
    uint64_t s = 3;
    size_t changed = 0, stayed = 0;
    for (int number = 0; number < 150; number++) {
        double noise = 0.2 + chance_share(&s), slope = 2 * chance_share(&s) - 1;
        double bent = 0.02 * (chance_share(&s) - 0.5), each = 1.5 * chance_share(&s) + 0.1;
        size_t reach = chance_below(&s, 5), farthest = chance_below(&s, 30);
        double at = 300;
        for (size_t k = 0; k < STEPS; k++) {
            double off = 4 * noise * (chance_share(&s) - 0.5);
            at += slope + bent * (double)k;
            at += chance_below(&s, 40) ? 0 : 20 * noise * (chance_share(&s) - 0.5);
            raw[k] = at + off;
        }
        for (unsigned holes = chance_below(&s, 4); holes > 0; holes--) {
            double hole = chance_below(&s, 2) ? 0 : NAN;
            raw[chance_below(&s, STEPS)] = hole;
        }
        calm(noise, each, reach, farthest);
        for (size_t k = 0; k < STEPS; k++) {
            double expected = calmed(k, raw[k], noise, each, reach, farthest);
            ck_assert_msg((isnan(value[k]) && isnan(expected)) || fabs(value[k] - expected) < 1e-9,
                          "course %d, step %zu: %.12g, expected %.12g", number, k, value[k],
                          expected);
            changed += fabs(expected - raw[k]) > 0;
            stayed += expected >= raw[k] && expected <= raw[k];
        }
    }
    ck_assert(changed > 1000 && stayed > 1000);
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
                                  drawn_courses,       half_of_the_shorter,  NULL};
    return run_tests("calm", tests);
}
