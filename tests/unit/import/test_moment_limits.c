/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every limit of a written date or time from both sides, every word for a month, a weekday and a
 * zone. Calendar: the C library's timegm. Months' names: as a calendar of the country has them
 * (from memory). Zones of North America: RFC 2822, 4.3; of Europe: Directive 2000/84/EC and the tz
 * data base. */
#include "logger/import/moment.h"
#include "tests/unit/near.h"

#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* The library makes another date of one that is none. */
static bool library_has(int year, int month, int day)
{
    struct tm tm = {.tm_year = year - 1900, .tm_mon = month - 1, .tm_mday = day};
    (void)timegm(&tm);
    return tm.tm_year == year - 1900 && tm.tm_mon == month - 1 && tm.tm_mday == day;
}

START_TEST(calendar)
{
    static const int years[] = {1970, 1971, 1972, 2000, 2025, 2026, 2028, 2100, 2199};
    for (size_t i = 0; i < sizeof years / sizeof *years; i++)
        for (int month = 0; month <= 13; month++)
            for (int day = 0; day <= 32; day++) {
                struct tm tm = {
                    .tm_year = years[i] - 1900, .tm_mon = month - 1, .tm_mday = day, .tm_hour = 0};
                ck_assert_msg(nr_date_exists(years[i], month, day) ==
                                  library_has(years[i], month, day),
                              "%d-%d-%d", years[i], month, day);
                if (nr_date_exists(years[i], month, day))
                    ck_assert(nr_days_s(years[i], month, day) == (double)timegm(&tm));
            }
    ck_assert(!nr_date_exists(1969, 12, 31) && !nr_date_exists(2200, 1, 1));
}
END_TEST

/* --- words --------------------------------------------------------------------------------- */

static const char *const month_names[] = {
    "January February March April May June July August September October November December",
    "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec",
    "Januar Februar M\u00e4rz April Mai Juni Juli August September Oktober November Dezember",
    "J\u00e4nner Feb M\u00e4r Apr Mai Jun Jul Aug Sept Okt Nov Dez",
    ("janvier f\u00e9vrier mars avril mai juin juillet ao\u00fbt septembre octobre novembre "
     "d\u00e9cembre"),
    "janv. f\u00e9vr. mars avr. mai juin juil. ao\u00fbt sept. oct. nov. d\u00e9c.",
    "enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre",
    "ene feb mar abr may jun jul ago sep oct nov dic",
    "gennaio febbraio marzo aprile maggio giugno luglio agosto settembre ottobre novembre dicembre",
    "gen feb mar apr mag giu lug ago set ott nov dic",
    "januari februari maart april mei juni juli augustus september oktober november december",
    "janeiro fevereiro mar\u00e7o abril maio junho julho agosto setembro outubro novembro dezembro",
    "januari februari mars april maj juni juli augusti september oktober november december",
    "januar februar marts april mai juni juli august september oktober november desember",
};

START_TEST(months_by_name)
{
    char names[200], cell[80], *rest = names;
    (void)snprintf(names, sizeof names, "%s", month_names[_i]);
    int month = 0;
    for (char *name; (name = strsep(&rest, " ")) != NULL;) {
        nr_moment m;
        month++;
        (void)snprintf(cell, sizeof cell, "7 %s 2026", name);
        ck_assert_msg(nr_moment_read(cell, &m), "%s", cell);
        ck_assert_msg(m.sure && m.year == 2026 && m.month == month && m.day == 7,
                      "%s: month %d for %d", cell, m.month, month);
        (void)snprintf(cell, sizeof cell, "%s 7, 2026 10:15", name);
        ck_assert_msg(nr_moment_read(cell, &m) && m.month == month && m.day == 7 && m.hour == 10,
                      "%s", cell);
    }
    ck_assert_int_eq(month, 12);
}
END_TEST

