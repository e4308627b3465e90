/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rounding to the uncertainty, against the worked examples of JCGM 100:2008 (GUM). */
#include "analyze/show/show.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"
#include "tests/unit/near.h"

typedef struct example {
    double value, u;
    const char *value_text, *u_text;
} example;

START_TEST(gum_examples)
{
    static const example examples[] = {
        /* JCGM 100, 7.2.6: y 10.05762 ohm with u 27 milliohm is given as 10.058 ohm (from memory).
         */
        {10.05762, 0.027, "10.058", "0.027"},
        /* H.1, the gauge block: 50.000838 mm, u 31.7 nm given as 32 nm (from memory). */
        {50.000838, 31.7e-6, "50.000838", "0.000032"},
        /* H.3, Table H.6: the unrounded numbers give the printed ones. */
        {-0.171204, 0.0028776, "-0.1712", "0.0029"},
        {0.0021827, 0.00066794, "0.00218", "0.00067"},
        {-0.149377, 0.0041386, "-0.1494", "0.0041"},
        /* H.2: u 0.0711 printed as 0.071, R as 127.732 (from memory). */
        {127.7321, 0.0711, "127.732", "0.071"},
    };
    for (size_t i = 0; i < sizeof examples / sizeof *examples; i++) {
        char value[NR_ROUNDED], u[NR_ROUNDED];
        nr_round_pair(examples[i].value, examples[i].u, value, u, sizeof value);
        ck_assert_str_eq(value, examples[i].value_text);
        ck_assert_str_eq(u, examples[i].u_text);
    }
}
END_TEST

START_TEST(edges)
{
    static const example examples[] = {
        {0.71234, 0.0225, "0.712", "0.023"}, /* the half as written, not its binary neighbour */
        {1.005, 0.10, "1.01", "0.10"},       /* 1.005 * 100 is 100.49999999999999 */
        {0.5, 0.0996, "0.50", "0.10"},       /* rounding u carries into a new digit */
        {5, 9.96, "5", "10"},
        {5, 99.6, "10", "100"}, /* tens and halves: 5 away from zero */
        {4260.3, 187, "4260", "190"},
        {-0.0001, 0.02, "0.000", "0.020"}, /* never -0.000 */
        {0.71234, 0, "0.7123", "0"},
        {0.71234, NAN, "0.7123", "?"},
        {NAN, 0.1, "?", "0.10"},
        {12345.6, INFINITY, "12350", "inf"},
        {1e-30, 1e-40, "1.000e-30", "1.000e-40"},
    };
    for (size_t i = 0; i < sizeof examples / sizeof *examples; i++) {
        char value[NR_ROUNDED], u[NR_ROUNDED];
        nr_round_pair(examples[i].value, examples[i].u, value, u, sizeof value);
        ck_assert_msg(!strcmp(value, examples[i].value_text), "case %zu: value %s", i, value);
        ck_assert_msg(!strcmp(u, examples[i].u_text), "case %zu: u %s", i, u);
    }
}
END_TEST

/* Digits from the first that is not zero, without point and sign. */
static int significant(const char *text)
{
    int n = 0;
    for (const char *p = text; *p != '\0'; p++)
        if (*p >= '0' && *p <= '9' && (n > 0 || *p != '0'))
            n++;
    return n;
}

START_TEST(random_pairs)
{
    unsigned seed = 726;
    printf("seed %u\n", seed);
    for (int i = 0; i < 100000; i++) {
        double u = pow(10, 8.0 * rand_r(&seed) / RAND_MAX - 7);
        double value = u * 200 * (rand_r(&seed) / (double)RAND_MAX - 0.5);
        char value_text[NR_ROUNDED], u_text[NR_ROUNDED];
        nr_round_pair(value, u, value_text, u_text, sizeof value_text);
        if (u < 9.9)
            ck_assert_msg(significant(u_text) == 2, "u %.17g: %s", u, u_text);
        /* Both are off by at most half of the last place kept. */
        double half = 0.5 * pow(10, -nr_round_place(u, 2));
        ck_assert_msg(fabs(atof(u_text) - u) <= half * (1 + 1e-6), "u %.17g: %s", u, u_text);
        ck_assert_msg(fabs(atof(value_text) - value) <= half * (1 + 1e-6), "value %.17g: %s", value,
                      value_text);
    }
}
END_TEST

START_TEST(plain_numbers)
{
    char text[NR_ROUNDED];
    ck_assert_str_eq(nr_plain_text(40, 3, text), "40");
    ck_assert_str_eq(nr_plain_text(0.52, 4, text), "0.52");
    ck_assert_str_eq(nr_plain_text(10.586, 3, text), "10.6");
    ck_assert_str_eq(nr_plain_text(100, 3, text), "100");
    ck_assert_str_eq(nr_plain_text(-2.50, 3, text), "-2.5");
    ck_assert_str_eq(nr_plain_text(0, 3, text), "0");
    ck_assert_str_eq(nr_plain_text(NAN, 3, text), "?");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {gum_examples, edges, random_pairs, plain_numbers, NULL};
    return run_tests("round", tests);
}
