/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/base/text.h"
#include "logger/import/times.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char time_words[] =
    "time date timestamp datetime zeit datum uhrzeit zeitstempel zeitpunkt heure horodatage fecha "
    "hora data ora tijd tijdstip dato tid klokkeslett aika pvm cas godzina tarih saat when unix "
    "epoch ts recorded moment dt utc local clock momento instant hhmm hhmmss yyyymmdd";
static const char elapsed_words[] = "elapsed duration laufzeit dauer ecoule ecoulee transcurrido "
                                    "trascorso verstreken uptime since runtime stopwatch seconds "
                                    "minutes secs mins millis seit depuis";
static const char count_names[] =
    "time t elapsed duration laufzeit dauer ecoule ecoulee zeit "
    "temps tempo tiempo tijd transcurrido trascorso verstreken uptime "
    "since start test runtime stopwatch chrono seit depuis";

bool nr_time_has(const nr_time_plan *plan, size_t column)
{
    for (size_t i = 0; i < plan->columns; i++)
        if (plan->column[i] == column)
            return true;
    return false;
}

/* --- what a column may be -------------------------------------------------------------------- */

typedef struct survey {
    size_t dated, timed, both; /* cells with a date, a time of day, both */
    size_t numbers, whole, rising, falling;
    double lowest, highest, first;
    bool midnight_only;   /* every date has 00:00 beside it */
    bool first_of_sheets; /* dates of 1899 and 1900: a spreadsheet's bare times */
} survey;

/* 1899-12-30 10:15:00: how spreadsheets write a time of day without its date. */
static bool bare_time_of_sheet(const char *cell)
{
    return strncmp(cell, "1899-12-3", 9) == 0 || strncmp(cell, "1900-01-0", 9) == 0 ||
           strncmp(cell, "30/12/1899", 10) == 0 || strncmp(cell, "12/30/1899", 10) == 0 ||
           strncmp(cell, "30.12.1899", 10) == 0;
}

static survey survey_of(const nr_table *t, size_t c)
{
    survey s = {.lowest = INFINITY, .highest = -INFINITY, .midnight_only = true};
    double before = NAN;
    for (size_t r = 0; r < t->rows; r++) {
        nr_moment m;
        double v;
        const char *cell = nr_table_cell(t, r, c);
        if (bare_time_of_sheet(cell)) {
            s.timed++;
            s.first_of_sheets = true;
        } else if (nr_table_number(t, r, c, &v)) {
            s.first = s.numbers == 0 ? v : s.first;
            s.numbers++;
            s.whole += v == floor(v);
            s.rising += v > before;
            s.falling += v < before;
            s.lowest = fmin(s.lowest, v);
            s.highest = fmax(s.highest, v);
            before = v;
        }
        if (nr_moment_read(cell, &m)) {
            s.both += m.has_date && m.has_time;
            s.dated += m.has_date;
            s.timed += !m.has_date;
            if (m.has_time && nr_moment_time_s(&m) != 0)
                s.midnight_only = false;
        }
    }
    return s;
}

static bool nearly_all(size_t count, const nr_table *t, size_t c)
{
    return count > 0 && count * 10 >= t->column[c].filled * 9 && t->column[c].filled * 2 > t->rows;
}

static bool speaks_of_time(const nr_table_column *column)
{
    return nr_terms_any(&column->all, time_words) != NULL ||
           nr_terms_any(&column->all, elapsed_words) != NULL;
}

/* --- candidates, the leftmost wins ------------------------------------------------------------ */

typedef struct choice {
    bool found;
    nr_time_plan plan;
    size_t others; /* further complete ones to the right */
} choice;

static size_t leftmost(const nr_time_plan *plan)
{
    size_t left = plan->column[0];
    for (size_t i = 1; i < plan->columns; i++)
        left = plan->column[i] < left ? plan->column[i] : left;
    return left;
}

