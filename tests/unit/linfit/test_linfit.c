/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Linear least squares and univariate statistics against NIST's Statistical Reference Datasets.
 *
 * Data and certified values: tests/data/strd-*.csv. Tolerances are relative and those that a sound
 * algorithm reaches in double precision; standard deviations are held as hard as values. */
#include "analyze/estimate/linfit.h"
#include "tests/unit/near.h"

#include <stdbool.h>

#define MAX_P 11

typedef struct set {
    const char *name;
    int powers;           /* columns 1, x .. x^(powers - 1); 0: the columns of the file, y first */
    bool constant;        /* a constant term */
    double value, sd, ss; /* relative tolerances; an exact fit is judged absolutely */
} set;

static const set sets[] = {
    {"norris", 2, true, 1e-11, 1e-11, 1e-11},  {"noint1", 2, false, 1e-12, 1e-12, 1e-12},
    {"noint2", 2, false, 1e-12, 1e-12, 1e-12}, {"pontius", 3, true, 1e-10, 1e-10, 1e-10},
    {"longley", 0, true, 1e-9, 1e-9, 1e-9},    {"filip", 11, true, 1e-6, 1e-6, 1e-6},
    {"wampler1", 6, true, 1e-8, 0, 0},         {"wampler2", 6, true, 1e-8, 0, 0},
    {"wampler3", 6, true, 1e-8, 1e-9, 1e-9},   {"wampler4", 6, true, 1e-7, 1e-9, 1e-9},
    {"wampler5", 6, true, 1e-5, 1e-9, 1e-9},
};

static double certified(const table *t, const char *name, const char *quantity, int column)
{
    for (int row = 1; row < t->rows; row++) {
        if (strcmp(t->cell[row][0], name) == 0 && strcmp(t->cell[row][1], quantity) == 0)
            return table_number(t, row, column);
    }
    ck_abort_msg("%s: no certified %s", name, quantity);
}

/* Fills design and y; returns p. */
static size_t build(const set *s, const table *t, double *design, double *y)
{
    size_t p = 0;
    for (int row = 1; row < t->rows; row++) {
        double cells[MAX_P];
        p = 0;
        if (s->constant)
            cells[p++] = 1.0;
        if (s->powers == 0) {
            y[row - 1] = table_number(t, row, 0);
            for (int column = 1; column < t->columns; column++)
                cells[p++] = table_number(t, row, column);
        } else {
            y[row - 1] = table_number(t, row, 1);
            double x = table_number(t, row, 0), power = 1.0;
            for (int k = 1; k < s->powers; k++)
                cells[p++] = power *= x;
        }
        memcpy(design + (size_t)(row - 1) * p, cells, p * sizeof *cells);
    }
    return p;
}

static void check_set(const set *s, const table *all)
{
    char file[64];
    snprintf(file, sizeof file, "strd-%s.csv", s->name);
    table t;
    table_read(&t, file);
    static double design[TABLE_ROWS * MAX_P], y[TABLE_ROWS];
    size_t p = build(s, &t, design, y), n = (size_t)t.rows - 1;
    nr_linfit_problem problem = {.n = n, .p = p, .design = design, .y = y};
    nr_linfit *fit;
    nr_err err = {0};
    ck_assert_msg(nr_linfit_solve(&problem, &fit, &err) == NR_OK, "%s: %s", s->name, err.text);
    for (size_t j = 0; j < p; j++) {
        char quantity[16];
        snprintf(quantity, sizeof quantity, "b%zu", j + (s->constant ? 0 : 1));
        double value = certified(all, s->name, quantity, 2);
        double sd = certified(all, s->name, quantity, 3);
        NEAR_AT(s->name, fit->beta[j], value, s->value * fabs(value));
        NEAR_AT(s->name, nr_linfit_u(fit, j), sd, sd > 0.0 ? s->sd * sd : 1e-7);
    }
    double ss = certified(all, s->name, "residual_sum_of_squares", 2);
    NEAR_AT(s->name, fit->chi2, ss, ss > 0.0 ? s->ss * ss : 1e-12);
    nr_linfit_free(fit);
    table_free(&t);
}

START_TEST(strd_linear)
{
    table all;
    table_read(&all, "strd-certified.csv");
    check_set(&sets[_i], &all);
    table_free(&all);
}
END_TEST

/* Weights inside the program and rows multiplied outside are the same fit; stated uncertainties
 * scale only the covariance. */
/* A point without a weight, or with all of it, is none. */
START_TEST(weights_that_are_none)
{
    static const double none[] = {0, -1, INFINITY, NAN};
    static const double design[] = {1, 0, 1, 1, 1, 2, 1, 3}, y[] = {1, 2.1, 2.9, 4};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
        double weight[] = {1, 1, none[i], 1};
        nr_linfit_problem q = {4, 2, design, y, weight, NR_LINFIT_STATED};
        nr_linfit *fit = NULL;
        nr_err err = {0};
        ck_assert_int_eq(nr_linfit_solve(&q, &fit, &err), NR_BAD);
        ck_assert_ptr_nonnull(strstr(err.text, "point 3 is not finite or has no weight"));
    }
}
END_TEST