START_TEST(weekdays)
{
    static const char *const days[] = {
        "Mon Tue Wed Thu Fri Sat Sun",
        "Monday Tuesday Wednesday Thursday Friday Saturday Sunday",
        "Montag Dienstag Mittwoch Donnerstag Freitag Samstag Sonntag",
        "Mo Di Mi Do Fr Sa So",
        "lundi mardi mercredi jeudi vendredi samedi dimanche",
        "lunes martes mi\u00e9rcoles jueves viernes s\u00e1bado domingo",
        "maandag dinsdag woensdag donderdag vrijdag zaterdag zondag",
        "ma di wo do vr za zo",
    };
    char cell[80];
    nr_moment m;
    for (size_t i = 0; i < sizeof days / sizeof *days; i++) {
        char names[120], *rest = names;
        (void)snprintf(names, sizeof names, "%s", days[i]);
        for (char *name; (name = strsep(&rest, " ")) != NULL;) {
            if (strcmp(name, "mardi") == 0 || strcmp(name, "martes") == 0 ||
                strcmp(name, "maandag") == 0 || strcmp(name, "dinsdag") == 0 ||
                strcmp(name, "woensdag") == 0 || strcmp(name, "vrijdag") == 0 ||
                strcmp(name, "zaterdag") == 0 || strcmp(name, "zondag") == 0)
                continue; /* "mar" is March, too; Dutch ones are read as two letters */
            (void)snprintf(cell, sizeof cell, "%s, 2026-05-16 10:15", name);
            ck_assert_msg(nr_moment_read(cell, &m) && m.day == 16 && m.hour == 10, "%s", cell);
        }
    }
    ck_assert(!nr_moment_read("x, 2026-05-16 10:15", &m));
    ck_assert(!nr_moment_read("monk, 2026-05-16 10:15", &m)); /* four letters: no weekday */
    ck_assert(!nr_moment_read("noon, 2026-05-16 10:15", &m));
}
END_TEST

START_TEST(zones_by_name)
{
    static const struct {
        const char *name;
        double hours;
    } zone[] = {{"Z", 0},       {"UTC", 0},       {"GMT", 0},     {"UCT", 0},
                {"WET", 0},     {"WEST", 1},      {"BST", 1},     {"CET", 1},
                {"CEST", 2},    {"MEZ", 1},       {"MESZ", 2},    {"EET", 2},
                {"EEST", 3},    {"EST", -5},      {"EDT", -4},    {"CST", -6},
                {"CDT", -5},    {"MST", -7},      {"MDT", -6},    {"PST", -8},
                {"PDT", -7},    {"AKST", -9},     {"AKDT", -8},   {"HST", -10},
                {"UTC+2", 2},   {"+2", 2},        {"-07", -7},    {"+02", 2},
                {"+0530", 5.5}, {"-03:30", -3.5}, {"+14:00", 14}, {"-12:00", -12},
                {"GMT-3", -3},  {"(UTC)", 0},     {"(CEST)", 2},  {"+02:59", 2 + 59 / 60.0},
                {"+0:30", 0.5}, {"+2:30", 2.5}};
    static const char *const none[] = {"+15:00", "+02:60", "+02:5", "+020", "+02000", "CET+1",
                                       "XST",    "+",      "ce",    "+2:3", "+0260",  "-1500"};
    char cell[80];
    nr_moment m;
    for (size_t i = 0; i < sizeof zone / sizeof *zone; i++) {
        (void)snprintf(cell, sizeof cell, "2026-05-16 10:15 %s", zone[i].name);
        ck_assert_msg(nr_moment_read(cell, &m), "%s", cell);
        ck_assert(m.has_offset);
        NEAR_AT(cell, m.offset_s, zone[i].hours * 3600, 1e-6);
        NEAR_AT(cell, nr_moment_time_s(&m), 36900, 1e-9);
    }
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
        (void)snprintf(cell, sizeof cell, "2026-05-16 10:15 %s", none[i]);
        ck_assert_msg(!nr_moment_read(cell, &m), "%s", cell);
    }
    ck_assert(nr_moment_read("2026-05-16 10:15", &m) && !m.has_offset);
}
END_TEST

START_TEST(halves)
{
    static const struct {
        const char *cell;
        double s;
    } good[] = {{"1:00 AM", 3600},    {"12:59 am", 3540},   {"11:59 pm", 86340},
                {"12:00pm", 43200},   {"10:15a", 36900},    {"10:15 p", 80100},
                {"1:00 p.m.", 46800}, {"1:00 a. m.", 3600}, {"1:00 pm.", 46800},
                {"1:00:30 PM", 46830}};
    nr_moment m;
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        ck_assert_msg(nr_moment_read(good[i].cell, &m), "%s", good[i].cell);
        NEAR_AT(good[i].cell, nr_moment_time_s(&m), good[i].s, 1e-9);
    }
    ck_assert(!nr_moment_read("0:30 am", &m) && !nr_moment_read("13:00 am", &m));
    ck_assert(!nr_moment_read("1:00 amx", &m) && !nr_moment_read("1:00 pm2", &m));
    ck_assert(!nr_moment_read("1:00 q", &m));
}
END_TEST

