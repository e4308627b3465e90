/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What loggers write instead of a reading is never one, and readings of that shape are; rows come
 * into the order of their times. Expected values are written down here by what the table means. */
#include "logger/import/codes.h"
#include "logger/import/rows.h"
#include "tests/unit/import/tables.h"

#include <check.h>
#include <stdlib.h>

#define MOST 12

/* keep: what is left of value, NAN where a code stood. */
static const struct {
    const char *what, *unit;
    size_t rows, dropped;
    double value[MOST], keep[MOST];
} columns[] = {
    {"888.8", "degC", 5, 1, {18, 18.5, 888.8, 19.5, 20}, {18, 18.5, NAN, 19.5, 20}},
    {"-999.9", "degC", 5, 2, {-999.9, 18.5, 19, -999.9, 20}, {NAN, 18.5, 19, NAN, 20}},
    {"-9999", "W_m2", 4, 1, {700, -9999, 705, 708}, {700, NAN, 705, 708}},
    {"-9999 of a wind", "m_s", 4, 1, {2, 3, -9999, 2.5}, {2, 3, NAN, 2.5}},
    {"65535", "W_m2", 4, 1, {700, 65535, 705, 708}, {700, NAN, 705, 708}},
    {"-127", "degC", 4, 1, {18, -127, 19, 20}, {18, NAN, 19, 20}},
    {"-99 of air", "degC", 4, 2, {18, -99, -99, 20}, {18, NAN, NAN, 20}},
    {"888.8 W/m2 in its place", "W_m2", 4, 0, {880, 888.8, 892, 895}, {880, 888.8, 892, 895}},
    {"999 W/m2 twice in its place", "W_m2", 4, 0, {990, 999, 999, 1004}, {990, 999, 999, 1004}},
    {"888 W/m2 again and again, far off",
     "W_m2",
     6,
     2,
     {210, 888, 214, 888, 219, 222},
     {210, NAN, 214, NAN, 219, 222}},
    {"88 degC twice is a spike", "degC", 5, 0, {20, 88, 20.5, 88, 21}, {20, 88, 20.5, 88, 21}},
    {"-9 degC twice", "degC", 4, 0, {3, -9, 3, -9}, {3, -9, 3, -9}},
    {"85 degC jumped to", "degC", 5, 1, {20, 20.5, 85, 21.5, 22}, {20, 20.5, NAN, 21.5, 22}},
    {"85 degC on the way", "degC", 5, 0, {83, 84, 85, 86, 87}, {83, 84, 85, 86, 87}},
    {"99.9 on the way to boiling", "degC", 4, 0, {99.1, 99.5, 99.9, 100}, {99.1, 99.5, 99.9, 100}},
    {"a cold morning", "degF", 4, 0, {-9, -8.8, -8.5, -8}, {-9, -8.8, -8.5, -8}},
    {"below absolute zero", "degC", 3, 1, {18, -300, 19}, {18, NAN, 19}},
    {"85 W/m2 all along", "W_m2", 4, 0, {85, 85, 85, 85}, {85, 85, 85, 85}},
    {"185 degF jumped to", "degF", 5, 1, {70, 71, 185, 72, 73}, {70, 71, NAN, 72, 73}},
    {"a hot absorber", "degC", 3, 0, {240, 250, 245}, {240, 250, 245}},
};

START_TEST(codes_of_a_column)
{
    double value[MOST], example = 0;
    nr_codes codes = {0};
    const nr_unit *unit = nr_unit_find(columns[_i].unit);
    size_t rows = columns[_i].rows;
    ck_assert(unit != NULL);
    memcpy(value, columns[_i].value, sizeof value);
    nr_codes_look(&codes, value, rows, unit);
    size_t dropped = nr_codes_drop(&codes, value, rows, unit, &example);
    ck_assert_msg(dropped == columns[_i].dropped, "%s: %zu dropped", columns[_i].what, dropped);
    for (size_t r = 0; r < rows; r++)
        if (isnan(columns[_i].keep[r]))
            ck_assert_msg(isnan(value[r]), "%s: row %zu kept", columns[_i].what, r);
        else
            ck_assert_msg(value[r] == columns[_i].keep[r], "%s: row %zu", columns[_i].what, r);
}
END_TEST

/* Certain in one column (no temperature is -999.9), it is one in another where it could be a
 * number. */
START_TEST(codes_are_the_tables)
{
    double air[] = {18, -999.9, 19}, pump[] = {12.1, -999.9, 12.2}, bare[] = {5, -999.9, 6};
    double example = 0;
    nr_codes codes = {0};
    nr_codes_look(&codes, bare, 3, NULL);
    ck_assert_uint_eq(codes.count, 0);
    nr_codes_look(&codes, air, 3, nr_unit_find("degC"));
    ck_assert_uint_eq(codes.count, 1);
    ck_assert_uint_eq(nr_codes_drop(&codes, bare, 3, NULL, &example), 1);
    ck_assert(isnan(bare[1]) && bare[0] == 5 && bare[2] == 6 && example == -999.9);
    ck_assert_uint_eq(nr_codes_drop(&codes, pump, 3, nr_unit_find("V"), &example), 1);
    ck_assert(isnan(pump[1]));
}
END_TEST

/* --- rows --------------------------------------------------------------------------------- */

