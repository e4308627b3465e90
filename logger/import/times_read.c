/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/base/text.h"
#include "logger/import/times.h"
#include "logger/import/times_zone.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define DAY_S 86400.0
/* Serial day 0 of spreadsheets: 1899-12-30, days before 1970-01-01. */
#define SHEET_DAY_0 25569.0

typedef struct row_time {
    bool good;
    nr_moment m; /* by text */
    double local_s;
    bool utc; /* local_s is UTC already */
} row_time;

typedef struct job {
    const nr_table *t;
    const nr_time_plan *plan;
    const nr_zone *zone;
    row_time *row;
    nr_times *out;
    nr_import_said *said;
} job;

/* --- one row ------------------------------------------------------------------------------- */

static void joined(const job *j, size_t r, char *out, size_t size)
{
    size_t used = 0;
    out[0] = '\0';
    for (size_t i = 0; i < j->plan->columns; i++) {
        const char *cell = nr_table_cell(j->t, r, j->plan->column[i]);
        used = strlen(out);
        snprintf(out + used, size - used, "%s%s", i > 0 ? " " : "", cell);
    }
}

/* 1015, 101501 or a fraction of a day -> seconds since midnight. */
static double numeric_time_s(double v)
{
    if (v >= 0 && v <= 1 && v != floor(v))
        return v * DAY_S;
    double seconds = v > 2400 ? fmod(v, 100) : 0, rest = v > 2400 ? floor(v / 100) : v;
    double minutes = fmod(rest, 100), hours = floor(rest / 100);
    return seconds < 61 && minutes < 60 && hours <= 24 ? hours * 3600 + minutes * 60 + seconds
                                                       : NAN;
}

/* Date in one column, time in the other: each by itself; the time may be a number. */
static bool date_and_time(const job *j, size_t r, nr_moment *m)
{
    nr_moment time;
    double v;
    if (!nr_moment_read(nr_table_cell(j->t, r, j->plan->column[0]), m) || !m->has_date)
        return false;
    const char *cell = nr_table_cell(j->t, r, j->plan->column[1]);
    const char *clock = strrchr(cell, ' ');
    m->has_time = true;
    if (nr_moment_read(cell, &time) && time.has_time && !time.has_date) {
        m->hour = time.hour;
        m->minute = time.minute;
        m->second = time.second;
        m->half = time.half;
        m->groups = time.groups;
        m->sign = time.sign;
        m->fraction = time.fraction;
        m->has_offset = time.has_offset;
        m->offset_s = time.offset_s;
        return true;
    }
    if (nr_table_number(j->t, r, j->plan->column[1], &v) && j->plan->hours) {
        m->hour = (long)v;
        m->second = (v - floor(v)) * 3600;
        m->groups = 2;
        return v >= 0 && v <= 24;
    }
    if (nr_table_number(j->t, r, j->plan->column[1], &v) && isfinite(numeric_time_s(v))) {
        m->hour = 0;
        m->second = numeric_time_s(v);
        m->groups = v > 2400 || v < 1 ? 3 : 2;
        return true;
    }
    /* A spreadsheet's bare time with its false date. */
    if (clock && nr_moment_read(clock + 1, &time) && time.has_time && !time.has_date) {
        m->hour = time.hour;
        m->minute = time.minute;
        m->second = time.second;
        m->groups = time.groups;
        return true;
    }
    return false;
}

static bool by_text(const job *j, size_t r, row_time *out)
{
    char text[200];
    joined(j, r, text, sizeof text);
    if (j->plan->from == NR_TIME_PATTERN)
        return nr_moment_by(text, j->plan->pattern, &out->m);
    /* One column may leave midnight unsaid; a cell of its own that is empty says nothing. */
    if (nr_moment_read(text, &out->m) &&
        (j->plan->columns == 1 || (out->m.has_date && out->m.has_time)))
        return true;
    return j->plan->columns == 2 && date_and_time(j, r, &out->m);
}

static bool by_count(const job *j, size_t r, row_time *out)
{
    double v;
    if (!nr_table_number(j->t, r, j->plan->column[0], &v))
        return false;
    out->local_s = v * j->plan->scale_s;
    out->utc = j->plan->kind == NR_TIME_CALENDAR;
    return fabs(out->local_s) < 1e10;
}