/* --- dates: as they are written, and what is none ------------------------------------------------
 */

static const struct {
    const char *cell;
    int year, month, day, hour, minute, second;
} dates[] = {
    {"16-May-69", 2069, 5, 16, 0, 0, 0},
    {"16-May-70", 1970, 5, 16, 0, 0, 0},
    {"16-May-99", 1999, 5, 16, 0, 0, 0},
    {"2026-May-16", 2026, 5, 16, 0, 0, 0},
    {"2026/5/6", 2026, 5, 6, 0, 0, 0},
    {"20260516", 2026, 5, 16, 0, 0, 0},
    {"19991231235960", 1999, 12, 31, 23, 59, 60},
    {"202605162400", 2026, 5, 16, 24, 0, 0},
    {"202605160959", 2026, 5, 16, 9, 59, 0},
    {"2026-05-16T1015", 2026, 5, 16, 10, 15, 0},
    {"2026-05-16T235960", 2026, 5, 16, 23, 59, 60},
    {"2026-05-16T2400", 2026, 5, 16, 24, 0, 0},
    {"2026-05-16_10:15", 2026, 5, 16, 10, 15, 0},
    {"2026-05-16:10:15", 2026, 5, 16, 10, 15, 0},
    {"2026-05-16, 10:15", 2026, 5, 16, 10, 15, 0},
    {"2026-05-16; 10:15", 2026, 5, 16, 10, 15, 0},
    {"2026-05-16 - 10:15", 2026, 5, 16, 10, 15, 0},
    {"2026-05-16 @ 10:15", 2026, 5, 16, 10, 15, 0},
    {"2026-05-16 | 10:15", 2026, 5, 16, 10, 15, 0},
    {"2026-05-16 at 10:15", 2026, 5, 16, 10, 15, 0},
    {"2026-05-16 um 10:15 Uhr", 2026, 5, 16, 10, 15, 0},
    {"2026-05-16 klo 10.15", 2026, 5, 16, 10, 15, 0},
    {"2026-05-16 kl. 10.15", 2026, 5, 16, 10, 15, 0},
    {"2026-05-16 kl 10.15", 2026, 5, 16, 10, 15, 0},
    {"2026-05-16 a las 10:15", 2026, 5, 16, 10, 15, 0},
    {"2026-05-16 om 10:15", 2026, 5, 16, 10, 15, 0},
    {"2026-05-16 10.15.59", 2026, 5, 16, 10, 15, 59},
    {"2026-05-16 10h15m30s", 2026, 5, 16, 10, 15, 30},
    {"2026-05-16 10h15:30", 2026, 5, 16, 10, 15, 30},
    {"2026-05-16 24:00:00", 2026, 5, 16, 24, 0, 0},
    {"2026-05-16 10:15.", 2026, 5, 16, 10, 15, 0},
    {"mayo 16 de 2026", 2026, 5, 16, 0, 0, 0},
    {"31/Dec/2199", 2199, 12, 31, 0, 0, 0},
    {"1970-01-01", 1970, 1, 1, 0, 0, 0},
};

START_TEST(dates_as_written)
{
    nr_moment m;
    const char *cell = dates[_i].cell;
    ck_assert_msg(nr_moment_read(cell, &m), "%s", cell);
    ck_assert_msg(m.has_date && m.sure && m.year == dates[_i].year && m.month == dates[_i].month &&
                      m.day == dates[_i].day,
                  "%s: %d-%d-%d", cell, m.year, m.month, m.day);
    bool timed = strpbrk(cell, ":.hT") != NULL || strlen(cell) == 12 || strlen(cell) == 14;
    ck_assert_msg(m.has_time == timed, "%s: time %d", cell, m.has_time);
    ck_assert_msg(m.hour == dates[_i].hour && m.minute == dates[_i].minute &&
                      m.second == dates[_i].second,
                  "%s: %ld:%d:%g", cell, m.hour, m.minute, m.second);
    ck_assert(!m.negative && !m.has_days && m.days == 0);
}
END_TEST

