/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The picture of a comparison: efficiency curves, heat-up on the reference day, and every
 * difference with its interval around zero. */
#include "plots/curve.h"
#include "plots/picture.h"

#include "analyze/tell/round.h"

#include <math.h>
#include <string.h>

/* More rows than this get too low to read; then each build is held against the first only. */
#define ROWS 6
#define LEGEND_ROW 0.036
/* Letters of a title, and of small text left of the differences. */
#define TITLE 74
#define ROW_NAME 34

static double shown_T(const nr_picture *p, double degC)
{
    return nr_display_value(NR_SHOWN_TEMPERATURE, p->units, degC);
}

/* How much of two names is the same, up to behind a separator, and both go on. */
static size_t shared_start(const char *a, const char *b)
{
    size_t shared = 0;
    for (size_t i = 0; a[i] != '\0' && a[i] == b[i]; i++)
        if (strchr("-_ /", a[i]) != NULL && a[i + 1] != '\0' && b[i + 1] != '\0')
            shared = i + 1;
    return shared;
}

/* What all names begin with says nothing in a row of differences: "wash-stand-" of wash-stand-bare
 * and wash-stand-glazed. */
static size_t common_start(const nr_compare *c)
{
    size_t common = c->builds > 1 ? NR_NAME : 0;
    for (size_t b = 1; b < c->builds; b++) {
        size_t shared = shared_start(c->label[0], c->label[b]);
        common = shared < common ? shared : common;
    }
    return common;
}

/* A build's name cut so that it stays apart from all others'. without: bytes of what all begin
 * with that give way first, to an ellipsis. */
static char *short_name(char *to, size_t size, const nr_compare *c, size_t build, size_t columns,
                        size_t without)
{
    char text[2 * NR_NAME], left_out[NR_NAME];
    size_t at = 0;
    for (size_t b = 0; b < c->builds; b++) {
        size_t differs = b == build ? 0 : nr_gp_differs_at(c->label[build], c->label[b]);
        at = differs > at ? differs : at;
    }
    (void)snprintf(left_out, sizeof left_out, "%.*s", (int)without, c->label[build]);
    (void)snprintf(text, sizeof text, "%s%s", without > 0 ? "\u2026" : "",
                   c->label[build] + without);
    size_t gone = nr_gp_letters(left_out);
    at = at > gone ? at - gone + (without > 0) : 0;
    return nr_gp_shorten_apart(to, size, text, columns, at);
}

/* A name, and in words where its curve holds more than the collector's loss. */
static void legend_text(char *text, size_t size, const nr_compare *c, size_t b, size_t columns)
{
    const char *more = c->build[b]->loss_includes_store ? " (loss with the container\u2019s)" : "";
    char name[2 * NR_NAME];
    size_t taken = nr_gp_letters(more);
    (void)snprintf(text, size, "%s%s",
                   short_name(name, sizeof name, c, b, columns > taken ? columns - taken : 12, 0),
                   more);
}

/* Letters of the legend that fit one of so many columns. */
static size_t legend_fits(size_t columns)
{
    return columns == 1 ? 105 : columns == 2 ? 51 : 32;
}

/* Columns of the legend: as many as leave every name whole; four builds look better in two. */
static size_t legend_columns(const nr_compare *c)
{
    size_t columns = c->builds == 4 ? 2 : 3, longest = 0;
    for (size_t b = 0; b < c->builds; b++) {
        char text[3 * NR_NAME];
        legend_text(text, sizeof text, c, b, legend_fits(1));
        longest = nr_gp_letters(text) > longest ? nr_gp_letters(text) : longest;
    }
    while (columns > 1 && longest > legend_fits(columns))
        columns--;
    return columns;
}

static size_t legend_rows(const nr_compare *c)
{
    size_t columns = legend_columns(c);
    return (c->builds + columns - 1) / columns;
}

/* Names with their colour and mark, in as few rows as they fit. */
static void legend(nr_picture *p, const nr_compare *c)
{
    size_t columns = legend_columns(c);
    double wide = columns == 3 ? 0.325 : 0.485;
    for (size_t b = 0; b < c->builds; b++) {
        char text[3 * NR_NAME];
        size_t row = b / columns;
        double x = 0.030 + wide * (double)(b - row * columns);
        double y = 0.873 - LEGEND_ROW * (double)row;
        legend_text(text, sizeof text, c, b, legend_fits(columns));
        nr_text_marked(p, x, y, NR_PX_TEXT, nr_build_mark(b), nr_build_colour(b), text);
    }
}

