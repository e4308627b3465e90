/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Dates and times as they are written; checked against the C library's timegm. */
#include "logger/import/moment.h"
#include "tests/unit/near.h"

#include <check.h>
#include <stdlib.h>
#include <time.h>

static double seconds_of(const nr_moment *m)
{
    double days = m->has_date && m->sure ? nr_days_s(m->year, m->month, m->day) : 0;
    return days + nr_moment_time_s(m) - (m->has_offset ? m->offset_s : 0);
}

static double by_library(int year, int month, int day, int hour, int minute, int second)
{
    struct tm tm = {.tm_year = year - 1900,
                    .tm_mon = month - 1,
                    .tm_mday = day,
                    .tm_hour = hour,
                    .tm_min = minute,
                    .tm_sec = second};
    return (double)timegm(&tm);
}

START_TEST(days_as_timegm)
{
    for (int year = 1970; year < 2200; year++)
        for (int month = 1; month <= 12; month++)
            ck_assert(nr_days_s(year, month, 1) == by_library(year, month, 1, 0, 0, 0));
    ck_assert(nr_date_exists(2024, 2, 29) && !nr_date_exists(2026, 2, 29));
    ck_assert(!nr_date_exists(2100, 2, 29) && nr_date_exists(2000, 2, 29));
    ck_assert(!nr_date_exists(2026, 4, 31) && !nr_date_exists(2026, 13, 1));
}
END_TEST

static const struct {
    const char *cell;
    int year, month, day, hour, minute, second;
} sure[] = {
    {"2026-05-16 10:15:01", 2026, 5, 16, 10, 15, 1},
    {"2026-05-16T10:15:01Z", 2026, 5, 16, 10, 15, 1},
    {"2026-05-16T12:15:01+02:00", 2026, 5, 16, 10, 15, 1},
    {"2026-05-16 03:15:01 -0700", 2026, 5, 16, 10, 15, 1},
    {"2026/5/16 10:15", 2026, 5, 16, 10, 15, 0},
    {"2026.05.16 10.15", 2026, 5, 16, 10, 15, 0},
    {"20260516T101501", 2026, 5, 16, 10, 15, 1},
    {"20260516101501", 2026, 5, 16, 10, 15, 1},
    {"202605161015", 2026, 5, 16, 10, 15, 0},
    {"16 May 2026 10:15 PM", 2026, 5, 16, 22, 15, 0},
    {"16-mai-26 00:05", 2026, 5, 16, 0, 5, 0},
    {"16. Mai 2026, 10:15 Uhr", 2026, 5, 16, 10, 15, 0},
    {"16 de mayo de 2026 10:15", 2026, 5, 16, 10, 15, 0},
    {"16 ao\xc3\xbbt 2026 10h15", 2026, 8, 16, 10, 15, 0},
    {"Sat, May 16, 2026 12:05 a.m.", 2026, 5, 16, 0, 5, 0},
    {"juillet 3, 2026 9:00", 2026, 7, 3, 9, 0, 0},
    {"2026-05-16 24:00", 2026, 5, 17, 0, 0, 0},
    {"2026-05-16 10:15\xe2\x80\xafPM", 2026, 5, 16, 22, 15, 0},
    {"2026-05-16 12:15 CEST", 2026, 5, 16, 10, 15, 0},
    {"2026-05-16T12:15:01+02:00[Europe/Berlin]", 2026, 5, 16, 10, 15, 1},
};

START_TEST(sure_dates)
{
    nr_moment m;
    ck_assert_msg(nr_moment_read(sure[_i].cell, &m), "%s", sure[_i].cell);
    ck_assert(m.has_date && m.sure && m.has_time);
    double wanted = by_library(sure[_i].year, sure[_i].month, sure[_i].day, sure[_i].hour,
                               sure[_i].minute, sure[_i].second);
    ck_assert_msg(seconds_of(&m) == wanted, "%s: %.0f s off", sure[_i].cell,
                  seconds_of(&m) - wanted);
}
END_TEST