static void offer(choice *best, const nr_time_plan *plan)
{
    if (!best->found || leftmost(plan) < leftmost(&best->plan)) {
        best->others += best->found;
        best->plan = *plan;
        best->found = true;
    } else {
        best->others++;
    }
}

/* 1015, 101501 or a fraction of a day. */
static bool numeric_time(const survey *s)
{
    return (s->whole == s->numbers && s->lowest >= 0 && s->highest <= 240000) ||
           (s->lowest >= 0 && s->highest <= 1 && s->whole < s->numbers);
}

/* Hours of a day, whole or with a fraction, under a word for it. */
static bool is_hours(const nr_table *t, const survey *s, size_t c)
{
    return nearly_all(s[c].numbers, t, c) && s[c].lowest >= 0 && s[c].highest <= 24 &&
           s[c].highest > 1 && nr_terms_any(&t->column[c].all, "hour hours hr stunde heure hora") &&
           t->column[c].all.count <= 2;
}

/* The time of day that belongs to a column of dates: the next to the right, or else to the left. */
static bool time_beside(const nr_table *t, const survey *s, size_t date, size_t *time)
{
    for (int pass = 0; pass < 2; pass++)
        for (size_t i = 1; i < t->columns; i++) {
            size_t c = pass == 0 ? date + i : date - i;
            if ((pass == 0 && c >= t->columns) || (pass == 1 && i > date))
                break;
            bool numbers = nearly_all(s[c].numbers, t, c) && numeric_time(&s[c]) &&
                           nr_terms_any(&t->column[c].all, time_words) &&
                           t->column[c].unit.measure != NR_MEASURE_UNIT;
            numbers = numbers || is_hours(t, s, c);
            bool elapsed = nr_terms_any(&t->column[c].all, elapsed_words) != NULL;
            bool timed = nearly_all(s[c].timed, t, c) || t->column[c].dotted;
            if ((timed || numbers) && !elapsed) {
                *time = c;
                return true;
            }
        }
    return false;
}

static void offer_dates(const nr_table *t, const survey *s, choice *best)
{
    for (size_t c = 0; c < t->columns; c++) {
        nr_time_plan plan = {.from = NR_TIME_MOMENTS, .kind = NR_TIME_CALENDAR, .columns = 1};
        size_t time = 0;
        plan.column[0] = c;
        if (!nearly_all(s[c].dated, t, c) || s[c].first_of_sheets || t->column[c].dotted)
            continue;
        bool whole = nearly_all(s[c].both, t, c) && !s[c].midnight_only;
        if (!whole && time_beside(t, s, c, &time)) {
            plan.columns = 2;
            plan.column[1] = time;
            plan.hours = is_hours(t, s, time);
        } else if (!nearly_all(s[c].both, t, c)) {
            continue;
        }
        offer(best, &plan);
    }
}

static void offer_counts(const nr_table *t, const survey *s, choice *best)
{
    static const struct {
        double low, high, scale_s;
    } epochs[] = {{9e8, 4.2e9, 1}, {9e11, 4.2e12, 1e-3}, {9e14, 4.2e15, 1e-6}};
    for (size_t c = 0; c < t->columns; c++) {
        nr_time_plan plan = {.from = NR_TIME_COUNT, .kind = NR_TIME_CALENDAR, .columns = 1};
        size_t time = 0;
        plan.column[0] = c;
        if (!nearly_all(s[c].numbers, t, c) || nearly_all(s[c].dated, t, c))
            continue;
        for (size_t i = 0; i < sizeof epochs / sizeof *epochs; i++)
            if (s[c].lowest >= epochs[i].low && s[c].highest < epochs[i].high) {
                plan.scale_s = epochs[i].scale_s;
                offer(best, &plan);
            }
        bool days = s[c].lowest >= 20000 && s[c].highest < 80000 &&
                    (speaks_of_time(&t->column[c]) || (c == 0 && s[c].falling == 0)) &&
                    t->column[c].unit.measure == NR_MEASURE_NONE;
        if (!days)
            continue;
        plan.from = NR_TIME_DAY_NUMBER;
        if (s[c].whole == s[c].numbers && time_beside(t, s, c, &time)) {
            plan.columns = 2;
            plan.column[1] = time;
            plan.hours = is_hours(t, s, time);
        } else if (s[c].whole == s[c].numbers) {
            continue;
        }
        offer(best, &plan);
    }
}

