/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/import.h"

#include "logger/base/order.h"
#include "logger/base/text.h"
#include "logger/import/codes.h"
#include "logger/import/role_words.h"
#include "logger/import/table_doubts.h"
#include "logger/import/zone_told.h"
#include "logger/record/reading.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define DAY_S 86400.0

/* --- text, table, times ---------------------------------------------------------------------- */

static void say_table(nr_imported *out)
{
    const nr_table *t = &out->table;
    if (strcmp(out->encoding, "UTF-8") != 0)
        nr_import_say(&out->said, "the text is %s", out->encoding);
    if (t->grid.separator != ',' || t->decimal != '.')
        nr_import_say(&out->said, "cells are parted by %s, numbers have a decimal %s",
                      t->grid.separator == ' ' ? "blanks" : nr_separator_word(t->grid.separator),
                      t->decimal == ',' ? "comma" : "point");
    if (!t->headed)
        nr_import_say(&out->said,
                      "the table has no head: columns are named by their number from 1");
    if (t->before > 0)
        nr_import_say(&out->said, "%zu line%s before the head left out", t->before,
                      t->before == 1 ? "" : "s");
    if (t->repeated > 0)
        nr_import_say(&out->said, "the head is there again %zu time%s: left out", t->repeated,
                      t->repeated == 1 ? "" : "s");
    if (t->strange > 0)
        nr_import_say(&out->said, "%zu line%s no reading%s and left out, the first is line %ld",
                      t->strange, t->strange == 1 ? " is" : "s are", t->strange == 1 ? "" : "s",
                      t->first_strange);
}

/* 5/16/2026 can be read in one way only; 5/6/2026 cannot. */
static bool certain_date(nr_moment *m)
{
    if (!m->has_date || m->sure)
        return m->has_date;
    int year = m->part[2] < 100 ? 2000 + m->part[2] : m->part[2];
    bool day_first = nr_date_exists(year, m->part[1], m->part[0]);
    bool month_first = nr_date_exists(year, m->part[0], m->part[1]);
    if (day_first && month_first && m->part[0] != m->part[1] && m->between != '.')
        return false;
    m->year = year;
    m->month = m->part[day_first ? 1 : 0];
    m->day = m->part[day_first ? 0 : 1];
    return day_first || month_first;
}

/* A date above the head: "Date: 2026-05-16" and the like. Two of them are none. */
static bool date_above(const nr_table *t, double *local_s, char *shown, size_t size)
{
    static const char words[] = "date datum fecha data day start started begin beginn debut inicio "
                                "inizio tag jour dia giorno";
    size_t found = 0;
    double date_s = 0;
    for (size_t r = 0; r < t->before && r < t->grid.rows; r++) {
        char folded[NR_FOLDED], line[400] = "";
        nr_terms terms;
        nr_moment m;
        for (size_t c = 0; c < t->grid.row[r].count && strlen(line) < 300; c++) {
            snprintf(line + strlen(line), sizeof line - strlen(line), "%s%.100s", c ? " " : "",
                     nr_cells_at(&t->grid, r, c));
        }
        nr_fold(line, folded, sizeof folded);
        nr_terms_of(folded, &terms);
        char *value = strpbrk(line, ":0123456789");
        if (value && *value == ':')
            value++;
        if (!value || !nr_terms_any(&terms, words) ||
            !nr_moment_read(value + strspn(value, " "), &m) || !certain_date(&m))
            continue;
        date_s = nr_days_s(m.year, m.month, m.day) + nr_moment_time_s(&m);
        nr_copy(shown, size, line);
        found++;
    }
    if (found == 1)
        *local_s = date_s;
    return found == 1;
}

static nr_code find_start(const nr_import_stated *stated, nr_imported *out, double *local_s,
                          bool *known, nr_err *err)
{
    nr_moment m;
    char shown[160];
    *known = false;
    *local_s = 0;
    if (stated->start && stated->start[0]) {
        if (!nr_moment_read(stated->start, &m) || !certain_date(&m))
            return nr_fail(err, NR_BAD, NULL, 0,
                           "--start wants a date and a time like \"2026-05-16 10:15\"");
        *local_s = nr_days_s(m.year, m.month, m.day) + nr_moment_time_s(&m);
        *known = true;
    } else if (date_above(&out->table, local_s, shown, sizeof shown)) {
        nr_import_say(&out->said, "the date is from above the head: %s", shown);
        *known = true;
    }
    return NR_OK;
}

