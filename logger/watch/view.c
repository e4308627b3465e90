/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/watch/view_words.h"

#include "logger/base/paragraph.h"
#include "logger/base/text.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* From this size on the temperature is drawn large, with words beside it. */
#define LARGE_COLUMNS 78
#define LARGE_ROWS 16
/* From this width on the table has all its columns; below the second, no rates. */
#define WIDE_COLUMNS 64
#define NARROW_COLUMNS 36
/* From this height on there is room for what noonfit says and for the course. */
#define TALL_ROWS 20
#define GLYPH_ROWS 5
#define BESIDE 34 /* column where the words beside the large number begin */

int nr_view_width(const char *text)
{
    return nr_columns(text, strlen(text));
}

/* --- the canvas ---------------------------------------------------------------------------- */

typedef struct canvas {
    nr_view *view;
    const nr_view_options *options;
    int columns;
    size_t rows;
} canvas;

static void cut(char *text, int columns)
{
    text[nr_columns_fit(text, columns)] = '\0';
}

static void to_ascii(char *text)
{
    char *to = text;
    for (const char *p = text; *p; p++) {
        unsigned char c = (unsigned char)*p;
        if (c < 0x80)
            *to++ = *p;
        else if ((c & 0xC0) != 0x80)
            *to++ = '?';
    }
    *to = '\0';
}

