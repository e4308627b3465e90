/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How a table's times are found and read, each limit from both sides: how many cells of a column,
 * how large its numbers, how far apart its days; what is asked back and in which words. Expected
 * seconds are the C library's, or plain arithmetic. */
#include "tests/unit/chance.h"
#include "tests/unit/import/tables.h"

#include <stdlib.h>

static looked l;

static nr_code reads(const char *text, const char *columns, const char *format)
{
    return read_times(&l, text, columns, format, "UTC");
}

/* Rows of a time column and a reading: lines of `good`, with %d the row, and of `bad` at two rows.
 */
static const char *table_of(const char *head, int rows, const char *good, const char *bad,
                            int first, int second)
{
    static char text[8000];
    size_t used = (size_t)snprintf(text, sizeof text, "%s\n", head);
    for (int r = 0; r < rows; r++) {
        char cell[80];
        (void)snprintf(cell, sizeof cell, "%s:%02d:%02d", good, 10 + r / 60, r % 60);
        used += (size_t)snprintf(text + used, sizeof text - used, "%s,%d\n",
                                 r == first || r == second ? bad : cell, 18 + r);
    }
    return text;
}

/* --- how much of a column --------------------------------------------------------------------- */

START_TEST(rows_that_cannot_be_read)
{
    /* One in twenty may be left out, and is said; more are asked about. */
    ck_assert(reads(table_of("date,time,x", 20, "2026-05-16,09", "2026-05-16,", 7, -1), "", "") ==
              NR_OK);
    ck_assert(isnan(l.times.at_s[7]) && l.times.at_s[8] == utc_of(2026, 5, 16, 9, 10, 8));
    ck_assert(
        was_said(&l, "1 row without a readable time left out, the first is line 9 (2026-05-16 )"));
    forget(&l);
    ck_assert(reads(table_of("date,time,x", 40, "2026-05-16,09", "2026-05-16,", 7, 9), "", "") ==
              NR_OK);
    ck_assert(was_said(&l, "2 rows without a readable time left out, the first is line 9"));
    forget(&l);
    ck_assert(reads(table_of("date,time,x", 39, "2026-05-16,09", "2026-05-16,", 7, 9), "", "") ==
              NR_BAD);
    ck_assert(strstr(l.err.text, "\"2026-05-16 \" is no time that can be read") &&
              strstr(l.err.text, "(2 of 39 rows)") && l.err.line == 9);
    ck_assert(strstr(l.err.text, "say how it is written"));
    forget(&l);
    ck_assert(reads(table_of("date,time,x", 19, "2026-05-16,09", "2026-05-16,", 7, -1), "", "") ==
              NR_BAD);
    forget(&l);
    ck_assert(reads(table_of("date,time,x", 20, "2026-05-16,09", "2026-05-16,", 7, -1), "1+2",
                    "%F %T") == NR_OK);
    forget(&l);
    ck_assert(reads(table_of("date,time,x", 20, "2026-05-16,09", "2026-05-16,", 7, 9), "1+2",
                    "%F %T") == NR_BAD);
    ck_assert_ptr_nonnull(strstr(l.err.text, "by this --time-format"));
    forget(&l);
}
END_TEST

START_TEST(the_leftmost_counts)
{
    ck_assert(
        reads("a,b,x\n2026-05-16 10:15,2020-01-01 00:01,1\n2026-05-16 10:16,2020-01-01 00:02,2\n",
              "", "") == NR_OK);
    ck_assert(l.plan.columns == 1 && l.plan.column[0] == 0);
    ck_assert(was_said(&l, "2 columns say the time; the leftmost counts: a"));
    ck_assert(nr_time_has(&l.plan, 0) && !nr_time_has(&l.plan, 1));
    forget(&l);
    ck_assert(reads("x,Time,Date\n1,10:15,2026-05-16\n2,10:16,2026-05-16\n", "", "") == NR_OK);
    ck_assert(l.plan.columns == 2 && nr_time_has(&l.plan, 1) && nr_time_has(&l.plan, 2) &&
              !nr_time_has(&l.plan, 0));
    ck_assert(l.times.at_s[1] == utc_of(2026, 5, 16, 10, 16, 0));
    forget(&l);
}
END_TEST

