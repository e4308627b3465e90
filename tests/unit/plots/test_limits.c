/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Round limits found by trying all round steps; labels moved apart held against what that means;
 * signs of units, one by one and at the end of the room there is. */
#include "plots/picture.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

static uint64_t seed;

/* 0..1, the same on every machine. */
static double part(void)
{
    return chance_share(&seed);
}

/* --- round limits --------------------------------------------------------------------------------
 */

/* The least of 1, 2, 2.5, 5 times a power of ten that needs no more than so many steps. */
static double round_step(double span, int steps)
{
    static const double digits[] = {1, 2, 2.5, 5};
    for (int power = -12; power < 13; power++)
        for (int d = 0; d < 4; d++)
            if (digits[d] * pow(10, power) * steps >= span * (1 - 1e-12))
                return digits[d] * pow(10, power);
    return NAN;
}

static void limits_hold(double lo, double hi, int steps, bool with_zero, double from, double to)
{
    char what[100];
    nr_limits got = nr_nice(lo, hi, steps, with_zero);
    double step = round_step(to - from, steps);
    (void)snprintf(what, sizeof what, "%.12g to %.12g in %d", lo, hi, steps);
    NEAR_AT(what, got.step, step, 1e-9 * step);
    NEAR_AT(what, got.lo, step * floor(from / step + 1e-9), 1e-6 * step);
    NEAR_AT(what, got.hi, step * ceil(to / step - 1e-9), 1e-6 * step);
}

START_TEST(round_limits)
{
    seed = 8101;
    for (int n = 0; n < 400; n++) {
        double scale = pow(10, 8 * part() - 4), lo = scale * (2 * part() - 1);
        double hi = lo + scale * (0.01 + part());
        int steps = 1 + (int)(9 * part());
        limits_hold(lo, hi, steps, false, lo, hi);
        limits_hold(lo, hi, steps, true, lo < 0 ? lo : 0, hi > 0 ? hi : 0);
    }
    /* At the borders between steps, from below and above. */
    static const double border[] = {1, 2, 2.5, 5, 10};
    for (int b = 0; b < 5; b++)
        for (int side = -1; side < 2; side += 2)
            limits_hold(0, 40 * border[b] * (1 + 1e-6 * side), 4, false, 0,
                        40 * border[b] * (1 + 1e-6 * side));
}
END_TEST

/* A billionth of a step beyond a round number is no reason for another one. */
START_TEST(a_hair_beyond)
{
    static const struct {
        double hair;
        bool another;
    } of[] = {{-0.5e-9, false}, {0.5e-9, false}, {1.5e-9, true}, {0, false}};
    for (int i = 0; i < 4; i++) {
        double hi = 4 + of[i].hair, lo = 1 - of[i].hair;
        NEAR(nr_nice(0.9, hi, 4, false).hi, of[i].another ? 5 : 4, 1e-12);
        NEAR(nr_nice(lo, 4.5, 4, false).lo, of[i].another ? 0 : 1, 1e-12);
    }
}
END_TEST

/* One number alone: a tenth of it around it, of 1 where it is less; zero stays the end it is. */
START_TEST(no_span)
{
    static const double at[] = {0, 0.3, -0.3, 1, 7, 40, -250, 1234};
    for (size_t i = 0; i < sizeof at / sizeof *at; i++) {
        double half = fmax(fabs(at[i]), 1) * 0.05;
        limits_hold(at[i], at[i], 3, false, at[i] - half, at[i] + half);
    }
    limits_hold(0, 0, 3, true, 0, 0.05);
    limits_hold(40, 40, 4, true, 0, 40);
    limits_hold(-40, -40, 4, true, -40, 0);
    limits_hold(NAN, 3, 5, false, 0, 1);
    limits_hold(3, INFINITY, 5, false, 0, 1);
    limits_hold(NAN, NAN, 2, true, 0, 1);
    /* A billionth of the greater is the least span that is one. */
    limits_hold(980, 980 + 0.5e-6, 3, false, 980 - 49, 980 + 49 + 0.5e-6);
    limits_hold(-980 - 0.5e-6, -980, 3, false, -980 - 49 - 0.5e-6, -980 + 49);
    ck_assert(nr_nice(1000, 1000 + 1.5e-6, 5, false).step < 1e-6);
}
END_TEST

START_TEST(least_and_greatest)
{
    double lo = NAN, hi = NAN;
    nr_stretch(&lo, &hi, NAN);
    nr_stretch(&lo, &hi, INFINITY);
    ck_assert(isnan(lo) && isnan(hi));
    static const double value[] = {3, 5, 4, -1, NAN, -INFINITY, 4.5};
    static const double least[] = {3, 3, 3, -1, -1, -1, -1}, most[] = {3, 5, 5, 5, 5, 5, 5};
    for (int i = 0; i < 7; i++) {
        nr_stretch(&lo, &hi, value[i]);
        ck_assert(lo == least[i] && hi == most[i]);
    }
}
END_TEST

/* --- labels --------------------------------------------------------------------------------------
 */

START_TEST(moved_apart)
{
    seed = 8102;
    for (int n = 0; n < 300; n++) {
        size_t count = 1 + (size_t)(10 * part());
        double was[10], is[10], lo = 100 * part() - 50, hi = lo + 10, gap = 2 * part();
        bool clear = true, fits = gap * (double)(count - 1) <= 10;
        double kept = fits ? gap : 10 / (double)(count - 1);
        for (size_t i = 0; i < count; i++)
            was[i] = is[i] = lo + 10 * part();
        nr_spread(is, count, gap, lo, hi);
        for (size_t a = 0; a < count; a++) {
            size_t below = 0;
            ck_assert(is[a] >= lo - 1e-9 && is[a] <= hi + 1e-9);
            for (size_t b = 0; b < count; b++) {
                clear = clear && (a == b || fabs(was[a] - was[b]) >= gap);
                below += was[b] < was[a];
                if (was[a] < was[b])
                    ck_assert_msg(is[b] - is[a] >= kept - 1e-9, "%g apart, not %g", is[b] - is[a],
                                  kept);
            }
            if (!fits) /* full: each at its step */
                NEAR(is[a], lo + kept * (double)below, 1e-9);
        }
        for (size_t i = 0; clear && i < count; i++)
            ck_assert(is[i] == was[i]);
    }
}
END_TEST

