/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Width of text on a terminal. Wide and combining characters: Unicode Standard Annex 11 (East Asian
 * Width W: two columns) and general category Mn (none). */
#include "logger/base/paragraph.h"
#include "tests/unit/near.h"

#include <locale.h>

static const struct {
    const char *text;
    int columns;
} rows[] = {{"", 0},
            {"store", 5},
            {"21.5 \u00b0C", 7},
            {"\u65e5\u672c", 4}, /* two ideographs, W */
            {"e\u0301", 1},      /* an accent on the e, Mn */
            {"\u65e5x", 3},
            {"\xff\xfe", 2}, /* no UTF-8 */
            {"a\xe6", 2}};   /* a character cut short */

static void check_widths(void)
{
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        ck_assert_msg(nr_columns(rows[i].text, strlen(rows[i].text)) == rows[i].columns,
                      "\"%s\": %d, not %d", rows[i].text,
                      nr_columns(rows[i].text, strlen(rows[i].text)), rows[i].columns);
    ck_assert_int_eq(nr_columns("store", 2), 2);
}

START_TEST(columns)
{
    check_widths();
    ck_assert_ptr_nonnull(setlocale(LC_ALL, "C")); /* the user's locale does not matter */
    check_widths();
}
END_TEST

START_TEST(what_fits)
{
    ck_assert_uint_eq(nr_columns_fit("store", 3), 3);
    ck_assert_uint_eq(nr_columns_fit("store", 9), 5);
    ck_assert_uint_eq(nr_columns_fit("store", 0), 0);
    ck_assert_uint_eq(nr_columns_fit("store", -1), 0);
    ck_assert_uint_eq(nr_columns_fit("\u65e5\u672c", 3), 3); /* half of a wide one is none */
    ck_assert_uint_eq(nr_columns_fit("\u65e5\u672c", 4), 6);
    ck_assert_uint_eq(nr_columns_fit("\u00b0C", 1), 2);
    ck_assert_uint_eq(nr_columns_fit("e\u0301x", 1), 3); /* the accent stays with its letter */
}
END_TEST

/* Forty wide characters fill a line of eighty columns. */
START_TEST(paragraphs_break_by_columns)
{
    char text[400] = "", *out = NULL;
    size_t size;
    for (int i = 0; i < 8; i++)
        strcat(text, "\u65e5\u672c\u65e5\u672c\u65e5 ");
    FILE *to = open_memstream(&out, &size);
    nr_paragraph(to, "", text);
    fclose(to);
    const char *first = strchr(out, '\n');
    ck_assert_ptr_nonnull(first);
    ck_assert_int_eq(nr_columns(out, (size_t)(first - out)), 7 * 10 + 6); /* eight were 87 */
    free(out);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {columns, what_fits, paragraphs_break_by_columns, NULL};
    return run_tests("paragraph", tests);
}