/* --- how large a number ---------------------------------------------------------------------- */

START_TEST(counts_since_1970)
{
    static const struct {
        const char *first, *second;
        double s;
    } epoch[] = {{"900000000", "900000060", 9e8},
                 {"4199999900", "4199999960", 4199999900.0},
                 {"900000000000", "900000060000", 9e8},
                 {"900000000000000", "900000060000000", 9e8}};
    char text[200];
    for (size_t i = 0; i < sizeof epoch / sizeof *epoch; i++) {
        (void)snprintf(text, sizeof text, "t,x\n%s,1\n%s,2\n", epoch[i].first, epoch[i].second);
        ck_assert_msg(reads(text, "", "") == NR_OK, "%s: %s", text, l.err.text);
        ck_assert_int_eq(l.times.kind, NR_TIME_CALENDAR);
        NEAR_AT(text, l.times.at_s[0], epoch[i].s, 1e-3);
        NEAR_AT(text, l.times.at_s[1], epoch[i].s + 60, 1e-3);
        forget(&l);
    }
    static const char *const none[] = {"899999999,1\n900000060", "4199999990,1\n4200000000",
                                       "899999999999,1\n900000060000"};
    for (size_t i = 0; i < 3; i++) {
        (void)snprintf(text, sizeof text, "t,x\n%s,2\n", none[i]);
        ck_assert_msg(reads(text, "", "") != NR_OK || l.times.kind != NR_TIME_CALENDAR, "%s", text);
        forget(&l);
    }
}
END_TEST

/* Days since 1899-12-30 (ISO/IEC 29500-1, 18.17.4.1); 25569 is 1970-01-01. */
START_TEST(day_numbers)
{
    ck_assert(reads("Date,x\n25569.5,1\n25569.75,2\n", "", "") == NR_OK);
    ck_assert(l.times.at_s[0] == 43200 && l.times.at_s[1] == 64800);
    forget(&l);
    ck_assert(reads("Date,x\n25568.5,1\n25569.75,2\n", "", "") == NR_BAD); /* before 1970 */
    forget(&l);
    ck_assert(reads("Date,x\n79999.5,1\n79999.75,2\n", "", "") == NR_OK);
    NEAR(l.times.at_s[0], (79999.5 - 25569) * 86400, 1e-3);
    forget(&l);
    ck_assert(reads("Date,x\n80000.5,1\n80001.75,2\n", "", "") == NR_BAD);
    forget(&l);
    ck_assert(reads("Date,x\n45292,1\n45293,2\n", "", "") == NR_BAD); /* whole days alone */
    forget(&l);
    ck_assert(reads("Date,Hour,x\n45292,10.5,1\n45292,11,2\n", "", "") == NR_OK);
    ck_assert(l.plan.hours && l.times.at_s[0] == utc_of(2024, 1, 1, 10, 30, 0));
    forget(&l);
    ck_assert(reads("tally,x\n45292.5,1\n45292.25,2\n45293.5,1\n", "", "") == NR_OK ||
              l.plan.from != NR_TIME_DAY_NUMBER); /* falls, and its head says nothing of time */
    ck_assert(l.plan.from != NR_TIME_DAY_NUMBER);
    forget(&l);
}
END_TEST

