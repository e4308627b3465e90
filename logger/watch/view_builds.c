/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several collectors side by side: a column each, and who leads. */
#include "logger/base/paragraph.h"
#include "logger/base/text.h"
#include "logger/watch/heat.h"
#include "logger/watch/view_words.h"

#include <math.h>
#include <string.h>

#define LABEL_COLUMNS 12
#define LEAST_COLUMNS 9 /* of a build; with less, the last ones are left out */
#define CELL 40

enum { NAME, WATER, RATE, HEAT, TARGET, ROWS };

typedef struct build_words {
    char name[NR_NAME];
    double water_degC, eta_s; /* NAN: not known */
    char cell[ROWS][CELL];
} build_words;

static void say_eta(const nr_tail *t, const nr_trend *trend, double target_degC, build_words *b)
{
    nr_time_to eta = nr_trend_time_to(trend, target_degC, nr_heat_slowing(&t->rig));
    char *out = b->cell[TARGET];
    if (!t->recording)
        nr_copy(out, CELL,
                nr_tail_find(t, "store")->high >= target_degC ? "reached" : "not reached");
    else if (b->water_degC >= target_degC) {
        nr_copy(out, CELL, "reached");
        b->eta_s = 0;
    } else if (eta.kind == NR_TIME_TO_AWAY)
        nr_copy(out, CELL, "cooling");
    else if (eta.kind == NR_TIME_TO_COMING && isfinite(eta.seconds)) {
        b->eta_s = eta.seconds;
        if (isfinite(eta.hi95_s) && eta.hi95_s < 36000)
            snprintf(out, CELL, "%.0f-%.0f min", eta.lo95_s / 60, eta.hi95_s / 60);
        else
            snprintf(out, CELL, "%.0f min", eta.seconds / 60);
    } else
        nr_copy(out, CELL, eta.kind == NR_TIME_TO_COMING ? "hardly" : "-");
}

static void say_build(const nr_tail *t, const nr_view_options *o, build_words *b)
{
    const nr_tail_channel *store = nr_tail_find(t, "store");
    *b = (build_words){.water_degC = NAN, .eta_s = NAN};
    nr_copy(b->name, sizeof b->name, t->rig.collector.name);
    nr_copy(b->cell[NAME], CELL, b->name);
    for (int i = WATER; i < ROWS; i++)
        nr_copy(b->cell[i], CELL, "-");
    if (!store || isnan(store->last))
        return;
    nr_trend trend = nr_trend_of(t->time_s, store->value, t->rows);
    b->water_degC = store->last;
    char water[24];
    nr_view_number(store, o->fahrenheit, store->last, water, sizeof water);
    snprintf(b->cell[WATER], CELL, "%s %s", water, nr_view_label(store, o));
    if (trend.known)
        snprintf(b->cell[RATE], CELL, "%+.2f %s", 60 * nr_kelvin_shown(trend.rate_s, o->fahrenheit),
                 nr_view_label(store, o));
    nr_heat_value heat = nr_heat_rate(&trend, nr_heat_capacity(&t->rig));
    if (!isnan(heat.value))
        snprintf(b->cell[HEAT], CELL, "%+.0f W", heat.value);
    if (!isnan(o->target_degC))
        say_eta(t, &trend, o->target_degC, b);
}

/* The two best by what is asked: time to the target, or else the water's temperature. */
static void best_two(const build_words *b, size_t count, bool by_time, size_t *first,
                     size_t *second)
{
    *first = *second = count;
    for (size_t i = 0; i < count; i++) {
        double value = by_time ? -b[i].eta_s : b[i].water_degC;
        double best = *first < count ? (by_time ? -b[*first].eta_s : b[*first].water_degC) : NAN;
        double next = *second < count ? (by_time ? -b[*second].eta_s : b[*second].water_degC) : NAN;
        if (isnan(value))
            continue;
        if (isnan(best) || value > best) {
            *second = *first;
            *first = i;
        } else if (isnan(next) || value > next)
            *second = i;
    }
}

