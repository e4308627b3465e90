/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The picture of a record: every channel, in panels by dimension, findings shaded and named. */
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
    for (size_t i = 0; i < rows; i++)
        if (isfinite(c->value[i]))
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

/* Least and greatest of every bin, so that a spike of one reading stays visible. */
static void write_column(nr_picture *p, const nr_inspect *x, const nr_readings *r,
                         const nr_column *c, nr_shown what, size_t number, double *lo, double *hi)
{
    FILE *f = p->script;
    size_t per_bin = r->rows / BINS + 1, last = 0;
    bool hole = false, any = false;
    fprintf(f, "$channel%zu << EOD\n", number);
    for (size_t i = 0; i < r->rows; i += per_bin) {
        size_t low = SIZE_MAX, high = SIZE_MAX, end = i + per_bin < r->rows ? i + per_bin : r->rows;
        for (size_t k = i; k < end; k++) {
            if (!isfinite(c->value[k]))
                continue;
            low = low == SIZE_MAX || c->value[k] < c->value[low] ? k : low;
            high = high == SIZE_MAX || c->value[k] > c->value[high] ? k : high;
        }
        bool empty = low == SIZE_MAX;
        if ((empty || (any && gap_between(x, r->elapsed_s[last], r->elapsed_s[i]))) && !hole)
            fputs("\n", f); /* a hole in the record is a hole in the line */
        hole = empty;
        if (empty)
            continue;
        /* In the order in which they came, or a fall would be drawn as a zigzag. */
        size_t row[2] = {low < high ? low : high, low < high ? high : low};
        for (int k = 0; k < (low == high ? 1 : 2); k++) {
            double v = nr_display_value(what, p->units, c->value[row[k]]);
            nr_stretch(lo, hi, v);
            nr_gp_number(f, (r->elapsed_s[row[k]] - r->elapsed_s[0]) / 60);
            fputc(' ', f);
            nr_gp_number(f, v);
            fputc('\n', f);
        }
        last = end - 1;
        any = true;
    }
    fputs("NaN NaN\nEOD\n", f);
}

static double last_value(const nr_column *c, size_t rows)
{
    for (size_t i = rows; i-- > 0;)
        if (isfinite(c->value[i]))
            return c->value[i];
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
        char name[48];
        nr_text_end(p, at[i], nr_channel_colour(q->column[i]->channel, i),
                    nr_gp_shorten(name, sizeof name, q->column[i]->channel, 14));
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
                                           : "#9A9A9A";
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
            "fc rgb '%s' fs transparent solid 0.25 noborder\n",
            fmax(from, 0), fmin(to, t->total_min), severity_colour(severity));
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

