/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Clocks that are put back and forward: rows are made from UTC by the zone's rule, written as the
 * clock showed them, and have to come back. America/Denver, 2026: MST (-7 h) from 1 November
 * 08:00 UTC, MDT (-6 h) before; MDT from 8 March 09:00 UTC (15 U.S.C. 260a: second Sunday of March,
 * first of November, at 2:00). */
#include "tests/unit/import/tables.h"

static looked l;

#define HOUR 3600.0

static double autumn(void)
{
    return utc_of(2026, 11, 1, 8, 0, 0);
}

/* Local time of these UTC seconds as text. */
static void stamp(double utc_s, char out[40])
{
    double spring = utc_of(2026, 3, 8, 9, 0, 0);
    bool summer = utc_s >= spring && utc_s < autumn();
    time_t t = (time_t)(utc_s - (summer ? 6 : 7) * HOUR);
    struct tm tm;
    gmtime_r(&t, &tm);
    strftime(out, 40, "%Y-%m-%d %H:%M:%S", &tm);
}

/* Rows at these seconds from the change on, forwards or backwards. */
static nr_code reads(double change_s, const double *from_s, size_t rows, bool backwards)
{
    char text[8000] = "Time,x\n", cell[40];
    for (size_t r = 0; r < rows; r++) {
        size_t used = strlen(text);
        stamp(change_s + from_s[backwards ? rows - 1 - r : r], cell);
        snprintf(text + used, sizeof text - used, "%s,%zu.5\n", cell, r);
    }
    return read_times(&l, text, "", "", "America/Denver");
}

static void come_back(double change_s, const double *from_s, size_t rows, bool backwards)
{
    for (size_t r = 0; r < rows; r++)
        NEAR(l.times.at_s[r], change_s + from_s[backwards ? rows - 1 - r : r], 1e-6);
}

/* From before the change to behind it, beginning and ending anywhere but both within the double
 * hour. */
START_TEST(all_through)
{
    static const double steps[] = {60, 300, 600, 1200};
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++)
        for (double first = -90 * 60; first <= 30 * 60; first += 600)
            for (int backwards = 0; backwards < 2; backwards++) {
                double from_s[130];
                size_t rows = 0;
                for (double s = first; s < 5400 && rows < 130; s += steps[i])
                    from_s[rows++] = s;
                if (rows < 3 || from_s[rows - 1] < HOUR)
                    continue;
                ck_assert_msg(reads(autumn(), from_s, rows, backwards) == NR_OK, "%s", l.err.text);
                come_back(autumn(), from_s, rows, backwards);
                ck_assert(was_said(&l, "first and second time round told apart") == (first < 0));
                ck_assert(was_said(&l, "taken for its second time round") == (first >= 0));
                char cell[40], said[120];
                size_t in = 0;
                while (from_s[in] < -HOUR)
                    in++;
                stamp(autumn() + from_s[in], cell);
                snprintf(said, sizeof said,
                         "the double hour of autumn (%s, America/Denver): ", cell);
                ck_assert_msg(was_said(&l, said), "%s", said);
                forget(&l);
            }
}
END_TEST

/* Rows that come from before and end in it: the first time round. */
START_TEST(into_it)
{
    static const double from_s[] = {-4000, -3940, -3880, -3500, -3400, -3000, -60};
    for (int backwards = 0; backwards < 2; backwards++) {
        ck_assert_msg(reads(autumn(), from_s, 7, backwards) == NR_OK, "%s", l.err.text);
        come_back(autumn(), from_s, 7, backwards);
        ck_assert(was_said(&l, "first time round, as the rows before go on into it"));
        forget(&l);
    }
}
END_TEST

/* Rows that begin in it are of the second time round if those behind follow at once: within three
 * usual steps, at least ten minutes. */