/* Times of day as one number beside a date: h, hmm, hhmm, hhmmss, a fraction of the day. */
START_TEST(times_as_numbers)
{
    static const struct {
        const char *number;
        double s; /* NAN: none */
    } time[] = {{"0", 0},          {"5", 300},        {"59", 3540},     {"60", NAN},
                {"100", 3600},     {"959", 35940},    {"2359", 86340},  {"2400", 86400},
                {"101559", 36959}, {"101560", 36960}, {"101561", NAN},  {"106000", NAN},
                {"235959", 86399}, {"240000", 86400}, {"0.125", 10800}, {"0.999", 86313.6},
                {"-5", NAN}};
    char text[300];
    for (size_t i = 0; i < sizeof time / sizeof *time; i++) {
        (void)snprintf(text, sizeof text, "Date,Time,x\n45292,%s,1\n45293,%s,2\n45294,%s,3\n",
                       time[i].number, time[i].number, time[i].number);
        nr_code code = reads(text, "", "");
        if (isnan(time[i].s)) {
            ck_assert_msg(code != NR_OK, "%s was read", time[i].number);
        } else {
            ck_assert_msg(code == NR_OK, "%s: %s", time[i].number, l.err.text);
            NEAR_AT(time[i].number, l.times.at_s[1], utc_of(2024, 1, 2, 0, 0, 0) + time[i].s, 2e-3);
        }
        forget(&l);
        (void)snprintf(text, sizeof text,
                       "Date,Time,x\n2024-01-01,%s,1\n2024-01-02,%s,2\n2024-01-03,%s,3\n",
                       time[i].number, time[i].number, time[i].number);
        code = reads(text, "", "");
        if (isnan(time[i].s)) {
            ck_assert_msg(code != NR_OK, "%s was read", time[i].number);
        } else {
            ck_assert_msg(code == NR_OK, "%s: %s", time[i].number, l.err.text);
            NEAR_AT(time[i].number, l.times.at_s[1], utc_of(2024, 1, 2, 0, 0, 0) + time[i].s, 2e-3);
        }
        forget(&l);
    }
}
END_TEST

START_TEST(parts_of_a_date)
{
    static const struct {
        const char *text;
        double s; /* of the second row; NAN: not read so */
    } parts[] = {
        {"year,month,day,hour,min,sec,x\n2026,5,16,10,15,20,1\n2026,5,16,24,0,0,2\n", 1778976000},
        {"year,month,day,hour,min,sec,x\n2026,5,16,10,15,20,1\n2026,5,16,23,59,60,2\n", 1778976000},
        {"year,month,day,hour,min,x\n2026,5,16,10,15,1\n2026,5,16,23,60,2\n", NAN},
        {"year,month,day,hour,min,x\n2026,5,16,10,15,1\n2026,5,16,25,0,2\n", NAN},
        {"year,month,day,hour,min,sec,x\n2026,5,16,10,15,20,1\n2026,5,16,23,59,61,2\n", NAN},
        {"year,month,day,hour,min,x\n2026,5,16,10,15,1\n2026,13,16,10,0,2\n", NAN},
        {"year,month,day,hour,min,x\n2026,5,16,10,15,1\n2026,5,32,10,0,2\n", NAN},
        {"year,month,day,hour,min,x\n1969,5,16,10,15,1\n2026,5,16,10,0,2\n", NAN},
        {"year,month,day,hour,min,x\n2026,5,16,10,15,1\n2200,5,16,10,0,2\n", NAN},
        {"year,day of year,hour,x\n2026,136,10,1\n2026,136,11,2\n", 1778929200},
        {"year,day,hour,x\n2026,136,10,1\n2026,136,11,2\n", 1778929200},
        {"year,doy,hhmm,x\n2024,366,1015,1\n2024,366,2400,2\n", 1735689600},
        {"year,doy,hour minute,x\n2026,136,1015,1\n2026,136,1100,2\n", 1778929200},
        {"year,month,day,hour,min,x\n1970,1,1,10,0,1\n1970,1,2,10,1,2\n", 122460},
        {"year,month,day,hour,min,x\n2199,12,31,10,0,1\n2199,12,31,10,59,2\n", 7258071540},
        {"year,month,day,hour,min,x\n2026,1,1,10,0,1\n2026,0,2,10,1,2\n", NAN},
        {"year,month,day,hour,min,x\n2026,1,1,10,0,1\n2026,1,0,10,1,2\n", NAN},
        {"year,month,day,hour,min,x\n2026,1,1,10,0,1\n2026,1,1,-1,1,2\n", NAN},
        {"year,month,day,hour,min,x\n2026,1,1,10,0,1\n2026,1,1,11,-1,2\n", NAN},
        {"year,doy,hhmm,x\n2026,1,0,1\n2026,1,1,2\n", 1767225660},
        {"year,doy,hhmm,x\n2026,1,0,1\n2026,0,1,2\n", NAN},
        {"year,doy,hhmm,x\n2024,366,0,1\n2024,367,1,2\n", NAN},
        {"year,doy,hhmm,x\n2026,1,2359,1\n2026,1,2401,2\n", NAN},
        {"year,doy,hhmm,x\n2026,1,0,1\n2026,1,-1,2\n", NAN},
        {"year,doy,hhmm,x\n2026,1,0,1\n2026,1,0.5,2\n", NAN}, /* no whole number */
        {"jahr,monat,tag,stunde,min,x\n2026,5,16,10,15,1\n2026,5,16,11,0,2\n", 1778929200},
        {"ano,mes,dia,hora,min,x\n2026,5,16,1015,0,1\n2026,5,16,1100,0,2\n", 1778929200},
    };
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
        const char *text = parts[i].text;
        nr_code code = reads(text, "", "");
        bool so = code == NR_OK && l.plan.from == NR_TIME_PARTS;
        ck_assert_msg(so == isfinite(parts[i].s), "%s%s", text, code == NR_OK ? "" : l.err.text);
        if (so) {
            NEAR_AT(text, l.times.at_s[1], parts[i].s, 1e-6);
            ck_assert(l.times.step_s <= 60 && l.times.kind == NR_TIME_CALENDAR);
        }
        forget(&l);
    }
}
END_TEST

