/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every way in which a table's rows say when they were. Expected seconds are the C library's
 * (timegm), or plain arithmetic where the table counts from its start. */
#include "tests/unit/import/tables.h"

#include <check.h>
#include <stdlib.h>

/* Calendar stamps. Unless a row says otherwise: two rows, of 2026-05-16 10:15:00 and 10:20:00 UTC.
 */
static const struct {
    const char *what, *text, *columns, *format, *zone;
} calendars[] = {
    {"ISO", "time,store\n2026-05-16 10:15:00,18\n2026-05-16 10:20:00,19\n", "", "", "UTC"},
    {"ISO with offsets", "time,store\n2026-05-16T12:15:00+02:00,18\n2026-05-16T04:20:00-06:00,19\n",
     "", "", "Asia/Tokyo"},
    {"a zone's clocks in summer", "time,store\n2026-05-16 04:15,18\n2026-05-16 04:20,19\n", "", "",
     "America/Denver"},
    {"a fixed zone", "time,store\n2026-05-16 15:45,18\n2026-05-16 15:50,19\n", "", "", "+05:30"},
    {"day first by the day", "time,store\n16/05/2026 10:15,18\n16/05/2026 10:20,19\n", "", "",
     "UTC"},
    {"month first by the day", "time,store\n5/16/2026 10:15,18\n5/16/2026 10:20,19\n", "", "",
     "UTC"},
    {"points are day first", "time;store\n16.05.26 10:15;18\n16.05.26 10:20;19\n", "", "", "UTC"},
    {"AM in two columns", "date,time,store\n5/16/2026,10:15:00 AM,18\n5/16/2026,10:20:00 AM,19\n",
     "", "", "UTC"},
    {"noon and midnight of twelve hours",
     "time,store\n2026-05-16 12:15 AM,18\n2026-05-16 12:20 AM,19\n", "", "", "UTC-10"},
    {"a date with points, a time with points",
     "Datum;Zeit;store\n16.05.2026;10.15;18\n"
     "16.05.2026;10.20;19\n",
     "", "", "UTC"},
    {"YYYYMMDD and HHMM", "YYYYMMDD,HHMM,store\n20260516,1015,18\n20260516,1020,19\n", "", "",
     "UTC"},
    {"epoch seconds", "ts,store\n1778926500,18\n1778926800,19\n", "", "", "Asia/Tokyo"},
    {"epoch milliseconds", "ts,store\n1778926500000,18\n1778926800000,19\n", "", "", "UTC"},
    {"epoch microseconds", "ts,store\n1778926500000000,18\n1778926800000000,19\n", "", "", "UTC"},
    {"a sheet's day numbers", "Date,store\n46158.427083333,18\n46158.430555556,19\n", "", "",
     "UTC"},
    {"day numbers beside a time", "Date,Time,store\n46158,10:15,18\n46158,10:20,19\n", "", "",
     "UTC"},
    {"a sheet's bare times",
     "date,time,store\n2026-05-16,1899-12-30 10:15:00,18\n"
     "2026-05-16,1899-12-30 10:20:00,19\n",
     "", "", "UTC"},
    {"year, day of the year, hhmm", "Year,DOY,HHMM,store\n2026,136,1015,18\n2026,136,1020,19\n", "",
     "", "UTC"},
    {"year, month, day, hour, minute",
     "year,month,day,hour,minute,store\n2026,5,16,10,15,18\n2026,5,16,10,20,19\n", "", "", "UTC"},
    {"without a head, by a pattern", "109,2026,136,1015,18\n109,2026,136,1020,19\n", "2+3+4",
     "%Y %j %H%M", "UTC"},
    {"ambiguous, by a pattern", "time,store\n05/16/26 10:15,18\n05/16/26 10:20,19\n", "",
     "%m/%d/%y %H:%M", "UTC"},
    {"the column named",
     "logged,time,store\n2020-01-01 00:00,2026-05-16 10:15,18\n"
     "2020-01-01 00:00,2026-05-16 10:20,19\n",
     "time", "", "UTC"},
};

