/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pieces of work on several threads: each done once, and the answer the same for any number. */
#include "analyze/estimate/workers.h"

#include <check.h>
#include <gsl/gsl_errno.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdlib.h>

#define PIECES 1000

typedef struct shared {
    atomic_int times[PIECES];
    double value[PIECES];
    atomic_size_t highest; /* worker */
    atomic_bool aborts;    /* GSL's handler was on */
} shared;

static void piece(void *context, size_t worker, size_t i)
{
    shared *s = context;
    double x = 1 + (double)i;
    for (int k = 0; k < 100; k++)
        x = x * 1.0000001 + 1e-9 * (double)i;
    s->value[i] = x;
    atomic_fetch_add(&s->times[i], 1);
    size_t most = atomic_load(&s->highest);
    while (worker > most && !atomic_compare_exchange_weak(&s->highest, &most, worker))
        continue;
    gsl_error_handler_t *handler = gsl_set_error_handler_off();
    if (!handler) /* NULL stands for the one that ends the program */
        atomic_store(&s->aborts, true);
}

START_TEST(each_once_and_the_same)
{
    static const size_t threads[] = {1, 2, 3, 16, 100, 0};
    double first[PIECES];
    for (size_t t = 0; t < sizeof threads / sizeof threads[0]; t++) {
        shared *s = calloc(1, sizeof *s);
        nr_workers_run(PIECES, threads[t], piece, s);
        for (size_t i = 0; i < PIECES; i++) {
            ck_assert_int_eq(s->times[i], 1);
            first[i] = t ? first[i] : s->value[i];
            ck_assert(s->value[i] == first[i]);
        }
        ck_assert_uint_lt(s->highest, threads[t] == 1 ? 1 : NR_WORKERS_MOST);
        ck_assert(!s->aborts);
        free(s);
    }
    nr_workers_run(0, 0, piece, NULL); /* nothing to do */
    ck_assert_uint_ge(nr_workers_here(), 1);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("workers");
    TCase *one = tcase_create("workers");
    tcase_add_test(one, each_once_and_the_same);
    suite_add_tcase(suite, one);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