static double local_to_utc(const nr_zone *zone, double local_s)
{
    double utc_s[2];
    return nr_zone_utc(zone, local_s, utc_s) > 0 ? utc_s[0] : local_s;
}

/* Where elapsed 0 lies on the calendar. */
static nr_code find_zero(const nr_import_stated *stated, nr_imported *out, nr_err *err)
{
    double first = out->rows.at_s[0], local_s;
    bool known;
    if (out->times.kind == NR_TIME_CALENDAR) {
        out->zero_utc_s = first;
        out->dated = true;
        if (out->times.zone_used)
            nr_import_say(&out->said, "times are by the clocks of %s%s", out->zone.name,
                          stated->zone && stated->zone[0] ? ""
                          : out->zone_told ? ", as the table says (--zone says another)"
                                           : ", as this computer is set (--zone says another)");
        return NR_OK;
    }
    nr_code code = find_start(stated, out, &local_s, &known, err);
    if (code != NR_OK)
        return code;
    out->dated = known;
    bool clock = out->times.kind == NR_TIME_CLOCK;
    if (clock)
        local_s = floor(local_s / DAY_S) * DAY_S + first;
    out->zero_utc_s = known ? local_to_utc(&out->zone, local_s) : local_s;
    if (!known)
        nr_import_say(
            &out->said,
            "the table has %s: time_utc counts from 1970-01-01; where the sun stood is not "
            "known (--start \"2026-05-16 10:15\" says when it began)",
            clock ? "times of day without a date" : "no date, only the time since its start");
    /* A count that has run for a day before is no time since the start. */
    if (!clock && first >= 0 && first < DAY_S)
        out->zero_utc_s -= known ? first : 0;
    return NR_OK;
}

static nr_code set_elapsed(nr_imported *out, nr_err *err)
{
    size_t n = out->rows.count;
    double first = out->rows.at_s[0];
    bool as_it_is = out->times.kind == NR_TIME_ELAPSED && first >= 0 && first < DAY_S;
    out->elapsed_s = malloc((n + 1) * sizeof *out->elapsed_s);
    if (!out->elapsed_s)
        return nr_fail(err, NR_BAD, out->table.path, 0, "not enough memory");
    for (size_t i = 0; i < n; i++)
        out->elapsed_s[i] = round((out->rows.at_s[i] - (as_it_is ? 0 : first)) * 1000) / 1000;
    if (out->elapsed_s[n - 1] > 1e9)
        return nr_fail(err, NR_BAD, out->table.path, 0,
                       "its times span more than thirty years: some of them are wrong, or they are "
                       "not read as they are meant; say --time and --time-format");
    return NR_OK;
}

/* What the user states counts, then what the table says, then this computer. */
static nr_code find_zone(const nr_import_stated *stated, nr_imported *out, nr_err *err)
{
    char told[NR_ZONE];
    nr_zone by_table;
    bool asked = stated->zone && stated->zone[0];
    nr_zone_told(&out->table, &out->plan, told);
    out->zone_told = !asked && told[0];
    nr_code code = nr_zone_find(out->zone_told ? told : stated->zone, &out->zone, err);
    if (code == NR_OK && asked && told[0] && nr_zone_find(told, &by_table, NULL) == NR_OK &&
        strcmp(by_table.name, out->zone.name) != 0)
        nr_import_say(&out->said,
                      "the table says that its times are of %s; --zone %s was asked for and counts",
                      by_table.name, out->zone.name);
    return code;
}