/* --- year, day of the year, hhmm -------------------------------------------------------------- */

static const struct {
    nr_time_part part;
    double low, high;
    const char *words;
} part_words[] = {
    {NR_PART_YEAR, 1970, 2199, "year yr yyyy jahr ano anno annee jaar ar rok vuosi"},
    {NR_PART_MONTH, 1, 12, "month mo mon monat mes mese mois maand"},
    {NR_PART_OF_YEAR, 1, 366, "doy jday julian dayofyear yday jd ydoy"},
    {NR_PART_DAY, 1, 366, "day dy dd tag dia giorno jour dag dom"},
    {NR_PART_HHMM, 0, 2400, "hhmm hourmin hourminute time uhrzeit hora heure ora tijd"},
    {NR_PART_HOUR, 0, 24, "hour hr hh stunde hours std uur"},
    {NR_PART_MINUTE, 0, 59, "minute min mn minuto minutes mi"},
    {NR_PART_SECOND, 0, 60, "second sec ss sek seconds"},
};
#define PARTS (sizeof part_words / sizeof *part_words)

static bool is_part(const nr_table *t, const survey *s, size_t c, size_t part)
{
    const nr_terms *all = &t->column[c].all;
    if (!nearly_all(s[c].numbers, t, c) || s[c].whole < s[c].numbers ||
        s[c].lowest < part_words[part].low || s[c].highest > part_words[part].high)
        return false;
    bool of_year = nr_terms_have(all, "day") && nr_terms_have(all, "year");
    if (part_words[part].part == NR_PART_OF_YEAR && of_year)
        return true;
    if (part_words[part].part == NR_PART_HHMM && nr_terms_have(all, "hour") &&
        (nr_terms_have(all, "min") || nr_terms_have(all, "minute")))
        return true;
    if (of_year && part_words[part].part != NR_PART_OF_YEAR)
        return false;
    return all->count <= 2 && nr_terms_any(all, part_words[part].words) != NULL;
}

/* Called so and of whole numbers, but of some that no such part has: a month of 13. Without it the
 * rest would be read as another time. */
static bool is_spoiled_part(const nr_table *t, const survey *s, size_t c, size_t part)
{
    const nr_terms *all = &t->column[c].all;
    bool beyond = s[c].lowest < part_words[part].low || s[c].highest > part_words[part].high;
    return all->count == 1 && nr_terms_any(all, part_words[part].words) != NULL && beyond &&
           nearly_all(s[c].numbers, t, c) && s[c].whole == s[c].numbers;
}

/* The leftmost column of each part. */
static void offer_parts(const nr_table *t, const survey *s, choice *best)
{
    size_t column[PARTS];
    bool have[PARTS] = {0};
    nr_time_plan plan = {.from = NR_TIME_PARTS, .kind = NR_TIME_CALENDAR};
    for (size_t c = 0; c < t->columns; c++)
        for (size_t p = 0; p < PARTS; p++)
            if (!have[p] && is_part(t, s, c, p)) {
                have[p] = true;
                column[p] = c;
                break;
            }
    for (size_t c = 0; c < t->columns; c++)
        for (size_t p = 0; p < PARTS; p++)
            if (!have[p] && is_spoiled_part(t, s, c, p))
                return;
    /* Year and day without a month: the day of the year. */
    if (have[0] && have[3] && !have[1] && !have[2]) {
        have[2] = true;
        column[2] = column[3];
        have[3] = false;
    }
    bool date = have[0] && (have[2] || (have[1] && have[3]));
    if (!date || !(have[4] || have[5]))
        return;
    for (size_t p = 0; p < PARTS; p++) {
        bool wanted = have[p] && plan.columns < NR_TIME_COLUMNS &&
                      !(have[2] && (p == 1 || p == 3)) && !(have[4] && p > 4);
        if (!wanted)
            continue;
        plan.part[plan.columns] = part_words[p].part;
        plan.column[plan.columns++] = column[p];
    }
    offer(best, &plan);
}