/* As a difference is shown, to a tenth, less is none. */
#define SHOWN_APART 0.05

static void say_leader(const build_words *b, size_t count, bool recording, const nr_view_options *o,
                       char *out, size_t size)
{
    size_t first, second;
    out[0] = '\0';
    best_two(b, count, true, &first, &second);
    if (second < count && b[first].eta_s > 0) {
        double ahead_s = b[second].eta_s - b[first].eta_s;
        if (ahead_s < 60)
            snprintf(out, size, "%s and %s get there together in this sun", b[first].name,
                     b[second].name);
        else
            snprintf(out, size, "%s leads: there %.0f min before %s in this sun", b[first].name,
                     ahead_s / 60, b[second].name);
        return;
    }
    best_two(b, count, false, &first, &second);
    if (second == count)
        return;
    double ahead = nr_kelvin_shown(b[first].water_degC - b[second].water_degC, o->fahrenheit);
    if (ahead < SHOWN_APART)
        snprintf(out, size, "%s and %s %s level", b[first].name, b[second].name,
                 recording ? "are" : "ended");
    else
        snprintf(out, size, "%s %s warmest, %.1f %s above %s", b[first].name,
                 recording ? "is" : "ended", ahead, o->fahrenheit ? "°F" : "K", b[second].name);
}

/* One cell, cut and filled to so many columns. */
static void put_cell(char *line, size_t size, const char *text, int columns)
{
    size_t used = strlen(line), bytes = nr_columns_fit(text, columns - 1);
    int gap = columns - nr_columns(text, bytes);
    snprintf(line + used, size - used, "%.*s%*s", (int)bytes, text, gap, "");
}

static void put_row(const build_words *b, size_t count, int row, const char *label, int columns,
                    nr_view_line *line)
{
    line->text[0] = '\0';
    line->style = row == NAME || row == WATER ? NR_STYLE_STRONG : NR_STYLE_PLAIN;
    put_cell(line->text, sizeof line->text, label, LABEL_COLUMNS);
    for (size_t i = 0; i < count; i++)
        put_cell(line->text, sizeof line->text, b[i].cell[row], columns);
}

size_t nr_view_builds(nr_tail *t, const nr_view_options *o, int columns, nr_view_line *line,
                      size_t most)
{
    static const char *const labels[ROWS] = {"", "water", "a minute", "heat", ""};
    build_words b[NR_RIG_BUILDS];
    char target[CELL] = "", leader[NR_VIEW_WORDS];
    size_t shown = t->file.builds, lines = 0, room = (size_t)(columns > 0 ? columns : 0);
    size_t fit = room > LABEL_COLUMNS ? (room - LABEL_COLUMNS) / LEAST_COLUMNS : 0;
    for (size_t i = 0; i < t->file.builds; i++) {
        nr_tail_choose(t, i);
        say_build(t, o, &b[i]);
    }
    nr_tail_choose(t, 0);
    shown = shown < fit ? shown : fit;
    int wide = shown > 0 ? (columns - LABEL_COLUMNS) / (int)shown : 0;
    if (!isnan(o->target_degC))
        snprintf(target, sizeof target, "to %.1f %s", nr_degC_shown(o->target_degC, o->fahrenheit),
                 o->fahrenheit ? "°F" : "°C");
    for (int row = 0; row < ROWS && shown > 0 && lines < most; row++)
        if (row != TARGET || target[0])
            put_row(b, shown, row, row == TARGET ? target : labels[row], wide < 24 ? wide : 24,
                    &line[lines++]);
    say_leader(b, t->file.builds, t->recording, o, leader, sizeof leader);
    if (leader[0] && lines < most) {
        line[lines] = (nr_view_line){.style = NR_STYLE_STRONG};
        nr_copy(line[lines++].text, sizeof line->text, leader);
    }
    return lines;
}
