/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lines to rows: one row a line, what is believed, time, two adapters. Expected values follow from
 * the rules in sampler.h and from the numbers in the lines. */
#include "logger/record/sampler.h"

#include "tests/unit/near.h"

#define UTC 1780000000.0

static nr_rig rig;
static char events[4096];

static void hear(void *context, nr_note_kind kind, const char *text)
{
    (void)context;
    size_t used = strlen(events);
    snprintf(events + used, sizeof events - used, "%s: %s\n", nr_note_kind_name(kind), text);
}

/* `adapter` keys, then channels. */
static nr_sampler *make(const char *text)
{
    nr_err err;
    events[0] = '\0';
    nr_code code = nr_rig_parse(text, strlen(text), "rig.ini", NR_RIG_FOR_RECORD, &rig, NULL, &err);
    ck_assert_msg(code == NR_OK, "%s", err.text);
    nr_sampler *s = nr_sampler_new(&rig, -1, hear, NULL);
    ck_assert_ptr_nonnull(s);
    return s;
}

static nr_line_fault feed(nr_sampler *s, size_t adapter, double at_s, const char *text,
                          nr_sample *row, bool *is_row)
{
    nr_wire_line line = {.text = text, .length = strlen(text)};
    nr_stamp stamp = {.utc_s = UTC + at_s, .elapsed_s = at_s};
    memset(row, 0, sizeof *row);
    return nr_sampler_line(s, adapter, stamp, &line, row, is_row);
}

#define PAIRS_RIG                                                                                  \
    "[adapter]\nport = /dev/x\n"                                                                   \
    "[channel store]\nunit = degC\nlow = 0\nhigh = 100\n"                                          \
    "[channel sun]\nunit = W_m2\n"

START_TEST(test_one_row_a_line)
{
    nr_sampler *s = make(PAIRS_RIG);
    nr_sample row;
    bool is_row;
    ck_assert_int_eq(feed(s, 0, 1, "store=21.5,sun=812", &row, &is_row), NR_LINE_GOOD);
    ck_assert(is_row);
    NEAR(row.elapsed_s, 1, 0);
    NEAR(row.utc_s, UTC + 1, 0);
    NEAR(row.value[0], 21.5, 0);
    NEAR(row.value[1], 812, 0);
    /* A missing, unreadable or unbelievable value is empty, never the last one again. */
    feed(s, 0, 2, "store=101,sun=", &row, &is_row);
    ck_assert(is_row && isnan(row.value[0]) && isnan(row.value[1]));
    feed(s, 0, 3, "store=ERR", &row, &is_row);
    ck_assert(is_row && isnan(row.value[0]) && isnan(row.value[1]));
    ck_assert_uint_eq(nr_sampler_channel(s, 0)->good, 1);
    ck_assert_uint_eq(nr_sampler_channel(s, 0)->outside, 1);
    ck_assert_uint_eq(nr_sampler_channel(s, 0)->unreadable, 1);
    ck_assert_uint_eq(nr_sampler_channel(s, 1)->missing, 1);
    ck_assert_uint_eq(nr_sampler_counted(s, 0)->rows, 3);
    nr_sampler_free(s);
}
END_TEST

START_TEST(test_what_is_no_row)
{
    nr_sampler *s = make(PAIRS_RIG);
    nr_sample row;
    bool is_row;
    static const struct {
        nr_wire_line line;
        nr_line_fault fault;
    } lines[] = {
        {{.text = "store=1,store=2", .length = 15}, NR_LINE_GARBAGE},
        {{.text = "flow=1", .length = 6}, NR_LINE_UNKNOWN},
        {{.text = "# ready", .length = 7}, NR_LINE_COMMENT},
        {{.text = "store=1", .length = 7, .first = true}, NR_LINE_HALF},
        {{.text = "store=1", .length = 7, .open = true}, NR_LINE_HALF},
        {{.text = "store=1", .length = 7, .cut = true}, NR_LINE_OVERLONG},
        {{.text = "sto\x01=1", .length = 6}, NR_LINE_GARBAGE},
    };
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        nr_stamp stamp = {.utc_s = UTC, .elapsed_s = (double)i};
        is_row = true;
        ck_assert_int_eq(nr_sampler_line(s, 0, stamp, &lines[i].line, &row, &is_row),
                         lines[i].fault);
        ck_assert(!is_row);
    }
    nr_sampler_free(s);
}
END_TEST