/* --- without a date --------------------------------------------------------------------------- */

static double first_time_s(const nr_table *t, size_t c)
{
    nr_moment m;
    for (size_t r = 0; r < t->rows; r++)
        if (nr_moment_read(nr_table_cell(t, r, c), &m))
            return nr_moment_time_s(&m);
    return NAN;
}

/* h:mm:ss that starts at nothing, goes past a day, or is called elapsed. */
static nr_code clock_or_duration(const nr_table *t, nr_time_plan *plan, nr_err *err)
{
    size_t c = plan->column[0];
    const nr_table_column *column = &t->column[c];
    bool half = false, beyond = false, two = false;
    long hours = 0;
    for (size_t r = 0; r < t->rows; r++) {
        nr_moment m;
        if (!nr_moment_read(nr_table_cell(t, r, c), &m))
            continue;
        half = half || m.half != NR_HALF_NONE;
        beyond = beyond || m.has_days || m.negative || m.hour > 24;
        two = two || m.groups == 2;
        hours = m.hour > hours ? m.hour : hours;
    }
    bool called = nr_terms_any(&column->all, elapsed_words) != NULL ||
                  (column->unit.measure == NR_MEASURE_CLOCK && column->unit.minutes_first);
    bool from_zero = first_time_s(t, c) == 0; /* nobody starts exactly at midnight */
    plan->kind = !half && (called || beyond || from_zero) ? NR_TIME_ELAPSED : NR_TIME_CLOCK;
    if (plan->kind == NR_TIME_CLOCK || !two)
        return NR_OK;
    plan->minutes_first = column->unit.minutes_first || hours > 24;
    if (plan->minutes_first || column->unit.measure == NR_MEASURE_CLOCK)
        return NR_OK;
    char name[NR_HEAD];
    nr_table_name(t, c, name, sizeof name);
    return nr_fail(err, NR_BAD, t->path, nr_table_line(t, 0),
                   "\"%s\" counts from \"%s\": hours and minutes, or minutes and seconds? Say "
                   "--time-format %%H:%%M or --time-format %%M:%%S",
                   name, nr_table_cell(t, 0, c));
}

static void offer_clocks(const nr_table *t, const survey *s, choice *best)
{
    for (size_t c = 0; c < t->columns; c++) {
        nr_time_plan plan = {.from = NR_TIME_MOMENTS, .kind = NR_TIME_CLOCK, .columns = 1};
        plan.column[0] = c;
        if (nearly_all(s[c].timed, t, c))
            offer(best, &plan);
    }
}

static void offer_elapsed(const nr_table *t, const survey *s, choice *best)
{
    for (size_t c = 0; c < t->columns; c++) {
        const nr_table_column *column = &t->column[c];
        nr_time_plan plan = {.from = NR_TIME_COUNT, .kind = NR_TIME_ELAPSED, .columns = 1};
        plan.column[0] = c;
        bool counts = nearly_all(s[c].numbers, t, c) &&
                      (s[c].rising >= s[c].falling * 5 || s[c].falling >= s[c].rising * 5);
        bool named = column->terms.count == 0 || nr_terms_any(&column->terms, count_names);
        if (!counts || column->unit.measure != NR_MEASURE_TIME || !named)
            continue;
        plan.scale_s = column->unit.time_s;
        offer(best, &plan);
    }
}