nr_code nr_import_table(const char *bytes, size_t length, const char *path,
                        const nr_import_stated *stated, nr_imported *out, nr_err *err)
{
    nr_decoded text;
    memset(out, 0, sizeof *out);
    nr_code code = nr_decode(bytes, length, path, &text, err);
    if (code != NR_OK)
        return code;
    out->encoding = text.encoding;
    code = nr_table_read(text.text, text.length, path, stated->skip, &out->table, err);
    free(text.text);
    if (code == NR_OK)
        code = nr_table_doubts(&out->table, err);
    if (code != NR_OK)
        return code;
    say_table(out);
    const nr_time_stated time = {.columns = stated->time, .format = stated->format};
    code = nr_times_plan(&out->table, &time, &out->plan, &out->said, err);
    if (code == NR_OK)
        code = find_zone(stated, out, err);
    if (code == NR_OK)
        code = nr_times_read(&out->table, &out->plan, &out->zone, &out->times, &out->said, err);
    if (code == NR_OK)
        code = nr_rows_order(&out->table, &out->times, &out->rows, &out->said, err);
    if (code == NR_OK)
        code = find_zero(stated, out, err);
    return code == NR_OK ? set_elapsed(out, err) : code;
}

/* --- readings -------------------------------------------------------------------------------- */

typedef struct filling {
    const nr_rig *rig;
    nr_imported *out;
    double *column; /* [rows.count] of the channel at hand, as in the table */
    nr_codes codes;
} filling;

static const nr_unit *unit_of(const filling *f, size_t channel)
{
    const nr_matched *m = &f->out->match.of[channel];
    if (m->by_law)
        return NULL;
    return m->unit.measure == NR_MEASURE_UNIT ? m->unit.unit : f->rig->channel[channel].unit;
}

static void load(filling *f, size_t column)
{
    for (size_t i = 0; i < f->out->rows.count; i++)
        if (!nr_table_number(&f->out->table, f->out->rows.row[i], column, &f->column[i]))
            f->column[i] = NAN;
}

static double cold_of(const filling *f, const nr_rig_channel *channel, size_t row)
{
    for (size_t i = 0; channel->cold_channel[0] && i < f->rig->channels; i++)
        if (strcmp(f->rig->channel[i].name, channel->cold_channel) == 0)
            return f->out->value[row * f->rig->channels + i];
    return nr_reading_cold_key(channel);
}

static void say_dropped(filling *f, size_t channel, size_t codes, double example, size_t outside)
{
    const char *name = f->rig->channel[channel].name;
    char number[40];
    nr_format_number(number, sizeof number, example, -1);
    if (codes > 0)
        nr_import_say(&f->out->said, "%s: %zu time%s a code for no reading (%s): left empty", name,
                      codes, codes == 1 ? "" : "s", number);
    if (outside > 0)
        nr_import_say(&f->out->said,
                      "%s: %zu value%s beyond its low or high, or none its `convert` answers: left "
                      "empty",
                      name, outside, outside == 1 ? "" : "s");
}

static void say_text(filling *f, size_t channel, size_t column)
{
    const nr_table *t = &f->out->table;
    size_t words = 0;
    char shown[60] = "";
    for (size_t i = 0; i < f->out->rows.count; i++) {
        const char *cell = nr_table_cell(t, f->out->rows.row[i], column);
        double v;
        if (!cell[0] || nr_table_number(t, f->out->rows.row[i], column, &v))
            continue;
        if (words++ == 0)
            nr_clean(shown, sizeof shown, cell, strlen(cell));
    }
    if (words > 0)
        nr_import_say(&f->out->said, "%s: %zu cell%s with text (\"%s\"): left empty",
                      f->rig->channel[channel].name, words, words == 1 ? "" : "s", shown);
}

/* A bucket is not at 68 degC to begin with, nor is the air: numbers in degF. */
static void doubt_unit(filling *f, size_t channel)
{
    const nr_matched *m = &f->out->match.of[channel];
    const nr_rig_channel *ch = &f->rig->channel[channel];
    const char *role = nr_match_channel_role(ch);
    bool water = strcmp(role, "store") == 0, air = strcmp(role, "air") == 0;
    size_t n = 0;
    if (m->unit.measure != NR_MEASURE_NONE || strcmp(ch->unit->name, "degC") != 0 ||
        !(water || air || strcmp(role, "inlet") == 0))
        return;
    double *sorted = malloc((f->out->rows.count + 1) * sizeof *sorted);
    for (size_t i = 0; sorted && i < f->out->rows.count; i++)
        if (isfinite(f->column[i]))
            sorted[n++] = f->column[i];
    if (sorted && n > 0) {
        qsort(sorted, n, sizeof *sorted, nr_ascending);
        double low = sorted[n / 10];
        if (low > (air ? 50 : 60))
            nr_import_say(
                &f->out->said,
                "%s: numbers like %.3g look like degF, but the channel is in degC and the "
                "table names no unit; if so, say --map \"%zu=%s degF\"",
                ch->name, sorted[n / 2], m->column + 1, ch->name);
    }
    free(sorted);
}

