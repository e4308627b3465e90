/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The picture of a record: every channel, in panels by dimension, findings shaded and named, what
 * was noted as numbered flags. */
#include "plots/letters.h"
#include "plots/picture.h"
#include "plots/timeline.h"

#include "analyze/tell/tell.h"
#include "logger/base/units.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#define PANELS 6
#define LINES 8 /* of one panel; more cannot be told apart */
#define BINS 450
#define NAMED 6 /* findings named in the strip below the title */
#define FLAGS 6 /* and notes */

typedef struct panel {
    nr_dimension dimension;
    char unit[NR_NAME]; /* as in the file, where the dimension is unknown */
    size_t count, left_out;
    const nr_column *column[LINES];
} panel;

typedef struct panels {
    size_t count, left_out;
    panel one[PANELS];
} panels;

static nr_dimension dimension_of(const char *unit)
{
    const nr_unit *u = nr_unit_find(unit);
    return u != NULL ? u->dimension : NR_DIM_NONE;
}

/* Temperature first, then sun, flow, wind, electricity, the rest: the order people ask in. */
static int rank(nr_dimension d)
{
    static const nr_dimension order[] = {NR_DIM_TEMPERATURE, NR_DIM_IRRADIANCE, NR_DIM_FLOW,
                                         NR_DIM_SPEED,       NR_DIM_VOLTAGE,    NR_DIM_CURRENT,
                                         NR_DIM_POWER};
    for (int i = 0; i < (int)(sizeof order / sizeof *order); i++)
        if (order[i] == d)
            return i;
    return 99;
}

static bool any_reading(const nr_column *c, size_t rows)
{
    nr_values numbers = nr_column_values(c);
    nr_cursor of;
    nr_cursor_begin(&of, &numbers);
    for (size_t i = 0; i < rows; i++)
        if (isfinite(nr_at(&of, i)))
            return true;
    return false;
}

static void sort_in(panels *all, const nr_column *c)
{
    nr_dimension d = dimension_of(c->unit);
    size_t k = 0;
    for (; k < all->count; k++) {
        panel *p = &all->one[k];
        if (p->dimension == d && (d != NR_DIM_NONE || strcmp(p->unit, c->unit) == 0))
            break;
    }
    if (k == PANELS) {
        all->left_out++;
        return;
    }
    panel *p = &all->one[k];
    if (k == all->count) {
        all->count++;
        *p = (panel){.dimension = d};
        (void)snprintf(p->unit, sizeof p->unit, "%s", c->unit);
    }
    if (p->count == LINES)
        p->left_out++;
    else
        p->column[p->count++] = c;
}

static panels collect(const nr_readings *r)
{
    panels all = {0};
    for (size_t i = 0; i < r->columns; i++)
        if (any_reading(&r->column[i], r->rows))
            sort_in(&all, &r->column[i]);
    for (size_t i = 1; i < all.count; i++)
        for (size_t k = i; k > 0 && rank(all.one[k].dimension) < rank(all.one[k - 1].dimension);
             k--) {
            panel swap = all.one[k];
            all.one[k] = all.one[k - 1];
            all.one[k - 1] = swap;
        }
    return all;
}

static nr_shown shown_of(nr_dimension d)
{
    switch (d) {
    case NR_DIM_TEMPERATURE:
        return NR_SHOWN_TEMPERATURE;
    case NR_DIM_IRRADIANCE:
        return NR_SHOWN_IRRADIANCE;
    case NR_DIM_FLOW:
        return NR_SHOWN_FLOW;
    case NR_DIM_SPEED:
        return NR_SHOWN_SPEED;
    default:
        return NR_SHOWN_NUMBER;
    }
}

static const char *dimension_words(nr_dimension d)
{
    switch (d) {
    case NR_DIM_TEMPERATURE:
        return "Temperature";
    case NR_DIM_IRRADIANCE:
        return "Irradiance";
    case NR_DIM_FLOW:
        return "Flow";
    case NR_DIM_SPEED:
        return "Wind";
    case NR_DIM_VOLTAGE:
        return "Voltage";
    case NR_DIM_CURRENT:
        return "Current";
    case NR_DIM_POWER:
        return "Power";
    default:
        return "Other";
    }
}