START_TEST(calendar_stamps)
{
    static looked l;
    const char *what = calendars[_i].what;
    nr_code code = read_times(&l, calendars[_i].text, calendars[_i].columns, calendars[_i].format,
                              calendars[_i].zone);
    ck_assert_msg(code == NR_OK, "%s: %s", what, l.err.text);
    ck_assert_uint_eq(l.table.rows, 2);
    ck_assert_int_eq(l.times.kind, NR_TIME_CALENDAR);
    NEAR_AT(what, l.times.at_s[0], utc_of(2026, 5, 16, 10, 15, 0), 5e-4);
    NEAR_AT(what, l.times.at_s[1], utc_of(2026, 5, 16, 10, 20, 0), 5e-4);
    forget(&l);
}
END_TEST

/* Fixed points from outside: Unix time 1e9 (POSIX.1, 4.16), a sheet's day 25569 = 1970-01-01 and
 * 45292 = 2024-01-01 (the 1900 date base of ISO/IEC 29500-1, 18.17.4.1), the leap day. */
START_TEST(fixed_points)
{
    static looked l;
    ck_assert(read_times(&l, "ts,x\n1000000000,1\n1000000001,2\n", "", "", "UTC") == NR_OK);
    ck_assert(l.times.at_s[0] == utc_of(2001, 9, 9, 1, 46, 40));
    forget(&l);
    ck_assert(read_times(&l, "Date,x\n45292.25,1\n45350.5,2\n", "", "", "UTC") == NR_OK);
    ck_assert(l.times.at_s[0] == utc_of(2024, 1, 1, 6, 0, 0));
    ck_assert(l.times.at_s[1] == utc_of(2024, 2, 28, 12, 0, 0));
    forget(&l);
    /* The time in a column of its own: a fraction of a day, hours and minutes as one number, a
     * clock. */
    static const char *const quarter_past_ten[] = {"0.427083333333", "1015", "101500", "10:15:00"};
    for (size_t i = 0; i < sizeof quarter_past_ten / sizeof *quarter_past_ten; i++) {
        char text[200];
        (void)snprintf(text, sizeof text, "Date,Time,x\n45292,%s,1\n45293,%s,2\n45294,%s,3\n",
                       quarter_past_ten[i], quarter_past_ten[i], quarter_past_ten[i]);
        ck_assert_msg(read_times(&l, text, "", "", "UTC") == NR_OK, "%s", text);
        NEAR_AT(text, l.times.at_s[0], utc_of(2024, 1, 1, 10, 15, 0), 1e-6);
        NEAR_AT(text, l.times.at_s[2], utc_of(2024, 1, 3, 10, 15, 0), 1e-6);
        forget(&l);
    }
    ck_assert(read_times(&l, "Year,DOY,HHMM,x\n2024,60,2359,1\n2024,61,0,2\n", "", "", "UTC") ==
              NR_OK);
    ck_assert(l.times.at_s[0] == utc_of(2024, 2, 29, 23, 59, 0));
    ck_assert(l.times.at_s[1] == utc_of(2024, 3, 1, 0, 0, 0));
    forget(&l);
    ck_assert(read_times(&l, "date,time,x\n2026-05-16,24:00,1\n2026-05-17,00:30,2\n", "", "",
                         "UTC") == NR_OK);
    ck_assert(l.times.at_s[0] == utc_of(2026, 5, 17, 0, 0, 0));
    forget(&l);
    ck_assert(read_times(&l, "DATE,HOUR,x\n20260516,1,1\n20260516,24,2\n", "", "", "UTC") == NR_OK);
    ck_assert(l.times.at_s[0] == utc_of(2026, 5, 16, 1, 0, 0));
    ck_assert(l.times.at_s[1] == utc_of(2026, 5, 17, 0, 0, 0));
    forget(&l);
}
END_TEST

/* Since the start: three rows, at 0, 90 and 3690 s. */
static const struct {
    const char *text, *columns, *format;
} counts[] = {
    {"Elapsed (s),x\n0,1\n90,2\n3690,3\n", "", ""},
    {"Elapsed (min),x\n0,1\n1.5,2\n61.5,3\n", "", ""},
    {"Elapsed (h);x\n0;1\n0,025;2\n1,025;3\n", "", ""},
    {"t / ms,x\n0,1\n90000,2\n3690000,3\n", "", ""},
    {"Elapsed,x\n0:00:00,1\n0:01:30,2\n1:01:30,3\n", "", ""},
    {"Elapsed (mm:ss),x\n0:00,1\n1:30,2\n61:30,3\n", "", ""},
    {"Elapsed,x\n0 days 00:00:00,1\n0 days 00:01:30,2\n0 days 01:01:30,3\n", "", ""},
    {"n,x\n0,1\n1.5,2\n61.5,3\n", "1", "min"},
    {"Elapsed,x\n00:00,1\n01:30,2\n61:30,3\n", "", "%M:%S"},
    {"Elapsed,x\n0:00,1\n1:30,2\n61:30,3\n", "1", "%M:%S"},
};

