/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Ranks found in passes are those of the sorted numbers, of more than can be kept, too. */
#include "analyze/quality/passes.h"

#include "analyze/quality/quality.h"
#include "tests/unit/near.h"

#include <stdint.h>
#include <stdlib.h>

#define CHUNKS (NR_PASSES_KEPT / NR_VALUES_BLOCK + 900)

typedef struct made {
    int kind;
    size_t chunks;
} made;

static double number(int kind, size_t i)
{
    uint64_t x = (i + 1) * 0x9E3779B97F4A7C15u;
    x ^= x >> 29;
    x *= 0xBF58476D1CE4E5B9u;
    double by = (double)(x >> 40) / 16777216.0;
    return kind == 0   ? by
           : kind == 1 ? 0.1 + 1e-15 * (double)(x % 3) /* next to all alike */
           : kind == 2 ? 7
           : kind == 3 ? (double)i /* in order */
           : kind == 4 ? (by < 0.6 ? 0.1 : 0.2)
                       : (i % 16 ? 5 : by); /* one in so many, regularly, is another */
}
#define KINDS 6

/* Chunks are not always full. */
static size_t fill(void *context, size_t chunk, double *out)
{
    const made *m = context;
    size_t n = chunk % 5 == 3 ? NR_VALUES_BLOCK - 7 : NR_VALUES_BLOCK;
    for (size_t i = 0; i < n; i++)
        out[i] = number(m->kind, chunk * NR_VALUES_BLOCK + i);
    return n;
}

static size_t lowest(size_t count)
{
    return 0 * count;
}

static size_t twentieth(size_t count)
{
    return count / 20;
}

static size_t middle(size_t count)
{
    return count / 2;
}

static size_t highest(size_t count)
{
    return count - 1;
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void compare(int kind, size_t chunks, double *kept, double *sorted)
{
    static nr_passes_rank *const ranks[] = {lowest, twentieth, middle, highest};
    made m = {kind, chunks};
    nr_passes passes = {.chunks = chunks, .fill = fill, .context = &m};
    size_t count = 0, n;
    for (size_t c = 0; c < chunks; c++)
        count += fill(&m, c, sorted + count);
    qsort(sorted, count, sizeof *sorted, by_value);
    for (size_t k = 0; k < sizeof ranks / sizeof *ranks; k++) {
        double found = nr_passes_smallest(&passes, ranks[k], kept, &n);
        ck_assert_uint_eq(n, count);
        ck_assert_msg(!(found < sorted[ranks[k](count)]) && !(found > sorted[ranks[k](count)]),
                      "kind %d, rank %zu: %.17g", kind, k, found);
        nr_passes_rank *other = ranks[(k + 2) % 4];
        double another = nr_passes_another(&passes, other, kept, n);
        ck_assert(!(another < sorted[other(count)]) && !(another > sorted[other(count)]));
    }
    NEAR(nr_passes_median(&passes, kept, &n), nr_median(sorted, count), 0);
}

START_TEST(as_if_sorted)
{
    double *kept = malloc(NR_PASSES_KEPT * sizeof *kept);
    double *sorted = malloc(CHUNKS * NR_VALUES_BLOCK * sizeof *sorted);
    ck_assert(kept && sorted);
    for (int kind = 0; kind < KINDS; kind++)
        for (size_t chunks = 1; chunks < 9; chunks++)
            compare(kind, chunks, kept, sorted);
    compare(0, CHUNKS, kept, sorted);
    compare(4, CHUNKS - 1, kept, sorted);
    compare(5, CHUNKS - 2, kept, sorted);
    free(kept);
    free(sorted);
}
END_TEST

/* As the checks use them: of the chunks that are looked at. */
static size_t sampled(void *context, size_t chunk, double *out)
{
    const made *m = context;
    size_t every = nr_passes_every(m->chunks * NR_VALUES_BLOCK);
    for (size_t i = 0; i < NR_VALUES_BLOCK; i++)
        out[i] = number(m->kind, chunk * every * NR_VALUES_BLOCK + i);
    return NR_VALUES_BLOCK;
}

/* Few enough are looked at all; of more, those that are reach from the first row to the last, and
 * the rank they tell is within a thousandth of all: of numbers in order, which are the hardest. */
START_TEST(enough_of_very_many)
{
    static const size_t rows[][3] = {/* rows, every so many-th chunk, of them */
                                     {1, 1, 1},           {255, 1, 1},      {256, 1, 2},
                                     {262143, 1, 1024},   {262144, 2, 513}, {864000, 4, 844},
                                     {10000000, 39, 1002}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        ck_assert_uint_eq(nr_passes_every(rows[i][0]), rows[i][1]);
        ck_assert_uint_eq(nr_passes_chunks(rows[i][0]), rows[i][2]);
    }
    double *kept = malloc(NR_PASSES_KEPT * sizeof *kept);
    ck_assert_ptr_nonnull(kept);
    made m = {3, 3375};
    double all = 3375.0 * NR_VALUES_BLOCK;
    nr_passes passes = {
        .chunks = nr_passes_chunks(3375 * NR_VALUES_BLOCK), .fill = sampled, .context = &m};
    size_t n;
    NEAR(nr_passes_smallest(&passes, twentieth, kept, &n) / all, 0.05, 1e-3);
    NEAR(nr_passes_another(&passes, middle, kept, n) / all, 0.5, 1e-3);
    free(kept);
}
END_TEST

START_TEST(of_none)
{
    double kept[1];
    size_t n = 9;
    made m = {0, 0};
    nr_passes passes = {.chunks = 0, .fill = fill, .context = &m};
    ck_assert(isnan(nr_passes_smallest(&passes, middle, kept, &n)) && n == 0);
    ck_assert(isnan(nr_passes_another(&passes, middle, kept, n)));
    ck_assert(isnan(nr_passes_median(&passes, kept, &n)) && n == 0);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {as_if_sorted, enough_of_very_many, of_none, NULL};
    return run_tests("passes", tests);
}