/* "160526", "16052026": a date by its head, of which nobody says the order. */
static bool figures_of_date(const nr_table *t, const survey *s, size_t c)
{
    return nearly_all(s[c].numbers, t, c) && s[c].whole == s[c].numbers && s[c].lowest >= 10100 &&
           s[c].highest <= 31129999 &&
           nr_terms_any(&t->column[c].all, "date datum fecha data dato pvm");
}

static nr_code none_found(const nr_table *t, const survey *s, nr_err *err)
{
    char list[400] = "", name[NR_HEAD];
    for (size_t c = 0; c < t->columns; c++) {
        size_t used = strlen(list);
        nr_table_name(t, c, name, sizeof name);
        snprintf(list + used, sizeof list - used, "%s%s", c > 0 ? ", " : "", name);
        if (figures_of_date(t, s, c))
            return nr_fail(err, NR_BAD, t->path, nr_table_line(t, 0),
                           "\"%s\" holds dates like %s: say how they are written, such as --time "
                           "\"%s+COLUMN\" --time-format \"%s %%H%%M%%S\"",
                           name, nr_table_cell(t, 0, c), name,
                           s[c].highest > 319999 ? "%d%m%Y" : "%d%m%y");
        if (nearly_all(s[c].numbers, t, c) && s[c].rising + 1 >= s[c].numbers && s[c].numbers > 1 &&
            (speaks_of_time(&t->column[c]) || (!t->headed && c == 0)))
            return nr_fail(err, NR_BAD, t->path, nr_table_line(t, 0),
                           "\"%s\" counts from %s, but not what: say --time %zu with --time-format "
                           "s, min, h or ms",
                           name, nr_table_cell(t, 0, c), c + 1);
        if (nearly_all(s[c].dated, t, c))
            return nr_fail(err, NR_BAD, t->path, nr_table_line(t, 0),
                           "\"%s\" has dates, but no column has the time of day; name it with "
                           "--time \"%s+COLUMN\"",
                           name, name);
    }
    return nr_fail(err, NR_BAD, t->path, 0,
                   "has no column that can be read as a time (its columns: %s); name it with "
                   "--time COLUMN and say how it is written with --time-format",
                   list);
}

static nr_code find_plan(const nr_table *t, const survey *s, nr_time_plan *out,
                         nr_import_said *said, nr_err *err)
{
    choice best = {0};
    offer_dates(t, s, &best);
    offer_counts(t, s, &best);
    offer_parts(t, s, &best);
    bool dated = best.found;
    if (!best.found)
        offer_clocks(t, s, &best);
    if (!best.found)
        offer_elapsed(t, s, &best);
    if (!best.found)
        return none_found(t, s, err);
    *out = best.plan;
    char name[NR_HEAD];
    nr_table_name(t, leftmost(out), name, sizeof name);
    if (best.others > 0)
        nr_import_say(said, "%zu columns say the time; the leftmost counts: %s", best.others + 1,
                      name);
    if (!dated && out->from == NR_TIME_MOMENTS)
        return clock_or_duration(t, out, err);
    return NR_OK;
}

/* --- as the user says --------------------------------------------------------------------------
 */

static nr_code named_columns(const nr_table *t, const char *text, nr_time_plan *out, nr_err *err)
{
    char copy[400], shown[120];
    out->columns = 1;
    if (nr_table_find(t, text, &out->column[0]) == 1)
        return NR_OK;
    out->columns = 0;
    if (!nr_copy(copy, sizeof copy, text))
        return nr_fail(err, NR_BAD, t->path, 0, "--time is too long");
    char *rest = copy;
    for (char *name; (name = strsep(&rest, "+")) != NULL;) {
        size_t found = 0;
        nr_trim(name);
        nr_clean(shown, sizeof shown, name, strlen(name));
        if (out->columns == NR_TIME_COLUMNS)
            return nr_fail(err, NR_BAD, t->path, 0, "--time joins at most %d columns",
                           NR_TIME_COLUMNS);
        found = nr_table_find(t, name, &out->column[out->columns]);
        if (found == 0)
            return nr_fail(err, NR_BAD, t->path, 0,
                           "--time: there is no column \"%s\"; columns are named by their head or "
                           "their number, 1 to %zu",
                           shown, t->columns);
        if (found > 1)
            return nr_fail(err, NR_BAD, t->path, 0,
                           "--time: %zu columns are called \"%s\"; name it by its number", found,
                           shown);
        out->columns++;
    }
    return NR_OK;
}

