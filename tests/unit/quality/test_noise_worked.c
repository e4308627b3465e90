/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Noise, quiet noise and resolution of drawn channels by what the header of noise.c says, worked
 * out from all the readings by plain sorting; the chance of equal readings by adding up the normal
 * law; what counts as rest. The limits are the project's own (no source). */
#include "tests/unit/quality/by_hand.h"

static by_hand hand;
static double scratch[HAND_ROWS], list[HAND_ROWS];

/* A channel without its holes. */
static struct {
    size_t n;
    double t[HAND_ROWS], v[HAND_ROWS];
} of;

static double ranked(double *v, size_t n, double share)
{
    return n ? sorted(v, n)[lround(floor(share * (double)(n - 1) + 0.5))] : NAN;
}

/* Second difference about i; NAN where one interval is half as long again as the other. */
static double bend(size_t i)
{
    double before = of.t[i] - of.t[i - 1], after = of.t[i + 1] - of.t[i];
    if (fmax(before, after) >= 1.5 * fmin(before, after))
        return NAN;
    return fabs((of.v[i + 1] - of.v[i]) - (of.v[i] - of.v[i - 1]));
}

static double root_mean(double *v, size_t n, double most)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += pow(fmin(v[i], most), 2);
    return sqrt(sum / (double)n / 6);
}

static double expected_step(void)
{
    size_t n = 0;
    for (size_t i = 1; i < of.n; i++)
        if (fabs(of.v[i] - of.v[i - 1]) > 1e-9)
            list[n++] = fabs(of.v[i] - of.v[i - 1]);
    return ranked(list, n, 0.05);
}

static double expected_noise(double step)
{
    size_t n = 0, every = 1 + of.n / 1500;
    for (size_t i = 1; i + 1 < of.n; i += every)
        if (!isnan(bend(i)))
            list[n++] = bend(i);
    if (n < 5)
        return NAN;
    double median = ranked(list, n, 0.5);
    if (isnan(step) || median >= 2.5 * step)
        return 1.4826 * median / sqrt(6); /* of a normal law: the median over its sd */
    return root_mean(list, n, 4 * step);
}

static double expected_quiet(double noise)
{
    static double quiet[HAND_ROWS / 50];
    size_t found = 0;
    for (size_t from = 1; !isnan(noise) && from + 50 < of.n; from += 100) {
        size_t n = 0;
        for (size_t i = from; i < from + 100 && i + 1 < of.n; i++)
            if (!isnan(bend(i)))
                list[n++] = bend(i);
        double s = n >= 10 ? root_mean(list, n, 4 * sqrt(6) * noise) : 0;
        if (s > 0)
            quiet[found++] = s;
    }
    return ranked(quiet, found, 0.25);
}

static void near_or_both_unknown(const char *what, int number, double is, double expected)
{
    ck_assert_msg((isnan(is) && isnan(expected)) || fabs(is - expected) <= 1e-9 * expected,
                  "record %d of %zu, %s: %.12g, expected %.12g", number, of.n, what, is, expected);
}

/* A lively and a quiet part, outliers, holes and uneven times; coarse or fine. */
static void draw(unsigned long long *s, size_t rows)
{
    hand_begin(&hand, rows, 2);
    double step = below(s, 2) ? 0 : 0.25, noise = pow(10, -2 + 2 * chance(s));
    double lively = below(s, 2) ? 1 : 5;
    size_t still = below(s, 4) ? 0 : below(s, rows);
    for (size_t i = 0; i < rows; i++) {
        double pause = below(s, 20) ? 0 : 0.5 * (double)below(s, 8);
        for (size_t k = i; pause > 0 && k < rows; k++)
            hand.t_s[k] += pause;
        double more = i % 300 > 120 ? noise * lively : noise;
        double v = 20 + 0.01 * (double)i + more * normal(s) + (below(s, 50) ? 0 : 9 * normal(s));
        hand.value[NR_ROLE_AIR][i] = step > 0 ? stepped(v, step) : v;
        if (i > 0 && i < still)
            hand.value[NR_ROLE_AIR][i] = hand.value[NR_ROLE_AIR][i - 1];
        if (below(s, 30) == 0)
            hand.value[NR_ROLE_AIR][i] = NAN;
    }
}

static const nr_quality_channel *judge(void)
{
    const nr_quality_channel *c = hand_channel(&hand, NR_ROLE_AIR);
    of.n = 0;
    for (size_t i = 0; i < hand.q.rows; i++)
        if (!isnan(hand.value[NR_ROLE_AIR][i])) {
            of.t[of.n] = hand.t_s[i];
            of.v[of.n++] = hand.value[NR_ROLE_AIR][i];
        }
    nr_check_noise(&hand.q, hand_dense(&hand, NR_ROLE_AIR), scratch);
    return c;
}