#define VALUES_RIG                                                                                 \
    "[adapter]\nport = /dev/x\nline = values\n"                                                    \
    "[channel store]\nunit = degC\nfield = 1\n"                                                    \
    "[channel air]\nunit = degC\nfield = 3\n"

/* In `values` a lost separator shifts everything: the number of fields must stay what it was. */
START_TEST(test_field_count)
{
    nr_sampler *s = make(VALUES_RIG);
    nr_sample row;
    bool is_row;
    ck_assert_int_eq(feed(s, 0, 1, "21,19,24,800", &row, &is_row), NR_LINE_GOOD);
    NEAR(row.value[1], 24, 0);
    ck_assert_int_eq(feed(s, 0, 2, "2119,24,800", &row, &is_row), NR_LINE_TOO_SHORT);
    ck_assert_int_eq(feed(s, 0, 3, "21,19", &row, &is_row), NR_LINE_TOO_SHORT);
    ck_assert_int_eq(feed(s, 0, 4, "21,19,24,800", &row, &is_row), NR_LINE_TOO_SHORT);
    ck_assert_int_eq(feed(s, 0, 5, "21,19,24,800", &row, &is_row), NR_LINE_GOOD);
    nr_sampler_free(s);
}
END_TEST

START_TEST(test_time_always_rises)
{
    nr_sampler *s = make(PAIRS_RIG);
    nr_sample row;
    bool is_row;
    double last = -1;
    /* A bunch of 1100 lines in the same millisecond: 1001 rows a millisecond apart, the rest only
     * in the log. */
    unsigned rows = 0;
    for (int i = 0; i < 1100; i++) {
        feed(s, 0, 5, "store=20", &row, &is_row);
        ck_assert(!is_row || row.elapsed_s > last);
        last = is_row ? row.elapsed_s : last;
        rows += is_row;
    }
    ck_assert_uint_eq(rows, 1001);
    ck_assert_uint_eq(nr_sampler_counted(s, 0)->crowded, 99);
    nr_sampler_free(s);
}
END_TEST

START_TEST(test_gap_and_rate_are_told)
{
    nr_sampler *s = make(PAIRS_RIG);
    nr_sample row;
    bool is_row;
    for (int i = 0; i < 40; i++)
        feed(s, 0, i * 0.5, "store=20", &row, &is_row);
    ck_assert_ptr_nonnull(strstr(events, "port: lines come every 0.5 s"));
    feed(s, 0, 21.9, "store=20", &row, &is_row); /* 2.4 s: not yet */
    ck_assert_ptr_null(strstr(events, "gap:"));
    feed(s, 0, 30, "store=20", &row, &is_row);
    ck_assert_ptr_nonnull(strstr(events, "gap: no readings for 8.1 s, from 21.900 to 30.000"));
    nr_sampler_free(s);
}
END_TEST

#define CLOCK_RIG                                                                                  \
    "[adapter]\nport = /dev/x\nclock = adapter\n"                                                  \
    "[channel store]\nunit = degC\n"

START_TEST(test_adapter_clock)
{
    nr_sampler *s = make(CLOCK_RIG);
    nr_sample row;
    bool is_row;
    feed(s, 0, 2.000, "ms=4294966000,store=20", &row, &is_row);
    ck_assert(is_row);
    NEAR(row.elapsed_s, 2, 0);
    feed(s, 0, 3.070, "ms=4294967000,store=20", &row, &is_row); /* late: the counter knows */
    NEAR(row.elapsed_s, 3, 1e-9);
    NEAR(row.utc_s, UTC + 3, 1e-6);
    feed(s, 0, 4.000, "ms=704,store=20", &row, &is_row); /* 2^32 - 296 + 1000 */
    NEAR(row.elapsed_s, 4, 1e-9);
    ck_assert_ptr_nonnull(strstr(events, "clock: milliseconds counter wrapped"));
    ck_assert_int_eq(feed(s, 0, 5, "store=20", &row, &is_row), NR_LINE_NO_CLOCK);
    ck_assert_int_eq(feed(s, 0, 5, "ms=zz,store=20", &row, &is_row), NR_LINE_NO_CLOCK);
    feed(s, 0, 6, "ms=100,store=20", &row, &is_row); /* reset */
    NEAR(row.elapsed_s, 6, 1e-9);
    ck_assert_ptr_nonnull(strstr(events, "clock: adapter was reset: its counter went from 704 to "
                                         "100"));
    nr_sampler_free(s);
}
END_TEST