static bool by_day_number(const job *j, size_t r, row_time *out)
{
    double day, v;
    nr_moment m;
    if (!nr_table_number(j->t, r, j->plan->column[0], &day) || !(day > SHEET_DAY_0) || day > 80000)
        return false;
    /* A day's fraction has some ten figures: a millisecond is the most that can be meant. */
    out->local_s = round((day - SHEET_DAY_0) * DAY_S * 1000) / 1000;
    if (j->plan->columns < 2)
        return true;
    if (nr_moment_read(nr_table_cell(j->t, r, j->plan->column[1]), &m) && m.has_time)
        out->local_s += nr_moment_time_s(&m);
    else if (nr_table_number(j->t, r, j->plan->column[1], &v) && j->plan->hours)
        out->local_s += round(v * 3600 * 1000) / 1000;
    else if (nr_table_number(j->t, r, j->plan->column[1], &v) && isfinite(numeric_time_s(v)))
        out->local_s += round(numeric_time_s(v) * 1000) / 1000;
    else
        return false;
    return true;
}

static bool by_parts(const job *j, size_t r, row_time *out)
{
    double v[NR_PART_SECOND + 1] = {0};
    v[NR_PART_MONTH] = v[NR_PART_DAY] = v[NR_PART_OF_YEAR] = 1;
    for (size_t i = 0; i < j->plan->columns; i++)
        if (!nr_table_number(j->t, r, j->plan->column[i], &v[j->plan->part[i]]))
            return false;
    if (!nr_date_exists((int)v[NR_PART_YEAR], (int)v[NR_PART_MONTH], (int)v[NR_PART_DAY]))
        return false;
    double hhmm = numeric_time_s(v[NR_PART_HHMM]);
    out->local_s = nr_days_s((int)v[NR_PART_YEAR], (int)v[NR_PART_MONTH], (int)v[NR_PART_DAY]) +
                   (v[NR_PART_OF_YEAR] - 1) * DAY_S + hhmm + v[NR_PART_HOUR] * 3600 +
                   v[NR_PART_MINUTE] * 60 + v[NR_PART_SECOND];
    return isfinite(hhmm);
}

static bool read_row(const job *j, size_t r, row_time *out)
{
    switch (j->plan->from) {
    case NR_TIME_COUNT:
        return by_count(j, r, out);
    case NR_TIME_DAY_NUMBER:
        return by_day_number(j, r, out);
    case NR_TIME_PARTS:
        return by_parts(j, r, out);
    default:
        return by_text(j, r, out);
    }
}

static bool is_text(const nr_time_plan *plan)
{
    return plan->from == NR_TIME_MOMENTS || plan->from == NR_TIME_PATTERN;
}

/* --- which number is the day ---------------------------------------------------------------- */

static const struct order {
    const char *word;
    int year, month, day; /* places */
} orders[] = {{"day first", 2, 1, 0}, {"month first", 2, 0, 1}, {"year first", 0, 1, 2}};
#define ORDERS (sizeof orders / sizeof *orders)

static bool date_by(const nr_moment *m, const struct order *o, double *days_s)
{
    int year = m->part[o->year];
    if (m->four_last && o->year != 2)
        return false;
    if (year < 100)
        year += year < 70 ? 2000 : 1900;
    if (!nr_date_exists(year, m->part[o->month], m->part[o->day]))
        return false;
    *days_s = nr_days_s(year, m->part[o->month], m->part[o->day]);
    return true;
}

/* Do all dates that follow each other lie a day apart, and is there such a change? */
static bool days_follow(const job *j, const struct order *o)
{
    double before = NAN, days_s = NAN;
    size_t changes = 0;
    for (size_t r = 0; r < j->t->rows; r++) {
        if (!j->row[r].good || !date_by(&j->row[r].m, o, &days_s))
            continue;
        if (isfinite(before) && days_s != before) {
            changes++;
            if (fabs(days_s - before) > DAY_S)
                return false;
        }
        before = days_s;
    }
    return changes > 0;
}

/* "%d/%m/%Y %H:%M" in one of the orders, for dates written as m is. */
static void pattern_of(const nr_moment *m, const struct order *o, char *out, size_t size)
{
    char letter[3], time[24] = "", sign = m->sign ? m->sign : ':';
    if (m->has_time)
        snprintf(time, sizeof time, " %%%c%c%%M", m->half ? 'I' : 'H', sign);
    if (m->has_time && m->groups == 3)
        snprintf(time + strlen(time), sizeof time - strlen(time), "%c%%S",
                 sign == 'h' ? 'm' : sign);
    letter[o->year] = m->four_last ? 'Y' : 'y';
    letter[o->month] = 'm';
    letter[o->day] = 'd';
    snprintf(out, size, "%%%c%c%%%c%c%%%c%s%s", letter[0], m->between, letter[1], m->between,
             letter[2], time, m->half ? " %p" : "");
}

