/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How much memory a packed column takes: as few bytes a row as values.h says, on both sides of each
 * limit; and what happens when there is none. */
#include "logger/run/values.h"
#include "tests/unit/near.h"

#include <stdint.h>

/* The link calls these where the program calls malloc. */
void *__real_malloc(size_t size);
void *__wrap_malloc(size_t size);

static size_t taken; /* bytes asked for, of large pieces */
static bool refuses;

void *__wrap_malloc(size_t size)
{
    if (refuses)
        return NULL;
    taken += size > 10000 ? size : 0;
    return __real_malloc(size);
}

/* A block of numbers: whole / 10^places, from base on, spread over `range`; some are holes. */
typedef struct kind {
    const char *what;
    double base, range, slope;
    int places;
    bool grows;
    double odd; /* in place of some of them: NAN or -0.0; 0: none */
    size_t width;
} kind;

#define EXACT 4503599627370496.0 /* 2^52 */

static const kind kinds[] = {
    {"constant", 21, 0, 0, 0, false, 0, 0},
    {"one byte", 7, 255, 0, 0, false, 0, 1},
    {"one more than a byte", 7, 256, 0, 0, false, 0, 2},
    {"a byte, holes", 7, 253, 0, 0, false, NAN, 1},
    {"one more, holes", 7, 254, 0, 0, false, NAN, 2},
    {"a byte, minus zeros", 7, 253, 0, 0, false, -0.0, 1},
    {"one more, minus zeros", 7, 254, 0, 0, false, -0.0, 2},
    {"below nothing", -300, 255, 0, 2, false, 0, 1},
    {"two bytes", -40000, 65535, 0, 0, false, 0, 2},
    {"one more than two", -40000, 65536, 0, 0, false, 0, 4},
    {"two bytes, holes", -40000, 65533, 0, 0, false, NAN, 2},
    {"one more than two, holes", -40000, 65534, 0, 0, false, NAN, 4},
    {"four bytes", 5, 2147483647, 0, 0, false, 0, 4},
    {"too far apart", 5, 2147483648.0, 0, 0, false, 0, 8},
    {"one decimal", 215, 200, 0, 1, false, 0, 1},
    {"two", 2150, 200, 0, 2, false, 0, 1},
    {"three", 21500, 200, 0, 3, false, 0, 1},
    {"four", 215000, 200, 0, 4, false, 0, 1},
    {"five", 2150000, 200, 0, 5, false, 0, 1},
    {"six", 21500000, 200, 0, 6, false, 0, 1},
    {"seven are noise", 215000001, 200, 0, 7, false, 0, 8},
    {"six and large, which are divided", 1780000000000000, 200, 0, 6, false, 0, 1},
    {"on a line", 3, 0, 1000, 3, true, 0, 0},
    {"near a line", 3, 200, 1000, 3, true, 0, 1},
    {"on a line that is none here", 3, 0, 1000, 3, false, 0, 4},
    {"down a line", 3, 0, -70, 0, true, 0, 0},
    {"a steep line", 3, 0, 16777215, 0, true, 0, 0},
    {"too steep", 3, 0, 16777216, 0, true, 0, 8},
    {"a large whole number", EXACT - 2, 0, 0, 0, false, 0, 0},
    {"too large", EXACT, 0, 0, 0, false, 0, 8},
    {"the least", 1 - EXACT, 0, 0, 0, false, 0, 0},
    {"one less", -EXACT, 0, 0, 0, false, 0, 8},
};
#define KINDS (sizeof kinds / sizeof *kinds)

static double number(const kind *k, int row)
{
    if (!(k->odd == 0 && !signbit(k->odd)) && row % 16 == 8)
        return k->odd;
    /* Both ends of a block stand at base, so that a line through them is the slope's. */
    double up = row == 100 ? k->range : row == 0 || row == 255 ? 0 : floor(k->range * row / 300);
    return (k->base + k->slope * row + up) / pow(10, k->places);
}

static bool same(double a, double b)
{
    return memcmp(&a, &b, sizeof a) == 0 || (isnan(a) && isnan(b));
}

/* A column of so many blocks; it gives back every bit. */
static void fill(nr_packing *p, const kind *k, size_t blocks)
{
    double block[NR_VALUES_BLOCK];
    bool good = true;
    for (int row = 0; row < NR_VALUES_BLOCK; row++)
        block[row] = number(k, row);
    for (size_t i = 0; i < blocks * NR_VALUES_BLOCK; i++)
        good = nr_packing_add(p, block[i % NR_VALUES_BLOCK]) && good;
    ck_assert(good && nr_packing_close(p));
    nr_values all = nr_packing_values(p);
    nr_cursor c;
    nr_cursor_begin(&c, &all);
    for (size_t i = 0; i < blocks * NR_VALUES_BLOCK; i += 1 + i / 500)
        if (!same(nr_at(&c, i), block[i % NR_VALUES_BLOCK]))
            ck_abort_msg("%s, row %zu: %.17g for %.17g", k->what, i, nr_at(&c, i),
                         block[i % NR_VALUES_BLOCK]);
}

/* Memory is taken in pieces of 65000 bytes, which hold whole blocks only. */
START_TEST(as_few_bytes_as_do)
{
    for (size_t i = 0; i < KINDS; i++) {
        const kind *k = &kinds[i];
        size_t in_one = k->width ? 65000 / (k->width * NR_VALUES_BLOCK) : 0;
        for (size_t more = 0; more < 2; more++) {
            size_t blocks = k->width ? in_one + more : 40;
            size_t pieces = k->width ? 1 + more : 0;
            nr_packing *p = nr_packing_new(k->grows);
            taken = 0;
            fill(p, k, blocks);
            ck_assert_msg(taken >= pieces * 65000 && taken < pieces * 65100 + 1,
                          "%s: %zu bytes, not %zu pieces", k->what, taken, pieces);
            nr_packing_free(p);
        }
    }
}
END_TEST

/* A row that there is no memory for is not there, and what was there is as it was. */
START_TEST(without_memory)
{
    const kind *k = &kinds[1];
    nr_packing *p = nr_packing_new(false);
    for (int row = 0; row < NR_VALUES_BLOCK; row++)
        ck_assert(nr_packing_add(p, number(k, row)));
    refuses = true;
    bool added = nr_packing_add(p, 1), closed = nr_packing_close(p);
    refuses = false;
    ck_assert(!added && !closed);
    nr_values all = nr_packing_values(p);
    for (size_t row = 0; row < NR_VALUES_BLOCK; row++)
        NEAR(nr_number(&all, row), number(k, (int)row), 0);
    ck_assert(nr_packing_add(p, 77));
    NEAR(nr_number(&all, NR_VALUES_BLOCK), 77, 0);
    NEAR(nr_number(&all, 3), number(k, 3), 0);
    nr_packing_free(p);
    nr_packing_free(NULL);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {as_few_bytes_as_do, without_memory, NULL};
    return run_tests("values_memory_lost", tests);
}