START_TEST(three_numbers)
{
    unsigned long long s = 5;
    for (int number = 0; number < 150; number++) {
        size_t most = number % 10 == 0 ? 3500 : number % 3 ? 500 : 30;
        draw(&s, 8 + below(&s, most));
        const nr_quality_channel *c = judge();
        if (of.n < 10) {
            ck_assert(isnan(c->step) && isnan(c->noise) && isnan(c->quiet_noise));
            continue;
        }
        double step = expected_step(), noise = expected_noise(step);
        near_or_both_unknown("step", number, c->step, step);
        near_or_both_unknown("noise", number, c->noise, noise);
        near_or_both_unknown("quiet", number, c->quiet_noise, expected_quiet(noise));
    }
}
END_TEST

static unsigned common_divisor(unsigned a, unsigned b)
{
    return b ? common_divisor(b, a % b) : a;
}

/* Read a minute apart and more, the step is what all changes are multiples of; closer, it is what
 * one in twenty changes is no larger than. */
START_TEST(of_seldom_readings)
{
    unsigned long long s = 8;
    for (int number = 0; number < 200; number++) {
        bool seldom = number % 2;
        size_t rows = 12 + below(&s, 60);
        hand_begin(&hand, rows, seldom ? 60.0 * (double)rows / (double)(rows - 1) + 1e-6 : 59.9);
        unsigned level = 1000, divisor = 0, unit = 1 + (unsigned)below(&s, 6);
        for (size_t i = 0; i < rows; i++) {
            unsigned before = level;
            level = 1000 + unit * (unsigned)below(&s, 30);
            hand.value[NR_ROLE_AIR][i] = 0.0625 * level;
            divisor =
                i ? common_divisor(divisor, level > before ? level - before : before - level) : 0;
        }
        const nr_quality_channel *c = judge();
        near_or_both_unknown("step", number, c->step, seldom ? 0.0625 * divisor : expected_step());
    }
}
END_TEST

/* A twentieth of a step is taken for rounding, more is a step of its own. */
START_TEST(rounded_in_the_file)
{
    for (int k = 0; k < 2; k++) {
        hand_begin(&hand, 40, 300);
        for (size_t i = 0; i < 40; i++)
            hand.value[NR_ROLE_AIR][i] = i % 2 == 0   ? 0
                                         : i % 4 == 1 ? 1
                                         : k          ? 2 + 1.0 / 19
                                                      : 2 + 1.0 / 21;
        NEAR(judge()->step, k ? 1.0 / 19 : 1, 1e-9);
    }
}
END_TEST

/* Equal neighbours at most: that a normal number keeps within half a step of its mean, with four
 * fifths of the noise but for what the resolution itself adds (a twelfth of its square). */
START_TEST(chance_of_equal_readings)
{
    for (int k = 1; k <= 60; k++) {
        nr_quality_channel c = {.step = 0.5, .quiet_noise = 0.5 * 0.05 * k};
        double own = 0.8 * sqrt(pow(c.quiet_noise, 2) - pow(c.step, 2) / 12), sum = 0;
        enum { PARTS = 4000 };
        for (int i = 0; i < PARTS; i++) { /* by the middle of each part */
            double z = (i + 0.5) / PARTS * c.step / 2 / own;
            sum += 2 * exp(-z * z / 2) / sqrt(2 * M_PI) * c.step / 2 / own / PARTS;
        }
        NEAR(nr_stay_chance(&c), k < 7 ? 1 : sum, 1e-6);
    }
    nr_quality_channel none = {.step = NAN, .quiet_noise = 1},
                       other = {.step = 1, .quiet_noise = NAN};
    NEAR(nr_stay_chance(&none), 1, 0);
    NEAR(nr_stay_chance(&other), 1, 0);
}
END_TEST

START_TEST(what_is_rest)
{
    static const double most[NR_ROLES] = {
        [NR_ROLE_SUN] = 5, [NR_ROLE_WIND] = 0.5, [NR_ROLE_FLOW] = 0.02, [NR_ROLE_PUMP] = INFINITY};
    for (int role = 0; role < NR_ROLES; role++) {
        bool rests = most[role] > 0;
        double at = isinf(most[role]) ? 1e9 : most[role];
        ck_assert_int_eq(nr_at_rest((nr_role)role, at), rests);
        ck_assert_int_eq(nr_at_rest((nr_role)role, -at), rests);
        ck_assert_int_eq(nr_at_rest((nr_role)role, 1.001 * at), role == NR_ROLE_PUMP);
        ck_assert_int_eq(nr_at_rest((nr_role)role, -1.001 * at), role == NR_ROLE_PUMP);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {three_numbers,       of_seldom_readings,
                                  rounded_in_the_file, chance_of_equal_readings,
                                  what_is_rest,        NULL};
    return run_tests("quality: noise and resolution worked out", tests);
}