static nr_code ask_order(const job *j, size_t row, const bool possible[ORDERS], nr_err *err)
{
    const nr_moment *m = &j->row[row].m;
    char cell[64], name[NR_HEAD], first[64] = "", say[160] = "";
    const char *raw = nr_table_cell(j->t, row, j->plan->column[0]);
    nr_clean(cell, sizeof cell, raw, strlen(raw));
    nr_table_name(j->t, j->plan->column[0], name, sizeof name);
    for (size_t o = 0; o < ORDERS; o++) {
        char pattern[40];
        size_t used = strlen(say), words = strlen(first);
        if (!possible[o])
            continue;
        pattern_of(m, &orders[o], pattern, sizeof pattern);
        snprintf(first + words, sizeof first - words, "%sthe %.*s", words ? " or " : "",
                 (int)strcspn(orders[o].word, " "), orders[o].word);
        snprintf(say + used, sizeof say - used, "%s--time-format \"%s\"", used ? " or " : "",
                 pattern);
    }
    return nr_fail(err, NR_BAD, j->t->path, nr_table_line(j->t, row),
                   "\"%s\" of %s: %s first? Nothing in the table tells. Say %s", cell, name, first,
                   say);
}

static bool all_alike(const job *j, const struct order *a, const struct order *b)
{
    double x, y;
    for (size_t r = 0; r < j->t->rows; r++)
        if (j->row[r].good && j->row[r].m.has_date && !j->row[r].m.sure &&
            (!date_by(&j->row[r].m, a, &x) || !date_by(&j->row[r].m, b, &y) || x != y))
            return false;
    return true;
}

/* Which orders every date allows. */
static void possible_orders(const job *j, bool possible[ORDERS], size_t *example)
{
    bool dashes = false;
    size_t open = 0;
    for (size_t o = 0; o < ORDERS; o++)
        possible[o] = true;
    for (size_t r = 0; r < j->t->rows; r++) {
        const row_time *row = &j->row[r];
        double days_s;
        if (!row->good || !row->m.has_date || row->m.sure)
            continue;
        *example = open++ == 0 ? r : *example;
        dashes = row->m.between == '-';
        for (size_t o = 0; o < ORDERS; o++)
            possible[o] = possible[o] && date_by(&row->m, &orders[o], &days_s);
    }
    if (open == 0)
        memset(possible, 0, ORDERS * sizeof *possible);
    /* Nobody writes 26/05/16 or 26.05.16 for May 2026 where 16 can be the year. */
    if (!dashes && (possible[0] || possible[1]))
        possible[2] = false;
}

static nr_code decide_order(job *j, const struct order **out, nr_err *err)
{
    bool possible[ORDERS];
    size_t example = SIZE_MAX, left = 0, follows = 0, last = 0;
    *out = NULL;
    possible_orders(j, possible, &example);
    if (example == SIZE_MAX)
        return NR_OK;
    const nr_moment *m = &j->row[example].m;
    for (size_t o = 0; o < ORDERS; o++) {
        left += possible[o];
        last = possible[o] ? o : last;
    }
    if (left == 0)
        return nr_fail(err, NR_BAD, j->t->path, nr_table_line(j->t, example),
                       "the dates (such as \"%.40s\") are neither all day first nor all month "
                       "first; say --time-format",
                       nr_table_cell(j->t, example, j->plan->column[0]));
    const char *why = "by the days above 12";
    if (left > 1 && m->between == '.' && possible[0]) {
        last = 0;
        left = 1;
        why = "dates with points are";
    } else if (left > 1 && possible[0] && possible[1] && all_alike(j, &orders[0], &orders[1])) {
        last = 0;
        left = 1;
        why = "both are the same";
    }
    for (size_t o = 0; left > 1 && o < ORDERS; o++)
        if (possible[o] && days_follow(j, &orders[o])) {
            follows++;
            last = o;
        }
    if (left > 1 && follows != 1)
        return ask_order(j, example, possible, err);
    if (left > 1)
        why = "only so do the days follow each other";
    *out = &orders[last];
    nr_copy(j->out->order, sizeof j->out->order, orders[last].word);
    nr_import_say(j->said, "dates such as %.40s are %s: %s",
                  nr_table_cell(j->t, example, j->plan->column[0]), orders[last].word, why);
    return NR_OK;
}

/* --- all rows ------------------------------------------------------------------------------ */

static double finest(const nr_moment *m, double step_s)
{
    double own = m->has_time ? 60 : DAY_S;
    if (m->has_time && m->groups == 3)
        own = m->fraction > 0 && m->second != floor(m->second) ? pow(10, -m->fraction) : 1;
    return own < step_s ? own : step_s;
}