static void fill(filling *f, size_t channel)
{
    const nr_matched *m = &f->out->match.of[channel];
    const nr_rig_channel *ch = &f->rig->channel[channel];
    const nr_unit *unit = unit_of(f, channel);
    size_t channels = f->rig->channels, outside = 0;
    double example = 0;
    load(f, m->column);
    size_t codes = nr_codes_drop(&f->codes, f->column, f->out->rows.count, unit, &example);
    for (size_t i = 0; i < f->out->rows.count; i++) {
        double v = f->column[i];
        if (!isfinite(v))
            continue;
        f->out->first[channel] = isfinite(f->out->first[channel]) ? f->out->first[channel] : v;
        f->out->last[channel] = v;
        double *to = &f->out->value[i * channels + channel];
        *to = m->by_law ? nr_reading_by_law(ch, v, cold_of(f, ch, i))
                        : nr_reading_accept(ch, nr_unit_to_canonical(unit, v));
        outside += isfinite(*to) ? 0 : 1;
    }
    say_dropped(f, channel, codes, example, outside);
    say_text(f, channel, m->column);
    doubt_unit(f, channel);
    if (!isfinite(f->out->first[channel]))
        nr_import_say(&f->out->said, "%s: no reading in the whole column; it stays empty",
                      ch->name);
}

static void say_left_out(nr_imported *out, const nr_rig *rig)
{
    char list[240] = "", name[NR_HEAD];
    size_t count = 0;
    for (size_t c = 0; c < out->table.columns; c++) {
        bool used = nr_time_has(&out->plan, c) || out->table.column[c].filled == 0;
        for (size_t ch = 0; ch < rig->channels; ch++)
            used = used || out->match.of[ch].column == c;
        if (used)
            continue;
        size_t length = strlen(list);
        nr_table_name(&out->table, c, name, sizeof name);
        bool strange = strncmp(out->table.column[c].unit.word, "a unit", 6) == 0;
        snprintf(list + length, sizeof list - length, "%s%s%s", length ? ", " : "", name,
                 strange ? " (its unit is not known here)" : "");
        count++;
    }
    if (count > 0)
        nr_import_say(&out->said, "column%s without a channel, left out: %s", count == 1 ? "" : "s",
                      list);
    list[0] = '\0';
    for (size_t ch = 0; ch < rig->channels; ch++) {
        size_t length = strlen(list);
        if (out->match.of[ch].column == NR_NO_COLUMN && !rig->channel[ch].law->stated)
            snprintf(list + length, sizeof list - length, "%s%s", length ? ", " : "",
                     rig->channel[ch].name);
    }
    if (list[0])
        nr_import_say(&out->said, "no column for: %s; left empty", list);
}

/* A horizontal sensor's column for a channel that does not say so. */
static void say_plane(nr_imported *out, const nr_rig *rig)
{
    for (size_t ch = 0; ch < rig->channels; ch++) {
        size_t c = out->match.of[ch].column;
        if (c != NR_NO_COLUMN && rig->channel[ch].plane != NR_PLANE_HORIZONTAL &&
            strcmp(nr_match_channel_role(&rig->channel[ch]), "sun") == 0 &&
            nr_terms_any(&out->table.column[c].terms, "ghi horizontal global"))
            nr_import_say(&out->said,
                          "%s: \"%s\" is on the horizontal, as a weather station measures; say "
                          "`plane = horizontal` in [channel %s]",
                          rig->channel[ch].name, out->table.column[c].head, rig->channel[ch].name);
    }
}