START_TEST(since_the_start)
{
    static looked l;
    const char *text = counts[_i].text;
    ck_assert_msg(read_times(&l, text, counts[_i].columns, counts[_i].format, "UTC") == NR_OK,
                  "%s: %s", text, l.err.text);
    ck_assert_msg(l.times.kind == NR_TIME_ELAPSED, "%s: kind %d", text, l.times.kind);
    NEAR_AT(text, l.times.at_s[0], 0, 1e-6);
    NEAR_AT(text, l.times.at_s[1], 90, 1e-6);
    NEAR_AT(text, l.times.at_s[2], 3690, 1e-6);
    forget(&l);
}
END_TEST

START_TEST(hours_of_a_long_count)
{
    static looked l;
    ck_assert(read_times(&l, "Elapsed,x\n0:00,1\n1:30,2\n30:15,3\n", "", "%H:%M", "UTC") == NR_OK);
    NEAR(l.times.at_s[2], 30 * 3600 + 15 * 60, 1e-9);
    forget(&l);
}
END_TEST

START_TEST(times_of_day_pass_midnight)
{
    static looked l;
    ck_assert(read_times(&l, "time,x\n23:50,1\n23:55,2\n00:00,3\n00:05,4\n", "", "", "UTC") ==
              NR_OK);
    ck_assert_int_eq(l.times.kind, NR_TIME_CLOCK);
    NEAR(l.times.at_s[3] - l.times.at_s[0], 900, 1e-9);
    ck_assert(l.times.step_s == 60);
    forget(&l);
}
END_TEST

/* The first Sunday of November, 2:00 daylight time becomes 1:00 standard time (15 U.S.C. 260a):
 * in Denver at 08:00 UTC of 2026-11-01. In Europe the last Sunday of October, 01:00 UTC (Directive
 * 2000/84/EC). */
START_TEST(the_double_hour)
{
    static looked l;
    ck_assert(read_times(&l,
                         "time,x\n2026-11-01 01:20,1\n2026-11-01 01:40,2\n2026-11-01 01:00,3\n"
                         "2026-11-01 01:20,4\n2026-11-01 02:00,5\n",
                         "", "", "America/Denver") == NR_OK);
    ck_assert(l.times.at_s[0] == utc_of(2026, 11, 1, 7, 20, 0));
    ck_assert(l.times.at_s[1] == utc_of(2026, 11, 1, 7, 40, 0));
    ck_assert(l.times.at_s[2] == utc_of(2026, 11, 1, 8, 0, 0));
    ck_assert(l.times.at_s[3] == utc_of(2026, 11, 1, 8, 20, 0));
    ck_assert(l.times.at_s[4] == utc_of(2026, 11, 1, 9, 0, 0));
    ck_assert(was_said(&l, "double hour"));
    forget(&l);
    /* Rows before go on into it: the first time round. */
    ck_assert(read_times(&l, "time,x\n2026-10-25 01:50,1\n2026-10-25 02:10,2\n", "", "",
                         "Europe/Berlin") == NR_OK);
    ck_assert(l.times.at_s[1] == utc_of(2026, 10, 25, 0, 10, 0));
    forget(&l);
    /* Rows behind follow at once: the second. */
    ck_assert(read_times(&l, "time,x\n2026-10-25 02:50,1\n2026-10-25 02:55,2\n2026-10-25 03:00,3\n",
                         "", "", "Europe/Berlin") == NR_OK);
    ck_assert(l.times.at_s[0] == utc_of(2026, 10, 25, 1, 50, 0));
    forget(&l);
    /* A row that is ten minutes late is no change of the clock. */
    ck_assert(read_times(&l,
                         "time,x\n2026-11-01 00:50,1\n2026-11-01 01:00,2\n2026-11-01 01:20,3\n"
                         "2026-11-01 01:10,4\n2026-11-01 01:30,5\n",
                         "", "", "America/Denver") == NR_OK);
    ck_assert(l.times.at_s[3] == utc_of(2026, 11, 1, 7, 10, 0));
    ck_assert(l.times.at_s[4] == utc_of(2026, 11, 1, 7, 30, 0));
    forget(&l);
    /* Alone in it: asked. */
    ck_assert(read_times(&l, "time,x\n2026-11-01 01:20,1\n2026-11-01 01:25,2\n", "", "",
                         "America/Denver") == NR_BAD);
    ck_assert(strstr(l.err.text, "was twice") && strstr(l.err.text, "--zone -06:00"));
    forget(&l);
    /* The hour that spring leaves out: second Sunday of March. */
    ck_assert(read_times(&l, "time,x\n2026-03-08 02:20,1\n2026-03-08 02:25,2\n", "", "",
                         "America/Denver") == NR_BAD);
    ck_assert(strstr(l.err.text, "never was"));
    forget(&l);
}
END_TEST