static double duration_s(const nr_time_plan *plan, const nr_moment *m)
{
    double s = nr_moment_time_s(m);
    if (plan->minutes_first && m->groups == 2 && plan->from == NR_TIME_MOMENTS)
        s = (double)m->days * DAY_S + (double)m->hour * 60 + m->minute + m->second;
    return s;
}

static nr_code place_text(job *j, nr_err *err)
{
    const struct order *order = NULL;
    nr_code code = j->plan->kind == NR_TIME_CALENDAR ? decide_order(j, &order, err) : NR_OK;
    if (code != NR_OK)
        return code;
    j->out->step_s = DAY_S;
    for (size_t r = 0; r < j->t->rows; r++) {
        row_time *row = &j->row[r];
        const nr_moment *m = &row->m;
        double days_s = 0;
        if (!row->good)
            continue;
        if (j->plan->kind == NR_TIME_CALENDAR) {
            row->good = m->has_date;
            if (m->has_date && m->sure)
                days_s = nr_days_s(m->year, m->month, m->day);
            else if (m->has_date)
                row->good = order && date_by(m, order, &days_s);
            row->local_s = days_s + nr_moment_time_s(m) - (m->has_offset ? m->offset_s : 0);
            row->utc = m->has_offset;
        } else {
            row->local_s = duration_s(j->plan, m);
        }
        if (row->good)
            j->out->step_s = finest(m, j->out->step_s);
    }
    if (j->plan->minutes_first)
        j->out->step_s = fmin(j->out->step_s, 1);
    return NR_OK;
}

/* What counts are written to: whole ones to one of their unit. */
static void step_of_numbers(job *j)
{
    static const double steps[] = {3600, 60, 1, 0.1, 0.01, 0.001};
    size_t i = 0;
    for (size_t r = 0; r < j->t->rows; r++)
        while (j->row[r].good && i + 1 < sizeof steps / sizeof *steps &&
               fabs(remainder(j->row[r].local_s, steps[i])) > 1e-4)
            i++;
    double written = j->plan->from == NR_TIME_COUNT   ? j->plan->scale_s
                     : j->plan->from == NR_TIME_PARTS ? 60
                                                      : 1;
    j->out->step_s = fmin(steps[i], written);
}

static size_t count_good(const job *j, size_t *first_bad)
{
    size_t good = 0;
    *first_bad = SIZE_MAX;
    for (size_t r = 0; r < j->t->rows; r++) {
        good += j->row[r].good;
        if (!j->row[r].good && *first_bad == SIZE_MAX)
            *first_bad = r;
    }
    return good;
}

static nr_code check_good(const job *j, nr_err *err)
{
    size_t bad, good = count_good(j, &bad);
    if (bad == SIZE_MAX)
        return NR_OK;
    char text[200], shown[80];
    joined(j, bad, text, sizeof text);
    nr_clean(shown, sizeof shown, text, strlen(text));
    size_t missing = j->t->rows - good;
    if (good == 0 || missing * 20 > j->t->rows)
        return nr_fail(err, NR_BAD, j->t->path, nr_table_line(j->t, bad),
                       "\"%s\" is no time that can be read%s (%zu of %zu rows)", shown,
                       j->plan->from == NR_TIME_PATTERN ? " by this --time-format"
                                                        : "; say how it is written: --time-format",
                       missing, j->t->rows);
    nr_import_say(j->said, "%zu row%s without a readable time left out, the first is line %ld (%s)",
                  missing, missing == 1 ? "" : "s", nr_table_line(j->t, bad), shown);
    return NR_OK;
}

static void find_direction(job *j)
{
    size_t up = 0, down = 0;
    double before = NAN;
    for (size_t r = 0; r < j->t->rows; r++) {
        if (!j->row[r].good)
            continue;
        up += j->row[r].local_s > before;
        down += j->row[r].local_s < before;
        before = j->row[r].local_s;
    }
    j->out->backwards = down > up;
    if (j->out->backwards)
        nr_import_say(j->said, "the newest row comes first; the order is turned round");
}

static size_t in_time(const job *j, size_t i)
{
    return j->out->backwards ? j->t->rows - 1 - i : i;
}

/* Does a clock of twelve hours that lost its am and pm go from 12 back to 1 at this row? */
static bool loses_half(const row_time *before, const row_time *now)
{
    double back = before->local_s - now->local_s;
    return before->m.hour == 12 && now->m.hour >= 1 && now->m.hour < 12 && back > 10.5 * 3600 &&
           back < DAY_S / 2;
}