static void write_heat_up(nr_picture *p, const nr_heat_up *h, size_t build, double until_min)
{
    FILE *f = p->script;
    fprintf(f, "$heat%zu << EOD\n", build);
    for (size_t i = 0; i < h->count && h->t_s[i] / 60 <= until_min + 1e-9; i++) {
        nr_gp_number(f, h->t_s[i] / 60);
        fputc(' ', f);
        nr_gp_number(f, shown_T(p, h->store_degC[i]));
        fputc(' ', f);
        nr_gp_number(f, shown_T(p, h->lo95[i]));
        fputc(' ', f);
        nr_gp_number(f, shown_T(p, h->hi95[i]));
        fputc('\n', f);
    }
    fputs("NaN NaN NaN NaN\nEOD\n", f);
}

/* Where a build meets the target, with its interval. */
static void write_time(nr_picture *p, const nr_quantity *time_s, size_t build, double target,
                       double until_min)
{
    FILE *f = p->script;
    fprintf(f, "$time%zu << EOD\n", build);
    if (time_s->known && time_s->value / 60 <= until_min) {
        const double row[4] = {time_s->value / 60, target, fmax(time_s->lo95 / 60, 0),
                               fmin(time_s->hi95 / 60, until_min)};
        for (int i = 0; i < 4; i++) {
            nr_gp_number(f, row[i]);
            fputc(i < 3 ? ' ' : '\n', f);
        }
    }
    fputs("NaN NaN NaN NaN\nEOD\n", f);
}

/* Half as long again as the slowest build that gets there needs; all of it when none does. */
static double until(const nr_compare *c)
{
    double end = NAN, slowest = NAN, unused = NAN;
    for (size_t b = 0; b < c->builds; b++) {
        const nr_heat_up *h = &c->heat_up[b];
        if (h->count > 0)
            nr_stretch(&unused, &end, h->t_s[h->count - 1] / 60);
        if (h->time_s.known)
            nr_stretch(&unused, &slowest, h->time_s.hi95 / 60);
    }
    return isfinite(slowest) ? fmin(end, 1.15 * slowest) : end;
}

static void target_line(nr_picture *p, double degC)
{
    char text[64], n[NR_ROUNDED];
    double y = shown_T(p, degC);
    (void)snprintf(text, sizeof text, "target %s %s", nr_round_text(y, 0, n),
                   nr_display_of(NR_SHOWN_TEMPERATURE, p->units)->pretty);
    nr_level(p, y, NR_BLACK, "(3,3)", "left", text);
}

/* "71 min" at the right end of each line. */
static void time_labels(nr_picture *p, const nr_compare *c, const nr_limits *y, double end,
                        const nr_box *box)
{
    double at[NR_BUILDS];
    size_t build[NR_BUILDS], n = 0;
    for (size_t b = 0; b < c->builds; b++) {
        const nr_heat_up *h = &c->heat_up[b];
        double last = NAN;
        for (size_t i = 0; i < h->count && h->t_s[i] / 60 <= end + 1e-9; i++)
            last = isfinite(h->store_degC[i]) ? h->store_degC[i] : last;
        if (!isfinite(last))
            continue;
        at[n] = fmin(shown_T(p, last), y->hi);
        build[n++] = b;
    }
    nr_spread(at, n, (y->hi - y->lo) * 21 / ((box->top - box->bottom) * NR_CANVAS_H), y->lo, y->hi);
    for (size_t k = 0; k < n; k++) {
        const nr_quantity *q = &c->heat_up[build[k]].time_s;
        char text[64], a[NR_ROUNDED];
        nr_quantity d = nr_display_quantity(NR_SHOWN_MINUTES, p->units, q);
        if (q->known)
            (void)snprintf(text, sizeof text, "%s min", nr_round_text(d.value, 0, a));
        else
            (void)snprintf(text, sizeof text, "not reached");
        nr_text_end(p, at[k], nr_build_colour(build[k]), text);
    }
}