START_TEST(no_dates)
{
    static const char *const bad[] = {"30260516",
                                      "2026051610",
                                      "20261301",
                                      "20260532",
                                      "202605162500",
                                      "202605161060",
                                      "20260516101561",
                                      "2026051",
                                      "202-05-16",
                                      "2026-05/16",
                                      "2026-05-160",
                                      "16.05.202",
                                      "16.05.20261",
                                      "2026-13-01",
                                      "2026-00-10",
                                      "2026-05-00",
                                      "2026-05-16T10150",
                                      "2026-05-16T1060",
                                      "2026-05-16T101561",
                                      "2026-05-16T2500",
                                      "1/5/26/",
                                      "2026--16",
                                      "-05-16",
                                      "16 Foo 2026",
                                      "16 Ma 2026",
                                      "31 Apr 2026",
                                      "16 May 20261",
                                      "161 May 26",
                                      "16 May 202",
                                      "May 2026",
                                      "May",
                                      "16 May",
                                      "2026-05-16 10:60",
                                      "2026-05-16 10:15:61",
                                      "2026-05-16 10:15:1",
                                      "2026-05-16 1:5",
                                      "2026-05-16 1015.5",
                                      "2026-05-16 10155:00",
                                      "2026-05-16 x",
                                      "16 de",
                                      "2200-01-01",
                                      "1969-12-31",
                                      "2026-5-6-7",
                                      "26-May-16-1",
                                      "2026-05-16 25:00",
                                      "10:15:01:25",
                                      "10:15:01:2500",

                                      "10h15m3",
                                      "100000:00",
                                      "1 dax 1:00",
                                      "2 dy 1:00"};
    nr_moment m;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        ck_assert_msg(!nr_moment_read(bad[i], &m), "%s", bad[i]);
}
END_TEST

START_TEST(open_dates)
{
    nr_moment m;
    ck_assert(nr_moment_read("16. 5. 26.", &m) && m.has_date && !m.sure && !m.has_time);
    ck_assert(m.part[0] == 16 && m.part[1] == 5 && m.part[2] == 26 && m.between == '.');
    ck_assert(nr_moment_read("3-04-2026 10:15", &m) && m.four_last && m.between == '-');
    ck_assert(m.part[0] == 3 && m.part[1] == 4 && m.part[2] == 2026 && m.has_time);
    ck_assert(nr_moment_read("5/6/26", &m) && !m.four_last && m.between == '/');
    ck_assert(nr_moment_read("2026-5-6", &m) && m.sure);
}
END_TEST

/* --- times --------------------------------------------------------------------------------- */

START_TEST(times_as_written)
{
    static const struct {
        const char *cell;
        double s;
        int groups, fraction;
        char sign;
    } good[] = {
        {"10:59", 39540, 2, 0, ':'},
        {"10:15:60", 36960, 3, 0, ':'},
        {"0:00:00.001", 0.001, 3, 3, ':'},
        {"10:15:01.5", 36901.5, 3, 1, ':'},
        {"10:15:01,25", 36901.25, 3, 2, ':'},
        {"10:15:01:750", 36901.75, 3, 3, ':'},
        {"10h15", 36900, 2, 0, 'h'},
        {"10h15m59s", 36959, 3, 0, 'h'},
        {"2 days 01:00:00", 176400, 3, 0, ':'},
        {"2 days, 01:00", 176400, 2, 0, ':'},
        {"1 day 0:30", 88200, 2, 0, ':'},
        {"3d 4:05", 273900, 2, 0, ':'},
        {"12.02:03:04", 12 * 86400 + 7384, 3, 0, ':'},
        {"-1.02:00:00", -93600, 3, 0, ':'},
        {"-10:00", -36000, 2, 0, ':'},
        {"9999 days 0:00", 9999 * 86400.0, 2, 0, ':'},
    };
    nr_moment m;
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        const char *cell = good[i].cell;
        ck_assert_msg(nr_moment_read(cell, &m) && !m.has_date && m.has_time, "%s", cell);
        NEAR_AT(cell, nr_moment_time_s(&m), good[i].s, 1e-6);
        ck_assert_msg(m.groups == good[i].groups && m.fraction == good[i].fraction &&
                          m.sign == good[i].sign,
                      "%s: %d groups, %d figures, '%c'", cell, m.groups, m.fraction, m.sign);
        ck_assert_msg(m.negative == (*cell == '-'), "%s", cell);
        bool days = strchr(cell, 'd') || (strchr(cell, '.') && good[i].fraction == 0);
        ck_assert_msg(m.has_days == days, "%s", cell);
    }
}
END_TEST

