/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Wide vectors give the numbers of narrow ones, and of none. */
#include "logger/base/wide.h"
#include "tests/unit/near.h"

#include <math.h>
#include <stdlib.h>

#define MOST 67

static NR_WIDE_LOOP void relax_loop(double *restrict to, const double *restrict row, double by,
                                    int n)
{
    for (int i = 0; i < n; i++)
        to[i] = (to[i] + by * row[i]) / (1 + by * row[i] * row[i]);
}

NR_WIDE(relax, (double *restrict to, const double *restrict row, double by, int n),
        (to, row, by, n))

/* One at a time: nothing to make a vector of. Elsewhere a compiler may fuse product and sum above.
 */
static double relaxed(double to, double row, double by)
{
    volatile double product = by * row, square = product * row, sum = to + product;
    return sum / (1 + square);
}

START_TEST(the_same_to_the_last_digit)
{
    for (int n = 0; n <= MOST; n++) {
        double row[MOST + 1], wide[MOST + 1], plain[MOST + 1], by = 0.37;
        for (int i = 0; i <= MOST; i++) {
            row[i] = sin(i + 1.0);
            wide[i] = plain[i] = cos(3.0 * i) * 1e3;
        }
        relax(wide, row, by, n);
        relax_loop(plain, row, by, n);
        for (int i = 0; i <= MOST; i++) {
            double one = cos(3.0 * i) * 1e3;
            ck_assert(wide[i] == plain[i]);
#ifdef __x86_64__
            ck_assert(wide[i] == (i < n ? relaxed(one, row[i], by) : one));
#else
            ck_assert_double_eq_tol(wide[i], i < n ? relaxed(one, row[i], by) : one, 1e-9);
#endif
        }
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {the_same_to_the_last_digit, NULL};
    return run_tests("wide", tests);
}
