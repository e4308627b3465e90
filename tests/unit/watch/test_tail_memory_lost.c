/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A run that is followed while there is no memory for what is new: nothing is lost, it is said, and
 * taken when there is. */
#include "logger/watch/tail.h"
#include "tests/unit/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* The link calls these where the program calls malloc. */
void *__real_malloc(size_t size);
void *__wrap_malloc(size_t size);

static size_t left = SIZE_MAX; /* calls that are still served */

void *__wrap_malloc(size_t size)
{
    if (left == 0)
        return NULL;
    left -= left != SIZE_MAX;
    return __real_malloc(size);
}

#define ROWS 5

static void write_readings(const char *path, int rows)
{
    FILE *f = fopen(path, "w");
    ck_assert_ptr_nonnull(f);
    if (rows > 0)
        fprintf(f, "time_utc,elapsed_s,store_degC\n");
    for (int i = 0; i < rows; i++)
        fprintf(f, "2026-05-04T11:22:%02d.000Z,%d.000,%d.50\n", 30 + i, i, 20 + i);
    ck_assert_int_eq(fclose(f), 0);
}

START_TEST(taken_when_there_is_some_again)
{
    char folder[] = "/tmp/noonrun-tail-XXXXXX", path[64];
    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/readings.csv", folder);
    size_t refused = 0;
    for (size_t served = 0; served < 40; served++) { /* far more than are asked for */
        nr_tail *t;
        nr_err err;
        write_readings(path, 0);
        ck_assert_int_eq(nr_tail_open(folder, &t, &err), NR_OK);
        write_readings(path, ROWS);
        left = served;
        nr_tail_update(t);
        left = SIZE_MAX;
        ck_assert_msg(t->rows == ROWS || (t->rows == 0 && t->trouble[0]),
                      "%zu served: %zu rows, \"%s\"", served, t->rows, t->trouble);
        refused += strstr(t->trouble, "not enough memory") != NULL;
        nr_tail_update(t);
        ck_assert_uint_eq(t->rows, ROWS);
        ck_assert_str_eq(t->trouble, "");
        NEAR(t->channel[0].last, 24.5, 0);
        nr_tail_free(t);
    }
    ck_assert_uint_ge(refused, 3); /* for the text, the text with its header, the cursors */
    unlink(path);
    rmdir(folder);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {taken_when_there_is_some_again, NULL};
    return run_tests("tail without memory", tests);
}
