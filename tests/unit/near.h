/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For unit tests: numbers close enough, and the tables of tests/data. */
#ifndef NR_TESTS_NEAR_H
#define NR_TESTS_NEAR_H

#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Fails for NAN too. `what` says which row of a table it was. */
#define NEAR_AT(what, actual, expected, tolerance)                                                 \
    do {                                                                                           \
        double near_a = (actual), near_e = (expected), near_t = (tolerance);                       \
        ck_assert_msg(fabs(near_a - near_e) <= near_t, "%s: %s = %.12g, expected %.12g +- %.3g",   \
                      (what), #actual, near_a, near_e, near_t);                                    \
    } while (0)
#define NEAR(actual, expected, tolerance) NEAR_AT("", actual, expected, tolerance)
#define NEAR_RELATIVE(actual, expected, relative)                                                  \
    NEAR(actual, expected, fabs((double)(expected)) * (relative))

/* A plain CSV file (no quotes) from tests/data as cells; row 0 is the header. */
#define TABLE_COLUMNS 12
#define TABLE_ROWS 400
typedef struct table {
    int rows, columns;
    char *cell[TABLE_ROWS][TABLE_COLUMNS];
    char *text;
} table;

static inline void table_read(table *t, const char *name)
{
    char path[512];
    snprintf(path, sizeof path, "%s/%s", TEST_DATA, name);
    FILE *file = fopen(path, "rb");
    ck_assert_msg(file != NULL, "cannot open %s", path);
    fseek(file, 0, SEEK_END);
    size_t size = (size_t)ftell(file);
    rewind(file);
    memset(t, 0, sizeof *t);
    t->text = calloc(1, size + 1);
    ck_assert_uint_eq(fread(t->text, 1, size, file), size);
    fclose(file);
    char *rest = t->text;
    for (char *line; (line = strsep(&rest, "\n")) != NULL;) {
        line[strcspn(line, "\r")] = '\0';
        if (*line == '\0')
            continue;
        ck_assert_int_lt(t->rows, TABLE_ROWS);
        int column = 0;
        for (char *cell; (cell = strsep(&line, ",")) != NULL; column++) {
            ck_assert_int_lt(column, TABLE_COLUMNS);
            t->cell[t->rows][column] = cell;
        }
        t->columns = column > t->columns ? column : t->columns;
        t->rows++;
    }
}

static inline void table_free(table *t)
{
    free(t->text);
}

static inline double table_number(const table *t, int row, int column)
{
    const char *text = t->cell[row][column];
    char *end;
    ck_assert_msg(text != NULL && *text != '\0', "row %d column %d is empty", row, column);
    double value = strtod(text, &end);
    ck_assert_msg(*end == '\0', "row %d column %d: %s is no number", row, column, text);
    return value;
}

/* Runs a suite, which it frees; the status of main. */
static inline int run_suite(Suite *suite)
{
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}

/* A case of its own, with patience for a busy computer. */
static inline TCase *case_of(Suite *suite, const char *name)
{
    TCase *one = tcase_create(name);
    tcase_set_timeout(one, 120);
    suite_add_tcase(suite, one);
    return one;
}

/* One suite from a NULL-ended list, a case a test, so that each can be asked for by its name
 * (CK_RUN_CASE=NAME; tests/long/mutants does); before and behind each, set_up and tear_down (NULL:
 * nothing). Returns main's exit status. */
static inline int run_tests_in(const char *name, const TTest *const *tests, void (*set_up)(void),
                               void (*tear_down)(void))
{
    Suite *suite = suite_create(name);
    for (; *tests; tests++) {
        TCase *one = case_of(suite, (*tests)->name);
        tcase_add_checked_fixture(one, set_up, tear_down);
        tcase_add_test(one, *tests);
    }
    return run_suite(suite);
}

static inline int run_tests(const char *name, const TTest *const *tests)
{
    return run_tests_in(name, tests, NULL, NULL);
}

#endif