static void heading_of(const nr_picture *p, const panel *q, char *text, size_t size)
{
    const nr_unit *canonical = nr_unit_canonical(q->dimension);
    const char *unit = shown_of(q->dimension) != NR_SHOWN_NUMBER
                           ? nr_display_of(shown_of(q->dimension), p->units)->pretty
                       : q->dimension != NR_DIM_NONE && canonical != NULL ? canonical->label
                                                                          : q->unit;
    char more[64] = "";
    if (q->left_out > 0)
        (void)snprintf(more, sizeof more, " (%zu more channels not drawn)", q->left_out);
    (void)snprintf(text, size, "%s%s%s%s", dimension_words(q->dimension),
                   unit[0] != '\0' ? ", " : "", unit, more);
}

static bool gap_between(const nr_inspect *x, double from_s, double to_s)
{
    for (size_t i = 0; i < x->gaps; i++)
        if (x->gap[i].start_s >= from_s - 1e-6 && x->gap[i].start_s < to_s)
            return true;
    return false;
}

/* A channel over time. */
typedef struct line {
    size_t rows;
    nr_cursor elapsed_s, value;
} line;

static line line_of(const nr_readings *r, const nr_column *c)
{
    nr_values elapsed = nr_readings_elapsed(r), value = nr_column_values(c);
    line l = {.rows = r->rows};
    nr_cursor_begin(&l.elapsed_s, &elapsed);
    nr_cursor_begin(&l.value, &value);
    return l;
}

/* The row after a bin that begins at one: so many rows, but never across a gap. */
static size_t bin_end(const nr_inspect *x, line *l, size_t from, size_t per_bin)
{
    size_t end = from + 1;
    while (end < l->rows && end < from + per_bin &&
           !gap_between(x, nr_at(&l->elapsed_s, end - 1), nr_at(&l->elapsed_s, end)))
        end++;
    return end;
}

static size_t rows_per_bin(const nr_readings *r)
{
    return r->rows / BINS + 1;
}

/* Rows of the least and the greatest reading of a bin; SIZE_MAX: it has none. */
static void extremes(line *l, size_t from, size_t end, size_t *low, size_t *high)
{
    double least = INFINITY, most = -INFINITY;
    *low = *high = SIZE_MAX;
    for (size_t k = from; k < end; k++) {
        double v = nr_at(&l->value, k);
        if (!isfinite(v))
            continue;
        *low = v < least ? k : *low;
        *high = v > most ? k : *high;
        least = v < least ? v : least;
        most = v > most ? v : most;
    }
}

static void write_reading(nr_picture *p, line *l, double begin_s, size_t row, double shown)
{
    nr_gp_number(p->script, (nr_at(&l->elapsed_s, row) - begin_s) / 60);
    fputc(' ', p->script);
    nr_gp_number(p->script, shown);
    fputc('\n', p->script);
}

/* Least and greatest of every bin, so that a spike of one reading stays visible, in the order in
 * which they came, or a fall would be drawn as a zigzag. A hole in the record is a hole in the
 * line. */
static void write_column(nr_picture *p, const nr_inspect *x, const nr_readings *r,
                         const nr_column *c, nr_shown what, size_t number, double *lo, double *hi)
{
    size_t end;
    bool any = false;
    line l = line_of(r, c);
    double begin_s = nr_at(&l.elapsed_s, 0), last_s = begin_s;
    fprintf(p->script, "$channel%zu << EOD\n", number);
    for (size_t i = 0; i < r->rows; i = end) {
        size_t low, high;
        end = bin_end(x, &l, i, rows_per_bin(r));
        extremes(&l, i, end, &low, &high);
        bool hole = low == SIZE_MAX || gap_between(x, last_s, nr_at(&l.elapsed_s, i));
        if (any && hole) {
            fputs("\n", p->script);
            any = false;
        }
        if (low == SIZE_MAX)
            continue;
        size_t row[2] = {low < high ? low : high, low < high ? high : low};
        for (int k = 0; k < (low == high ? 1 : 2); k++) {
            double v = nr_display_value(what, p->units, nr_at(&l.value, row[k]));
            nr_stretch(lo, hi, v);
            write_reading(p, &l, begin_s, row[k], v);
        }
        last_s = nr_at(&l.elapsed_s, end - 1);
        any = true;
    }
    fputs("NaN NaN\nEOD\n", p->script);
}

