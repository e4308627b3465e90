/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/base/err.h"
#include "tests/unit/near.h"

#include <errno.h>

START_TEST(an_error_names_the_place)
{
    nr_err e;
    ck_assert_int_eq(nr_fail(&e, NR_BAD, "rig.ini", 23, "unit \"%s\" is unknown", "F"), NR_BAD);
    ck_assert_int_eq(e.code, NR_BAD);
    ck_assert_int_eq(e.line, 23);
    char text[200] = "";
    FILE *to = fmemopen(text, sizeof text, "w");
    nr_err_print(to, "noonlog", &e);
    e.line = 0;
    nr_err_print(to, "noonlog", &e);
    e.file[0] = '\0';
    nr_err_print(to, "noonlog", &e);
    fclose(to);
    ck_assert_str_eq(text, "noonlog: rig.ini:23: unit \"F\" is unknown\n"
                           "noonlog: rig.ini: unit \"F\" is unknown\n"
                           "noonlog: unit \"F\" is unknown\n");
}
END_TEST

START_TEST(control_characters_do_not_get_through)
{
    nr_err e;
    nr_fail(&e, NR_CANNOT, "a\x1b[2Jb", 0, "x\ny\x7f%s", "\x07");
    ck_assert_str_eq(e.file, "a?[2Jb");
    ck_assert_str_eq(e.text, "x?y??");
}
END_TEST

START_TEST(system_errors_have_words)
{
    nr_err e;
    ck_assert_int_eq(nr_fail_errno(&e, NR_BAD, "f", ENOENT, "cannot open"), NR_BAD);
    ck_assert_str_eq(e.text, "cannot open: No such file or directory");
    ck_assert_int_eq(nr_fail(NULL, NR_CANNOT, NULL, 0, "nobody listens"), NR_CANNOT);
}
END_TEST

START_TEST(long_texts_are_cut_not_overrun)
{
    nr_err e;
    char wide[3000];
    memset(wide, 'w', sizeof wide - 1);
    wide[sizeof wide - 1] = '\0';
    nr_fail_errno(&e, NR_BAD, wide, EIO, "%s", wide);
    ck_assert_uint_eq(strlen(e.text), NR_ERR_TEXT - 1);
    ck_assert_uint_eq(strlen(e.file), NR_ERR_FILE - 1);
}
END_TEST

static void keep(void *context, const char *line)
{
    snprintf(context, 100, "%s", line);
}

START_TEST(a_sink_gets_clean_lines)
{
    char got[100] = "";
    nr_sink sink = {keep, got};
    nr_say(&sink, "port %s\n", "a\x1b");
    ck_assert_str_eq(got, "port a??");
    nr_say(NULL, "silence");
    nr_say(&(nr_sink){NULL, NULL}, "silence");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {an_error_names_the_place, control_characters_do_not_get_through,
                                  system_errors_have_words, long_texts_are_cut_not_overrun,
                                  a_sink_gets_clean_lines,  NULL};
    return run_tests("err", tests);
}
