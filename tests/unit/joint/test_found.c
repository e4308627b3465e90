/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What searches from several beginnings remember: where they came down, and the best of all. */
#include "analyze/joint/found.h"
#include "tests/unit/near.h"

#define U 0.5

/* Two parameters of standard uncertainty U each, which lean on each other. */
static nr_joint joint_at(double *x, double *covariance, nr_piece *piece)
{
    covariance[0] = covariance[3] = U * U;
    covariance[1] = covariance[2] = 0.9 * U * U;
    return (nr_joint){
        .parameters = 2, .pieces = 1, .x = x, .covariance = covariance, .piece = piece};
}

START_TEST(the_same_place_is_known)
{
    double x[2] = {1, 2}, covariance[4];
    nr_piece piece = {.run = 0};
    nr_joint j = joint_at(x, covariance, &piece);
    nr_found *found = nr_found_new(&j);
    ck_assert_ptr_nonnull(found);
    ck_assert(!nr_found_landed(found, &j, 0.1));
    x[1] = 2 + 0.09 * U;
    ck_assert(nr_found_landed(found, &j, 0.1));
    x[1] = 2 - 0.11 * U; /* one parameter elsewhere is elsewhere */
    ck_assert(!nr_found_landed(found, &j, 0.1));
    x[1] = 2 - 0.15 * U; /* near the second */
    ck_assert(nr_found_landed(found, &j, 0.1));
    for (int i = 0; i < 10; i++) { /* more places than are remembered */
        x[0] = 10 + i;
        ck_assert(!nr_found_landed(found, &j, 0.1));
    }
    nr_found_free(found);
}
END_TEST

START_TEST(the_best_comes_back)
{
    double x[2] = {1, 2}, covariance[4];
    nr_piece piece = {.run = 0};
    piece.noise[NR_OUT_OUTLET] = (nr_noise){.sigma = 0.1, .slow = 0.7, .phi = 0.9};
    nr_joint j = joint_at(x, covariance, &piece);
    j.chi2_data = 17;
    nr_found *found = nr_found_new(&j);
    ck_assert_ptr_nonnull(found);
    nr_found_keep(found, &j);
    x[0] = x[1] = covariance[1] = j.chi2_data = NAN;
    piece.noise[NR_OUT_OUTLET].sigma = 3;
    j.has_slopes = true;
    nr_found_take(found, &j);
    ck_assert(x[0] == 1 && x[1] == 2 && covariance[1] == 0.9 * U * U && j.chi2_data == 17);
    ck_assert(piece.noise[NR_OUT_OUTLET].sigma == 0.1);
    ck_assert(!j.has_slopes); /* those are of where it was */
    nr_found_free(found);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {the_same_place_is_known, the_best_comes_back, NULL};
    return run_tests("found", tests);
}