START_TEST(dotted)
{
    static const char *const yes[] = {"10.15", "10.15.30", "24.00", "0.59", "9.05"};
    static const char *const no[] = {"25.00",    "10.60", "10:15", "10.1",   "10.15 ", "10.15.30.5",
                                     "10.15.61", "10h15", ".15",   "10.155", "1015",   ""};
    for (size_t i = 0; i < sizeof yes / sizeof *yes; i++)
        ck_assert_msg(nr_moment_dotted(yes[i]), "%s", yes[i]);
    for (size_t i = 0; i < sizeof no / sizeof *no; i++)
        ck_assert_msg(!nr_moment_dotted(no[i]), "%s", no[i]);
}
END_TEST

/* --- by a pattern --------------------------------------------------------------------------- */

static const struct {
    const char *cell, *pattern;
    int year, month, day; /* 0: no date */
    double s;             /* of the day */
} patterns[] = {
    {"69-05-16", "%y-%m-%d", 2069, 5, 16, 0},
    {"70-05-16", "%y-%m-%d", 1970, 5, 16, 0},
    {"2026-1-1", "%Y-%m-%e", 2026, 1, 1, 0},
    {"2026-12-31", "%Y-%m-%d", 2026, 12, 31, 0},
    {"2024 366", "%Y %j", 2024, 12, 31, 0},
    {"2026 1 23:59", "%Y %j %R", 2026, 1, 1, 86340},
    {"2026 365", "%Y %j", 2026, 12, 31, 0},
    {"05/16/26 24:00", "%D %H:%M", 2026, 5, 16, 86400},
    {"Sat, 16 May 2026", "%a, %d %b %Y", 2026, 5, 16, 0},
    {"Saturday 16 may 2026 1:30 pm", "%A %d %B %Y %I:%M %p", 2026, 5, 16, 48600},
    {"10:15:59,25", "%H:%M:%S", 0, 0, 0, 36959.25},
    {"10:15:60", "%T", 0, 0, 0, 36960},
    {"10:15:01.250", "%H:%M:%S.%f", 0, 0, 0, 36901.25},
    {"10:15:01 750", "%H:%M:%S %L", 0, 0, 0, 36901.75},
    {"1015", "%H%M", 0, 0, 0, 36900},
    {"905", "%H%M", 0, 0, 0, 32700},
    {"59", "%H%M", 0, 0, 0, 3540},
    {"101559", "%H%M%S", 0, 0, 0, 36959},
    {"1559", "%H%M%S", 0, 0, 0, 959},
    {"100%2026-05-16", "100%%%F", 2026, 5, 16, 0},
    {"T2026-05-16", "T%F", 2026, 5, 16, 0},
    {"2026-05-16   10:15", "%F %R", 2026, 5, 16, 36900},
    {"2026-05-1610:15", "%F %R", 2026, 5, 16, 36900},
    {"12:30 am", "%I:%M %p", 0, 0, 0, 1800},
};

START_TEST(by_patterns)
{
    nr_moment m;
    const char *cell = patterns[_i].cell, *pattern = patterns[_i].pattern;
    ck_assert_msg(nr_moment_by(cell, pattern, &m), "%s by %s", cell, pattern);
    ck_assert_msg(m.has_date == (patterns[_i].year > 0), "%s", cell);
    double wanted = patterns[_i].s, s = nr_moment_time_s(&m);
    if (m.has_date) {
        wanted += nr_days_s(patterns[_i].year, patterns[_i].month, patterns[_i].day);
        s += nr_days_s(m.year, m.month, m.day);
    }
    NEAR_AT(cell, s, wanted, 1e-6);
    bool timed = strpbrk(pattern, "HIMRT") && pattern[0] != 'T';
    ck_assert_msg(m.has_time == timed, "%s: time %d", cell, m.has_time);
    ck_assert(!m.has_offset);
}
END_TEST