static void draw_panel(nr_picture *p, const nr_inspect *x, const nr_readings *r, const panel *q,
                       const nr_box *box, const nr_timeline *t, bool last, size_t *number)
{
    FILE *f = p->script;
    char heading[160];
    double lo = NAN, hi = NAN;
    size_t first = *number;
    heading_of(p, q, heading, sizeof heading);
    nr_panel(p, box, NULL);
    /* The first panel has the clock between its heading and itself. */
    nr_text_screen(p, box->left, box->top + (first == 0 ? 0.060 : 0.022), "left", NR_PX_TEXT,
                   NR_BLACK, heading);
    for (size_t i = 0; i < q->count; i++) {
        nr_shown what = shown_of(q->dimension);
        double least = NAN, most = NAN;
        write_column(p, x, r, q->column[i], what, (*number)++, &least, &most);
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
    int steps = (int)fmax(2, floor((box->top - box->bottom) * NR_CANVAS_H / 45));
    nr_limits y = nr_nice(lo, hi, steps, zero);
    nr_range(p, "y", y.lo, y.hi);
    nr_tics(p, "y", &y);
    nr_timeline_axis(p, t, last, box->right - box->left);
    if (first == 0)
        nr_timeline_top(p, t, box);
    shade(p, x, q, t);
    name_lines(p, q, r, &y, box);
    fputs("plot NaN", f);
    for (size_t i = 0; i < q->count; i++)
        fprintf(f, ", $channel%zu using 1:2 with lines lw 1.5 dt %s lc rgb '%s'", first + i,
                nr_channel_dash(q->column[i]->channel, i),
                nr_channel_colour(q->column[i]->channel, i));
    fputc('\n', f);
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

/* The worst findings by name, with the shade's colour, in one or two rows; notes only where they
 * have a place in the picture. Returns rows used. */
static size_t findings(nr_picture *p, const nr_inspect *x)
{
    size_t shown = 0, rows = 0;
    for (int severity = NR_SEVERITY_FAULT; severity >= NR_SEVERITY_NOTE; severity--)
        for (size_t i = 0; i < x->findings && shown < NAMED; i++) {
            const nr_finding *f = &x->finding[i];
            char text[128], cut[96];
            if ((int)f->severity != severity || (severity == NR_SEVERITY_NOTE && !placed(f)))
                continue;
            static const char *const word[] = {"note", "doubt", "fault"};
            (void)snprintf(text, sizeof text, "%s: %s%s%s", word[f->severity], f->channel,
                           f->channel[0] != '\0' ? " " : "", nr_finding_name(f->code));
            when(text + strlen(text), sizeof text - strlen(text), f);
            double left = 0.030 + 0.325 * (double)(shown % 3);
            rows = shown / 3 + 1;
            nr_text_marked(p, left, 0.880 - 0.034 * (double)(rows - 1), NR_PX_SMALL, 5,
                           severity_colour(f->severity), nr_gp_shorten(cut, sizeof cut, text, 36));
            shown++;
        }
    return rows;
}

static void layout(nr_picture *p, const nr_inspect *x, const nr_readings *r, const panels *all,
                   size_t rows)
{
    nr_timeline t = nr_timeline_single(r->elapsed_s[r->rows - 1] - r->elapsed_s[0] +
                                           (isfinite(x->interval_s) ? x->interval_s : 0),
                                       r->utc_s[0]);
    const double top = 0.822 - 0.034 * (double)rows, bottom = 0.090, gap = 0.060;
    double weight = 0;
    for (size_t i = 0; i < all->count; i++)
        weight += all->one[i].dimension == NR_DIM_TEMPERATURE ? 2.2 : 1;
    double room = top - bottom - gap * (double)(all->count - 1), at = top;
    size_t number = 0;
    for (size_t i = 0; i < all->count; i++) {
        double height = room * (all->one[i].dimension == NR_DIM_TEMPERATURE ? 2.2 : 1) / weight;
        const nr_box box = {0.065, 0.890, at - height, at};
        draw_panel(p, x, r, &all->one[i], &box, &t, i + 1 == all->count, &number);
        at -= height + gap;
    }
}

nr_code nr_plot_inspect(const nr_inspect *x, const nr_run *run, const char *path,
                        const nr_plot_style *style, nr_err *err)
{
    nr_picture p;
    char title[256], subtitle[512], name[128], words[256], date[64], more[64] = "";
    const nr_readings *r = run->readings;
    panels all = collect(r);
    if (r->rows == 0 || all.count == 0)
        return nr_fail(err, NR_CANNOT, path, 0, "this record holds no readings to draw");
    nr_tell_inspect_title(title, sizeof title, x);
    nr_date_text(date, sizeof date, r->utc_s[0]);
    if (all.left_out > 0)
        (void)snprintf(more, sizeof more, "; %zu channels of other units not drawn", all.left_out);
    (void)snprintf(subtitle, sizeof subtitle, "%s%s%s%s%s%s",
                   nr_gp_shorten(name, sizeof name, nr_base_name(x->folder), 40),
                   x->title[0] != '\0' ? ": " : "",
                   nr_gp_shorten(words, sizeof words, x->title, 75), date[0] != '\0' ? ", " : "",
                   date, more);
    nr_code code = nr_picture_begin(&p, path, style, title, subtitle, err);
    if (code != NR_OK)
        return code;
    size_t rows = findings(&p, x);
    layout(&p, x, r, &all, rows);
    return nr_picture_end(&p, err);
}