/* What lies beyond the axis, as triangles on its edge: $above and $below of a channel. */
static void write_clipped(nr_picture *p, const nr_inspect *x, const nr_readings *r,
                          const nr_column *c, nr_shown what, size_t number, const nr_limits *y)
{
    size_t end;
    line l = line_of(r, c);
    double begin_s = nr_at(&l.elapsed_s, 0);
    for (int up = 0; up < 2; up++) {
        fprintf(p->script, "$%s%zu << EOD\n", up ? "above" : "below", number);
        for (size_t i = 0; i < r->rows; i = end) {
            size_t low, high;
            end = bin_end(x, &l, i, rows_per_bin(r));
            extremes(&l, i, end, &low, &high);
            if (low == SIZE_MAX)
                continue;
            double v = nr_display_value(what, p->units, nr_at(&l.value, up ? high : low));
            if (up ? v > y->hi : v < y->lo)
                write_reading(p, &l, begin_s, up ? high : low, up ? y->hi : y->lo);
        }
        fputs("NaN NaN\nEOD\n", p->script);
    }
}

static double last_value(const nr_column *c, size_t rows)
{
    nr_values numbers = nr_column_values(c);
    nr_cursor of;
    nr_cursor_begin(&of, &numbers);
    for (size_t i = rows; i-- > 0;)
        if (isfinite(nr_at(&of, i)))
            return nr_at(&of, i);
    return NAN;
}

static void name_lines(nr_picture *p, const panel *q, const nr_readings *r, const nr_limits *y,
                       const nr_box *box)
{
    double at[LINES];
    for (size_t i = 0; i < q->count; i++)
        at[i] =
            nr_display_value(shown_of(q->dimension), p->units, last_value(q->column[i], r->rows));
    nr_spread(at, q->count, (y->hi - y->lo) * 20 / ((box->top - box->bottom) * NR_CANVAS_H), y->lo,
              y->hi);
    for (size_t i = 0; i < q->count; i++) {
        char name[NR_NAME];
        nr_text_end(
            p, at[i], nr_channel_colour(q->column[i]->channel, i),
            nr_text_cut(name, sizeof name, q->column[i]->channel, NR_PX_SMALL,
                        nr_picture_px(p, 0.995 - box->right) / p->scale - 0.6 * NR_PX_SMALL));
    }
}

static const nr_channel_summary *summary_of(const nr_inspect *x, const char *channel)
{
    for (size_t i = 0; i < x->channels; i++)
        if (strcmp(x->channel[i].name, channel) == 0)
            return &x->channel[i];
    return NULL;
}

static const char *severity_colour(nr_severity severity)
{
    return severity == NR_SEVERITY_FAULT   ? NR_VERMILLION
           : severity == NR_SEVERITY_DOUBT ? NR_ORANGE
                                           : "#BDBDBD";
}

/* In grey, too, the worse the darker. */
static double severity_shade(nr_severity severity)
{
    return severity == NR_SEVERITY_FAULT ? 0.45 : severity == NR_SEVERITY_DOUBT ? 0.40 : 0.30;
}

/* A finding shades the panels of its channel, or all of them. */
static bool concerns(const nr_finding *f, const panel *q)
{
    if (f->channel[0] == '\0')
        return true;
    for (size_t i = 0; i < q->count; i++)
        if (strcmp(q->column[i]->channel, f->channel) == 0)
            return true;
    return false;
}