/* --- clocks and durations --------------------------------------------------------------------- */

START_TEST(clock_or_duration)
{
    static const struct {
        const char *text;
        nr_time_kind kind;
        double later_s;
    } of[] = {{"time,x\n0:00:00,1\n0:10:00,2\n", NR_TIME_ELAPSED, 600},
              {"time,x\n0:00:01,1\n0:10:01,2\n", NR_TIME_CLOCK, 600},
              {"time,x\n23:50:00,1\n24:00:00,2\n", NR_TIME_CLOCK, 600},
              {"time,x\n23:50:00,1\n25:00:00,2\n", NR_TIME_ELAPSED, 4200},
              {"time,x\n1 day 0:10:00,1\n1 day 0:20:00,2\n", NR_TIME_ELAPSED, 600},
              {"laufzeit,x\n9:10:00,1\n9:20:00,2\n", NR_TIME_ELAPSED, 600},
              {"time,x\n-0:10:00,1\n0:00:00,2\n", NR_TIME_ELAPSED, 600},
              {"time,x\n12:00:00 AM,1\n12:10:00 AM,2\n", NR_TIME_CLOCK, 600},
              {"time,x\n12:30:00,1\n13:00:00,2\n00:59:00,3\n", NR_TIME_CLOCK, 1800},
              {"elapsed (mm:ss),x\n59:30,1\n61:30,2\n", NR_TIME_ELAPSED, 120}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        ck_assert_msg(reads(of[i].text, "", "") == NR_OK, "%s%s", of[i].text, l.err.text);
        ck_assert_msg(l.times.kind == of[i].kind, "%s: kind %d", of[i].text, l.times.kind);
        NEAR_AT(of[i].text, l.times.at_s[1] - l.times.at_s[0], of[i].later_s, 1e-6);
        forget(&l);
    }
    /* Half a day back is the next day; less is a row out of order, or a clock of twelve hours. */
    ck_assert(reads("time,x\n12:30,1\n13:00,2\n00:59,3\n", "", "") == NR_OK);
    NEAR(l.times.at_s[2] - l.times.at_s[1], 43140, 1e-6);
    forget(&l);
    ck_assert(reads("time,x\n12:30,1\n13:00,2\n01:01,3\n", "", "") == NR_OK);
    NEAR(l.times.at_s[2] - l.times.at_s[1], -43140, 1e-6);
    forget(&l);
    ck_assert(reads("time,x\n12:00,1\n1:20,2\n1:40,3\n", "", "") == NR_BAD); /* 10.67 h back */
    ck_assert(strstr(l.err.text, "12 back to 1") && l.err.line == 3);
    forget(&l);
    ck_assert(reads("time,x\n12:00,1\n1:40,2\n1:50,3\n", "", "") == NR_OK); /* 10.33 h */
    forget(&l);
}
END_TEST

