/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The grammar of rig.ini, line by line. */
#include "logger/run/rig_text.h"
#include "tests/unit/near.h"

typedef struct want {
    nr_rig_text_kind kind;
    const char *name, *value;
} want;

static void check(const char *text, const want *wanted, size_t count)
{
    nr_rig_text at = nr_rig_text_of(text, strlen(text));
    nr_rig_text_line line;
    size_t i = 0, bytes = 0;
    for (; nr_rig_text_next(&at, &line); i++) {
        ck_assert_uint_lt(i, count);
        ck_assert_int_eq(line.number, (long)i + 1);
        ck_assert_msg(line.kind == wanted[i].kind, "line %zu is %d", i + 1, (int)line.kind);
        if (wanted[i].name)
            ck_assert_msg(nr_span_is(line.name, wanted[i].name), "line %zu: %.*s", i + 1,
                          (int)line.name.length, line.name.at);
        if (wanted[i].value)
            ck_assert_msg(nr_span_is(line.value, wanted[i].value), "line %zu: %.*s", i + 1,
                          (int)line.value.length, line.value.at);
        ck_assert_ptr_eq(line.whole.at, text + bytes); /* nothing is lost between lines */
        bytes += line.whole.length;
    }
    ck_assert_uint_eq(i, count);
    ck_assert_uint_eq(bytes, strlen(text));
}
#define CHECK(text, ...)                                                                           \
    check(text, (const want[]){__VA_ARGS__}, sizeof((const want[]){__VA_ARGS__}) / sizeof(want))

START_TEST(lines)
{
    CHECK("; a\n\n # b\n", {NR_RIG_TEXT_NOTHING, NULL, NULL}, {NR_RIG_TEXT_NOTHING, NULL, NULL},
          {NR_RIG_TEXT_NOTHING, NULL, NULL});
    CHECK("[site]", {NR_RIG_TEXT_HEADING, "site", ""});
    CHECK("  [ channel  x ] ; remark\n", {NR_RIG_TEXT_HEADING, "channel  x", "; remark"});
    CHECK("a = 1\n b:2 \r\nc=\n", {NR_RIG_TEXT_PAIR, "a", "1"}, {NR_RIG_TEXT_PAIR, "b", "2"},
          {NR_RIG_TEXT_PAIR, "c", ""});
    CHECK("what\n", {NR_RIG_TEXT_OTHER, NULL, NULL});
    CHECK("\xef\xbb\xbf[test]\n", {NR_RIG_TEXT_HEADING, "test", NULL});
}
END_TEST

START_TEST(comments_behind_values)
{
    CHECK("a = 1 ; one\n", {NR_RIG_TEXT_PAIR, "a", "1"});
    CHECK("a = x;y\n", {NR_RIG_TEXT_PAIR, "a", "x;y"}); /* no blank before it: part of the value */
    CHECK("a = ; none\n", {NR_RIG_TEXT_PAIR, "a", ""});
    CHECK("a = 5 # five\n", {NR_RIG_TEXT_PAIR, "a", "5 # five"}); /* only at a line's start */
    CHECK("a ; b = 1\n", {NR_RIG_TEXT_OTHER, NULL, NULL});
    CHECK("a = b = c\n", {NR_RIG_TEXT_PAIR, "a", "b = c"});
}
END_TEST

START_TEST(notes_go_on)
{
    CHECK("[test]\nnotes = a\n  [b] = c ; d\n ; no\ntitle = x\n  y = z\n",
          {NR_RIG_TEXT_HEADING, "test", NULL}, {NR_RIG_TEXT_PAIR, "notes", "a"},
          {NR_RIG_TEXT_MORE, NULL, "[b] = c"}, {NR_RIG_TEXT_NOTHING, NULL, NULL},
          {NR_RIG_TEXT_PAIR, "title", "x"}, {NR_RIG_TEXT_PAIR, "y", "z"});
    CHECK("[test]\n  notes = a\n  units = us\n", {NR_RIG_TEXT_HEADING, NULL, NULL},
          {NR_RIG_TEXT_PAIR, "notes", "a"}, {NR_RIG_TEXT_PAIR, "units", "us"});
    CHECK("notes = a\n  b = c\n", {NR_RIG_TEXT_PAIR, NULL, NULL}, {NR_RIG_TEXT_PAIR, "b", "c"});
}
END_TEST

/* The library that read these files before cut lines at 200 bytes. */
START_TEST(long_lines_are_lines)
{
    char text[5000] = "a = ", value[4000];
    memset(value, 'v', sizeof value - 1);
    value[sizeof value - 1] = '\0';
    strcat(text, value);
    CHECK(text, {NR_RIG_TEXT_PAIR, "a", value});
}
END_TEST

START_TEST(headings_and_line_ends)
{
    char heading[40];
    nr_rig_text_line line;
    nr_rig_text at = nr_rig_text_of("[ channel \t x y ]\r\n[open", 24);
    ck_assert(nr_rig_text_next(&at, &line));
    nr_rig_text_heading(&line, heading, sizeof heading);
    ck_assert_str_eq(heading, "channel x y");
    ck_assert(line.closed && line.line_break && line.crlf);
    ck_assert(nr_rig_text_next(&at, &line));
    nr_rig_text_heading(&line, heading, sizeof heading);
    ck_assert_str_eq(heading, "open");
    ck_assert(!line.closed && !line.line_break && !line.crlf);
    ck_assert(!nr_rig_text_next(&at, &line));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        lines, comments_behind_values, notes_go_on, long_lines_are_lines, headings_and_line_ends,
        NULL};
    return run_tests("rig_text", tests);
}