static void shade_span(nr_picture *p, const nr_timeline *t, double from_s, double to_s,
                       nr_severity severity)
{
    /* At least two pixels wide, or a spike's mark is not seen. */
    double from = from_s / 60, to = fmax(to_s / 60, from + t->total_min / 400);
    fprintf(p->script,
            "set object rectangle from first %.9g, graph 0 to first %.9g, graph 1 behind "
            "fc rgb '%s' fs transparent solid %.2f noborder\n",
            fmax(from, 0), fmin(to, t->total_min), severity_colour(severity),
            severity_shade(severity));
}

static void shade(nr_picture *p, const nr_inspect *x, const panel *q, const nr_timeline *t)
{
    for (size_t i = 0; i < x->findings; i++) {
        const nr_finding *f = &x->finding[i];
        bool stops = f->code == NR_FIND_PUMP_STOPS; /* told of the longest, shown of all */
        for (size_t k = 0; stops && k < x->stops; k++)
            shade_span(p, t, x->stop[k].start_s, x->stop[k].start_s + x->stop[k].length_s,
                       f->severity);
        if (!stops && isfinite(f->from_s) && isfinite(f->to_s) && concerns(f, q))
            shade_span(p, t, f->from_s, f->to_s, f->severity);
    }
}

/* A note worth a flag: of a person, of the pump, of the target, of silence; not of the recorder's
 * own coming and going. */
static bool worth_a_flag(const nr_note *note)
{
    return note->kind == NR_NOTE_NOTE || note->kind == NR_NOTE_PUMP ||
           note->kind == NR_NOTE_TARGET || note->kind == NR_NOTE_GAP;
}

/* The flags of a record, in order; returns how many, at most FLAGS. left_out: further ones. */
static size_t flags_of(const nr_run *run, const nr_note *flag[FLAGS], size_t *left_out)
{
    size_t n = 0;
    *left_out = 0;
    for (size_t i = 0; run->notes != NULL && i < run->notes->count; i++) {
        const nr_note *note = &run->notes->note[i];
        if (!worth_a_flag(note) || !isfinite(note->elapsed_s))
            continue;
        if (n < FLAGS)
            flag[n++] = note;
        else
            ++*left_out;
    }
    return n;
}

/* "\u2460" for the first. */
static const char *flag_number(size_t i)
{
    static const char *const number[FLAGS] = {"\u2460", "\u2461", "\u2462",
                                              "\u2463", "\u2464", "\u2465"};
    return number[i];
}

/* What was noted before the first reading stands at the start. */
static double flag_min(const nr_run *run, const nr_note *note)
{
    nr_values elapsed = nr_readings_elapsed(run->readings);
    return fmax(note->elapsed_s - nr_number(&elapsed, 0), 0) / 60;
}

static void draw_flags(nr_picture *p, const nr_run *run, const nr_timeline *t, bool numbered)
{
    const nr_note *flag[FLAGS];
    size_t more, n = flags_of(run, flag, &more);
    for (size_t i = 0; i < n; i++) {
        double at = flag_min(run, flag[i]);
        if (at > t->total_min)
            continue;
        fprintf(p->script,
                "set arrow from first %.9g, graph 0 to first %.9g, graph 1 nohead front lw 1 dt "
                "(3,3) lc rgb '" NR_TEXT_GREY "'\n",
                at, at);
        if (!numbered)
            continue;
        fputs("set label ", p->script);
        nr_gp_quote(p->script, flag_number(i));
        fprintf(p->script, " at first %.9g, graph 1 %s offset %s,-0.6 front tc rgb '" NR_BLACK "'",
                at, at > 0.97 * t->total_min ? "right" : "left",
                at > 0.97 * t->total_min ? "-0.2" : "0.2");
        nr_font(p, NR_PX_TEXT);
        fputc('\n', p->script);
    }
}

