/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tables drawn by a generator: the time is written in one of many ways, in one to six columns that
 * stand anywhere among readings and in any order, newest first or last, by any clock. Which columns
 * it is, of what kind, to what it is written and each row's seconds have to come back. */
#include "tests/unit/chance.h"
#include "tests/unit/import/tables.h"

#include <stdint.h>
#include <stdlib.h>

#define ROWS 9
#define MOST 9 /* columns */

static looked l;

static uint64_t state = 71;

static unsigned drawn(unsigned below)
{
    return chance_below(&state, below);
}

/* A cell of row r: what strftime makes of it; 'E', 'L' and 'U' count seconds, milliseconds and
 * microseconds since 1970, 'G' days since 1899-12-30, 'g' whole ones, 's', 'm', 'h' since the first
 * row, 'D' h:mm:ss since then. */
typedef struct column {
    const char *head, *form;
} column;

typedef struct way {
    column column[7];
    nr_time_from from;
    nr_time_kind kind;
    bool local;               /* by the zone's clocks */
    double step_s, written_s; /* the rows' step is a multiple of the first */
    const char *order;
} way;

static const way ways[] = {
    {{{"Time", "%Y-%m-%d %H:%M:%S"}}, NR_TIME_MOMENTS, NR_TIME_CALENDAR, true, 1, 1, ""},
    {{{"When", "%Y-%m-%dT%H:%M:%SZ"}}, NR_TIME_MOMENTS, NR_TIME_CALENDAR, false, 1, 1, ""},
    {{{"Stamp", "%d.%m.%Y %H:%M"}}, NR_TIME_MOMENTS, NR_TIME_CALENDAR, true, 60, 60, "day first"},
    {{{"Stamp", "%m/%d/%Y %I:%M:%S %p"}},
     NR_TIME_MOMENTS,
     NR_TIME_CALENDAR,
     true,
     1,
     1,
     "month first"},
    {{{"t", "%d %b %Y %H.%M.%S"}}, NR_TIME_MOMENTS, NR_TIME_CALENDAR, true, 1, 1, ""},
    {{{"t", "%Y%m%dT%H%M%S"}}, NR_TIME_MOMENTS, NR_TIME_CALENDAR, true, 1, 1, ""},
    {{{"Date", "%Y-%m-%d"}, {"Time", "%H:%M:%S"}},
     NR_TIME_MOMENTS,
     NR_TIME_CALENDAR,
     true,
     1,
     1,
     ""},
    {{{"Datum", "%d.%m.%y"}, {"Uhrzeit", "%H:%M"}},
     NR_TIME_MOMENTS,
     NR_TIME_CALENDAR,
     true,
     60,
     60,
     "day first"},
    {{{"Date", "%m/%d/%Y"}, {"Time", "%I:%M %p"}},
     NR_TIME_MOMENTS,
     NR_TIME_CALENDAR,
     true,
     60,
     60,
     "month first"},
    {{{"Date", "%Y-%m-%d"}, {"Time", "%H%M"}}, NR_TIME_MOMENTS, NR_TIME_CALENDAR, true, 60, 60, ""},
    {{{"unix", "E"}}, NR_TIME_COUNT, NR_TIME_CALENDAR, false, 1, 1, ""},
    {{{"stamp", "L"}}, NR_TIME_COUNT, NR_TIME_CALENDAR, false, 1, 0.001, ""},
    {{{"stamp", "U"}}, NR_TIME_COUNT, NR_TIME_CALENDAR, false, 1, 1e-6, ""},
    {{{"Date", "G"}}, NR_TIME_DAY_NUMBER, NR_TIME_CALENDAR, true, 60, 1, ""},
    {{{"Date", "g"}, {"Time", "%H%M"}}, NR_TIME_DAY_NUMBER, NR_TIME_CALENDAR, true, 60, 1, ""},
    {{{"Date", "g"}, {"Time", "%H:%M:%S"}}, NR_TIME_DAY_NUMBER, NR_TIME_CALENDAR, true, 1, 1, ""},
    {{{"year", "%Y"},
      {"month", "%m"},
      {"day", "%d"},
      {"hour", "%H"},
      {"minute", "%M"},
      {"second", "%S"}},
     NR_TIME_PARTS,
     NR_TIME_CALENDAR,
     true,
     1,
     1,
     ""},
    {{{"jahr", "%Y"}, {"monat", "%m"}, {"tag", "%d"}, {"hhmm", "%H%M"}},
     NR_TIME_PARTS,
     NR_TIME_CALENDAR,
     true,
     60,
     60,
     ""},
    {{{"year", "%Y"}, {"doy", "%j"}, {"hhmm", "%H%M"}},
     NR_TIME_PARTS,
     NR_TIME_CALENDAR,
     true,
     60,
     60,
     ""},
    {{{"year", "%Y"}, {"day", "%j"}, {"hour", "%H"}, {"min", "%M"}},
     NR_TIME_PARTS,
     NR_TIME_CALENDAR,
     true,
     60,
     60,
     ""},
    {{{"Time", "%H:%M:%S"}}, NR_TIME_MOMENTS, NR_TIME_CLOCK, false, 1, 1, ""},
    {{{"Zeit", "%I:%M %p"}}, NR_TIME_MOMENTS, NR_TIME_CLOCK, false, 60, 60, ""},
    {{{"Elapsed", "D"}}, NR_TIME_MOMENTS, NR_TIME_ELAPSED, false, 1, 1, ""},
    {{{"t (s)", "s"}}, NR_TIME_COUNT, NR_TIME_ELAPSED, false, 1, 1, ""},
    {{{"time (min)", "m"}}, NR_TIME_COUNT, NR_TIME_ELAPSED, false, 60, 60, ""},
    {{{"elapsed (h)", "h"}}, NR_TIME_COUNT, NR_TIME_ELAPSED, false, 3600, 3600, ""},
};
#define WAYS (sizeof ways / sizeof *ways)

