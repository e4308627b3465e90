/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Ranks, letters and the factor for all pairs, against tables and against what letters mean. */
#include "analyze/compare/rank.h"
#include "tests/unit/near.h"

#include <stdlib.h>
#include <string.h>

static char text[NR_BUILDS][NR_BUILDS + 1];
static char *letters[NR_BUILDS];

static void set_up(void)
{
    for (size_t i = 0; i < NR_BUILDS; i++)
        letters[i] = text[i];
}

static bool share_a_letter(const char *a, const char *b)
{
    return strpbrk(a, b) != NULL;
}

/* Neighbours alike, others apart: each two neighbours share a letter, and nobody else does. */
START_TEST(a_chain)
{
    bool apart[16] = {false};
    apart[0 * 4 + 2] = apart[0 * 4 + 3] = apart[1 * 4 + 3] = true;
    nr_rank_letters(apart, 4, letters, sizeof text[0]);
    ck_assert_str_eq(text[0], "a");
    ck_assert_str_eq(text[1], "ab");
    ck_assert_str_eq(text[2], "bc");
    ck_assert_str_eq(text[3], "c");
}
END_TEST

START_TEST(all_alike_and_all_apart)
{
    bool apart[9] = {false};
    nr_rank_letters(apart, 3, letters, sizeof text[0]);
    for (int i = 0; i < 3; i++)
        ck_assert_str_eq(text[i], "a");
    memset(apart, true, sizeof apart);
    nr_rank_letters(apart, 3, letters, sizeof text[0]);
    ck_assert_str_eq(text[0], "a");
    ck_assert_str_eq(text[1], "b");
    ck_assert_str_eq(text[2], "c");
}
END_TEST

/* Whatever is told apart, on a line with errors of different size: a letter in common where and
 * only where two are not. */
START_TEST(letters_mean_what_they_say)
{
    srand(7);
    for (int trial = 0; trial < 200; trial++) {
        size_t n = 2 + (size_t)(rand() % (NR_BUILDS - 1));
        double value[NR_BUILDS], u[NR_BUILDS];
        bool apart[NR_BUILDS * NR_BUILDS];
        for (size_t i = 0; i < n; i++) {
            value[i] = (i ? value[i - 1] : 0) + rand() % 100;
            u[i] = 20 + rand() % 80;
        }
        for (size_t i = 0; i < n; i++)
            for (size_t k = 0; k < n; k++)
                apart[i * n + k] = fabs(value[i] - value[k]) > 2 * hypot(u[i], u[k]);
        nr_rank_letters(apart, n, letters, sizeof text[0]);
        ck_assert(strchr(text[0], 'a') != NULL);
        for (size_t i = 0; i < n; i++) {
            ck_assert(text[i][0] != '\0');
            for (size_t k = i + 1; k < n; k++)
                ck_assert_int_eq(share_a_letter(text[i], text[k]), !apart[i * n + k]);
        }
    }
}
END_TEST

static nr_cloud independent(size_t n, double step)
{
    nr_cloud c = {.n = n};
    for (size_t i = 0; i < n; i++) {
        c.build[i] = i;
        c.value[i] = step * (double)i;
        c.covariance[i][i] = 1;
    }
    return c;
}

/* The 95 % points of the studentized range with infinite degrees of freedom, over the root of two
 * (H. L. Harter, Ann. Math. Stat. 31 (1960) 1122-1147, from memory; the integral
 * n phi(x) (Phi(x) - Phi(x - q))^(n - 1) dx, done by another program, is 0.9500 at each). 20,000
 * draws know them to 0.013. What all share changes nothing. */
START_TEST(the_factor_is_the_studentized_range)
{
    static const struct {
        size_t n;
        double q;
    } harter[] = {{3, 3.3145}, {6, 4.0301}, {12, 4.6221}};
    unsigned counts[NR_BUILDS][NR_BUILDS];
    for (size_t t = 0; t < 3; t++) {
        nr_cloud c = independent(harter[t].n, 0);
        double k = 0, together = 0;
        ck_assert(nr_rank_simulate(&c, counts, &k));
        NEAR(k, harter[t].q / sqrt(2), 0.04);
        for (size_t i = 0; i < c.n; i++)
            for (size_t j = 0; j < c.n; j++)
                c.covariance[i][j] += 25;
        ck_assert(nr_rank_simulate(&c, counts, &together));
        NEAR(together, harter[t].q / sqrt(2), 0.04);
    }
    nr_cloud two = independent(2, 1);
    double k = 0;
    ck_assert(nr_rank_simulate(&two, counts, &k));
    NEAR(k, 1.959964, 1e-6);
}
END_TEST

/* Two builds a standard uncertainty of their difference apart: the first is faster with Phi(1);
 * far apart nobody changes places; the same draws every time. */
START_TEST(ranks_by_draws)
{
    unsigned counts[NR_BUILDS][NR_BUILDS], again[NR_BUILDS][NR_BUILDS];
    double k;
    nr_cloud near = independent(2, sqrt(2));
    ck_assert(nr_rank_simulate(&near, counts, &k));
    NEAR(counts[0][0] / (double)NR_RANK_DRAWS, 0.8413, 0.01);
    ck_assert_uint_eq(counts[0][0] + counts[0][1], NR_RANK_DRAWS);
    ck_assert(nr_rank_simulate(&near, again, &k));
    ck_assert_int_eq(memcmp(counts, again, sizeof counts), 0);
    nr_cloud far = independent(NR_BUILDS, 20);
    ck_assert(nr_rank_simulate(&far, counts, &k));
    for (size_t i = 0; i < NR_BUILDS; i++)
        ck_assert_uint_eq(counts[i][i], NR_RANK_DRAWS);
    /* Errors that all share move all: nobody passes anybody. */
    nr_cloud same = {.n = 3, .value = {0, 0.1, 0.2}};
    for (size_t i = 0; i < 3; i++)
        for (size_t j = 0; j < 3; j++)
            same.covariance[i][j] = 100;
    ck_assert(nr_rank_simulate(&same, counts, &k));
    for (size_t i = 0; i < 3; i++)
        ck_assert_uint_eq(counts[i][i], NR_RANK_DRAWS);
}
END_TEST

int main(void)
{
    set_up();
    const TTest *const tests[] = {a_chain,
                                  all_alike_and_all_apart,
                                  letters_mean_what_they_say,
                                  the_factor_is_the_studentized_range,
                                  ranks_by_draws,
                                  NULL};
    return run_tests("rank", tests);
}