/* The lines of a panel and their limits. */
static nr_limits write_panel(nr_picture *p, const nr_inspect *x, const nr_readings *r,
                             const panel *q, const nr_box *box, size_t first)
{
    nr_shown what = shown_of(q->dimension);
    double lo = NAN, hi = NAN;
    for (size_t i = 0; i < q->count; i++) {
        double least = NAN, most = NAN;
        write_column(p, x, r, q->column[i], what, first + i, &least, &most);
        /* Readings that were rejected do not set the axis. */
        const nr_channel_summary *good = summary_of(x, q->column[i]->channel);
        if (good != NULL && isfinite(good->min)) {
            least = nr_display_value(what, p->units, good->min);
            most = nr_display_value(what, p->units, good->max);
        }
        nr_stretch(&lo, &hi, least);
        nr_stretch(&lo, &hi, most);
    }
    bool zero = q->dimension == NR_DIM_IRRADIANCE || q->dimension == NR_DIM_FLOW ||
                q->dimension == NR_DIM_SPEED;
    int steps = (int)fmax(2, floor((box->top - box->bottom) * NR_CANVAS_H / 36));
    nr_limits y = nr_nice(lo, hi, steps < 6 ? steps : 6, zero);
    for (size_t i = 0; i < q->count; i++)
        write_clipped(p, x, r, q->column[i], what, first + i, &y);
    return y;
}

static void plot_panel(nr_picture *p, const panel *q, size_t first)
{
    FILE *f = p->script;
    fputs("plot NaN", f);
    for (size_t i = 0; i < q->count; i++)
        fprintf(f, ", $channel%zu using 1:2 with lines lw 1.5 dt %s lc rgb '%s'", first + i,
                nr_channel_dash(q->column[i]->channel, i),
                nr_channel_colour(q->column[i]->channel, i));
    for (size_t i = 0; i < q->count; i++) {
        const char *colour = nr_channel_colour(q->column[i]->channel, i);
        fprintf(f, ", $above%zu using 1:2 with points", first + i);
        nr_mark(p, 9, 1.4, colour);
        fprintf(f, ", $below%zu using 1:2 with points", first + i);
        nr_mark(p, 11, 1.4, colour);
    }
    fputc('\n', f);
}

static void draw_panel(nr_picture *p, const nr_inspect *x, const nr_run *run, const panel *q,
                       const nr_box *box, const nr_timeline *t, bool last, size_t *number)
{
    char heading[160];
    size_t first = *number;
    heading_of(p, q, heading, sizeof heading);
    nr_panel(p, box, NULL);
    /* The first panel has the clock between its heading and itself. */
    nr_text_screen(p, nr_left_edge(p), box->top + (first == 0 ? 0.060 : 0.025), "left", NR_PX_TEXT,
                   NR_BLACK, heading);
    nr_limits y = write_panel(p, x, run->readings, q, box, first);
    nr_range(p, "y", y.lo, y.hi);
    nr_tics(p, "y", &y);
    nr_timeline_axis(p, t, last, nr_picture_px(p, box->right - box->left) / p->scale / NR_CANVAS_W);
    if (first == 0)
        nr_timeline_top(p, t, box);
    shade(p, x, q, t);
    draw_flags(p, run, t, first == 0);
    name_lines(p, q, run->readings, &y, box);
    plot_panel(p, q, first);
    *number += q->count;
}

/* ", 52 to 57 min", ", at 25 min", or nothing for the whole record. */
static void when(char *text, size_t size, const nr_finding *f)
{
    if (!isfinite(f->from_s) || !isfinite(f->to_s))
        return;
    if (f->to_s - f->from_s < 60)
        (void)snprintf(text, size, ", at %.0f min", f->from_s / 60);
    else
        (void)snprintf(text, size, ", %.0f to %.0f min", f->from_s / 60, f->to_s / 60);
}

static bool placed(const nr_finding *f)
{
    return isfinite(f->from_s) && isfinite(f->to_s);
}

/* What stands in the strip below the title: findings with the shade's colour, words of flags. */
typedef struct entry {
    char text[640], last[32]; /* last: never cut away */
    const char *colour;       /* NULL: no mark */
} entry;

