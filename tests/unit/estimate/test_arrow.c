/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Arrow-shaped systems against GSL's dense factor of the same matrix. */
#include "analyze/estimate/arrow.h"

#include <check.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_rng.h>

#include <math.h>
#include <stdlib.h>

#define N 23
#define GROUPS 4 /* one of them empty */

static const size_t nobody = NR_ARROW_SHARED;

/* A sum of products of sparse rows, as least squares make it: each row knows one group and the
 * shared ones. */
static nr_arrow *make(size_t group_of[N], gsl_matrix *dense, double damping)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    for (size_t i = 0; i < N; i++)
        group_of[i] = i % 5 == 4 ? nobody : i % 3;
    nr_arrow *a = nr_arrow_new(N, group_of, GROUPS);
    ck_assert_ptr_nonnull(a);
    gsl_matrix_set_zero(dense);
    for (size_t r = 0; r < 200; r++) {
        double row[N];
        for (size_t i = 0; i < N; i++)
            row[i] = group_of[i] == nobody || group_of[i] == r % 3 ? gsl_rng_uniform(rng) - 0.4 : 0;
        for (size_t i = 0; i < N; i++)
            for (size_t k = 0; k <= i; k++) {
                if (row[i] * row[k] != 0)
                    nr_arrow_add(a, r % 2 ? i : k, r % 2 ? k : i, row[i] * row[k]);
                *gsl_matrix_ptr(dense, i, k) += row[i] * row[k];
                if (k < i)
                    *gsl_matrix_ptr(dense, k, i) += row[i] * row[k];
            }
    }
    for (size_t i = 0; i < N; i++)
        *gsl_matrix_ptr(dense, i, i) *= 1 + damping;
    gsl_rng_free(rng);
    return a;
}

static void compare(double damping)
{
    size_t group_of[N];
    gsl_matrix *dense = gsl_matrix_alloc(N, N);
    gsl_vector *b = gsl_vector_alloc(N);
    double x[N];
    nr_arrow *a = make(group_of, dense, damping);
    ck_assert(nr_arrow_factor(a, damping));
    ck_assert_int_eq(gsl_linalg_cholesky_decomp1(dense), 0);
    for (size_t i = 0; i < N; i++) {
        x[i] = (double)(i % 7) - 2.5;
        gsl_vector_set(b, i, x[i]);
    }
    nr_arrow_solve(a, x);
    gsl_linalg_cholesky_svx(dense, b);
    for (size_t i = 0; i < N; i++)
        ck_assert_double_eq_tol(x[i], gsl_vector_get(b, i), 1e-12);
    ck_assert(nr_arrow_invert(a));
    gsl_linalg_cholesky_invert(dense);
    for (size_t i = 0; i < N; i++)
        for (size_t k = 0; k < N; k++)
            ck_assert_double_eq_tol(nr_arrow_inverse(a, i, k), gsl_matrix_get(dense, i, k), 1e-12);
    nr_arrow_free(a);
    gsl_matrix_free(dense);
    gsl_vector_free(b);
}

START_TEST(is_the_dense_matrix)
{
    compare(0);
}
END_TEST

START_TEST(is_damped_and_undamped)
{
    compare(0.7);
    /* The matrix itself stays as it is. */
    size_t group_of[N];
    gsl_matrix *dense = gsl_matrix_alloc(N, N);
    nr_arrow *a = make(group_of, dense, 0);
    double x[N] = {1}, y[N] = {1};
    ck_assert(nr_arrow_factor(a, 0));
    nr_arrow_solve(a, x);
    ck_assert(nr_arrow_factor(a, 3));
    ck_assert(nr_arrow_factor(a, 0));
    nr_arrow_solve(a, y);
    for (size_t i = 0; i < N; i++)
        ck_assert_double_eq(x[i], y[i]);
    nr_arrow_clear(a);
    gsl_set_error_handler_off();
    ck_assert(!nr_arrow_factor(a, 0));
    nr_arrow_free(a);
    gsl_matrix_free(dense);
}
END_TEST

START_TEST(all_shared_and_none)
{
    size_t shared[2] = {NR_ARROW_SHARED, NR_ARROW_SHARED}, own[2] = {0, 1};
    for (int kind = 0; kind < 2; kind++) {
        nr_arrow *a = nr_arrow_new(2, kind ? own : shared, kind ? 2 : 0);
        double x[2] = {2, 3};
        nr_arrow_add(a, 0, 0, 4);
        nr_arrow_add(a, 1, 1, 5);
        ck_assert(nr_arrow_factor(a, 0) && nr_arrow_invert(a));
        nr_arrow_solve(a, x);
        ck_assert_double_eq_tol(x[0], 0.5, 1e-15);
        ck_assert_double_eq_tol(x[1], 0.6, 1e-15);
        ck_assert_double_eq_tol(nr_arrow_inverse(a, 0, 0), 0.25, 1e-15);
        ck_assert_double_eq_tol(nr_arrow_inverse(a, 0, 1), 0, 1e-15);
        nr_arrow_free(a);
    }
}
END_TEST

int main(void)
{
    Suite *s = suite_create("arrow");
    TCase *c = tcase_create("arrow");
    tcase_add_test(c, is_the_dense_matrix);
    tcase_add_test(c, is_damped_and_undamped);
    tcase_add_test(c, all_shared_and_none);
    suite_add_tcase(s, c);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