/* In: cells of "time,x". Out: which rows, and when, in seconds from 10:15:00. */
static const struct {
    const char *what, *text, *said;
    size_t count;
    double at_s[MOST];
    size_t row[MOST];
} orders[] = {
    {"in order", "10:15:00,1\n10:15:20,2\n10:15:40,3\n", "", 3, {0, 20, 40}, {0, 1, 2}},
    {"a late row",
     "10:15:00,1\n10:15:40,3\n10:15:20,2\n10:16:00,4\n",
     "1 row was out of order",
     4,
     {0, 20, 40, 60},
     {0, 2, 1, 3}},
    {"newest first", "10:15:40,3\n10:15:20,2\n10:15:00,1\n", "", 3, {0, 20, 40}, {2, 1, 0}},
    {"twice",
     "10:15:00,1\n10:15:20,2\n10:15:20,2\n10:15:40,3\n",
     "1 row is there twice",
     3,
     {0, 20, 40},
     {0, 1, 3}},
    {"two in a minute",
     "10:15,1\n10:15,2\n10:16,3\n10:16,4\n10:17,5\n10:17,6\n",
     "6 rows share their stamp",
     6,
     {0, 30, 60, 90, 120, 150},
     {0, 1, 2, 3, 4, 5}},
    {"alike, but two in every minute",
     "10:15,1\n10:15,1\n10:16,1\n10:16,1\n10:17,1\n10:17,1\n",
     "6 rows share their stamp",
     6,
     {0, 30, 60, 90, 120, 150},
     {0, 1, 2, 3, 4, 5}},
    {"the first minute half begun",
     "10:15,2\n10:16,3\n10:16,4\n10:17,5\n10:17,6\n",
     "4 rows share their stamp",
     5,
     {30, 60, 90, 120, 150},
     {0, 1, 2, 3, 4}},
    {"one minute twice, the same",
     "10:15,1\n10:16,2\n10:16,2\n10:17,3\n10:18,4\n",
     "1 row is there twice",
     4,
     {0, 60, 120, 180},
     {0, 1, 3, 4}},
    {"two minutes twice, the same",
     "10:15,1\n10:16,2\n10:16,2\n10:17,3\n10:18,4\n10:18,4\n10:19,5\n",
     "2 rows are there twice",
     5,
     {0, 60, 120, 180, 240},
     {0, 1, 3, 4, 6}},
    {"two in a minute, newest first",
     "10:16,4\n10:16,3\n10:15,2\n10:15,1\n",
     "4 rows share their stamp",
     4,
     {0, 30, 60, 90},
     {3, 2, 1, 0}},
    {"three rows to two seconds and more are coarse",
     "10:15:00,1\n10:15:00,1\n10:15:01,3\n10:15:01,4\n10:15:02,5\n10:15:03,6\n",
     "4 rows share their stamp",
     6,
     {0, 0.5, 1, 1.5, 2, 3},
     {0, 1, 2, 3, 4, 5}},
    {"fewer are not",
     "10:15:00,1\n10:15:00,1\n10:15:01,3\n10:15:01,4\n10:15:02,5\n10:15:03,6\n10:15:04,7\n",
     "1 row is there twice",
     6,
     {0, 1, 1.5, 2, 3, 4},
     {0, 2, 3, 4, 5, 6}},
    {"two in a second",
     "10:15:00,1\n10:15:00,2\n10:15:01,3\n10:15:01,4\n",
     "4 rows share their stamp",
     4,
     {0, 0.5, 1, 1.5},
     {0, 1, 2, 3}},
};

START_TEST(rows_in_order)
{
    static looked l;
    char text[400] = "time,x\n", copy[300], *rest = copy;
    nr_ordered ordered;
    snprintf(copy, sizeof copy, "%s", orders[_i].text);
    for (char *line; (line = strsep(&rest, "\n")) != NULL && *line;)
        snprintf(text + strlen(text), sizeof text - strlen(text), "2026-05-16 %s\n", line);
    const char *what = orders[_i].what;
    ck_assert_msg(read_times(&l, text, "", "", "UTC") == NR_OK, "%s: %s", what, l.err.text);
    ck_assert(nr_rows_order(&l.table, &l.times, &ordered, &l.said, &l.err) == NR_OK);
    ck_assert_msg(ordered.count == orders[_i].count, "%s: %zu rows", what, ordered.count);
    for (size_t i = 0; i < ordered.count; i++) {
        NEAR_AT(what, ordered.at_s[i] - utc_of(2026, 5, 16, 10, 15, 0), orders[_i].at_s[i], 1e-6);
        ck_assert_msg(ordered.row[i] == orders[_i].row[i], "%s: place %zu has row %zu", what, i,
                      ordered.row[i]);
    }
    ck_assert_msg(!orders[_i].said[0] || was_said(&l, orders[_i].said), "%s: not said: %s", what,
                  orders[_i].said);
    nr_ordered_free(&ordered);
    forget(&l);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("codes and rows");
    TCase *all = tcase_create("all");
    tcase_add_loop_test(all, codes_of_a_column, 0, (int)(sizeof columns / sizeof *columns));
    tcase_add_test(all, codes_are_the_tables);
    tcase_add_loop_test(all, rows_in_order, 0, (int)(sizeof orders / sizeof *orders));
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