/* Noon by the zone's clocks against noon by the sun at the site. */
static void say_zone_doubt(nr_imported *out, const nr_rig *rig)
{
    if (!out->dated || !out->times.zone_used || !rig->longitude_deg.given)
        return;
    double utc_s[2] = {0};
    if (nr_zone_utc(&out->zone, out->zero_utc_s, utc_s) == 0)
        return;
    double offset_h = (out->zero_utc_s - utc_s[0]) / 3600;
    double sun_h = rig->longitude_deg.value / 15;
    if (fabs(offset_h - sun_h) > 3.5)
        nr_import_say(&out->said,
                      "noon by the clocks of %s is %.0f hours from the sun's noon at the site "
                      "(longitude %.4g): is the zone right? --zone",
                      out->zone.name, fabs(offset_h - sun_h), rig->longitude_deg.value);
}

static nr_code fill_all(const nr_rig *rig, nr_imported *out, nr_err *err)
{
    size_t rows = out->rows.count, channels = rig->channels;
    filling f = {.rig = rig, .out = out};
    out->value = malloc((rows * channels + 1) * sizeof *out->value);
    f.column = malloc((rows + 1) * sizeof *f.column);
    if (!out->value || !f.column) {
        free(f.column);
        return nr_fail(err, NR_BAD, out->table.path, 0, "not enough memory");
    }
    for (size_t i = 0; i < rows * channels; i++)
        out->value[i] = NAN;
    for (size_t ch = 0; ch < channels; ch++) {
        out->first[ch] = out->last[ch] = NAN;
        for (size_t i = 0; rig->channel[ch].law->stated && i < rows; i++)
            out->value[i * channels + ch] = nr_reading_by_law(&rig->channel[ch], NAN, NAN);
        if (out->match.of[ch].column == NR_NO_COLUMN)
            continue;
        load(&f, out->match.of[ch].column);
        nr_codes_look(&f.codes, f.column, rows, unit_of(&f, ch));
    }
    for (int pass = 0; pass < 2; pass++) /* thermocouples after their cold ends */
        for (size_t ch = 0; ch < channels; ch++)
            if (out->match.of[ch].column != NR_NO_COLUMN && out->match.of[ch].by_law == (pass == 1))
                fill(&f, ch);
    free(f.column);
    say_left_out(out, rig);
    say_plane(out, rig);
    say_zone_doubt(out, rig);
    return NR_OK;
}

nr_code nr_import_read(const char *bytes, size_t length, const char *path, const nr_rig *rig,
                       const nr_import_stated *stated, nr_imported *out, nr_err *err)
{
    nr_code code = nr_import_table(bytes, length, path, stated, out, err);
    if (code == NR_OK)
        code = nr_match_columns(&out->table, &out->plan, rig, stated->map, stated->maps,
                                &out->match, &out->said, err);
    return code == NR_OK ? fill_all(rig, out, err) : code;
}

void nr_imported_free(nr_imported *out)
{
    nr_table_free(&out->table);
    nr_times_free(&out->times);
    nr_ordered_free(&out->rows);
    free(out->elapsed_s);
    free(out->value);
    out->elapsed_s = out->value = NULL;
}

const char *nr_imported_unit(const nr_imported *out, const nr_rig *rig, size_t channel)
{
    const nr_matched *m = &out->match.of[channel];
    if (m->by_law)
        return m->unit.unit ? m->unit.unit->name : "";
    return m->unit.measure == NR_MEASURE_UNIT ? m->unit.unit->name
                                              : rig->channel[channel].unit->name;
}

void nr_imported_time(const nr_imported *imported, char *out, size_t size)
{
    size_t used = 0;
    out[0] = '\0';
    for (size_t i = 0; i < imported->plan.columns; i++) {
        char name[NR_HEAD];
        nr_table_name(&imported->table, imported->plan.column[i], name, sizeof name);
        used = strlen(out);
        snprintf(out + used, size - used, "%s%s", i > 0 ? "+" : "", name);
    }
    used = strlen(out);
    snprintf(out + used, size - used, "%s%s", imported->times.order[0] ? ", " : "",
             imported->times.order);
}
