/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Drawn moments written by the C library's strftime and read back by the same pattern: every letter
 * that both know, dates and times in either order, and hours that lost their zeros. */
#include "logger/import/moment.h"

#include "tests/unit/chance.h"
#include "tests/unit/near.h"

#include <time.h>

static const char *const dates[] = {
    "%Y-%m-%d",    "%F",           "%d.%m.%Y", "%D",         "%m/%d/%y",
    "%e %b %Y",    "%B %d, %Y",    "%Y %j",    "%j/%Y",      "%Y%m%d",
    "%a %d %b %Y", "%A, %d %h %y", "%y%m%d",   "%d%%%m%%%Y", ""};
static const struct {
    const char *pattern;
    int groups;  /* of the time; 0: there is none */
    int exact_s; /* what it tells: to the second, the minute */
    bool glued;
} times[] = {{"%H:%M:%S", 3, 1, false},  {"%T", 3, 1, false},          {"%R", 2, 60, false},
             {"%H.%M", 2, 60, false},    {"%H%M", 2, 60, true},        {"%H%M%S", 3, 1, true},
             {"%I:%M %p", 2, 60, false}, {"%I:%M:%S %P", 3, 1, false}, {"%S %M %H", 3, 1, false},
             {"%H h %M", 2, 60, false},  {"", 0, 86400, false}};
#define COUNT(of) (unsigned)(sizeof(of) / sizeof *(of))

static uint64_t state = 21;

/* The whole moment in seconds since 1970 (a time alone: since midnight). */
static double seconds_of(const nr_moment *m)
{
    return (m->has_date ? nr_days_s(m->year, m->month, m->day) : 0) + nr_moment_time_s(m);
}

/* What there must be of it beside the number. */
static void same_kind(const nr_moment *m, bool date, int groups, const char *what)
{
    ck_assert_msg(m->has_date == date && m->sure == date, "%s: date", what);
    ck_assert_msg(m->has_time == (groups > 0) && m->groups == groups, "%s: %d", what, m->groups);
    ck_assert_msg(m->fraction == 0 && !m->has_offset && !m->negative && !m->has_days, "%s", what);
}

START_TEST(written_and_read)
{
    int read = 0;
    for (int i = 0; i < 3000; i++) {
        /* Within 1970 to 2069, what two figures of a year can mean (moment.h says nothing else;
         * POSIX draws the line at 69, which is not written here). */
        unsigned day = chance_below(&state, 36150), second = chance_below(&state, 86400);
        unsigned d = chance_below(&state, COUNT(dates)), t = chance_below(&state, COUNT(times));
        unsigned first = chance_below(&state, 2), hollow = chance_below(&state, 3);
        if (hollow == 0)
            second %= 4000; /* small hours */
        time_t at = (time_t)day * 86400 + (time_t)second;
        struct tm tm;
        char pattern[60], cell[100], what[200], more[110];
        nr_moment m;
        if (!dates[d][0] && !times[t].groups)
            continue;
        snprintf(pattern, sizeof pattern, "%s%s%s", first ? dates[d] : times[t].pattern,
                 dates[d][0] && times[t].groups ? " " : "", first ? times[t].pattern : dates[d]);
        ck_assert_ptr_nonnull(gmtime_r(&at, &tm));
        ck_assert_uint_gt(strftime(cell, sizeof cell, pattern, &tm), 0);
        const char *text = cell;
        if (times[t].glued && (!first || !dates[d][0])) /* 0905 is 905, 0030 is 30 */
            for (unsigned k = chance_below(&state, 3); k > 0 && *text == '0'; k--)
                text++;
        snprintf(what, sizeof what, "%s by %s", text, pattern);
        ck_assert_msg(nr_moment_by(text, pattern, &m), "%s", what);
        double expected = (double)(at - (dates[d][0] ? 0 : (time_t)day * 86400));
        expected -= (double)(second % (unsigned)times[t].exact_s);
        ck_assert_msg(fabs(seconds_of(&m) - expected) < 1e-6, "%s: %.3f for %.3f", what,
                      seconds_of(&m), expected);
        same_kind(&m, dates[d][0] != '\0', times[t].groups, what);
        snprintf(more, sizeof more, "%sx", text);
        ck_assert_msg(!nr_moment_by(more, pattern, &m), "%s", more);
        snprintf(more, sizeof more, "  %s ", text);
        ck_assert_msg(nr_moment_by(more, pattern, &m), "%s", more);
        read++;
    }
    ck_assert_int_gt(read, 2500);
}
END_TEST

/* Figures behind the second, by %S alone, %f and %L, with a point or a comma. */
START_TEST(fractions)
{
    static const char *const patterns[] = {"%H:%M:%S", "%T", "%H:%M:%S.%f", "%H:%M:%S,%L"};
    for (int i = 0; i < 400; i++) {
        unsigned second = chance_below(&state, 86400), millis = chance_below(&state, 1000);
        unsigned figures = 1 + chance_below(&state, 3), p = chance_below(&state, 4);
        char cell[40], sign = p == 3 || (p < 2 && i % 2) ? ',' : '.';
        nr_moment m;
        snprintf(cell, sizeof cell, "%02u:%02u:%02u%c%03u", second / 3600, second / 60 % 60,
                 second % 60, sign, millis);
        cell[9 + figures] = '\0';
        double told = floor(millis / pow(10, 3 - figures)) / pow(10, figures);
        ck_assert_msg(nr_moment_by(cell, patterns[p], &m), "%s by %s", cell, patterns[p]);
        NEAR_AT(cell, nr_moment_time_s(&m), second + told, 1e-9);
        ck_assert_int_eq(m.fraction, (int)figures);
    }
}
END_TEST