/* Two that are too near go as far as each other; equal ones keep the order they came in. */
START_TEST(pairs)
{
    double two[2] = {5.3, 5}, same[3] = {5, 5, 5}, many[65], untouched[65];
    nr_spread(two, 2, 1, 0, 10);
    NEAR(two[0], 5.65, 1e-9);
    NEAR(two[1], 4.65, 1e-9);
    nr_spread(same, 3, 1, 0, 10);
    ck_assert(same[0] < same[1] && same[1] < same[2]);
    NEAR(same[1] - same[0], 1, 1e-6);
    for (int i = 0; i < 65; i++)
        many[i] = untouched[i] = 5;
    nr_spread(many, 0, 1, 0, 10);
    nr_spread(many, 65, 1, 0, 10); /* more than it has room for */
    ck_assert(memcmp(many, untouched, sizeof many) == 0);
    nr_spread(many, 64, 0.1, 0, 63);
    for (int i = 1; i < 64; i++)
        ck_assert(many[i] - many[i - 1] >= 0.1 - 1e-9);
    ck_assert(many[64] == 5);
}
END_TEST

/* --- signs ---------------------------------------------------------------------------------------
 */

START_TEST(signs_of_units)
{
    static const char *const unit[][2] = {
        {"degC", "\u00b0C"}, {"degF2", "\u00b0F\u00b2"}, {"degF", "\u00b0F"},
        {"ft2", "ft\u00b2"}, {"m2", "m\u00b2"},          {"K2", "K\u00b2"},
        {"+-", "\u00b1"},    {"eta0", "\u03b7\u2080"},   {"a1", "a\u2081"}};
    static const char before[] = " (/", after[] = " )/,.;:", no[] = "xX9-_[";
    for (size_t u = 0; u < 9; u++)
        for (int b = -1; b < 3; b++)
            for (int a = -1; a < 7; a++) {
                char text[40], expected[40];
                const char *front = b < 0 ? "" : (char[]){before[b], '\0'};
                const char *behind = a < 0 ? "" : (char[]){after[a], '\0'};
                const char *start = b < 0 ? "" : "x";
                (void)snprintf(text, sizeof text, "%s%s%s%s", start, front, unit[u][0], behind);
                (void)snprintf(expected, sizeof expected, "%s%s%s%s", start, front, unit[u][1],
                               behind);
                nr_pretty(text, sizeof text);
                ck_assert_str_eq(text, expected);
                for (int k = 0; k < 6; k++) {
                    (void)snprintf(text, sizeof text, "%c%s", no[k], unit[u][0]);
                    (void)snprintf(expected, sizeof expected, "%s", text);
                    nr_pretty(text, sizeof text);
                    ck_assert_str_eq(text, expected);
                    if (no[k] == '9' && unit[u][0][0] == '+')
                        continue;
                    (void)snprintf(text, sizeof text, "%s%c", unit[u][0], no[k]);
                    (void)snprintf(expected, sizeof expected, "%s", text);
                    nr_pretty(text, sizeof text);
                    ck_assert_str_eq(text, expected);
                }
            }
}
END_TEST

START_TEST(sentences)
{
    static const char *const of[][2] = {
        {"", ""},
        {"8.1 W/(m2 K) +-1.3 at -4 degC", "8.1 W/(m\u00b2 K) \u00b11.3 at \u22124 \u00b0C"},
        {"+-0, +-9, +-:", "\u00b10, \u00b19, \u00b1:"},
        {"-0 (-9 /-1", "\u22120 (\u22129 /-1"},
        {"3-4 a-1 - 4 -x (- -", "3-4 a-1 - 4 -x (- -"},
        {"m2 m2 ft2/K2", "m\u00b2 m\u00b2 ft\u00b2/K\u00b2"},
        {"eta0 -1, a1 -2", "\u03b7\u2080 \u22121, a\u2081 \u22122"}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char text[100];
        (void)snprintf(text, sizeof text, "%s", of[i][0]);
        nr_pretty(text, sizeof text);
        ck_assert_str_eq(text, of[i][1]);
    }
    /* What would not fit with its end stays, and what comes after it is still looked at. */
    static const struct {
        const char *text, *set;
        size_t room; /* the least */
    } fits[] = {
        {"m2", "m\u00b2", 4}, {"-4", "\u22124", 5}, {"a1", "a\u2081", 5}, {"ft2.", "ft\u00b2.", 6}};
    for (size_t i = 0; i < sizeof fits / sizeof *fits; i++)
        for (size_t less = 0; less < 2; less++) {
            char text[10];
            (void)snprintf(text, sizeof text, "%s", fits[i].text);
            nr_pretty(text, fits[i].room - less);
            ck_assert_str_eq(text, less ? fits[i].text : fits[i].set);
        }
    char text[9] = "a1 degC"; /* 7 bytes and no room for two more, but for one less */
    nr_pretty(text, 8);
    ck_assert_str_eq(text, "a1 \u00b0C");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {round_limits,       a_hair_beyond, no_span,
                                  least_and_greatest, moved_apart,   pairs,
                                  signs_of_units,     sentences,     NULL};
    return run_tests("limits", tests);
}