typedef struct strip {
    entry one[NAMED + FLAGS];
    size_t count, across;
    double top;
} strip;

#define STRIP_LEFT 0.018
#define STRIP_LINE 0.034
#define STRIP_ROWS 3 /* at most, where fewer entries a row would leave room for all their words */

static size_t strip_rows(const strip *s)
{
    return (s->count + s->across - 1) / s->across;
}

static double entry_room(const nr_picture *p, const strip *s)
{
    double edge = nr_is_portrait(p) ? NR_PORTRAIT_LEFT : STRIP_LEFT;
    return nr_picture_px(p, (1 - 2 * edge) / (double)s->across) / p->scale -
           (s->across > 1 ? NR_PX_SMALL : 0);
}

/* The worst findings by name; notes only where they have a place in the picture. */
static void findings(const nr_inspect *x, strip *s)
{
    for (int severity = NR_SEVERITY_FAULT; severity >= NR_SEVERITY_NOTE; severity--)
        for (size_t i = 0; i < x->findings && s->count < NAMED; i++) {
            const nr_finding *f = &x->finding[i];
            char name[48];
            if ((int)f->severity != severity || (severity == NR_SEVERITY_NOTE && !placed(f)))
                continue;
            (void)snprintf(name, sizeof name, "%s", nr_finding_name(f->code));
            for (char *c = name; *c != '\0'; c++)
                *c = *c == '-' ? ' ' : *c;
            entry *e = &s->one[s->count++];
            (void)snprintf(e->text, sizeof e->text, "%s: %s%s%s", nr_severity_word(f->severity),
                           f->channel, f->channel[0] != '\0' ? " " : "", name);
            when(e->text + strlen(e->text), sizeof e->text - strlen(e->text), f);
            e->colour = severity_colour(f->severity);
        }
}

/* "\u2460 25 min: cloud over the hill" */
static void flag_words(const nr_run *run, strip *s)
{
    const nr_note *flag[FLAGS];
    size_t more, n = flags_of(run, flag, &more);
    for (size_t i = 0; i < n; i++) {
        entry *e = &s->one[s->count++];
        if (i + 1 == n && more > 0)
            (void)snprintf(e->last, sizeof e->last, " (%zu more)", more);
        (void)snprintf(e->text, sizeof e->text, "%s %.0f min, %s: %s", flag_number(i),
                       flag_min(run, flag[i]), nr_note_kind_name(flag[i]->kind), flag[i]->text);
    }
}

static double entry_px(const entry *e)
{
    return nr_text_px(e->text, NR_PX_SMALL) + nr_text_px(e->last, NR_PX_SMALL) +
           (e->colour != NULL ? NR_PX_SMALL : 0);
}

/* Three a row, or two or one where else words would be cut and there is room for the rows. */
static void place_strip(const nr_picture *p, strip *s)
{
    double widest = 0;
    for (size_t i = 0; i < s->count; i++)
        widest = fmax(widest, entry_px(&s->one[i]));
    s->across = nr_is_portrait(p) ? 1 : 3;
    for (size_t less = s->across; less-- > 1 && widest > entry_room(p, s);)
        if ((s->count + less - 1) / less <= STRIP_ROWS)
            s->across = less;
}

static void draw_strip(nr_picture *p, const strip *s)
{
    double left = nr_is_portrait(p) ? NR_PORTRAIT_LEFT : STRIP_LEFT;
    for (size_t i = 0; i < s->count; i++) {
        const entry *e = &s->one[i];
        char cut[640];
        double room = entry_room(p, s) - (entry_px(e) - nr_text_px(e->text, NR_PX_SMALL));
        double x = left + (1 - 2 * left) / (double)s->across * (double)(i % s->across);
        double y = s->top - STRIP_LINE * (double)(i / s->across);
        (void)nr_text_cut(cut, sizeof cut - sizeof e->last, e->text, NR_PX_SMALL, room);
        (void)snprintf(cut + strlen(cut), sizeof e->last, "%s", e->last);
        if (e->colour != NULL)
            nr_text_marked(p, x + 0.4 * NR_PX_SMALL * p->scale / nr_picture_px(p, 1), y,
                           NR_PX_SMALL, 5, e->colour, cut);
        else
            nr_text_screen(p, x, y, "left", NR_PX_SMALL, NR_BLACK, cut);
    }
}