static void heat_up(nr_picture *p, const nr_compare *c, const nr_box *box)
{
    FILE *f = p->script;
    double lo = NAN, hi = NAN, end = until(c);
    char heading[160], water[NR_ROUNDED], sun[NR_ROUNDED];
    double kg = nr_display_value(NR_SHOWN_WATER, p->units, c->day.store_kg);
    double G = nr_display_value(NR_SHOWN_IRRADIANCE, p->units, c->day.sun_W_m2);
    (void)snprintf(heading, sizeof heading, "Reference day, %s %s of water, %s %s; %s",
                   nr_plain_text(kg, 3, water), nr_display_of(NR_SHOWN_WATER, p->units)->pretty,
                   nr_round_text(G, 0, sun), nr_display_of(NR_SHOWN_IRRADIANCE, p->units)->pretty,
                   nr_display_of(NR_SHOWN_TEMPERATURE, p->units)->pretty);
    nr_panel(p, box, heading);
    for (size_t b = 0; b < c->builds; b++)
        for (size_t i = 0; i < c->heat_up[b].count && c->heat_up[b].t_s[i] / 60 <= end; i++) {
            nr_stretch(&lo, &hi, c->heat_up[b].lo95[i]);
            nr_stretch(&lo, &hi, c->heat_up[b].hi95[i]);
        }
    nr_stretch(&lo, &hi, c->day.to_degC + 1);
    nr_stretch(&lo, &hi, c->day.from_degC);
    nr_limits y = nr_nice(shown_T(p, lo), shown_T(p, hi), 5, false);
    nr_limits x = nr_nice(0, end, 5, true);
    nr_range(p, "y", y.lo, y.hi);
    nr_tics(p, "y", &y);
    nr_range(p, "x", 0, isfinite(end) ? end : 1);
    x.hi = isfinite(end) ? end : 1;
    nr_tics(p, "x", &x);
    fputs("set xlabel 'minutes' tc rgb '" NR_TEXT_GREY "'", f);
    nr_font(p, NR_PX_SMALL);
    fputc('\n', f);
    target_line(p, c->day.to_degC);
    time_labels(p, c, &y, end, box);
    for (size_t b = 0; b < c->builds; b++) {
        write_heat_up(p, &c->heat_up[b], b, end);
        write_time(p, &c->heat_up[b].time_s, b, shown_T(p, c->day.to_degC), end);
    }
    fputs("plot NaN", f);
    for (size_t b = 0; b < c->builds; b++)
        fprintf(f, ", $heat%zu using 1:3:4 with filledcurves fs transparent solid 0.15 lc rgb '%s'",
                b, nr_build_colour(b));
    for (size_t b = 0; b < c->builds; b++) {
        fprintf(f,
                ", $heat%zu using 1:2 with lines lw 3 lc rgb '%s', "
                "$time%zu using 1:2:3:4 with xerrorbars lw 2",
                b, nr_build_colour(b), b);
        nr_mark(p, nr_build_mark(b), 1.5, nr_build_colour(b));
    }
    fputc('\n', f);
}

typedef struct rows {
    size_t count;
    const nr_difference *row[ROWS];
} rows;

static rows choose_rows(const nr_compare *c)
{
    rows r = {0};
    for (size_t i = 0; i < c->differences && r.count < ROWS; i++) {
        const nr_difference *d = &c->difference[i];
        if (c->differences <= ROWS || d->of == 0 || d->against == 0)
            r.row[r.count++] = d;
    }
    return r;
}

static const nr_quantity *difference(const nr_difference *d, int which)
{
    return which == 0 ? &d->eta0 : which == 1 ? &d->a1 : &d->heat_up_s;
}

/* "A − B", in two lines where one is too short and the rows are high enough. */
static void row_name(nr_picture *p, const nr_compare *c, const nr_difference *d, double y,
                     bool two_lines)
{
    size_t skip = common_start(c);
    const char *of = c->label[d->of] + skip, *against = c->label[d->against] + skip;
    char one[96], other[96], text[256];
    bool fits = nr_gp_letters(of) + nr_gp_letters(against) + 3 <= ROW_NAME;
    size_t columns = fits || two_lines ? ROW_NAME - 2 : (ROW_NAME - 3) / 2;
    (void)nr_gp_shorten_apart(one, sizeof one, of, columns, nr_gp_differs_at(of, against));
    (void)nr_gp_shorten_apart(other, sizeof other, against, columns, nr_gp_differs_at(against, of));
    if (fits || !two_lines) {
        (void)snprintf(text, sizeof text, "%s \u2212 %s", one, other);
        nr_text_screen(p, 0.018, y, "left", NR_PX_SMALL, NR_TEXT_GREY, text);
        return;
    }
    double half = 0.6 * NR_PX_SMALL / NR_CANVAS_H;
    (void)snprintf(text, sizeof text, "\u2212 %s", other);
    nr_text_screen(p, 0.018, y + half, "left", NR_PX_SMALL, NR_TEXT_GREY, one);
    nr_text_screen(p, 0.018, y - half, "left", NR_PX_SMALL, NR_TEXT_GREY, text);
}