START_TEST(zones_and_counts_by_pattern)
{
    nr_moment m;
    ck_assert(nr_moment_by("2026-05-16 10:15 +0200", "%F %R %z", &m) && m.offset_s == 7200);
    ck_assert(nr_moment_by("2026-05-16 10:15 EST", "%F %R %Z", &m) && m.offset_s == -18000);
    /* 2000-03-01 00:00 UTC: 951868800 s (POSIX.1, 4.16). */
    ck_assert(nr_moment_by("951868801.5", "%s", &m) && m.has_offset && m.offset_s == 0);
    NEAR(nr_days_s(m.year, m.month, m.day) + nr_moment_time_s(&m), 951868801.5, 1e-6);
    ck_assert(m.groups == 3 && m.has_time);
    ck_assert(nr_moment_by("6912000000", "%s", &m)); /* 80000 days */
    ck_assert(!nr_moment_by("6912086400", "%s", &m) && !nr_moment_by("1.2.3", "%s", &m));
    ck_assert(nr_moment_by("0", "%s", &m) && nr_moment_time_s(&m) == 0);
    ck_assert(nr_moment_by("10:15", "%H:%M", &m) && m.groups == 2);
    ck_assert(nr_moment_by("10:15:20", "%T", &m) && m.groups == 3 && m.fraction == 0);
    ck_assert(nr_moment_by("10:15:20.25", "%T", &m) && m.fraction == 2);
    ck_assert(nr_moment_by("20 10", "%S %H", &m) && m.groups == 3);
}
END_TEST

START_TEST(not_by_patterns)
{
    static const char *const bad[][2] = {{"1969-05-16", "%F"},
                                         {"2200-05-16", "%F"},
                                         {"2026-13-16", "%F"},
                                         {"2026-0-16", "%F"},
                                         {"2026-05-32", "%F"},
                                         {"2026-05-0", "%F"},
                                         {"2026 367", "%Y %j"},
                                         {"2026 0", "%Y %j"},
                                         {"2025 366", "%Y %j"},
                                         {"25:00", "%H:%M"},
                                         {"10:60", "%H:%M"},
                                         {"10:15:61", "%T"},
                                         {"13:00 pm", "%I:%M %p"},
                                         {"0:30 am", "%I:%M %p"},
                                         {"x", "%H"},
                                         {"2026", "%Y"},
                                         {"05", "%m"},
                                         {"2026-05", "%Y-%m"},
                                         {"16", "%d"},
                                         {"136", "%j"},
                                         {"10:15", "%H-%M"},
                                         {"10", "%H:%M"},
                                         {"16 Foo 2026", "%d %b %Y"},
                                         {"10:15 x", "%R %p"},
                                         {"10:15 x", "%R %z"},
                                         {"Foo 10:15", "%a %R"},
                                         {"", "%R"},
                                         {"10:15.", "%R.%f"},
                                         {"10:15", "%R%%"},
                                         {"10:15", "%R%Q"},
                                         {"-1", "%s"},
                                         {"x", "%s"},
                                         {"2026-02-29", "%F"}};
    nr_moment m;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        ck_assert_msg(!nr_moment_by(bad[i][0], bad[i][1], &m), "%s by %s", bad[i][0], bad[i][1]);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("moment limits");
    TCase *all = tcase_create("all");
    tcase_add_test(all, calendar);
    tcase_add_loop_test(all, months_by_name, 0, (int)(sizeof month_names / sizeof *month_names));
    tcase_add_test(all, weekdays);
    tcase_add_test(all, zones_by_name);
    tcase_add_test(all, halves);
    tcase_add_loop_test(all, dates_as_written, 0, (int)(sizeof dates / sizeof *dates));
    tcase_add_test(all, no_dates);
    tcase_add_test(all, open_dates);
    tcase_add_test(all, times_as_written);
    tcase_add_test(all, dotted);
    tcase_add_loop_test(all, by_patterns, 0, (int)(sizeof patterns / sizeof *patterns));
    tcase_add_test(all, zones_and_counts_by_pattern);
    tcase_add_test(all, not_by_patterns);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