static nr_code lost_half(const job *j, size_t row, nr_err *err)
{
    return nr_fail(err, NR_BAD, j->t->path, nr_table_line(j->t, row),
                   "the clock goes from 12 back to 1: hours of a 12-hour clock without AM and PM; "
                   "add them, or write the hours from 0 to 24");
}

/* Stamps with their dates: sorted, the afternoon would come before the noon. */
static nr_code check_halves(const job *j, nr_err *err)
{
    const row_time *before = NULL;
    for (size_t r = 0; r < j->t->rows; r++) {
        const row_time *row = &j->row[r];
        if (row->good && (row->m.half != NR_HALF_NONE || row->m.hour > 12 || row->m.hour == 0))
            return NR_OK;
    }
    for (size_t i = 0; i < j->t->rows; i++) {
        const row_time *row = &j->row[in_time(j, i)];
        if (!row->good)
            continue;
        if (before && loses_half(before, row))
            return lost_half(j, in_time(j, i), err);
        before = row;
    }
    return NR_OK;
}

/* Times of day pass midnight; a clock of twelve hours that lost its am and pm shows at one. */
static nr_code unwrap_clock(job *j, nr_err *err)
{
    double before = NAN, days_s = 0;
    bool afternoon = false;
    for (size_t r = 0; r < j->t->rows; r++)
        afternoon = afternoon || (j->row[r].good && j->row[r].local_s >= 13 * 3600);
    for (size_t i = 0; i < j->t->rows; i++) {
        row_time *row = &j->row[in_time(j, i)];
        if (!row->good)
            continue;
        double now = row->local_s, back = before - now;
        if (back > DAY_S / 2)
            days_s += DAY_S;
        else if (!afternoon && back > 10.5 * 3600)
            return lost_half(j, in_time(j, i), err);
        before = now;
        row->local_s = now + days_s;
    }
    return NR_OK;
}

static nr_code local_to_utc(job *j, nr_err *err)
{
    size_t n = j->t->rows;
    double *local = malloc((n + 1) * sizeof *local);
    bool *open = calloc(n + 1, sizeof *open);
    nr_code code = local && open ? NR_OK : nr_fail(err, NR_BAD, j->t->path, 0, "not enough memory");
    for (size_t r = 0; code == NR_OK && r < n; r++) {
        local[r] = j->out->at_s[r] = j->row[r].local_s;
        open[r] = j->row[r].good && !j->row[r].utc;
        j->out->zone_used = j->out->zone_used || open[r];
    }
    if (code == NR_OK && j->out->zone_used)
        code = nr_times_to_utc(j->t, j->zone, j->out->backwards, local, open, j->out->at_s, j->said,
                               err);
    free(local);
    free(open);
    return code;
}

nr_code nr_times_read(const nr_table *table, const nr_time_plan *plan, const nr_zone *zone,
                      nr_times *out, nr_import_said *said, nr_err *err)
{
    *out = (nr_times){.kind = plan->kind, .step_s = 1};
    job j = {.t = table, .plan = plan, .zone = zone, .out = out, .said = said};
    j.row = calloc(table->rows + 1, sizeof *j.row);
    out->at_s = malloc((table->rows + 1) * sizeof *out->at_s);
    nr_code code =
        j.row && out->at_s ? NR_OK : nr_fail(err, NR_BAD, table->path, 0, "not enough memory");
    for (size_t r = 0; code == NR_OK && r < table->rows; r++)
        j.row[r].good = read_row(&j, r, &j.row[r]);
    if (code == NR_OK && is_text(plan))
        code = place_text(&j, err);
    else if (code == NR_OK)
        step_of_numbers(&j);
    if (code == NR_OK)
        code = check_good(&j, err);
    if (code == NR_OK)
        find_direction(&j);
    if (code == NR_OK && plan->kind == NR_TIME_CLOCK)
        code = unwrap_clock(&j, err);
    else if (code == NR_OK && plan->kind == NR_TIME_CALENDAR && is_text(plan))
        code = check_halves(&j, err);
    for (size_t r = 0; code == NR_OK && r < table->rows; r++)
        out->at_s[r] = j.row[r].local_s;
    if (code == NR_OK && plan->kind == NR_TIME_CALENDAR)
        code = local_to_utc(&j, err);
    for (size_t r = 0; code == NR_OK && r < table->rows; r++)
        if (!j.row[r].good)
            out->at_s[r] = NAN;
    free(j.row);
    return code;
}

void nr_times_free(nr_times *times)
{
    free(times->at_s);
    times->at_s = NULL;
}