static void layout(nr_picture *p, const nr_inspect *x, const nr_run *run, const panels *all,
                   double top)
{
    const nr_readings *r = run->readings;
    nr_values elapsed = nr_readings_elapsed(r), utc = nr_readings_utc(r);
    nr_timeline t = nr_timeline_single(nr_number(&elapsed, r->rows - 1) - nr_number(&elapsed, 0) +
                                           (isfinite(x->interval_s) ? x->interval_s : 0),
                                       nr_number(&utc, 0));
    const double bottom = 0.090, gap = 0.060;
    double weight = 0;
    for (size_t i = 0; i < all->count; i++)
        weight += all->one[i].dimension == NR_DIM_TEMPERATURE ? 2.2 : 1;
    double room = top - bottom - gap * (double)(all->count - 1), at = top;
    size_t number = 0;
    for (size_t i = 0; i < all->count; i++) {
        double height = room * (all->one[i].dimension == NR_DIM_TEMPERATURE ? 2.2 : 1) / weight;
        const nr_box box = {nr_is_portrait(p) ? 0.125 : 0.065, nr_is_portrait(p) ? 0.820 : 0.890,
                            at - height, at};
        draw_panel(p, x, run, &all->one[i], &box, &t, i + 1 == all->count, &number);
        at -= height + gap;
    }
}

nr_code nr_plot_inspect(const nr_inspect *x, const nr_run *run, const char *path,
                        const nr_plot_style *style, nr_err *err)
{
    nr_picture p;
    char title[256], subtitle[600], name[128], words[256], date[64], more[64] = "";
    char which[2 * NR_NAME] = "";
    const nr_readings *r = run->readings;
    panels all = collect(r);
    if (r->rows == 0 || all.count == 0)
        return nr_fail(err, NR_CANNOT, path, 0, "this record holds no readings to draw");
    nr_tell_inspect_title(title, sizeof title, x);
    nr_values utc = nr_readings_utc(r);
    nr_date_text(date, sizeof date, nr_number(&utc, 0));
    if (all.left_out > 0)
        (void)snprintf(more, sizeof more, "; %zu channels of other units not drawn", all.left_out);
    (void)nr_text_cut(name, sizeof name, nr_base_name(x->folder), NR_PX_TEXT, 420);
    /* Of several in one record, which. */
    if (run->record != NULL && run->record->rig.builds > 1)
        (void)snprintf(which, sizeof which, ", %s", run->rig.collector.name);
    double room = 0.965 * NR_CANVAS_W - nr_text_px(name, NR_PX_TEXT) -
                  nr_text_px(which, NR_PX_TEXT) - nr_text_px(date, NR_PX_TEXT) -
                  nr_text_px(more, NR_PX_TEXT) - 2 * NR_PX_TEXT;
    (void)snprintf(subtitle, sizeof subtitle, "%s%s%s%s%s%s%s", name, which,
                   x->title[0] != '\0' ? ": " : "",
                   nr_text_cut(words, sizeof words, x->title, NR_PX_TEXT, room),
                   date[0] != '\0' ? ", " : "", date, more);
    nr_code code = nr_picture_begin(&p, path, style, title, subtitle, err);
    if (code != NR_OK)
        return code;
    strip s = {.top = nr_is_portrait(&p) ? 0.845 : 0.881};
    findings(x, &s);
    flag_words(run, &s);
    place_strip(&p, &s);
    draw_strip(&p, &s);
    layout(&p, x, run, &all, s.top - 0.061 - STRIP_LINE * (double)strip_rows(&s));
    return nr_picture_end(&p, err);
}