START_TEST(open_dates_keep_their_numbers)
{
    nr_moment m;
    ck_assert(nr_moment_read("5/16/2026 10:15:01 AM", &m));
    ck_assert(m.has_date && !m.sure && m.four_last && m.between == '/');
    ck_assert(m.part[0] == 5 && m.part[1] == 16 && m.part[2] == 2026);
    ck_assert(m.half == NR_HALF_AM && m.groups == 3);
    ck_assert(nr_moment_read("16.05.2026 klo 10.15", &m) && m.hour == 10 && m.minute == 15);
    ck_assert(m.part[0] == 16 && m.part[2] == 2026);
    ck_assert(!nr_moment_read("10:15:01:25", &m));
    /* as fine as it is written */
    ck_assert(nr_moment_read("20260516101501", &m) && m.groups == 3);
    ck_assert(nr_moment_read("202605161015", &m) && m.groups == 2);
    ck_assert(nr_moment_read("16.05.2026 10:15", &m) && m.groups == 2);
    ck_assert(nr_moment_read("16.05.26", &m) && !m.four_last && !m.has_time);
}
END_TEST

START_TEST(times_and_durations)
{
    static const struct {
        const char *cell;
        double s;
    } good[] = {{"10:15", 36900},
                {"10:15:01.250", 36901.25},
                {"12:00 AM", 0},
                {"12:30 pm", 45000},
                {"0:00:30", 30},
                {"25:10:00", 90600},
                {"1 day 02:00:00", 93600},
                {"1d 2:00", 93600},
                {"1.02:00:00", 93600},
                {"10h15", 36900},
                {"-0:00:10", -10},
                {"10:15:01,5", 36901.5},
                {"10:15:01:250", 36901.25},
                {"99999:00", 99999 * 3600.0}};
    static const char *const bad[] = {
        "10:60", "25",        "13:00 PM", "0:05 PM",   "2026-02-30",       "abc", "10:15 x",
        "12.5",  "100000:00", "1:2",      "99/99/99:", "2026-05-16 25:00", ""};
    nr_moment m;
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        ck_assert_msg(nr_moment_read(good[i].cell, &m) && !m.has_date, "%s", good[i].cell);
        ck_assert_msg(fabs(nr_moment_time_s(&m) - good[i].s) < 1e-6, "%s", good[i].cell);
    }
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        ck_assert_msg(!nr_moment_read(bad[i], &m), "%s", bad[i]);
}
END_TEST

START_TEST(patterns)
{
    static const struct {
        const char *cell, *pattern;
        int year, month, day, hour, minute, second;
    } good[] = {
        {"2026 136 1015", "%Y %j %H%M", 2026, 5, 16, 10, 15, 0},
        {"2026 136 905", "%Y %j %H%M", 2026, 5, 16, 9, 5, 0},
        {"2026 136 5", "%Y %j %H%M", 2026, 5, 16, 0, 5, 0},
        {"2026 136 0", "%Y %j %H%M", 2026, 5, 16, 0, 0, 0},
        {"2026 136 2400", "%Y %j %H%M", 2026, 5, 17, 0, 0, 0},
        {"05/06/2026 1:15 PM", "%d/%m/%Y %I:%M %p", 2026, 6, 5, 13, 15, 0},
        {"05/06/26 13:15", "%m/%d/%y %H:%M", 2026, 5, 6, 13, 15, 0},
        {"1778926501", "%s", 2026, 5, 16, 10, 15, 1},
        {"16May2026 10-15-01", "%d%b%Y %H-%M-%S", 2026, 5, 16, 10, 15, 1},
        {"2026-05-16 10:15:01", "%F %T", 2026, 5, 16, 10, 15, 1},
    };
    nr_moment m;
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        ck_assert_msg(nr_moment_by(good[i].cell, good[i].pattern, &m), "%s", good[i].cell);
        double wanted = by_library(good[i].year, good[i].month, good[i].day, good[i].hour,
                                   good[i].minute, good[i].second);
        ck_assert_msg(seconds_of(&m) == wanted, "%s", good[i].cell);
    }
    ck_assert(!nr_moment_by("31/02/2026 10:00", "%d/%m/%Y %H:%M", &m));
    ck_assert(!nr_moment_by("2026 366 1015", "%Y %j %H%M", &m));
    ck_assert(!nr_moment_by("5/6/2026 10:00 more", "%d/%m/%Y %H:%M", &m));
    ck_assert(nr_moment_by("10:15:01.250", "%H:%M:%S", &m) && m.fraction == 3);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("moment");
    TCase *all = tcase_create("all");
    tcase_add_test(all, days_as_timegm);
    tcase_add_loop_test(all, sure_dates, 0, (int)(sizeof sure / sizeof *sure));
    tcase_add_test(all, open_dates_keep_their_numbers);
    tcase_add_test(all, times_and_durations);
    tcase_add_test(all, patterns);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
