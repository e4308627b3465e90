/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The size of a signature in what is left over is its least-squares coefficient: x'y / x'x, with
 * the standard uncertainty 1/sqrt(x'x) for errors of one, and z their ratio (any text on linear
 * least squares). Orthogonal signatures add without touching each other. */
#include "analyze/joint/score_parts.h"
#include "tests/unit/near.h"

START_TEST(a_coefficient)
{
    static const double x[] = {1, 2, -1, 0.5}, y[] = {2.1, 4.2, -1.8, 0.7};
    double xx = 0, xy = 0;
    for (int i = 0; i < 4; i++) {
        xx += x[i] * x[i];
        xy += x[i] * y[i];
    }
    nr_score s = nr_score_from(xx, xx, xy);
    NEAR_RELATIVE(s.size, xy / xx, 1e-12);
    NEAR_RELATIVE(s.u, 1 / sqrt(xx), 1e-12);
    NEAR_RELATIVE(s.z, s.size / s.u, 1e-12);
    /* What parameters can do as well, all but a millionth, is not seen. */
    s = nr_score_from(1, 1.1e-6, 1);
    ck_assert(isfinite(s.u) && s.size > 0);
    s = nr_score_from(1, 0.9e-6, 1);
    ck_assert(isinf(s.u) && s.size == 0 && s.z == 0);
}
END_TEST

START_TEST(sums_of_parts)
{
    double self[] = {4, 1, 1, 9}, own[] = {4, 1, 1, 9}, with[] = {6, -3};
    nr_score_parts p = {.count = 2, .self = self, .own = own, .with = with};
    nr_score s = nr_score_of_parts(&p, 0, 1);
    NEAR(s.size, 1.5, 1e-12);
    s = nr_score_of_parts(&p, 1, 2);
    NEAR(s.size, -1.0 / 3, 1e-12);
    s = nr_score_of_parts(&p, 0, 2); /* one signature, the sum of both: 3 over 4 + 9 + 2 */
    NEAR(s.size, 3.0 / 15, 1e-12);
    NEAR(s.u, 1 / sqrt(15), 1e-12);
    /* Two at a time: [4 1; 1 9] s = [6 -3]. */
    double size[2], covariance[4];
    ck_assert(nr_score_of_all(&p, size, covariance));
    NEAR(size[0], 57.0 / 35, 1e-12);
    NEAR(size[1], -18.0 / 35, 1e-12);
    NEAR(covariance[0], 9.0 / 35, 1e-12);
    NEAR(covariance[1], -1.0 / 35, 1e-12);
    own[3] = 1e-9; /* nothing of its own */
    ck_assert(!nr_score_of_all(&p, size, covariance));
}
END_TEST

int main(void)
{
    Suite *s = suite_create("score, parts");
    TCase *t = tcase_create("parts");
    tcase_add_test(t, a_coefficient);
    tcase_add_test(t, sums_of_parts);
    suite_add_tcase(s, t);
    SRunner *runner = srunner_create(s);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
