/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A rig file edited in place: what is asked for changes, nothing else does. */
#include "logger/run/rig_edit.h"
#include "tests/unit/near.h"

static const char rig[] = "; my rig\n"
                          "[adapter]\n"
                          "port = /dev/ttyUSB0\n"
                          "\n"
                          "[ channel  store ]  ; the big one\n"
                          "unit = degC\n"
                          "  offset : 0.1   ; from last year\n"
                          "; offset = 9\n"
                          "\n"
                          "[channel air]\n"
                          "unit = degC";

/* NULL when refused. */
static char *edit(const char *text, const nr_rig_change *change, size_t changes, nr_err *err)
{
    char *out = NULL;
    size_t length = 0;
    nr_code code = nr_rig_edit(text, strlen(text), change, changes, &out, &length, err);
    ck_assert_int_eq(code == NR_OK, out != NULL);
    if (out)
        ck_assert_uint_eq(length, strlen(out));
    return out;
}

START_TEST(replaces_and_adds)
{
    const nr_rig_change changes[] = {{"channel store", "offset", "-0.12", "bath of 2026-05-04"},
                                     {"channel store", "u_offset", "0.02", NULL},
                                     {"channel air", "offset", "0.3", NULL}};
    char *out = edit(rig, changes, 3, NULL);
    ck_assert_str_eq(out, "; my rig\n"
                          "[adapter]\n"
                          "port = /dev/ttyUSB0\n"
                          "\n"
                          "[ channel  store ]  ; the big one\n"
                          "unit = degC\n"
                          "offset = -0.12  ; bath of 2026-05-04\n"
                          "u_offset = 0.02\n"
                          "; offset = 9\n"
                          "\n"
                          "[channel air]\n"
                          "unit = degC\n"
                          "offset = 0.3\n");
    free(out);
}
END_TEST

START_TEST(removes)
{
    const nr_rig_change change = {"channel store", "offset", NULL, NULL};
    char *out = edit(rig, &change, 1, NULL);
    ck_assert_ptr_null(strstr(out, "from last year"));
    ck_assert_ptr_nonnull(strstr(out, "; offset = 9"));
    free(out);
}
END_TEST

START_TEST(keeps_line_ends)
{
    const nr_rig_change change = {"channel store", "offset", "1", NULL};
    char *out = edit("[channel store]\r\nunit = degC\r\n", &change, 1, NULL);
    ck_assert_str_eq(out, "[channel store]\r\nunit = degC\r\noffset = 1\r\n");
    free(out);
    out = edit("[channel store]\n", &change, 1, NULL); /* a section without keys */
    ck_assert_str_eq(out, "[channel store]\noffset = 1\n");
    free(out);
    out = edit("[channel store]\nunit = degC\n", &change, 0, NULL); /* nothing to do */
    ck_assert_str_eq(out, "[channel store]\nunit = degC\n");
    free(out);
}
END_TEST

START_TEST(notes_are_no_sections)
{
    /* what is indented under `notes` is text, whatever it looks like */
    const char *text = "[test]\nnotes = calibrate\n   [channel store]\n   offset = 9\n"
                       "[channel store]\nunit = degC\n";
    const nr_rig_change change = {"channel store", "offset", "1", NULL};
    char *out = edit(text, &change, 1, NULL);
    ck_assert_str_eq(out, "[test]\nnotes = calibrate\n   [channel store]\n   offset = 9\n"
                          "[channel store]\nunit = degC\noffset = 1\n");
    free(out);
}
END_TEST

START_TEST(refuses)
{
    nr_err err = {0};
    const nr_rig_change nowhere = {"channel stor", "offset", "1", NULL};
    ck_assert_ptr_null(edit(rig, &nowhere, 1, &err));
    ck_assert_ptr_nonnull(strstr(err.text, "[channel stor]"));
    const nr_rig_change longer = {"channel storex", "offset", "1", NULL};
    ck_assert_ptr_null(edit(rig, &longer, 1, &err));
    const nr_rig_change shorter = {"channelstore", "offset", "1", NULL};
    ck_assert_ptr_null(edit(rig, &shorter, 1, &err));
    const nr_rig_change twice = {"channel store", "offset", "1", NULL};
    ck_assert_ptr_null(edit("[channel store]\noffset = 1\noffset = 2\n", &twice, 1, &err));
    ck_assert_int_eq(err.line, 3);
    ck_assert_ptr_null(edit("", &twice, 1, &err));
    ck_assert_ptr_null(edit("[channel store\n", &twice, 1, &err));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {replaces_and_adds,     removes, keeps_line_ends,
                                  notes_are_no_sections, refuses, NULL};
    return run_tests("rig_edit", tests);
}