/* Seconds since 1970, whole or not: the day and the time of day, in Greenwich's time. */
START_TEST(counted)
{
    for (int i = 0; i < 300; i++) {
        unsigned day = chance_below(&state, 80001), second = chance_below(&state, 86400);
        double s = 86400.0 * day + second + (i % 2 ? 0.5 : 0);
        char cell[40];
        nr_moment m;
        snprintf(cell, sizeof cell, "%.1f", s);
        ck_assert(nr_moment_by(cell, "%s", &m));
        ck_assert_int_eq(m.days, (long)day);
        NEAR_AT(cell, seconds_of(&m), s, 1e-5);
        ck_assert(m.has_date && m.sure && m.has_time && m.has_offset && m.groups == 3);
        NEAR(m.offset_s, 0, 0);
    }
}
END_TEST

/* Written without anything between them, each letter takes its own figures and no more. */
START_TEST(glued)
{
    static const char *const patterns[] = {"%e%m%Y",   "%d%m%Y",   "%m%d%Y",   "%Y%m%H%d",
                                           "%H%m%d%y", "%M%Y%m%d", "%S%Y%m%d", "%I%Y%m%d",
                                           "%y%d%m",   "%m%e%y"};
    for (int i = 0; i < 200; i++) {
        const char *pattern = patterns[i % 10];
        unsigned day = chance_below(&state, 36150), second = chance_below(&state, 86400);
        time_t at = (time_t)day * 86400 + (time_t)second;
        struct tm tm;
        char cell[40];
        nr_moment m;
        ck_assert_ptr_nonnull(gmtime_r(&at, &tm));
        if (strchr(pattern, 'e') && tm.tm_mday < 10)
            continue; /* has a blank */
        ck_assert_uint_gt(strftime(cell, sizeof cell, pattern, &tm), 0);
        ck_assert_msg(nr_moment_by(cell, pattern, &m), "%s by %s", cell, pattern);
        ck_assert_msg(m.year == tm.tm_year + 1900 && m.month == tm.tm_mon + 1 &&
                          m.day == tm.tm_mday,
                      "%s by %s: %d-%d-%d", cell, pattern, m.year, m.month, m.day);
        int hour = strchr(pattern, 'H')   ? tm.tm_hour
                   : strchr(pattern, 'I') ? (tm.tm_hour + 11) % 12 + 1
                                          : 0;
        ck_assert_int_eq((int)m.hour, hour);
        ck_assert_int_eq(m.minute, strchr(pattern, 'M') ? tm.tm_min : 0);
        NEAR(m.second, strchr(pattern, 'S') ? tm.tm_sec : 0, 0);
    }
}
END_TEST

/* A century by two figures: 70 to 99 are of the last one, as POSIX has it nearly (there from 69).
 */
START_TEST(centuries)
{
    for (int y = 0; y < 100; y++) {
        char cell[20];
        nr_moment m;
        snprintf(cell, sizeof cell, "%02d-03-04", y);
        ck_assert(nr_moment_by(cell, "%y-%m-%d", &m));
        ck_assert_int_eq(m.year, y < 70 ? 2000 + y : 1900 + y);
    }
}
END_TEST

/* Half a date is none; a time alone is one. */
START_TEST(parts_of_a_date)
{
    static const struct {
        const char *cell, *pattern;
        bool is;
    } of[] = {
        {"2026", "%Y", false},       {"05", "%m", false},          {"16", "%d", false},
        {"136", "%j", false},        {"2026 5", "%Y %m", false},   {"2026 16", "%Y %d", false},
        {"5 16", "%m %d", false},    {"2026 136", "%Y %j", true},  {"2026 5 16", "%Y %m %d", true},
        {"2024 366", "%Y %j", true}, {"2025 366", "%Y %j", false}, {"2025 365", "%Y %j", true},
        {"10", "%H", true},          {"pm", "%p", false},          {"30", "%M", true},
        {"nine", "%H", false},       {"2026 10", "%Y %H", false},  {"136 10", "%j %H", false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_moment m;
        ck_assert_msg(nr_moment_by(of[i].cell, of[i].pattern, &m) == of[i].is, "%s by %s",
                      of[i].cell, of[i].pattern);
    }
}
END_TEST

/* As long as a cell or a pattern may be, and no longer. */
START_TEST(longest)
{
    for (int n = 70; n < 90; n++) {
        char cell[100], pattern[100];
        nr_moment m;
        snprintf(cell, sizeof cell, "%*s", n, "10:15");
        ck_assert_int_eq(nr_moment_by(cell, "%H:%M", &m), n < 80);
        snprintf(pattern, sizeof pattern, "%*s", n, "%H:%M");
        ck_assert_int_eq(nr_moment_by("10:15", pattern, &m), n < 80);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {written_and_read, fractions,       counted, glued,
                                  centuries,        parts_of_a_date, longest, NULL};
    return run_tests("moment_written", tests);
}