static void row_names(nr_picture *p, const nr_compare *c, const rows *r, const nr_box *box)
{
    nr_text_screen(p, 0.018, box->top + 0.022, "left", NR_PX_TEXT, NR_BLACK,
                   r->count < c->differences ? "Differences to the first build"
                                             : "Differences, 95 %");
    double high = (box->top - box->bottom) / (double)r->count;
    for (size_t i = 0; i < r->count; i++)
        row_name(p, c, r->row[i], box->top - high * ((double)i + 0.5),
                 high * NR_CANVAS_H > 2.4 * NR_PX_SMALL);
}

static void difference_panel(nr_picture *p, const nr_compare *c, const rows *r, int which,
                             const nr_box *box, const char *heading)
{
    static const nr_shown kind[] = {NR_SHOWN_NUMBER, NR_SHOWN_COLLECTOR_LOSS, NR_SHOWN_MINUTES};
    FILE *f = p->script;
    double lo = NAN, hi = NAN;
    nr_panel(p, box, NULL);
    nr_text_screen(p, (box->left + box->right) / 2, box->top + 0.022, "center", NR_PX_SMALL,
                   NR_BLACK, heading);
    fprintf(f, "$difference%d << EOD\n", which);
    for (size_t i = 0; i < r->count; i++) {
        nr_quantity q = nr_display_quantity(kind[which], p->units, difference(r->row[i], which));
        nr_stretch(&lo, &hi, q.lo95);
        nr_stretch(&lo, &hi, q.hi95);
        nr_gp_number(f, q.known ? q.value : NAN);
        fprintf(f, " %.6g ", -(double)i);
        nr_gp_number(f, q.known ? q.lo95 : NAN);
        fputc(' ', f);
        nr_gp_number(f, q.known ? q.hi95 : NAN);
        fputc('\n', f);
    }
    fputs("NaN NaN NaN NaN\nEOD\n", f);
    for (size_t i = 0; i < r->count; i++)
        if (!difference(r->row[i], which)->known)
            nr_text_screen(p, (box->left + box->right) / 2,
                           box->bottom + (box->top - box->bottom) *
                                             (1 - ((double)i + 0.5) / (double)r->count),
                           "center", NR_PX_SMALL, NR_TEXT_GREY, "not determined");
    if (which == 0)
        row_names(p, c, r, box);
    nr_limits x = nr_nice(lo, hi, 3, true);
    double air = 0.04 * (x.hi - x.lo);
    nr_range(p, "x", x.lo - air, x.hi + air);
    nr_tics(p, "x", &x);
    nr_range(p, "y", -(double)r->count + 0.5, 0.5);
    fputs("set grid noytics\nset arrow from first 0, graph 0 to first 0, graph 1 nohead lw 1.5 "
          "lc rgb '" NR_TEXT_GREY "'\n",
          f);
    fprintf(f, "plot NaN, $difference%d using 1:2:3:4 with xerrorbars lw 2", which);
    nr_mark(p, 7, 1.3, NR_BLACK);
    fputc('\n', f);
}

static void differences(nr_picture *p, const nr_compare *c)
{
    rows r = choose_rows(c);
    if (r.count == 0)
        return;
    const double top = 0.270, bottom = 0.065;
    const nr_box box[3] = {
        {0.300, 0.510, bottom, top}, {0.540, 0.750, bottom, top}, {0.780, 0.985, bottom, top}};
    char a1[96];
    (void)snprintf(a1, sizeof a1, "loss " NR_A1 ", %s",
                   nr_display_of(NR_SHOWN_COLLECTOR_LOSS, p->units)->pretty);
    difference_panel(p, c, &r, 0, &box[0], "zero-loss efficiency " NR_ETA0);
    difference_panel(p, c, &r, 1, &box[1], a1);
    difference_panel(p, c, &r, 2, &box[2], "heat-up time, min");
}