START_TEST(counts_of_a_unit)
{
    static const struct {
        const char *text, *columns, *format;
        double later_s, step_s;
    } of[] = {{"t (s),x\n0,1\n5,2\n", "", "", 5, 1},
              {"t (s),x\n0,1\n0.5,2\n", "", "", 0.5, 0.1},
              {"t (s),x\n0,1\n0.25,2\n", "", "", 0.25, 0.01},
              {"t (ms),x\n0,1\n500,2\n", "", "", 0.5, 0.001},
              {"t (min),x\n0,1\n3,2\n", "", "", 180, 60},
              {"t (min),x\n0,1\n0.5,2\n", "", "", 30, 1},
              {"t (h),x\n0,1\n2,2\n", "", "", 7200, 3600},
              {"t (d),x\n0,1\n2,2\n", "", "", 172800, 3600},
              {"n,x\n0,1\n3,2\n", "1", "s", 3, 1},
              {"n,x\n0,1\n3,2\n", "1", "sec", 3, 1},
              {"n,x\n0,1\n3,2\n", "1", "min", 180, 60},
              {"n,x\n0,1\n3,2\n", "1", "h", 10800, 3600},
              {"n,x\n0,1\n3,2\n", "1", "ms", 0.003, 0.001},
              {"n,x\n0,1\n3,2\n", "1", "d", 259200, 3600},
              {"n,x\n0,1\n3,2\n", "1", "epoch", 3, 1},
              {"n,x\n0,1\n3,2\n", "1", "%s", 3, 1},
              {"n,x\n0,1\n3,2\n", "1", "epoch-ms", 0.003, 0.001},
              {"n,x\n45292,1\n45293,2\n", "1", "days", 86400, 1}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char what[80];
        (void)snprintf(what, sizeof what, "%s (%s)", of[i].text, of[i].format);
        ck_assert_msg(reads(of[i].text, of[i].columns, of[i].format) == NR_OK, "%s%s", what,
                      l.err.text);
        NEAR_AT(what, l.times.at_s[1] - l.times.at_s[0], of[i].later_s, 1e-6);
        NEAR_AT(what, l.times.step_s, of[i].step_s, 1e-9);
        bool calendar = strstr(of[i].format, "epoch") || !strcmp(of[i].format, "%s") ||
                        !strcmp(of[i].format, "days");
        ck_assert(l.times.kind == (calendar ? NR_TIME_CALENDAR : NR_TIME_ELAPSED));
        forget(&l);
    }
    /* Five times as often up as down, or down as up: a count. */
    ck_assert(reads("t (s),x\n1,1\n2,2\n3,3\n4,4\n5,5\n6,6\n5.5,7\n", "", "") == NR_OK);
    forget(&l);
    ck_assert(reads("t (s),x\n1,1\n2,2\n3,3\n4,4\n5,5\n4.5,7\n", "", "") == NR_BAD);
    forget(&l);
}
END_TEST

START_TEST(steps_of_stamps)
{
    static const struct {
        const char *cell;
        double step_s;
    } of[] = {{"2026-05-16 10:15", 60},       {"2026-05-16 10:15:20", 1},
              {"2026-05-16 10:15:20.5", 0.1}, {"2026-05-16 10:15:20.25", 0.01},
              {"2026-05-16 10:15:20.00", 1},  {"2026-05-16T10:15:20.125Z", 0.001}};
    char text[200];
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        (void)snprintf(text, sizeof text, "time,x\n%s,1\n", of[i].cell);
        (void)snprintf(text, sizeof text, "time,x\n%s,1\n%s,2\n", of[i].cell, of[i].cell);
        ck_assert_msg(reads(text, "", "") == NR_OK, "%s%s", text, l.err.text);
        NEAR_AT(of[i].cell, l.times.step_s, of[i].step_s, 1e-12);
        ck_assert(l.times.zone_used == (strchr(of[i].cell, 'Z') == NULL));
        forget(&l);
    }
}
END_TEST

/* --- which is the day ------------------------------------------------------------------------- */