static bool word_format(const char *format, nr_time_plan *plan)
{
    static const struct {
        const char *word;
        nr_time_kind kind;
        double scale_s;
    } words[] = {{"s", NR_TIME_ELAPSED, 1},           {"sec", NR_TIME_ELAPSED, 1},
                 {"min", NR_TIME_ELAPSED, 60},        {"h", NR_TIME_ELAPSED, 3600},
                 {"ms", NR_TIME_ELAPSED, 1e-3},       {"d", NR_TIME_ELAPSED, 86400},
                 {"epoch", NR_TIME_CALENDAR, 1},      {"%s", NR_TIME_CALENDAR, 1},
                 {"epoch-ms", NR_TIME_CALENDAR, 1e-3}};
    if (strcmp(format, "days") == 0) {
        plan->from = NR_TIME_DAY_NUMBER;
        plan->kind = NR_TIME_CALENDAR;
        return true;
    }
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (strcmp(words[i].word, format) == 0) {
            plan->from = NR_TIME_COUNT;
            plan->kind = words[i].kind;
            plan->scale_s = words[i].scale_s;
            return true;
        }
    return false;
}

/* Columns for a pattern that came without them: the first that it fits, or two neighbours. */
static bool columns_for_pattern(const nr_table *t, nr_time_plan *plan)
{
    for (size_t width = 1; width <= 3; width++)
        for (size_t c = 0; c + width <= t->columns; c++) {
            size_t good = 0;
            for (size_t r = 0; r < t->rows; r++) {
                char joined[200];
                nr_moment m;
                snprintf(joined, sizeof joined, "%s %s %s", nr_table_cell(t, r, c),
                         width > 1 ? nr_table_cell(t, r, c + 1) : "",
                         width > 2 ? nr_table_cell(t, r, c + 2) : "");
                good += nr_moment_by(joined, plan->pattern, &m);
            }
            if (good * 10 < t->rows * 9)
                continue;
            plan->columns = width;
            for (size_t i = 0; i < width; i++)
                plan->column[i] = c + i;
            return true;
        }
    return false;
}

static bool has_letter(const char *pattern, const char *letters)
{
    for (const char *p = pattern; (p = strchr(p, '%')) != NULL && p[1]; p += 2)
        if (strchr(letters, p[1]))
            return true;
    return false;
}

/* A duration's h:mm, h:mm:ss or m:ss, whose first number knows no limit. */
static bool duration_format(const char *format, nr_time_plan *plan)
{
    static const char *const hours[] = {"%H:%M", "%H:%M:%S", "%R", "%T"};
    bool minutes = strcmp(format, "%M:%S") == 0, of_hours = false;
    for (size_t i = 0; i < sizeof hours / sizeof *hours; i++)
        of_hours = of_hours || strcmp(format, hours[i]) == 0;
    if (plan->columns != 1 || plan->from != NR_TIME_MOMENTS ||
        !(minutes || (of_hours && plan->kind == NR_TIME_ELAPSED)))
        return false;
    plan->kind = NR_TIME_ELAPSED;
    plan->minutes_first = minutes;
    return true;
}