/* Two names for a title whose other words take so many letters: whole, or without what all names
 * begin with (the legend has it), or each cut to its share. */
static void title_names(const nr_compare *c, size_t one, size_t other, size_t taken,
                        char name[2][2 * NR_NAME])
{
    size_t room = TITLE > taken + 24 ? TITLE - taken : 24, half = room / 2;
    size_t a = nr_gp_letters(c->label[one]), b = nr_gp_letters(c->label[other]), skip = 0;
    if (a + b > room && (skip = common_start(c)) > 0) {
        a = nr_gp_letters(c->label[one] + skip) + 1;
        b = nr_gp_letters(c->label[other] + skip) + 1;
    }
    /* What one leaves free the other may have. */
    (void)short_name(name[0], 2 * NR_NAME, c, one, b < half ? room - b : half, skip);
    (void)short_name(name[1], 2 * NR_NAME, c, other, a < half ? room - a : half, skip);
}

static void title_of(char *text, size_t size, const nr_compare *c)
{
    char name[2][2 * NR_NAME], words[128], a[NR_ROUNDED], lo[NR_ROUNDED], hi[NR_ROUNDED];
    const nr_verdict *v = &c->verdict;
    if (!v->reached) {
        (void)snprintf(text, size, "No build reaches the target on the reference day");
        return;
    }
    if (v->next == v->best) {
        (void)snprintf(text, size, "Only %s reaches the target on the reference day",
                       short_name(name[0], sizeof name[0], c, v->best, TITLE - 41, 0));
        return;
    }
    const nr_against *next = &v->against[v->next];
    if (next->outcome != NR_AGAINST_SLOWER) {
        title_names(c, v->best, v->next, 38, name);
        (void)snprintf(text, size, "No clear difference in heat-up time: %s, %s", name[0], name[1]);
        return;
    }
    /* Whole minutes would turn "0.1 to 7.9" into "0 to 8", which reads as no difference. */
    int place = nr_round_place(next->u_s / 60, 2);
    place = place < 0 ? 0 : place > 1 ? 1 : place;
    (void)snprintf(words, sizeof words, " (95 %%: %s to %s)",
                   nr_round_text(next->lo95_s / 60, place, lo),
                   nr_round_text(next->hi95_s / 60, place, hi));
    (void)nr_round_text(next->gain_s / 60, place, a);
    title_names(c, v->best, v->next, strlen(" is  min faster than ") + strlen(a) + strlen(words),
                name);
    (void)snprintf(text, size, "%s is %s min faster than %s%s", name[0], a, name[1], words);
}

static void subtitle_of(char *text, size_t size, const nr_compare *c, nr_units units)
{
    char from[NR_ROUNDED], end[NR_ROUNDED], air[NR_ROUNDED];
    const char *unit = nr_display_of(NR_SHOWN_TEMPERATURE, units)->pretty;
    (void)snprintf(
        text, size, "%zu builds, one joint fit; heating from %s to %s %s, air at %s %s", c->builds,
        nr_round_text(nr_display_value(NR_SHOWN_TEMPERATURE, units, c->day.from_degC), 0, from),
        nr_round_text(nr_display_value(NR_SHOWN_TEMPERATURE, units, c->day.to_degC), 0, end), unit,
        nr_round_text(nr_display_value(NR_SHOWN_TEMPERATURE, units, c->day.air_degC), 0, air),
        unit);
}

nr_code nr_plot_compare(const nr_compare *c, const char *path, const nr_plot_style *style,
                        nr_err *err)
{
    nr_picture p;
    char title[512], subtitle[256];
    if (c->builds == 0)
        return nr_fail(err, NR_BAD, path, 0, "this comparison holds no build to draw");
    title_of(title, sizeof title, c);
    subtitle_of(subtitle, sizeof subtitle, c,
                style != NULL && style->us_units ? NR_UNITS_US : NR_UNITS_SI);
    nr_code code = nr_picture_begin(&p, path, style, title, subtitle, err);
    if (code != NR_OK)
        return code;
    double top = 0.803 - LEGEND_ROW * (double)(legend_rows(c) - 1);
    const nr_box curves = {0.055, 0.455, 0.430, top}, heat = {0.525, 0.895, 0.430, top};
    legend(&p, c);
    nr_draw_compare_curves(&p, c, &curves);
    heat_up(&p, c, &heat);
    differences(&p, c);
    return nr_picture_end(&p, err);
}