/* A cell; at_s as the clock shows it. */
static void cell_of(const char *form, double at_s, double since_s, char *out, size_t size)
{
    time_t t = (time_t)at_s;
    struct tm tm;
    gmtime_r(&t, &tm);
    int s = (int)since_s;
    switch (form[0]) {
    case 'E':
        snprintf(out, size, "%.0f", at_s);
        break;
    case 'L':
        snprintf(out, size, "%.0f", at_s * 1e3);
        break;
    case 'U':
        snprintf(out, size, "%.0f", at_s * 1e6);
        break;
    case 'G':
        snprintf(out, size, "%.9f", at_s / 86400 + 25569);
        break;
    case 'g':
        snprintf(out, size, "%.0f", floor(at_s / 86400) + 25569);
        break;
    case 's':
        snprintf(out, size, "%.0f", since_s);
        break;
    case 'm':
        snprintf(out, size, "%.0f", since_s / 60);
        break;
    case 'h':
        snprintf(out, size, "%.0f", since_s / 3600);
        break;
    case 'D':
        snprintf(out, size, "%d:%02d:%02d", s / 3600, s / 60 % 60, s % 60);
        break;
    default:
        ck_assert(strftime(out, size, form, &tm) > 0);
    }
}

typedef struct drawn_table {
    char text[4000];
    double at_s[ROWS]; /* as the clock shows, in the order of the file */
    double since_s[ROWS];
    double offset_s; /* of the clock */
    char zone[16];
    size_t place[7]; /* of the time's columns */
    size_t parts;
    bool backwards;
} drawn_table;

/* Readings stand before, between and behind; a date goes before its time, or right behind it. */
static void place_columns(const way *w, drawn_table *d, const char *head[MOST], size_t *columns)
{
    size_t readings = 1 + drawn(2);
    for (d->parts = 0; d->parts < 7 && w->column[d->parts].head;)
        d->parts++;
    *columns = d->parts + readings;
    size_t before = drawn((unsigned)readings + 1);
    bool turned = d->parts == 2 && drawn(3) == 0, scattered = d->parts > 2;
    for (size_t i = 0; i < *columns; i++)
        head[i] = "Tank (C)";
    for (size_t i = 0; i < d->parts; i++) {
        d->place[i] = before + (turned ? d->parts - 1 - i : i);
        if (scattered && i + 1 == d->parts && before < readings)
            d->place[i] = *columns - 1; /* readings in between */
        head[d->place[i]] = w->column[i].head;
    }
}