/* Never guessed. */
static const struct {
    const char *text, *words;
} asked[] = {
    {"time,x\n05/06/2026 10:15,1\n05/06/2026 10:20,2\n",
     "--time-format \"%d/%m/%Y %H:%M\" or --time-format \"%m/%d/%Y %H:%M\""},
    {"time,x\n12-11-10 10:15,1\n12-11-10 10:20,2\n", "the day or the month or the year first"},
    {"time,x\n05/13/2026 10:15,1\n13/05/2026 10:20,2\n", "neither all day first nor all month"},
    {"Elapsed,x\n0:00,1\n1:30,2\n", "--time-format %H:%M or --time-format %M:%S"},
    {"time,x\n0,1\n5,2\n", "--time-format s, min, h or ms"},
    {"time,x\n0,2\n5,1\n7,0\n", "\"time\" counts from 0, but not what"},
    {"time,x\n0,1\n9,2\n7,3\n8,4\n", "no column that can be read as a time"},
    {"date,x\n2026-05-16,1\n2026-05-17,2\n", "no column has the time of day"},
    {"time,x\n11:50,1\n12:20,2\n12:50,3\n1:20,4\n", "without AM and PM"},
    {"time,x\n2026-05-16 11:50,1\n2026-05-16 12:50,2\n2026-05-16 1:20,3\n", "without AM and PM"},
};

START_TEST(what_is_asked)
{
    static looked l;
    ck_assert_msg(read_times(&l, asked[_i].text, "", "", "UTC") == NR_BAD, "guessed:\n%s",
                  asked[_i].text);
    ck_assert_msg(strstr(l.err.text, asked[_i].words) != NULL, "%s\n%s", asked[_i].text,
                  l.err.text);
    forget(&l);
}
END_TEST

/* Days that follow each other decide: 12/06, 13/06 would be no month, 05/06 to 06/06 is one day. */
START_TEST(the_days_decide)
{
    static looked l;
    ck_assert(read_times(&l, "time,x\n05/06/2026 23:55,1\n06/06/2026 00:05,2\n", "", "", "UTC") ==
              NR_OK);
    ck_assert_str_eq(l.times.order, "day first");
    ck_assert(l.times.at_s[1] == utc_of(2026, 6, 6, 0, 5, 0));
    forget(&l);
    ck_assert(read_times(&l, "time,x\n05/06/2026 23:55,1\n05/07/2026 00:05,2\n", "", "", "UTC") ==
              NR_OK);
    ck_assert_str_eq(l.times.order, "month first");
    ck_assert(l.times.at_s[1] == utc_of(2026, 5, 7, 0, 5, 0));
    forget(&l);
}
END_TEST

/* A clock alone, in the morning, over noon and over midnight: each goes on. */
START_TEST(clocks_without_a_date)
{
    static const struct {
        const char *text;
        double later_s;
    } rows[] = {{"time,x\n10:15,1\n10:20,2\n10:25,3\n", 600},
                {"time,x\n11:50,1\n13:05,2\n13:10,3\n", 4800},
                {"time,x\n23:45,1\n23:55,2\n00:05,3\n", 1200}};
    static looked l;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        ck_assert_msg(read_times(&l, rows[i].text, "", "", "UTC") == NR_OK, "%s%s", rows[i].text,
                      l.err.text);
        ck_assert_double_eq_tol(l.times.at_s[2] - l.times.at_s[0], rows[i].later_s, 1e-6);
        forget(&l);
    }
}
END_TEST