/* The wall clock is set by an hour during the run: labels follow, elapsed does not. */
START_TEST(test_wall_clock_step)
{
    nr_sampler *s = make(CLOCK_RIG);
    nr_sample row;
    bool is_row;
    nr_wire_line line = {.text = "ms=1000,store=20", .length = 16};
    nr_stamp stamp = {.utc_s = UTC, .elapsed_s = 0};
    nr_sampler_line(s, 0, stamp, &line, &row, &is_row);
    line.text = "ms=2000,store=20";
    stamp = (nr_stamp){.utc_s = UTC + 3601, .elapsed_s = 1};
    nr_sampler_line(s, 0, stamp, &line, &row, &is_row);
    NEAR(row.elapsed_s, 1, 1e-9);
    NEAR(row.utc_s, UTC + 3601, 1e-6);
    nr_sampler_free(s);
}
END_TEST

#define TWO_RIG                                                                                    \
    "[adapter tank]\nport = /dev/x\ninterval_s = 1\n"                                              \
    "[adapter roof]\nport = /dev/y\ninterval_s = 2\n"                                              \
    "[channel store]\nunit = degC\nadapter = tank\n"                                               \
    "[channel sun]\nunit = W_m2\nadapter = roof\n"

START_TEST(test_two_adapters)
{
    nr_sampler *s = make(TWO_RIG);
    nr_sample row;
    bool is_row;
    feed(s, 1, 0.5, "sun=800", &row, &is_row);
    ck_assert(!is_row); /* the first adapter leads */
    feed(s, 0, 1, "store=20", &row, &is_row);
    ck_assert(is_row);
    NEAR(row.value[0], 20, 0);
    NEAR(row.value[1], 800, 0);
    feed(s, 0, 2, "store=21", &row, &is_row);
    ck_assert(isnan(row.value[1])); /* not the same value twice */
    feed(s, 1, 2.5, "sun=810", &row, &is_row);
    feed(s, 0, 6, "store=22", &row, &is_row);
    ck_assert(isnan(row.value[1])); /* 3.5 s old: stale */
    /* The leader falls silent: the other one leads. */
    feed(s, 1, 8.0, "sun=820", &row, &is_row);
    ck_assert(!is_row);
    feed(s, 1, 8.2, "sun=830", &row, &is_row);
    ck_assert(is_row);
    NEAR(row.value[1], 830, 0);
    ck_assert(isnan(row.value[0]));
    nr_sampler_free(s);
}
END_TEST

/* degF in the rig, degC in the row; the offset of a bath; a divided register. */
START_TEST(test_units)
{
    nr_sampler *s = make("[adapter]\nport = /dev/x\n[channel store]\nunit = degF\noffset = 1.8\n"
                         "low = 32\nhigh = 212\n");
    nr_sample row;
    bool is_row;
    feed(s, 0, 1, "store=68", &row, &is_row); /* 20 degC + 1 K */
    NEAR(row.value[0], 21, 1e-9);
    feed(s, 0, 2, "store=20", &row, &is_row); /* -6.7 + 1 degC: below 32 degF */
    ck_assert(isnan(row.value[0]));
    nr_sampler_free(s);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {test_one_row_a_line,
                                  test_what_is_no_row,
                                  test_field_count,
                                  test_time_always_rises,
                                  test_gap_and_rate_are_told,
                                  test_adapter_clock,
                                  test_wall_clock_step,
                                  test_two_adapters,
                                  test_units,
                                  NULL};
    return run_tests("sampler", tests);
}
