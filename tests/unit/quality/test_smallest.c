/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The k-th smallest of many values, against sorting them. */
#include "analyze/quality/quality.h"
#include "tests/unit/near.h"

#include <math.h>
#include <stdlib.h>

static int ascending(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* So many that a sample is taken; and values that mislead it: steps, an order, one that repeats
 * with the sample's stride, outliers. */
static double value_of(int kind, size_t i, size_t n, unsigned *state)
{
    *state = *state * 1664525u + 1013904223u;
    double chance = (double)(*state >> 8) / 16777216.0;
    switch (kind) {
    case 0:
        return chance;
    case 1:
        return floor(8 * chance) / 16;
    case 2:
        return (double)i;
    case 3:
        return -(double)i;
    case 4:
        return i % (n / 1024) == 0 ? 1e6 + chance : chance;
    default:
        return chance < 0.001 ? 1e9 * chance : 7;
    }
}

START_TEST(the_kth_of_many)
{
    const size_t n = 20011, k[] = {0, 1, 1000, 10005, 19010, 20009, 20010};
    double *v = malloc(n * sizeof *v), *sorted = malloc(n * sizeof *sorted);
    ck_assert(v && sorted);
    for (int kind = 0; kind < 6; kind++)
        for (size_t i = 0; i < sizeof k / sizeof *k; i++) {
            unsigned state = 1;
            for (size_t j = 0; j < n; j++)
                v[j] = sorted[j] = value_of(kind, j, n, &state);
            qsort(sorted, n, sizeof *sorted, ascending);
            ck_assert_double_eq(nr_smallest(v, n, k[i]), sorted[k[i]]);
            ck_assert_double_eq(nr_median(v, n),
                                sorted[n / 2]); /* reordered, and all still there */
        }
    for (int kind = 0; kind < 6; kind++) { /* an even number, with ties in the middle and without */
        unsigned state = 2;
        for (size_t j = 0; j < n - 1; j++)
            v[j] = sorted[j] = value_of(kind, j, n, &state);
        qsort(sorted, n - 1, sizeof *sorted, ascending);
        ck_assert_double_eq(nr_median(v, n - 1), 0.5 * (sorted[n / 2 - 1] + sorted[n / 2]));
    }
    double tie[] = {3, 2, 1, 2}, low_tie[] = {1, 1, 2, 3, 1, 4};
    ck_assert_double_eq(nr_median(tie, 4), 2);
    ck_assert_double_eq(nr_median(low_tie, 6), 1.5);
    double four[] = {4, 1, 3, 2};
    ck_assert_double_eq(nr_median(four, 4), 2.5);
    ck_assert(isnan(nr_median(four, 0)));
    free(v);
    free(sorted);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {the_kth_of_many, NULL};
    return run_tests("smallest", tests);
}