static nr_code by_format(const nr_table *t, const char *format, bool columns_known,
                         nr_time_plan *plan, nr_err *err)
{
    char shown[80];
    nr_clean(shown, sizeof shown, format, strlen(format));
    if (word_format(format, plan))
        return columns_known
                   ? NR_OK
                   : nr_fail(err, NR_BAD, t->path, 0,
                             "--time-format %s wants the column's name: --time COLUMN", shown);
    if (!strchr(format, '%'))
        return nr_fail(err, NR_BAD, t->path, 0,
                       "--time-format \"%s\": wants a pattern like \"%%d/%%m/%%Y %%H:%%M\", or s, "
                       "min, h, ms, epoch, epoch-ms, days",
                       shown);
    if (duration_format(format, plan))
        return NR_OK;
    plan->from = NR_TIME_PATTERN;
    if (!nr_copy(plan->pattern, sizeof plan->pattern, format))
        return nr_fail(err, NR_BAD, t->path, 0, "--time-format is too long");
    plan->kind = has_letter(format, "YyjdsDF") ? NR_TIME_CALENDAR : NR_TIME_CLOCK;
    if (plan->kind == NR_TIME_CLOCK && !has_letter(format, "HIRT")) {
        plan->kind = NR_TIME_ELAPSED;
        plan->minutes_first = true;
    }
    if (!columns_known && !columns_for_pattern(t, plan))
        return nr_fail(err, NR_BAD, t->path, nr_table_line(t, 0),
                       "no column is written as --time-format \"%s\" says", shown);
    return NR_OK;
}

/* Named columns without a format: what they can be taken for. */
static nr_code understand_named(const nr_table *t, const survey *s, nr_time_plan *plan,
                                nr_import_said *said, nr_err *err)
{
    nr_table part = *t;
    nr_table_column *columns = calloc(t->columns, sizeof *columns);
    survey *all = calloc(t->columns, sizeof *all);
    nr_code code = NR_OK;
    nr_time_plan named = *plan;
    if (!columns || !all) {
        code = nr_fail(err, NR_BAD, t->path, 0, "not enough memory");
    } else {
        /* The same search, with every other column hidden. */
        for (size_t i = 0; i < named.columns; i++) {
            columns[named.column[i]] = t->column[named.column[i]];
            all[named.column[i]] = s[named.column[i]];
        }
        part.column = columns;
        code = find_plan(&part, all, plan, said, err);
    }
    free(columns);
    free(all);
    bool all_used = code == NR_OK && plan->columns == named.columns;
    if (all_used)
        return NR_OK;
    if (code == NR_OK) { /* "Date+Time" written so that only both together can be read */
        *plan = named;
        plan->from = NR_TIME_MOMENTS;
        plan->kind = NR_TIME_CALENDAR;
    }
    return code;
}

nr_code nr_times_plan(const nr_table *t, const nr_time_stated *stated, nr_time_plan *out,
                      nr_import_said *said, nr_err *err)
{
    bool columns = stated->columns && stated->columns[0];
    bool format = stated->format && stated->format[0];
    survey *s = calloc(t->columns, sizeof *s);
    nr_code code = s ? NR_OK : nr_fail(err, NR_BAD, t->path, 0, "not enough memory");
    *out = (nr_time_plan){.from = NR_TIME_MOMENTS};
    for (size_t c = 0; s && c < t->columns; c++)
        s[c] = survey_of(t, c);
    if (code == NR_OK && columns)
        code = named_columns(t, stated->columns, out, err);
    if (code == NR_OK && format) {
        nr_time_plan found = {.columns = 0};
        nr_import_said quiet = {0};
        bool known = columns;
        /* Also where it only asks hours or minutes: the columns are found by then. */
        if (!columns) {
            find_plan(t, s, &found, &quiet, NULL);
            known = found.columns > 0 && found.from == NR_TIME_MOMENTS;
            *out = known ? found : *out;
        }
        code = by_format(t, stated->format, known, out, err);
    } else if (code == NR_OK && columns) {
        code = understand_named(t, s, out, said, err);
    } else if (code == NR_OK) {
        code = find_plan(t, s, out, said, err);
    }
    free(s);
    return code;
}