static void add(canvas *c, nr_view_style style, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

static void add(canvas *c, nr_view_style style, const char *format, ...)
{
    va_list args;
    if (c->view->count == c->rows)
        return;
    nr_view_line *line = &c->view->line[c->view->count++];
    va_start(args, format);
    vsnprintf(line->text, sizeof line->text, format, args);
    va_end(args);
    line->style = style;
    if (!c->options->utf8)
        to_ascii(line->text);
    cut(line->text, c->columns);
}

/* Left and right on one line; the left one is cut when there is no room for both. */
static void add_apart(canvas *c, nr_view_style style, const char *left, const char *right)
{
    char kept[NR_VIEW_BYTES];
    int room = c->columns - nr_view_width(right) - 2;
    nr_copy(kept, sizeof kept, left);
    if (nr_view_width(kept) > room) {
        const char *dots = c->options->utf8 ? "…" : "...";
        int end = nr_view_width(dots);
        cut(kept, room > end ? room - end : 0);
        if (room > end)
            snprintf(kept + strlen(kept), sizeof kept - strlen(kept), "%s", dots);
    }
    int gap = c->columns - nr_view_width(kept) - nr_view_width(right);
    add(c, style, "%s%*s%s", kept, gap > 0 ? gap : 0, "", right);
}

/* A long sentence over several lines, at blanks. */
static void add_wrapped(canvas *c, nr_view_style style, const char *text)
{
    while (*text && c->view->count < c->rows) {
        char line[NR_VIEW_BYTES];
        nr_copy(line, sizeof line, text);
        cut(line, c->columns);
        size_t taken = strlen(line);
        if (text[taken]) {
            char *blank = strrchr(line, ' ');
            if (blank && blank > line) {
                *blank = '\0';
                taken = (size_t)(blank - line) + 1;
            }
        }
        add(c, style, "%s", line);
        text += taken;
    }
}

static size_t left(const canvas *c)
{
    return c->rows - c->view->count;
}

/* --- the large number ---------------------------------------------------------------------- */

/* 3 x 5 dots; each row three bits. */
static const unsigned char digit_dots[10][GLYPH_ROWS] = {
    {7, 5, 5, 5, 7}, {2, 6, 2, 2, 7}, {7, 1, 7, 4, 7}, {7, 1, 7, 1, 7}, {5, 5, 7, 1, 1},
    {7, 4, 7, 1, 7}, {7, 4, 7, 5, 7}, {7, 1, 1, 2, 2}, {7, 5, 7, 5, 7}, {7, 5, 7, 1, 7}};
static const unsigned char minus_dots[GLYPH_ROWS] = {0, 0, 7, 0, 0};

static void glyph(char *out, size_t size, char c, int row, bool utf8)
{
    size_t used = strlen(out);
    int dots = 3, bits = 0;
    if (c == '.') {
        dots = 1;
        bits = row == GLYPH_ROWS - 1;
    } else if (c >= '0' && c <= '9') {
        bits = digit_dots[c - '0'][row];
    } else {
        bits = minus_dots[row];
    }
    for (int i = dots - 1; i >= 0; i--) {
        const char *dot = bits >> i & 1 ? (utf8 ? "██" : "##") : "  ";
        used += (size_t)snprintf(out + used, size - used, "%s", dot);
    }
    snprintf(out + used, size - used, " ");
}

static void large_number(canvas *c, const nr_view_words *w)
{
    char water[NR_VIEW_WORDS + 24];
    snprintf(water, sizeof water, "water in the store%s%s", w->heat[0] ? ": " : "", w->heat);
    const char *beside[GLYPH_ROWS] = {water, w->rate, w->target, w->sun, w->pump};
    if (!w->target[0]) { /* close the gap */
        beside[2] = w->sun;
        beside[3] = w->pump;
        beside[4] = "";
    }
    for (int row = 0; row < GLYPH_ROWS; row++) {
        char text[NR_VIEW_BYTES] = "  ";
        for (const char *p = w->water; *p; p++)
            glyph(text, sizeof text, *p, row, c->options->utf8);
        size_t used = strlen(text);
        if (row == 0)
            used += (size_t)snprintf(text + used, sizeof text - used, "%s", w->unit);
        int gap = BESIDE - nr_view_width(text);
        snprintf(text + used, sizeof text - used, "%*s%s", gap > 1 ? gap : 1, "", beside[row]);
        add(c, row == 1 || row == 2 ? NR_STYLE_STRONG : NR_STYLE_PLAIN, "%s", text);
    }
}

static void small_number(canvas *c, const nr_view_words *w)
{
    char rate[NR_VIEW_WORDS];
    nr_copy(rate, sizeof rate, w->rate);
    if (nr_view_width(rate) > c->columns) /* the number without its interval */
        rate[strcspn(rate, "(")] = '\0';
    add(c, NR_STYLE_STRONG, "water %s %s", w->water, w->unit);
    add(c, NR_STYLE_PLAIN, "%s", rate);
    if (w->heat[0] && c->rows >= 12)
        add(c, NR_STYLE_PLAIN, "%s", w->heat);
    if (w->target[0])
        add_wrapped(c, NR_STYLE_STRONG, w->target);
    if (w->sun[0] && w->pump[0] && nr_view_width(w->sun) + nr_view_width(w->pump) + 3 <= c->columns)
        add(c, NR_STYLE_PLAIN, "%s   %s", w->sun, w->pump);
    else {
        if (w->sun[0])
            add(c, NR_STYLE_PLAIN, "%s", w->sun);
        if (w->pump[0])
            add(c, NR_STYLE_PLAIN, "%s", w->pump);
    }
}

/* How it went so far, and what noonfit makes of it. */
static void so_far(canvas *c, const nr_view_words *w, bool large)
{
    if (c->rows < TALL_ROWS)
        return;
    size_t before = c->view->count;
    if (large && w->course[0])
        add(c, NR_STYLE_PLAIN, "  %s", w->course);
    const char *const told[] = {w->efficiency, w->stop};
    for (int i = 0; i < 2; i++) {
        char indented[NR_VIEW_WORDS + 8];
        snprintf(indented, sizeof indented, "%s%s", large ? "  " : "", told[i]);
        if (told[i][0])
            add_wrapped(c, i == 1 ? NR_STYLE_STRONG : NR_STYLE_PLAIN, indented);
    }
    if (large && c->view->count > before)
        add(c, NR_STYLE_PLAIN, "%s", "");
}

/* --- the table ----------------------------------------------------------------------------- */

static void rate_of(const nr_tail *t, const nr_tail_channel *ch, bool fahrenheit, char *out,
                    size_t size)
{
    out[0] = '\0';
    if (!ch->unit || ch->unit->dimension != NR_DIM_TEMPERATURE)
        return;
    nr_trend trend = nr_trend_of(t->time_s, ch->value, t->rows);
    if (trend.known)
        snprintf(out, size, "%+.2f", 60.0 * nr_kelvin_shown(trend.rate_s, fahrenheit));
}

#define NAME_COLUMNS 10

/* Of the names: what they take, as far as the terminal is wider than the table needs. */
static int name_columns(const canvas *c, const nr_tail *t)
{
    int most = NAME_COLUMNS, room = c->columns - WIDE_COLUMNS;
    for (size_t i = 0; i < t->channels; i++) {
        int length = (int)strlen(t->channel[i].name);
        most = length > most ? length : most;
    }
    return most < NAME_COLUMNS + room ? most : NAME_COLUMNS + (room > 0 ? room : 0);
}

static void table_row(canvas *c, const nr_tail *t, const nr_tail_channel *ch)
{
    const nr_view_options *o = c->options;
    char now[24], low[24], high[24], rate[24], remark[80];
    char name[NR_NAME];
    bool wide = c->columns >= WIDE_COLUMNS;
    bool fresh = t->rows > 0 && ch->last_s == t->time_s[t->rows - 1];
    nr_view_remark(t, ch, remark, sizeof remark);
    nr_view_number(ch, o->fahrenheit, fresh || !remark[0] ? ch->last : NAN, now, sizeof now);
    nr_view_number(ch, o->fahrenheit, ch->low, low, sizeof low);
    nr_view_number(ch, o->fahrenheit, ch->high, high, sizeof high);
    rate_of(t, ch, o->fahrenheit, rate, sizeof rate);
    nr_copy(name, sizeof name, ch->name);
    int columns = name_columns(c, t);
    cut(name, wide ? columns : 9);
    const char *label = nr_view_label(ch, o);
    int pad = 6 - nr_view_width(label);
    nr_view_style style = remark[0] ? NR_STYLE_STRONG : NR_STYLE_PLAIN;
    if (wide)
        add(c, style, "  %-*s %7s %s%*s %*s %7s %7s  %s", columns, name, now, label,
            pad > 0 ? pad : 0, "", pad < 0 ? 8 + pad : 8, rate, low, high,
            remark); /* a long unit has no rate beside it */
    else if (c->columns >= NARROW_COLUMNS || remark[0])
        add(c, style, "%-9s %7s %s%*s %s", name, now, label, pad > 0 ? pad : 0, "",
            remark[0] ? remark : rate);
    else
        add(c, style, "%-9s %7s %s", name, now, label);
}

static void table(canvas *c, const nr_tail *t, size_t spare)
{
    size_t room = left(c) > spare ? left(c) - spare : 0;
    if (room == 0)
        return;
    if (c->columns >= WIDE_COLUMNS) {
        add(c, NR_STYLE_STRONG, "  %-*s %7s %-6s %8s %7s %7s", name_columns(c, t), "channel", "now",
            "", "a minute", "lowest", "highest");
        room--;
    }
    for (size_t i = 0; i < t->channels; i++) {
        if (room == 1 && t->channels - i > 1) {
            add(c, NR_STYLE_PLAIN, "  and %zu more channels", t->channels - i);
            return;
        }
        if (room == 0)
            return;
        table_row(c, t, &t->channel[i]);
        room--;
    }
}

/* --- notes --------------------------------------------------------------------------------- */

/* A line that ends before its text does says so. */
static void mark_cut(const canvas *c, nr_view_line *line)
{
    const char *mark = c->options->utf8 ? "\u2026" : "...";
    if (c->columns <= nr_view_width(mark))
        return;
    cut(line->text, c->columns - nr_view_width(mark));
    size_t end = strlen(line->text);
    snprintf(line->text + end, sizeof line->text - end, "%s", mark);
}

static void notes(canvas *c, const nr_tail *t, size_t spare)
{
    size_t room = left(c) > spare ? left(c) - spare : 0;
    size_t count = t->notes ? t->notes->count : 0, shown = count < room ? count : room;
    for (size_t i = count - shown; i < count; i++) {
        const nr_note *note = &t->notes->note[i];
        char clock[32], head[64];
        nr_view_clock(note->elapsed_s, clock, sizeof clock);
        snprintf(head, sizeof head, "  %8s  %-6s  ", clock, nr_note_kind_name(note->kind));
        size_t before = c->view->count;
        add(c, NR_STYLE_PLAIN, "%s%s", head, note->text);
        if (c->view->count > before && nr_view_width(head) + nr_view_width(note->text) > c->columns)
            mark_cut(c, &c->view->line[before]);
    }
}

/* --- all of it ----------------------------------------------------------------------------- */

static void blank(canvas *c, size_t keep)
{
    if (left(c) > keep)
        add(c, NR_STYLE_PLAIN, "%s", "");
}

static void side_by_side(canvas *c, nr_tail *t, bool roomy)
{
    size_t most = left(c);
    nr_view_line *line = &c->view->line[c->view->count];
    size_t lines = nr_view_builds(t, c->options, c->columns, line, most);
    for (size_t i = 0; i < lines; i++) {
        if (!c->options->utf8)
            to_ascii(line[i].text);
        cut(line[i].text, c->columns);
    }
    c->view->count += lines;
    if (roomy)
        blank(c, 0);
}

void nr_view_compose(nr_tail *t, const nr_view_options *o, nr_view *out)
{
    nr_view_words words;
    canvas c = {.view = out, .options = o};
    c.columns = o->columns < NR_VIEW_COLUMNS ? o->columns : NR_VIEW_COLUMNS;
    c.columns = c.columns > 1 ? c.columns : 1;
    c.rows = (size_t)(o->rows < 1 ? 1 : o->rows > NR_VIEW_LINES ? NR_VIEW_LINES : o->rows);
    out->count = 0;
    nr_view_say(t, o, &words);
    size_t hint = o->leave_hint && c.rows > 8 ? 1 : 0;
    bool large = c.columns >= LARGE_COLUMNS && c.rows >= LARGE_ROWS;
    const char *title = t->has_rig && t->rig.title[0] ? t->rig.title : t->folder;

    if (c.rows > 4)
        add_apart(&c, words.state_strange ? NR_STYLE_STRONG : NR_STYLE_PLAIN, title, words.state);
    bool several = t->has_rig && t->file.builds > 1;
    if (several) {
        if (large)
            blank(&c, 0);
        side_by_side(&c, t, large);
        if (words.sun[0])
            add(&c, NR_STYLE_PLAIN, "%s", words.sun);
    } else if (large) {
        blank(&c, 0);
        large_number(&c, &words);
        blank(&c, 0);
    } else {
        small_number(&c, &words);
    }
    if (words.warning[0])
        add_wrapped(&c, NR_STYLE_WARNING, words.warning);
    if (words.supply[0])
        add_wrapped(&c, NR_STYLE_WARNING, words.supply);
    if (t->trouble[0])
        add_wrapped(&c, NR_STYLE_STRONG, t->trouble);
    if (large && (words.warning[0] || words.supply[0] || t->trouble[0]))
        blank(&c, 0);
    if (!several)
        so_far(&c, &words, large);
    table(&c, t, hint + (large ? 3 : 0));
    if (large)
        blank(&c, hint + 1);
    notes(&c, t, hint + (large ? 1 : 0));
    while (hint && left(&c) > 1)
        add(&c, NR_STYLE_PLAIN, "%s", "");
    if (hint)
        add(&c, NR_STYLE_PLAIN, "%s",
            t->recording ? "q ends this view; the recording goes on" : "q ends this view");
}