START_TEST(weights_by_two_routes)
{
    double design[12], scaled[12], y[6], scaled_y[6], weight[6];
    for (int i = 0; i < 6; i++) {
        design[2 * i] = 1;
        design[2 * i + 1] = i;
        y[i] = 2 + 0.5 * i + (i % 3 - 1) * 0.1;
        double u = 0.05 * (1 + i);
        weight[i] = 1 / (u * u);
        scaled[2 * i] = 1 / u;
        scaled[2 * i + 1] = i / u;
        scaled_y[i] = y[i] / u;
    }
    nr_linfit *inside, *outside, *stated;
    nr_linfit_problem q = {6, 2, design, y, weight, NR_LINFIT_FROM_RESIDUALS};
    ck_assert_int_eq(nr_linfit_solve(&q, &inside, NULL), NR_OK);
    q = (nr_linfit_problem){6, 2, scaled, scaled_y, NULL, NR_LINFIT_FROM_RESIDUALS};
    ck_assert_int_eq(nr_linfit_solve(&q, &outside, NULL), NR_OK);
    q = (nr_linfit_problem){6, 2, design, y, weight, NR_LINFIT_STATED};
    ck_assert_int_eq(nr_linfit_solve(&q, &stated, NULL), NR_OK);
    for (size_t j = 0; j < 2; j++) {
        NEAR(inside->beta[j], outside->beta[j], 1e-13);
        NEAR(stated->beta[j], inside->beta[j], 1e-15);
        NEAR(nr_linfit_u(inside, j), nr_linfit_u(outside, j), 1e-13);
        NEAR(nr_linfit_u(stated, j) * inside->sd, nr_linfit_u(inside, j), 1e-13);
    }
    NEAR(inside->residual[4], y[4] - inside->beta[0] - 4 * inside->beta[1], 1e-14);
    nr_linfit_free(inside);
    nr_linfit_free(outside);
    nr_linfit_free(stated);
}
END_TEST

START_TEST(refusals)
{
    nr_err err = {0};
    nr_linfit *fit;
    /* two columns that are the same but for rounding */
    double twice[12], y[6];
    for (int i = 0; i < 6; i++) {
        twice[2 * i] = 1 + i;
        twice[2 * i + 1] = 3.0 * (1 + i) * (1 + (i == 2) * 1e-15);
        y[i] = i * i;
    }
    nr_linfit_problem q = {.n = 6, .p = 2, .design = twice, .y = y};
    ck_assert_int_eq(nr_linfit_solve(&q, &fit, &err), NR_CANNOT);
    ck_assert_ptr_null(fit);
    ck_assert_ptr_nonnull(strstr(err.text, "do not determine"));
    /* nearly the same: of the sixteen digits two would be left */
    for (int i = 0; i < 6; i++)
        twice[2 * i + 1] = 3.0 * (1 + i) * (1 + (i == 2) * 3e-14);
    ck_assert_int_eq(nr_linfit_solve(&q, &fit, &err), NR_CANNOT);
    /* one part in a million is enough to tell them apart */
    for (int i = 0; i < 6; i++)
        twice[2 * i + 1] = 3.0 * (1 + i) * (1 + (i == 2) * 1e-6);
    ck_assert_int_eq(nr_linfit_solve(&q, &fit, &err), NR_OK);
    nr_linfit_free(fit);
    for (int i = 0; i < 6; i++)
        twice[2 * i + 1] = 0;
    ck_assert_int_eq(nr_linfit_solve(&q, &fit, &err), NR_CANNOT);
    q.n = 1;
    ck_assert_int_eq(nr_linfit_solve(&q, &fit, &err), NR_CANNOT);
    double line[] = {1, 0, 1, 1};
    q = (nr_linfit_problem){.n = 2, .p = 2, .design = line, .y = y};
    ck_assert_int_eq(nr_linfit_solve(&q, &fit, &err), NR_CANNOT); /* no residual left */
    q.errors = NR_LINFIT_STATED;
    ck_assert_int_eq(nr_linfit_solve(&q, &fit, &err), NR_OK);
    ck_assert(isnan(fit->sd));
    NEAR(fit->beta[1], 1, 1e-15);
    nr_linfit_free(fit);
    line[3] = NAN;
    ck_assert_int_eq(nr_linfit_solve(&q, &fit, &err), NR_BAD);
    nr_linfit_free(NULL);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("linfit");
    TCase *all = tcase_create("linfit");
    tcase_add_loop_test(all, strd_linear, 0, (int)(sizeof sets / sizeof *sets));
    tcase_add_test(all, weights_that_are_none);
    tcase_add_test(all, weights_by_two_routes);
    tcase_add_test(all, refusals);
    suite_add_tcase(suite, all);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
