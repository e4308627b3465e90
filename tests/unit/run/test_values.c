/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers come back from packing to the last bit, whatever they are, and in as few bytes as said.
 */
#include "logger/run/readings.h"
#include "logger/run/values.h"
#include "tests/unit/near.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define ROWS 5000

static bool same(double a, double b)
{
    return memcmp(&a, &b, sizeof a) == 0 || (isnan(a) && isnan(b));
}

static double chance(uint64_t *state)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return (double)(*state >> 40) / 16777216.0;
}

/* What a column may hold. */
static double number(int kind, size_t i, uint64_t *state)
{
    double at = (double)i, by = chance(state);
    switch (kind) {
    case 0: /* a thermometer of 1/16 K */
        return round(16 * (20 + 0.01 * at + by)) / 16;
    case 1: /* hundredths */
        return round(100 * (-3 + 0.002 * at + by)) / 100;
    case 2: /* a tenth, over a wide range */
        return round(10 * 1200 * by) / 10;
    case 3: /* six decimals over a range of 4 bytes */
        return round(1e6 * 900 * by) / 1e6;
    case 4: /* no decimals at all */
        return sin(at);
    case 5: /* with holes and minus zeros */
        return by < 0.1 ? NAN : by < 0.2 ? -0.0 : round(100 * by) / 100;
    case 6: /* nothing but holes */
        return NAN;
    case 7: /* seconds since 1970, to the millisecond, an hour back in between */
        return round(1000 * (1777893753.25 + at - (i > 3000 ? 3600 : 0) + 0.02 * by)) / 1000;
    case 8: /* seconds, exactly regular */
        return at;
    case 9: /* what does not fit anywhere, now and then */
        return i % 777 == 5 ? 1e300 : i % 777 == 6 ? -INFINITY : round(100 * by) / 100;
    case 10: /* beyond what whole numbers are exact for */
        return 1e15 + 3 * at + 0.125;
    default: /* constant */
        return 21.5;
    }
}
#define KINDS 12

START_TEST(every_bit_comes_back)
{
    for (int kind = 0; kind < KINDS; kind++) {
        for (int grows = 0; grows < 2; grows++) {
            uint64_t state = 7;
            double *plain = calloc(ROWS, sizeof *plain);
            nr_packing *p = nr_packing_new(grows);
            ck_assert(plain && p);
            for (size_t i = 0; i < ROWS; i++) {
                plain[i] = number(kind, i, &state);
                ck_assert(nr_packing_add(p, plain[i]));
            }
            nr_values all = nr_packing_values(p);
            nr_cursor c, back;
            nr_cursor_begin(&c, &all);
            nr_cursor_begin(&back, &all);
            for (size_t i = 0; i < ROWS; i++) {
                ck_assert_msg(same(nr_at(&c, i), plain[i]), "kind %d row %zu: %.17g for %.17g",
                              kind, i, nr_at(&c, i), plain[i]);
                size_t other = ROWS - 1 - i;
                ck_assert(same(nr_at(&back, other), plain[other]));
            }
            for (int k = 0; k < 300; k++) { /* here and there */
                size_t i = (size_t)(chance(&state) * ROWS);
                ck_assert(same(nr_at(&c, i), plain[i]) && same(nr_number(&all, i), plain[i]));
            }
            nr_packing_free(p);
            free(plain);
        }
    }
}
END_TEST

/* A part of it, wherever it begins. */
START_TEST(from_a_row_on)
{
    uint64_t state = 3;
    nr_packing *p = nr_packing_new(false);
    double plain[ROWS];
    for (size_t i = 0; i < ROWS; i++) {
        plain[i] = number(1, i, &state);
        ck_assert(nr_packing_add(p, plain[i]));
    }
    nr_values all = nr_packing_values(p), array = {.plain = plain};
    static const size_t from[] = {0, 1, 255, 256, 257, 511, 512, 700, 4990};
    for (size_t k = 0; k < sizeof from / sizeof *from; k++) {
        nr_values rest = nr_values_from(&all, from[k]), same_rest = nr_values_from(&array, from[k]);
        nr_cursor c, d;
        nr_cursor_begin(&c, &rest);
        nr_cursor_begin(&d, &same_rest);
        for (size_t i = 0; i + from[k] < ROWS; i++)
            ck_assert(same(nr_at(&c, i), plain[from[k] + i]) && same(nr_at(&d, i), nr_at(&c, i)));
        for (size_t i = ROWS - from[k]; i-- > 0;)
            ck_assert(same(nr_at(&c, i), plain[from[k] + i]));
    }
    nr_packing_free(p);
}
END_TEST

/* Two of the same rows, of which one is packed in the middle. */
START_TEST(a_table_packed_is_the_same_table)
{
    nr_readings *r[2] = {nr_readings_new(), nr_readings_new()};
    nr_err err;
    for (int k = 0; k < 2; k++) {
        uint64_t state = 11;
        ck_assert_int_eq(nr_readings_add_column(r[k], "store", "degF", &err), NR_OK);
        ck_assert_int_eq(nr_readings_add_column(r[k], "sun", "W_m2", &err), NR_OK);
        for (size_t i = 0; i < ROWS; i++) {
            double value[] = {number(1, i, &state), number(5, i, &state)};
            if (k == 1 && i == 1234)
                ck_assert_int_eq(nr_readings_pack(r[k], &err), NR_OK);
            ck_assert_int_eq(nr_readings_append(r[k], 1.7e9 + (double)i, (double)i, value, &err),
                             NR_OK);
        }
        ck_assert_int_eq(nr_readings_move_labels(r[k], 3600.5, &err), NR_OK);
        ck_assert_int_eq(nr_readings_add_column(r[k], "air", "degC", &err), NR_OK);
        ck_assert_int_eq(nr_readings_append(r[k], 1.8e9, 4998, (double[]){1, 2, 3}, &err), NR_BAD);
        ck_assert_int_eq(nr_readings_append(r[k], 1.8e9, 5e3, (double[]){1, 2, 3}, &err), NR_OK);
    }
    ck_assert_ptr_null(nr_readings_channel(r[1], "store"));
    for (size_t c = 0; c < 5; c++) {
        nr_cursor of[2];
        for (int k = 0; k < 2; k++) {
            nr_values v = c == 3   ? nr_readings_utc(r[k])
                          : c == 4 ? nr_readings_elapsed(r[k])
                                   : nr_column_values(&r[k]->column[c]);
            nr_cursor_begin(&of[k], &v);
        }
        for (size_t i = 0; i < r[0]->rows; i++)
            ck_assert(same(nr_at(&of[0], i), nr_at(&of[1], i)));
    }
    ck_assert_int_eq(nr_readings_fill(r[1], &r[1]->column[2], 9, &err), NR_OK);
    nr_values air = nr_readings_values(r[1], "air");
    NEAR(nr_number(&air, 17), 9, 0);
    nr_readings_free(r[0]);
    nr_readings_free(r[1]);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {every_bit_comes_back, from_a_row_on,
                                  a_table_packed_is_the_same_table, NULL};
    return run_tests("values", tests);
}
