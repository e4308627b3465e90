/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bytes to lines: a table of what may arrive and what must come out. The expected answers follow
 * from the rules in lines.h; there is no outside source. */
#include "logger/wire/lines.h"

#include "tests/unit/near.h"

typedef struct heard {
    char text[3 * NR_LINE_MAX];
    size_t count;
} heard;

/* Lines joined by '|', with their marks. */
static void hear(void *context, const nr_wire_line *line)
{
    heard *h = context;
    size_t used = strlen(h->text);
    used += (size_t)snprintf(h->text + used, sizeof h->text - used, "%s", h->count ? "|" : "");
    for (size_t i = 0; i < line->length; i++)
        used += (size_t)snprintf(h->text + used, sizeof h->text - used,
                                 line->text[i] ? "%c" : "<NUL>", line->text[i]);
    snprintf(h->text + used, sizeof h->text - used, "%s%s%s", line->first ? "^" : "",
             line->cut ? "+" : "", line->open ? "-" : "");
    h->count++;
}

static const struct {
    const char *bytes;
    size_t length; /* 0: strlen */
    const char *lines;
} table_of_bytes[] = {
    {"a\nb\n", 0, "a^|b"},
    {"a\r\nb\r\n", 0, "a^|b"},
    {"a\rb\r", 0, "a^|b"},
    {"\na\n", 0, "a"}, /* a line end first: what follows has its beginning */
    {"a\n\n\n\nb\n", 0, "a^|b"},
    {"a", 0, ""},
    {"", 0, ""},
    {"a\0b\nc\n", 6, "a<NUL>b^|c"}, /* nothing is taken out of a line */
    {"\0\0\n", 3, "<NUL><NUL>^"},
    {"\x80\xff\n", 0, "\x80\xff^"},
    {"a\x1b[2J\n", 0, "a\x1b[2J^"}, /* judged later, by fields.c */
};

START_TEST(test_table)
{
    for (size_t i = 0; i < sizeof table_of_bytes / sizeof *table_of_bytes; i++) {
        size_t length =
            table_of_bytes[i].length ? table_of_bytes[i].length : strlen(table_of_bytes[i].bytes);
        /* At once, and byte by byte: the same lines. */
        for (size_t step = 1; step <= length + 1; step += length > 0 ? length : 1) {
            nr_lines lines;
            heard h = {0};
            nr_lines_init(&lines);
            for (size_t at = 0; at < length; at += step)
                nr_lines_feed(&lines, table_of_bytes[i].bytes + at,
                              at + step > length ? length - at : step, hear, &h);
            ck_assert_str_eq(h.text, table_of_bytes[i].lines);
            ck_assert_uint_eq(lines.bytes, length);
            ck_assert_uint_eq(lines.lines, h.count);
        }
    }
}
END_TEST

START_TEST(test_overlong)
{
    char bytes[2 * NR_LINE_MAX];
    nr_lines lines;
    heard h = {0};
    nr_lines_init(&lines);
    memset(bytes, 'x', sizeof bytes);
    nr_lines_feed(&lines, bytes, NR_LINE_MAX, hear, &h);
    nr_lines_feed(&lines, "\n", 1, hear, &h); /* exactly the most is whole */
    ck_assert_uint_eq(lines.overlong, 0);
    nr_lines_feed(&lines, bytes, NR_LINE_MAX + 7, hear, &h);
    nr_lines_feed(&lines, "\nnext\n", 6, hear, &h);
    ck_assert_uint_eq(h.count, 3);
    ck_assert_uint_eq(lines.overlong, 1);
    ck_assert_uint_eq(lines.dropped, 7);
    ck_assert_str_eq(h.text + 2 * NR_LINE_MAX + 2, "+|next"); /* "^|" after the first */
}
END_TEST

START_TEST(test_restart)
{
    nr_lines lines;
    heard h = {0};
    nr_lines_init(&lines);
    nr_lines_feed(&lines, "a\nhal", 5, hear, &h);
    nr_lines_restart(&lines, hear, &h);
    nr_lines_feed(&lines, "f\nb\n", 4, hear, &h);
    ck_assert_str_eq(h.text, "a^|hal-|f^|b");
    ck_assert_uint_eq(lines.lines, 3);
    nr_lines_restart(&lines, NULL, NULL);
    nr_lines_feed(&lines, "x", 1, hear, &h);
    nr_lines_restart(&lines, NULL, NULL); /* without a taker it is dropped */
    ck_assert_uint_eq(h.count, 4);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {test_table, test_overlong, test_restart, NULL};
    return run_tests("lines", tests);
}