/* A time of day as a number stands beside its date, whatever unit the column behind has. */
START_TEST(figures_beside_a_date)
{
    static looked l;
    ck_assert_msg(read_times(&l,
                             "Date,Time,Tank (degC)\n2026-05-16,101500,18\n"
                             "2026-05-16,102000,19\n2026-05-16,102500,20\n",
                             "", "", "UTC") == NR_OK,
                  "%s", l.err.text);
    ck_assert(l.times.at_s[0] == utc_of(2026, 5, 16, 10, 15, 0));
    ck_assert(l.times.at_s[2] == utc_of(2026, 5, 16, 10, 25, 0));
    forget(&l);
}
END_TEST

/* A zone of one letter is a zone, not none. */
START_TEST(a_zone_of_one_letter)
{
    static looked l;
    ck_assert_int_eq(setenv("TZ", "America/Denver", 1), 0);
    ck_assert(read_times(&l, "time,x\n2026-05-16 10:15,1\n2026-05-16 10:20,2\n", "", "", "Z") ==
              NR_OK);
    ck_assert(l.times.at_s[0] == utc_of(2026, 5, 16, 10, 15, 0));
    forget(&l);
    unsetenv("TZ");
}
END_TEST

/* 12:59 and then 1:05 PM is no clock without its halves. */
START_TEST(halves_that_are_there)
{
    static looked l;
    ck_assert(read_times(&l,
                         "time,x\n2026-05-16 12:50 PM,1\n2026-05-16 1:20 PM,2\n"
                         "2026-05-16 1:30 PM,3\n",
                         "", "", "UTC") == NR_OK);
    ck_assert(l.times.at_s[1] == utc_of(2026, 5, 16, 13, 20, 0));
    forget(&l);
    ck_assert(read_times(
                  &l, "time,x\n2026-05-16 12:50 PM,1\n2026-05-16 1:20 AM,2\n2026-05-16 1:00 PM,3\n",
                  "", "", "UTC") == NR_OK);
    ck_assert(l.times.at_s[1] == utc_of(2026, 5, 16, 1, 20, 0));
    forget(&l);
    /* A late row among hours up to 24 is a late row. */
    ck_assert(read_times(&l, "time,x\n2026-05-16 12:50,1\n2026-05-16 01:20,2\n2026-05-16 13:30,3\n",
                         "", "", "UTC") == NR_OK);
    forget(&l);
}
END_TEST

START_TEST(steps_and_directions)
{
    static looked l;
    /* Under "Ora" a point stands between hours and minutes. */
    ck_assert(read_times(&l, "Data;Ora;x\n2026-05-16;10.15;1,5\n2026-05-16;10.30;2,5\n", "", "",
                         "UTC") == NR_OK);
    ck_assert(l.times.at_s[0] == utc_of(2026, 5, 16, 10, 15, 0));
    ck_assert(l.times.at_s[1] == utc_of(2026, 5, 16, 10, 30, 0));
    forget(&l);
    ck_assert(read_times(&l, "time,x\n2026-05-16 10:20,1\n2026-05-16 10:15,2\n", "", "", "UTC") ==
              NR_OK);
    ck_assert(l.times.backwards && l.times.step_s == 60 && l.times.zone_used);
    forget(&l);
    ck_assert(read_times(&l, "time,x\n2026-05-16T10:15:00.25Z,1\n2026-05-16T10:15:00.50Z,2\n", "",
                         "", "UTC") == NR_OK);
    ck_assert(!l.times.backwards && !l.times.zone_used);
    NEAR(l.times.step_s, 0.01, 1e-12);
    NEAR(l.times.at_s[1] - l.times.at_s[0], 0.25, 1e-6);
    forget(&l);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("times");
    TCase *all = tcase_create("all");
    tcase_add_loop_test(all, calendar_stamps, 0, (int)(sizeof calendars / sizeof *calendars));
    tcase_add_test(all, fixed_points);
    tcase_add_loop_test(all, since_the_start, 0, (int)(sizeof counts / sizeof *counts));
    tcase_add_test(all, hours_of_a_long_count);
    tcase_add_test(all, times_of_day_pass_midnight);
    tcase_add_test(all, the_double_hour);
    tcase_add_loop_test(all, what_is_asked, 0, (int)(sizeof asked / sizeof *asked));
    tcase_add_test(all, the_days_decide);
    tcase_add_test(all, halves_that_are_there);
    tcase_add_test(all, clocks_without_a_date);
    tcase_add_test(all, figures_beside_a_date);
    tcase_add_test(all, a_zone_of_one_letter);
    tcase_add_test(all, steps_and_directions);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