START_TEST(order_of_a_date)
{
    static const struct {
        const char *first, *second, *order;
        int year, month, day; /* of the second */
    } of[] = {{"16/05/69 10:15", "17/05/69 10:15", "day first", 2069, 5, 17},
              {"16/05/70 10:15", "17/05/70 10:15", "day first", 1970, 5, 17},
              {"5/16/2026 10:15", "5/17/2026 10:15", "month first", 2026, 5, 17},
              {"32-05-16 10:15", "32-05-31 10:15", "year first", 2032, 5, 31},
              {"05/05/2026 10:15", "06/06/2026 10:15", "day first", 2026, 6, 6},
              {"05.06.2026 10:15", "05.07.2026 10:15", "day first", 2026, 7, 5},
              {"13/01/2026 10:15", "01/02/2026 10:15", "day first", 2026, 2, 1},
              {"12/06/2026 23:50", "11/06/2026 23:50", "day first", 2026, 6, 11}};
    char text[200];
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        (void)snprintf(text, sizeof text, "time,x\n%s,1\n%s,2\n", of[i].first, of[i].second);
        ck_assert_msg(reads(text, "", "") == NR_OK, "%s%s", text, l.err.text);
        ck_assert_str_eq(l.times.order, of[i].order);
        double s = utc_of(of[i].year, of[i].month, of[i].day, 0, 0, 0);
        ck_assert_msg(l.times.at_s[1] > s && l.times.at_s[1] < s + 86400, "%s", text);
        forget(&l);
    }
    ck_assert(reads("time,x\n16/05/2026 10:15,1\n16/05/2026 10:16,2\n", "", "") == NR_OK);
    ck_assert(was_said(&l, "are day first: by the days above 12"));
    forget(&l);
    ck_assert(reads("time,x\n05/05/2026 10:15,1\n05/05/2026 10:16,2\n", "", "") == NR_OK);
    ck_assert(was_said(&l, "both are the same"));
    forget(&l);
    ck_assert(reads("time,x\n05.06.2026 10:15,1\n05.06.2026 10:16,2\n", "", "") == NR_OK);
    ck_assert(was_said(&l, "dates with points are"));
    forget(&l);
    ck_assert(reads("time,x\n2026-05-16 10:15,1\n2026-05-16 10:16,2\n", "", "") == NR_OK);
    ck_assert_str_eq(l.times.order, "");
    forget(&l);
}
END_TEST

/* The numbers of a date read as day, month and year in this order of theirs; -1: no such day. */
static double day_of(const int part[3], int order, bool long_year)
{
    static const int places[3][3] = {{0, 1, 2}, {1, 0, 2}, {2, 1, 0}};
    int day = part[places[order][0]], month = part[places[order][1]], year = part[places[order][2]];
    if (long_year && order == 2)
        return -1;
    year += long_year ? 0 : year < 70 ? 2000 : 1900;
    struct tm tm = {.tm_year = year - 1900, .tm_mon = month - 1, .tm_mday = day};
    double s = (double)timegm(&tm);
    return tm.tm_mday == day && tm.tm_mon == month - 1 ? s : -1;
}

/* The rule in plain words: which orders make a date of every row; of several, day first where dates
 * have points; any where both are the same; else the one in which the days follow each other. -1:
 * nothing tells, -2: none does it. */
static int order_by_rule(int rows, int part[][3], char sign, bool long_year)
{
    bool can[3], follows[3];
    bool alike = true;
    for (int o = 0; o < 3; o++) {
        int changes = 0;
        can[o] = follows[o] = true;
        for (int r = 0; r < rows; r++) {
            double is = day_of(part[r], o, long_year);
            double before = r > 0 ? day_of(part[r - 1], o, long_year) : is;
            can[o] = can[o] && is >= 0;
            changes += is != before;
            follows[o] = follows[o] && fabs(is - before) <= 86400;
        }
        follows[o] = follows[o] && changes > 0;
    }
    if (sign != '-' && (can[0] || can[1]))
        can[2] = false;
    for (int r = 0; r < rows; r++)
        alike = alike && day_of(part[r], 0, long_year) == day_of(part[r], 1, long_year);
    int count = can[0] + can[1] + can[2], good = 0, last = -1;
    if (count == 0)
        return -2;
    if (count > 1 && can[0] && (sign == '.' || (can[1] && alike)))
        return 0;
    for (int o = 0; o < 3; o++)
        if (can[o] && (count == 1 || follows[o])) {
            good++;
            last = o;
        }
    return good == 1 ? last : -1;
}

/* Days one after another, or weeks apart, written in any order: wherever the row stands that tells
 * which number is the day. */