START_TEST(out_of_it)
{
    static const struct {
        double step_s, gap_s;
        bool told;
    } of[] = {{60, 60, true},   {60, 599, true},   {60, 600, false},  {60, 601, false},
              {300, 899, true}, {300, 900, false}, {200, 600, false}, {200, 599, true}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++)
        for (int backwards = 0; backwards < 2; backwards++) {
            double from_s[12];
            for (int r = 0; r < 12; r++) /* the sixth is the last of the hour */
                from_s[r] = HOUR - 20 +
                            (r < 6 ? (r - 5) * of[i].step_s : of[i].gap_s + (r - 6) * of[i].step_s);
            nr_code code = reads(autumn(), from_s, 12, backwards);
            ck_assert_msg((code == NR_OK) == of[i].told, "row %zu: %s", i, l.err.text);
            if (of[i].told) {
                come_back(autumn(), from_s, 12, backwards);
            } else {
                char cell[40], said[300];
                stamp(autumn() + from_s[0], cell);
                snprintf(said, sizeof said,
                         "%s was twice in America/Denver, and no row beside it tells which: give "
                         "the clock's offset from UTC, such as --zone -06:00 before or --zone "
                         "-07:00 after the change",
                         cell);
                ck_assert_str_eq(l.err.text, said);
                ck_assert_int_eq(l.err.line, backwards ? 13 : 2);
            }
            forget(&l);
        }
    /* Nothing behind at all. */
    static const double alone[] = {100, 160, 220};
    ck_assert(reads(autumn(), alone, 3, false) == NR_BAD);
    ck_assert_ptr_nonnull(strstr(l.err.text, "2026-11-01 01:01:40 was twice"));
    forget(&l);
}
END_TEST

/* A late row is no clock put back: it has to be 45 minutes beyond the usual step. */
START_TEST(late_rows)
{
    static const struct {
        int back_s;
        bool turned;
    } of[] = {{2639, false}, {2640, true}, {2641, true}, {600, false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        /* 01:50:00, a row back from there, and every minute again. */
        char text[2000] = "Time,x\n";
        int at = 110 * 60 - of[i].back_s, row = 0;
        for (int m = 55; m <= 110; m++, row++) {
            size_t used = strlen(text);
            snprintf(text + used, sizeof text - used, "2026-11-01 %02d:%02d:00,%d\n", m / 60,
                     m % 60, row);
        }
        size_t used = strlen(text);
        snprintf(text + used, sizeof text - used, "2026-11-01 %02d:%02d:%02d,%d\n", at / 3600,
                 at / 60 % 60, at % 60, row);
        ck_assert_msg(read_times(&l, text, "", "", "America/Denver") == NR_OK, "%s", l.err.text);
        NEAR(l.times.at_s[row] - utc_of(2026, 11, 1, 0, 0, 0), at + (of[i].turned ? 7 : 6) * HOUR,
             1e-6);
        forget(&l);
    }
}
END_TEST

/* The hour that spring leaves out: 02:00 to 03:00 never was. */
START_TEST(spring)
{
    double change = utc_of(2026, 3, 8, 9, 0, 0);
    static const double from_s[] = {-7200, -1200, -600, -1, 0, 600, 7200};
    ck_assert_msg(reads(change, from_s, 7, false) == NR_OK, "%s", l.err.text);
    come_back(change, from_s, 7, false);
    forget(&l);
    static const struct {
        const char *time;
        bool was;
    } of[] = {{"01:59:59", true}, {"02:00:00", false}, {"02:59:59", false}, {"03:00:00", true}};
    for (size_t i = 0; i < 4; i++) {
        char text[200], said[200];
        snprintf(text, sizeof text, "Time,x\n2026-03-08 01:30:00,1\n2026-03-08 %s,2\n", of[i].time);
        ck_assert_int_eq(read_times(&l, text, "", "", "America/Denver") == NR_OK, of[i].was);
        snprintf(said, sizeof said,
                 "2026-03-08 %s never was in America/Denver: its clocks leave that hour out in "
                 "spring. This clock did not: give its offset from UTC, such as --zone -07:00",
                 of[i].time);
        if (!of[i].was) {
            ck_assert_str_eq(l.err.text, said);
            ck_assert_int_eq(l.err.line, 3);
        }
        forget(&l);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {all_through, into_it, out_of_it, late_rows, spring, NULL};
    return run_tests("double_hour", tests);
}