static void draw_table(const way *w, drawn_table *d)
{
    const char *head[MOST];
    size_t columns;
    memset(d, 0, sizeof *d);
    place_columns(w, d, head, &columns);
    int quarters = (int)drawn(81) - 40; /* -10 to 10 h */
    d->offset_s = w->local ? quarters * 900.0 : 0;
    snprintf(d->zone, sizeof d->zone, "%c%02d:%02d", quarters < 0 ? '-' : '+', abs(quarters) / 4,
             abs(quarters) % 4 * 15);
    d->backwards = drawn(3) == 0;
    /* The 16th to 25th of a month, so that its day is no month; from 13 h on past midnight. */
    double start = utc_of(2001 + (int)drawn(25), 1 + (int)drawn(12), 16 + (int)drawn(9), 13, 0, 0) +
                   60 * drawn(660);
    double step = w->step_s * (1 + drawn(20)), times[ROWS];
    if (w->step_s < 60 && w->kind != NR_TIME_ELAPSED)
        start += 1 + drawn(59);
    for (int r = 0; r < ROWS; r++)
        times[r] = r * step;
    for (size_t c = 0; c < columns; c++)
        snprintf(d->text + strlen(d->text), sizeof d->text - strlen(d->text), "%s%s",
                 c > 0 ? "," : "", head[c]);
    for (int r = 0; r < ROWS; r++) {
        int of = d->backwards ? ROWS - 1 - r : r;
        d->since_s[r] = times[of];
        d->at_s[r] = start + times[of];
        for (size_t c = 0; c < columns; c++) {
            char cell[60];
            snprintf(cell, sizeof cell, "%d.%u", 20 + r % 4, 1 + drawn(8));
            for (size_t i = 0; i < d->parts; i++)
                if (d->place[i] == c)
                    cell_of(w->column[i].form, d->at_s[r], d->since_s[r], cell, sizeof cell);
            snprintf(d->text + strlen(d->text), sizeof d->text - strlen(d->text), "%c%s",
                     c > 0 ? ',' : '\n', cell);
        }
    }
    strcat(d->text, "\n");
}

static void check_plan(const way *w, const drawn_table *d)
{
    ck_assert_msg(l.plan.from == w->from && l.plan.kind == w->kind && l.times.kind == w->kind,
                  "from %d, kind %d:\n%s", (int)l.plan.from, (int)l.plan.kind, d->text);
    ck_assert_msg(l.plan.columns == d->parts, "%zu columns:\n%s", l.plan.columns, d->text);
    for (size_t c = 0; c < l.table.columns; c++) {
        bool is = false;
        for (size_t i = 0; i < d->parts; i++)
            is = is || d->place[i] == c;
        ck_assert_msg(nr_time_has(&l.plan, c) == is, "column %zu:\n%s", c, d->text);
    }
    ck_assert_msg(l.times.backwards == d->backwards, "%s", d->text);
    ck_assert_msg(strcmp(l.times.order, w->order) == 0, "%s:\n%s", l.times.order, d->text);
    ck_assert_msg(l.times.zone_used == w->local, "%s", d->text);
    ck_assert(was_said(&l, "the newest row comes first") == d->backwards);
}

static void check_seconds(const way *w, const drawn_table *d)
{
    for (size_t r = 0; r < ROWS; r++) {
        double wanted = w->kind == NR_TIME_ELAPSED ? d->since_s[r] : d->at_s[r] - d->offset_s;
        if (w->kind == NR_TIME_CLOCK) { /* from the day of the first */
            double first = d->at_s[d->backwards ? ROWS - 1 : 0];
            wanted -= floor(first / 86400) * 86400;
        }
        NEAR_AT(d->text, l.times.at_s[r], wanted, 1e-3);
    }
    ck_assert_msg(l.times.step_s >= w->written_s * (1 - 1e-9) || w->from != NR_TIME_MOMENTS, "%g",
                  l.times.step_s);
    if (w->from == NR_TIME_MOMENTS || w->kind == NR_TIME_ELAPSED)
        NEAR_AT(d->text, l.times.step_s, w->written_s, 1e-9);
    else
        ck_assert_msg(l.times.step_s <= fmax(w->written_s, w->step_s) * (1 + 1e-9), "%g",
                      l.times.step_s);
}

START_TEST(any_table)
{
    static drawn_table d;
    for (int pass = 0; pass < 12; pass++)
        for (size_t i = 0; i < WAYS; i++) {
            const way *w = &ways[i];
            draw_table(w, &d);
            ck_assert_msg(read_times(&l, d.text, "", "", d.zone) == NR_OK, "%s\n%s", l.err.text,
                          d.text);
            check_plan(w, &d);
            check_seconds(w, &d);
            forget(&l);
        }
}
END_TEST

/* The same, told by --time as numbers, in any order of columns that is a date before its time. */
START_TEST(as_the_user_says)
{
    static drawn_table d;
    for (int pass = 0; pass < 6; pass++)
        for (size_t i = 0; i < WAYS; i++) {
            const way *w = &ways[i];
            char columns[40] = "";
            draw_table(w, &d);
            for (size_t k = 0; k < d.parts; k++)
                snprintf(columns + strlen(columns), sizeof columns - strlen(columns), "%s%zu",
                         k > 0 ? "+" : "", d.place[k] + 1);
            ck_assert_msg(read_times(&l, d.text, columns, "", d.zone) == NR_OK, "--time %s: %s\n%s",
                          columns, l.err.text, d.text);
            check_plan(w, &d);
            check_seconds(w, &d);
            forget(&l);
        }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {any_table, as_the_user_says, NULL};
    return run_tests("times_drawn", tests);
}
