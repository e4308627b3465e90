/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings by hand among those of an adapter: every channel's, in any of its units; the one that
 * corrects another; who comes first. */
#include "logger/record/hand_rows.h"

#include "logger/base/utc.h"
#include "tests/unit/run/rig_fixture.h"

#define RIG                                                                                        \
    "[collector]\ngross_area_m2 = 1.5\n[store]\nwater_kg = 40\n[channel store]\nunit = degC\n"     \
    "high = 95\n[channel air]\nunit = degC\n"
#define LONGEST 512       /* as by_hand.c has it */
#define ZERO 1777888800.0 /* 2026-05-04T10:00:00Z (GNU date) */

static nr_rig rig;
static nr_err err;

static void set_up(void)
{
    accept(&rig, RIG, NR_RIG_FOR_READINGS);
}

static nr_by_hand reading(double at_s, const char *channel, double value, const char *unit)
{
    nr_by_hand r = {.utc_s = ZERO + at_s, .taken_utc_s = ZERO + at_s, .value = value};
    snprintf(r.channel, sizeof r.channel, "%s", channel);
    snprintf(r.unit, sizeof r.unit, "%s", unit);
    return r;
}

#define ROWS_OF(rows, ...)                                                                         \
    do {                                                                                           \
        nr_by_hand all_[] = {__VA_ARGS__};                                                         \
        nr_by_hand_list list_ = {.count = sizeof all_ / sizeof *all_, .reading = all_};            \
        ck_assert_msg(nr_hand_rows_of(&list_, &rig, rows, &err) == NR_OK, "%s", err.text);         \
    } while (0)

/* Lines of by-hand.csv: a whole one, one that a crash left, and one too long to be any. The longest
 * that is looked at has a byte less than there is room for. */
START_TEST(lines_of_the_file)
{
    static char text[4000];
    nr_by_hand_list list;
    int n = snprintf(text, sizeof text,
                     "%s2026-05-04T10:00:00.000Z,2026-05-04T10:00:05.000Z,store,21.5,degC\n"
                     "2026-05-04T10:0",
                     NR_BY_HAND_HEADER);
    ck_assert_int_eq(nr_by_hand_parse(text, (size_t)n, "h.csv", &list, &err), NR_OK);
    ck_assert_uint_eq(list.count, 1);
    NEAR(list.reading[0].utc_s, ZERO, 0);
    NEAR(list.reading[0].taken_utc_s, ZERO + 5, 0);
    NEAR(list.reading[0].value, 21.5, 0);
    ck_assert_str_eq(list.reading[0].channel, "store");
    ck_assert_str_eq(list.reading[0].unit, "degC");
    ck_assert(list.torn && list.damaged == 1);
    nr_by_hand_free(&list);
    for (size_t length = LONGEST - 1; length <= LONGEST + 1; length++) {
        n = snprintf(text, sizeof text, "%s", NR_BY_HAND_HEADER);
        memset(text + n, 'x', length);
        text[(size_t)n + length] = '\n';
        nr_code code = nr_by_hand_parse(text, (size_t)n + length + 1, "h.csv", &list, &err);
        ck_assert_msg(code == (length < LONGEST ? NR_OK : NR_BAD), "%zu", length);
        ck_assert(code == NR_OK ? list.damaged == 1 : err.line == 2);
        nr_by_hand_free(&list);
    }
}
END_TEST

START_TEST(each_channel_in_its_units)
{
    nr_hand_rows r;
    ROWS_OF(&r, reading(0, "store", 20, "degC"), reading(0, "air", 68, "degF"),
            reading(60, "air", 21, "degC"), reading(60, "pond", 9, "degC"),
            reading(60, "store", 3, "L_min"), reading(120, "store", 96, "degC"));
    ck_assert_uint_eq(r.count, 3);
    NEAR(r.row[0].utc_s, ZERO, 0);
    NEAR(r.row[0].value[0], 20, 1e-9);
    NEAR(r.row[0].value[1], 20, 1e-9); /* 68 degF */
    ck_assert(isnan(r.row[1].value[0]));
    NEAR(r.row[1].value[1], 21, 1e-9);
    ck_assert(isnan(r.row[2].value[0])); /* above high */
    ck_assert_uint_eq(r.strangers, 2);
    ck_assert_uint_eq(r.unbelieved, 1);
    ck_assert_uint_eq(r.replaced, 0);
    nr_hand_rows_free(&r);
}
END_TEST

/* Within half a minute the later one is meant, at the time of the first. */
START_TEST(both_sides_of_again)
{
    nr_hand_rows r;
    ROWS_OF(&r, reading(100, "store", 20, "degC"), reading(129, "store", 21, "degC"),
            reading(110, "air", 15, "degC"));
    ck_assert_uint_eq(r.count, 2);
    ck_assert_uint_eq(r.replaced, 1);
    NEAR(r.row[0].utc_s, ZERO + 100, 0);
    NEAR(r.row[0].value[0], 21, 0);
    NEAR(r.row[1].value[1], 15, 0);
    nr_hand_rows_free(&r);
    ROWS_OF(&r, reading(100, "store", 20, "degC"), reading(131, "store", 21, "degC"));
    ck_assert_uint_eq(r.count, 2);
    ck_assert_uint_eq(r.replaced, 0);
    nr_hand_rows_free(&r);
}
END_TEST

START_TEST(among_others)
{
    static const char base[] = "time_utc,elapsed_s,store_degC,air_degC\n"
                               "2026-05-04T10:00:00.000Z,0.000,20.0000,15.0000\n"
                               "2026-05-04T10:01:00.000Z,60.000,21.0000,15.0000\n"
                               "2026-05-04T10:02:00.000Z,120.0";
    nr_hand_rows r;
    nr_merged m;
    char *text;
    size_t size;
    ROWS_OF(&r, reading(-5, "store", 19, "degC"), reading(30, "air", 15.5, "degC"),
            reading(600, "store", 30, "degC"));
    FILE *to = open_memstream(&text, &size);
    ck_assert_msg(nr_hand_merge(base, strlen(base), &r, &rig, to, &m, &err) == NR_OK, "%s",
                  err.text);
    fclose(to);
    ck_assert_str_eq(text, "2026-05-04T10:00:00.000Z,0.000,20.0000,15.0000\n"
                           "2026-05-04T10:00:30.000Z,30.000,,15.5000\n"
                           "2026-05-04T10:01:00.000Z,60.000,21.0000,15.0000\n"
                           "2026-05-04T10:10:00.000Z,600.000,30.0000,\n"); /* no torn line */
    ck_assert_uint_eq(m.rows, 4);
    ck_assert_uint_eq(m.too_early, 1);
    NEAR(m.last_elapsed_s, 600, 1e-9);
    NEAR(m.last_utc_s, ZERO + 600, 1e-3);
    free(text);
    nr_hand_rows_free(&r);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("readings by hand");
    TCase *t = tcase_create("hand");
    tcase_add_checked_fixture(t, set_up, NULL);
    tcase_add_test(t, lines_of_the_file);
    tcase_add_test(t, each_channel_in_its_units);
    tcase_add_test(t, both_sides_of_again);
    tcase_add_test(t, among_others);
    suite_add_tcase(s, t);
    return run_suite(s);
}