START_TEST(orders_drawn)
{
    static const char *const words[] = {"day first", "month first", "year first"};
    static const char signs[] = {'/', '-', '.'};
    uint64_t state = 5;
    int seen[5] = {0};
    for (int i = 0; i < 600; i++) {
        unsigned rows = 2 + chance_below(&state, 4), order = chance_below(&state, 3);
        unsigned year = chance_below(&state, 60), apart = chance_below(&state, 3);
        unsigned is_long = order < 2 ? chance_below(&state, 2) : 0, which = chance_below(&state, 3);
        unsigned day =
            chance_below(&state, 3) ? chance_below(&state, 365) : 31 * chance_below(&state, 9);
        char text[400] = "time,x\n";
        int part[5][3];
        for (unsigned r = 0; r < rows; r++) {
            time_t at = (time_t)utc_of(2001 + (int)year, 1, 1 + (int)day, 0, 0, 0);
            struct tm tm;
            ck_assert_ptr_nonnull(gmtime_r(&at, &tm));
            int y = is_long ? tm.tm_year + 1900 : tm.tm_year % 100, m = tm.tm_mon + 1;
            part[r][order == 2 ? 2 : order] = tm.tm_mday;
            part[r][order == 1 ? 0 : 1] = m;
            part[r][order == 2 ? 0 : 2] = y;
            size_t used = strlen(text);
            (void)snprintf(text + used, sizeof text - used, "%02d%c%02d%c%02d 10:%02u,%u\n",
                           part[r][0], signs[which], part[r][1], signs[which], part[r][2], 10 + r,
                           r);
            day += apart < 2 ? apart : chance_below(&state, 60);
        }
        int expected = order_by_rule((int)rows, part, signs[which], is_long);
        nr_code code = reads(text, "", "");
        seen[expected + 2]++;
        ck_assert_msg(code == (expected < 0 ? NR_BAD : NR_OK), "%d for %s%s", expected, text,
                      l.err.text);
        if (expected < 0) {
            ck_assert_msg(strstr(l.err.text, expected == -1 ? "Nothing in the table tells. Say"
                                                            : "are neither all day first"),
                          "%s%s", text, l.err.text);
            forget(&l);
            continue;
        }
        ck_assert_msg(strcmp(l.times.order, words[expected]) == 0, "%s%s", text, l.times.order);
        for (unsigned r = 0; r < rows; r++)
            NEAR_AT(text, l.times.at_s[r], day_of(part[r], expected, is_long) + 36600 + 60.0 * r,
                    1e-6);
        forget(&l);
    }
    for (int k = 1; k < 5; k++)
        ck_assert_int_gt(seen[k], 10);
}
END_TEST

/* The patterns that are proposed read the very cell. */
START_TEST(what_is_proposed)
{
    static const struct {
        const char *cell, *say[3];
    } of[] = {
        {"05/06/2026 10:15", {"%d/%m/%Y %H:%M", "%m/%d/%Y %H:%M"}},
        {"05/06/26 10:15:20", {"%d/%m/%y %H:%M:%S", "%m/%d/%y %H:%M:%S"}},
        {"05/06/2026 10:15 PM", {"%d/%m/%Y %I:%M %p", "%m/%d/%Y %I:%M %p"}},
        {"05-06-07 10:15", {"%d-%m-%y %H:%M", "%m-%d-%y %H:%M", "%y-%m-%d %H:%M"}},
        {"05/06/2026 10h15", {"%d/%m/%Y %Hh%M", "%m/%d/%Y %Hh%M"}},
        {"05/06/2026 10.15.20", {"%d/%m/%Y %H.%M.%S", "%m/%d/%Y %H.%M.%S"}},
    };
    char text[200], said[120];
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        (void)snprintf(text, sizeof text, "time,x\n%s,1\n%s,2\n", of[i].cell, of[i].cell);
        ck_assert_msg(reads(text, "", "") == NR_BAD, "%s was guessed", of[i].cell);
        ck_assert_int_eq(l.err.line, 2);
        for (int k = 0; k < 3 && of[i].say[k]; k++) {
            nr_moment m;
            (void)snprintf(said, sizeof said, "--time-format \"%s\"", of[i].say[k]);
            ck_assert_msg(strstr(l.err.text, said) != NULL, "%s: %s", said, l.err.text);
            ck_assert_msg(nr_moment_by(of[i].cell, of[i].say[k], &m), "%s by %s", of[i].cell,
                          of[i].say[k]);
        }
        ck_assert((strstr(l.err.text, "the year first") || strstr(l.err.text, "the year ")) ==
                  (of[i].say[2] != NULL));
        forget(&l);
    }
}
END_TEST

