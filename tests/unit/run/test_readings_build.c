/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings made in memory: what is appended is what a file of the same text would give. */
#include "logger/run/readings.h"
#include "tests/unit/near.h"

static void add(nr_readings *r, const char *channel, const char *unit)
{
    nr_err err = {0};
    ck_assert_msg(nr_readings_add_column(r, channel, unit, &err) == NR_OK, "%s", err.text);
}

static void append(nr_readings *r, double at_s, double a, double b)
{
    nr_err err = {0};
    ck_assert_msg(nr_readings_append(r, 1e9 + at_s, at_s, (double[]){a, b, NAN}, &err) == NR_OK,
                  "%s", err.text);
}

START_TEST(like_the_file)
{
    static const char text[] = "time_utc,elapsed_s,store_degF,fan_rpm\n"
                               "2026-05-04T11:22:33.000Z,0.000,68,1200\n"
                               "2026-05-04T11:22:34.000Z,1.500,,1201\n";
    nr_readings *file = NULL, *made = nr_readings_new();
    ck_assert_int_eq(nr_readings_parse(text, sizeof text - 1, "r.csv", &file, NULL), NR_OK);
    add(made, "store", "degF");
    add(made, "fan", "rpm");
    for (size_t i = 0; i < 2; i++)
        ck_assert_int_eq(nr_readings_append(made, file->utc_s[i], file->elapsed_s[i],
                                            (double[]){i ? NAN : 68, i ? 1201 : 1200}, NULL),
                         NR_OK);
    ck_assert_uint_eq(made->rows, file->rows);
    ck_assert_uint_eq(made->columns, file->columns);
    for (size_t c = 0; c < 2; c++) {
        ck_assert_str_eq(made->column[c].channel, file->column[c].channel);
        ck_assert_str_eq(made->column[c].unit, file->column[c].unit);
        ck_assert_ptr_eq(made->column[c].known, file->column[c].known);
        for (size_t i = 0; i < 2; i++) {
            double a = made->column[c].value[i], b = file->column[c].value[i];
            ck_assert(a == b || (isnan(a) && isnan(b)));
            ck_assert(made->elapsed_s[i] == file->elapsed_s[i] && made->utc_s[i] == file->utc_s[i]);
        }
    }
    NEAR(made->column[0].value[0], 20, 1e-12); /* 68 degF */
    nr_readings_free(file);
    nr_readings_free(made);
}
END_TEST

/* Rows beyond any room that was made, and a column that comes late. */
START_TEST(it_grows_both_ways)
{
    nr_readings *r = nr_readings_new();
    add(r, "store", "degC");
    add(r, "sun", "W_m2");
    for (int i = 0; i < 1000; i++)
        append(r, i, 20 + i, 800 - i);
    add(r, "note", "");
    ck_assert_int_eq(nr_readings_append(r, 1e9 + 1000, 1000, (double[]){1, 2, 3}, NULL), NR_OK);
    ck_assert_int_eq(nr_readings_reserve(r, 5000, NULL), NR_OK);
    ck_assert_uint_eq(r->rows, 1001);
    for (int i = 0; i < 1000; i++) {
        ck_assert(r->elapsed_s[i] == i && r->utc_s[i] == 1e9 + i);
        ck_assert(nr_readings_channel(r, "store")[i] == 20 + i);
        ck_assert(nr_readings_channel(r, "sun")[i] == 800 - i);
        ck_assert(isnan(nr_readings_channel(r, "note")[i]));
    }
    ck_assert(nr_readings_channel(r, "note")[1000] == 3);
    nr_readings_free(r);
}
END_TEST

static void refuse_column(nr_readings *r, const char *channel, const char *unit, const char *word)
{
    nr_err err = {0};
    size_t before = r->columns;
    ck_assert_int_eq(nr_readings_add_column(r, channel, unit, &err), NR_BAD);
    ck_assert_msg(strstr(err.text, word) != NULL, "%s", err.text);
    ck_assert_uint_eq(r->columns, before);
}

START_TEST(what_is_refused)
{
    nr_err err = {0};
    nr_readings *r = nr_readings_new();
    add(r, "store", "degC");
    refuse_column(r, "store", "degC", "already");
    refuse_column(r, "sun", "degC", "W_m2");
    refuse_column(r, "", "degC", "empty");
    append(r, 5, 20, NAN);
    ck_assert_int_eq(nr_readings_append(r, 0, 5, (double[]){1}, &err), NR_BAD);
    ck_assert_msg(strstr(err.text, "5.000 s does not come after 5.000") != NULL, "%s", err.text);
    ck_assert_int_eq(nr_readings_append(r, 0, NAN, (double[]){1}, &err), NR_BAD);
    ck_assert_int_eq(nr_readings_append(r, 0, 2e9, (double[]){1}, &err), NR_BAD);
    ck_assert_uint_eq(r->rows, 1);
    char name[20];
    for (int i = 1; i < NR_READINGS_COLUMNS; i++) {
        snprintf(name, sizeof name, "c%d", i);
        add(r, name, "");
    }
    refuse_column(r, "more", "", "256");
    nr_readings_free(r);
}
END_TEST

START_TEST(the_digits_a_file_keeps)
{
    NEAR(nr_readings_as_written(nr_unit_find("degC"), 21.06254999), 21.0625, 0);
    NEAR(nr_readings_as_written(nr_unit_find("W_m2"), 812.3456), 812.35, 0);
    ck_assert(isnan(nr_readings_as_written(nr_unit_find("degC"), NAN)));
    ck_assert(isnan(nr_readings_as_written(nr_unit_find("degC"), INFINITY)));
}
END_TEST

/* As printf and strtod have it: ties of binary numbers, what only looks like one, large, negative.
 */
START_TEST(as_if_printed_and_read)
{
    static const struct {
        const char *unit;
        int places;
    } of[] = {{"degC", 4}, {"W_m2", 2}, {"m_s", 3}, {"A", 5}};
    for (size_t k = 0; k < sizeof of / sizeof *of; k++) {
        const nr_unit *unit = nr_unit_find(of[k].unit);
        double power = pow(10, of[k].places);
        ck_assert_ptr_nonnull(unit);
        for (int i = -2500; i < 2500; i++) {
            double at = (0.25 * i + 0.7 * (i % 7 == 0)) / power;
            double tries[] = {at,   nextafter(at, 1), nextafter(at, -1), i / 1024.0, 1e7 * at,
                              -0.0, 7.3e13 * at};
            for (size_t t = 0; t < sizeof tries / sizeof *tries; t++) {
                char text[64];
                snprintf(text, sizeof text, "%.*f", of[k].places, tries[t]);
                double got = nr_readings_as_written(unit, tries[t]);
                ck_assert_msg(got == strtod(text, NULL), "%.17g became %.17g", tries[t], got);
                ck_assert(!(got == 0 && signbit(got)));
            }
        }
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {like_the_file,           it_grows_both_ways,     what_is_refused,
                                  the_digits_a_file_keeps, as_if_printed_and_read, NULL};
    return run_tests("readings_build", tests);
}