START_TEST(refusals)
{
    static const struct {
        const char *text, *columns, *format, *words;
        long line;
    } of[] = {
        {"date,x\n160526,1\n170526,2\n", "", "", "\"%d%m%y %H%M%S\"", 2},
        {"date,x\n16052026,1\n17052026,2\n", "", "", "\"%d%m%Y %H%M%S\"", 2},
        {"a,b\n1,2\n2,3\n", "c", "", "there is no column \"c\"", 0},
        {"a,b\n1,2\n2,3\n", "3", "", "1 to 2", 0},
        {"a,a,b\n1,2,3\n2,3,4\n", "a+b", "", "2 columns are called \"a\"", 0},
        {"a,b,c,d,e,f,g\n1,2,3,4,5,6,7\n2,3,4,5,6,7,8\n", "a+b+c+d+e+f+g", "", "at most 6 columns",
         0},
        {"n,x\n0,1\n3,2\n", "", "min", "wants the column's name", 0},
        {"n,x\n0,1\n3,2\n", "1", "hm", "wants a pattern like", 0},
        {"n,x\n0,1\n3,2\n", "", "%d/%m/%Y", "no column is written as --time-format", 2},
        {"n,x\n0,1\n3,2\n", "", "", "has no column that can be read as a time (its columns: n, x)",
         0},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        ck_assert_msg(reads(of[i].text, of[i].columns, of[i].format) == NR_BAD, "%s", of[i].text);
        ck_assert_msg(strstr(l.err.text, of[i].words) != NULL, "%s: %s", of[i].words, l.err.text);
        ck_assert_msg(l.err.line == of[i].line, "%s: line %ld", of[i].words, l.err.line);
        ck_assert_str_eq(l.err.file, "table");
        forget(&l);
    }
    /* Figures that no date has. */
    ck_assert(reads("date,x\n10099,1\n10100,2\n", "", "") == NR_BAD);
    ck_assert_ptr_null(strstr(l.err.text, "%d%m%y"));
    forget(&l);
    ck_assert(reads("date,x\n31129999,1\n31130000,2\n", "", "") == NR_BAD);
    ck_assert_ptr_null(strstr(l.err.text, "%d%m%Y"));
    forget(&l);
}
END_TEST

/* A pattern without a column: the first that it fits, or two or three neighbours; nine of ten rows.
 */
START_TEST(columns_of_a_pattern)
{
    ck_assert(reads("n,a,b,c\n1,2026,136,1015\n2,2026,136,1016\n", "", "%Y %j %H%M") == NR_OK);
    ck_assert(l.plan.columns == 3 && l.plan.column[0] == 1 && l.plan.column[2] == 3);
    ck_assert(l.times.at_s[1] == utc_of(2026, 5, 16, 10, 16, 0));
    forget(&l);
    ck_assert(reads("n,a,b\n1,160526,1015\n2,160526,1016\n", "", "%d%m%y %H%M") == NR_OK);
    ck_assert(l.plan.columns == 2 && l.plan.column[0] == 1);
    forget(&l);
    ck_assert(reads("a,x,y\n10~15,1,5\n10~16,2,5\n", "1", "%H~%M") == NR_OK);
    ck_assert_int_eq(l.times.kind, NR_TIME_CLOCK);
    forget(&l);
    ck_assert(reads("a,x,y\n10~15,1,5\n10~16,2,5\n", "1", "%M~%S") == NR_OK);
    ck_assert_int_eq(l.times.kind, NR_TIME_ELAPSED);
    NEAR(l.times.at_s[1] - l.times.at_s[0], 1, 1e-9);
    forget(&l);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {rows_that_cannot_be_read,
                                  the_leftmost_counts,
                                  counts_since_1970,
                                  day_numbers,
                                  times_as_numbers,
                                  parts_of_a_date,
                                  clock_or_duration,
                                  counts_of_a_unit,
                                  steps_of_stamps,
                                  order_of_a_date,
                                  orders_drawn,
                                  what_is_proposed,
                                  refusals,
                                  columns_of_a_pattern,
                                  NULL};
    return run_tests("times limits", tests);
}
