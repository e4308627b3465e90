/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The picture of a comparison. Two builds: the heat-up on the reference day, where each meets the
 * target; below, the efficiency curves and the differences around zero. More: the ranking. */
#include "plots/compare_ranking.h"
#include "plots/curve.h"
#include "plots/letters.h"
#include "plots/picture.h"
#include "plots/timeline.h"

#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <math.h>
#include <string.h>

/* Px of a title. */
#define TITLE_PX 1158.0
/* Whiskers of the two lie this part of the panel's height over and under the target. */
#define ASIDE 0.014

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

/* A build's name cut to the room so that it stays apart from all others'. without: bytes of what
 * all begin with that give way first, to an ellipsis. */
static char *short_name(char *to, size_t size, const nr_compare *c, size_t build, double px,
                        double room_px, size_t without)
{
    static const char ellipsis[] = "\u2026";
    char text[2 * NR_NAME];
    size_t at = 0;
    for (size_t b = 0; b < c->builds; b++) {
        size_t differs = b == build ? 0 : nr_text_differs_at(c->label[build], c->label[b]);
        at = differs > at ? differs : at;
    }
    (void)snprintf(text, sizeof text, "%s%s", without > 0 ? ellipsis : "",
                   c->label[build] + without);
    at = at > without ? at - without + (without > 0 ? sizeof ellipsis - 1 : 0) : 0;
    return nr_text_cut_apart(to, size, text, px, room_px, at);
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

/* Minutes at which a trace of the heat-up reaches a temperature; NAN: it does not. */
static double minute_of(const nr_heat_up *h, const double *trace, double degC)
{
    for (size_t i = 1; i < h->count; i++)
        if (trace[i] >= degC && trace[i] > trace[i - 1])
            return (h->t_s[i] -
                    (h->t_s[i] - h->t_s[i - 1]) * (trace[i] - degC) / (trace[i] - trace[i - 1])) /
                   60;
    return NAN;
}

/* The first minute at which any band is so warm, or the last at which one is not yet. */
static double edge_minute(const nr_compare *c, bool first, double degC)
{
    double lo = NAN, hi = NAN;
    for (size_t b = 0; b < c->builds; b++) {
        const nr_heat_up *h = &c->heat_up[b];
        nr_stretch(&lo, &hi, minute_of(h, first ? h->hi95 : h->lo95, degC));
    }
    return first ? lo : hi;
}

/* How warm it gets at most until that minute. */
static double warmest(const nr_heat_up *h, const double *trace, double until_min)
{
    double lo = NAN, hi = NAN;
    for (size_t i = 0; i < h->count && h->t_s[i] / 60 <= until_min; i++)
        nr_stretch(&lo, &hi, trace[i]);
    return hi;
}

/* Which of the two is at the left: the faster, or the one that gets warmer. */
static size_t ahead(const nr_compare *c)
{
    if (c->builds < 2 || c->verdict.reached)
        return c->verdict.best;
    double last[2] = {NAN, NAN};
    for (size_t b = 0; b < 2; b++)
        if (c->heat_up[b].count > 0)
            last[b] = c->heat_up[b].store_degC[c->heat_up[b].count - 1];
    return last[1] > last[0];
}

static double lowest_degC(const nr_picture *p, const nr_limits *y)
{
    double at0 = shown_T(p, 0);
    return (y->lo - at0) / (shown_T(p, 1) - at0);
}

/* The name at its line: left of the faster's, right of the slower's, where the panel is empty. */
static void name_line(nr_picture *p, const nr_compare *c, size_t b, bool left, double end,
                      const nr_limits *y)
{
    const nr_heat_up *h = &c->heat_up[b];
    const nr_reference_day *d = &c->day;
    double top = fmin(d->to_degC, warmest(h, left ? h->hi95 : h->lo95, end));
    /* Clear of the target's line above and of the axis below, by lines of letters. */
    double line = (y->hi - y->lo) / (shown_T(p, 1) - shown_T(p, 0)) * 1.25 * NR_PX_TEXT /
                  ((p->panel.top - p->panel.bottom) * NR_CANVAS_H);
    double degC = d->from_degC + (left ? 0.80 : 0.33) * (top - d->from_degC);
    degC = left ? fmin(degC, d->to_degC - 1.7 * line)
                : fmax(degC, fmin(lowest_degC(p, y) + 1.7 * line, top));
    double minute = edge_minute(c, left, degC);
    char rest[80], name[2 * NR_NAME], text[3 * NR_NAME];
    if (!isfinite(minute) || !(minute < end))
        minute = left ? end / 2 : end / 3;
    double room = nr_picture_px(p, p->panel.right - p->panel.left) *
                      (left ? minute / end : 1 - minute / end) -
                  30;
    (void)snprintf(rest, sizeof rest, "%s%s",
                   c->build[b]->loss_includes_store ? " (loss with the container\u2019s)" : "",
                   h->time_s.known ? "" : ": not reached");
    (void)snprintf(text, sizeof text, "%s%s", c->label[b], rest);
    double px = nr_text_px(text, NR_PX_TEXT) > room ? NR_PX_SMALL : NR_PX_TEXT;
    (void)snprintf(text, sizeof text, "%s%s",
                   short_name(name, sizeof name, c, b, px, room - nr_text_px(rest, px), 0), rest);
    nr_text_point(p, minute, shown_T(p, degC), left ? "right" : "left", left ? -1.5 : 1.5,
                  left ? 0.9 : -0.9, px, nr_build_colour(b), text);
}

/* Where a build meets the target: its dot with whiskers, and the time in words beside them. */
static void meet_target(nr_picture *p, const nr_compare *c, size_t b, bool left, double aside)
{
    FILE *f = p->script;
    const nr_quantity *t = &c->heat_up[b].time_s;
    double y = shown_T(p, c->day.to_degC) + (left ? aside : -aside);
    fprintf(f, "$time%zu << EOD\n", b);
    if (t->known) {
        const double row[4] = {t->value / 60, y, t->lo95 / 60, t->hi95 / 60};
        for (int i = 0; i < 4; i++) {
            nr_gp_number(f, row[i]);
            fputc(i < 3 ? ' ' : '\n', f);
        }
    }
    fputs("NaN NaN NaN NaN\nEOD\n", f);
    if (!t->known)
        return;
    char text[96], v[NR_ROUNDED], lo[NR_ROUNDED], hi[NR_ROUNDED];
    int place = nr_round_place(t->u / 60, 2);
    place = place < 0 ? 0 : place > 1 ? 1 : place;
    (void)snprintf(text, sizeof text, "%s min (%s to %s)", nr_round_text(t->value / 60, place, v),
                   nr_round_text(t->lo95 / 60, place, lo), nr_round_text(t->hi95 / 60, place, hi));
    nr_text_point(p, (left ? t->lo95 : t->hi95) / 60, y, left ? "right" : "left", left ? -1.0 : 1.0,
                  left ? 0.75 : -0.75, NR_PX_SMALL, nr_build_colour(b), text);
}

/* A little beyond the slowest build that gets there, with room for its time; all of it when none
 * does. */
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
    return isfinite(slowest) ? 1.25 * slowest : isfinite(end) ? end : 1;
}

static void target_line(nr_picture *p, double degC)
{
    char text[64], n[NR_ROUNDED];
    double y = shown_T(p, degC);
    (void)snprintf(text, sizeof text, "target %s %s", nr_round_text(y, 0, n),
                   nr_display_of(NR_SHOWN_TEMPERATURE, p->units)->pretty);
    nr_level(p, y, NR_BLACK, "(3,3)", "left", text);
}

static nr_limits heat_up_limits(const nr_picture *p, const nr_compare *c, double end)
{
    double lo = NAN, hi = NAN;
    for (size_t b = 0; b < c->builds; b++)
        for (size_t i = 0; i < c->heat_up[b].count && c->heat_up[b].t_s[i] / 60 <= end; i++) {
            nr_stretch(&lo, &hi, c->heat_up[b].lo95[i]);
            nr_stretch(&lo, &hi, c->heat_up[b].store_degC[i]);
        }
    nr_stretch(&lo, &hi, c->day.to_degC + 0.10 * (c->day.to_degC - c->day.from_degC));
    nr_stretch(&lo, &hi, c->day.from_degC);
    return nr_nice(shown_T(p, lo), shown_T(p, hi), 5, false);
}

static bool whiskers_overlap(const nr_compare *c)
{
    const nr_quantity *a = &c->heat_up[0].time_s, *b = &c->heat_up[1].time_s;
    return c->builds == 2 && a->known && b->known && a->lo95 <= b->hi95 && b->lo95 <= a->hi95;
}

static void heat_up(nr_picture *p, const nr_compare *c, const nr_box *box)
{
    FILE *f = p->script;
    double end = until(c);
    char heading[200], water[NR_ROUNDED], sun[NR_ROUNDED];
    double kg = nr_display_value(NR_SHOWN_WATER, p->units, c->day.store_kg);
    double G = nr_display_value(NR_SHOWN_IRRADIANCE, p->units, c->day.sun_W_m2);
    (void)snprintf(heading, sizeof heading,
                   "%s %s of water on the reference day, %s %s; water in %s, 95 %% bands",
                   nr_plain_text(kg, 3, water), nr_display_of(NR_SHOWN_WATER, p->units)->pretty,
                   nr_round_text(G, 0, sun), nr_display_of(NR_SHOWN_IRRADIANCE, p->units)->pretty,
                   nr_display_of(NR_SHOWN_TEMPERATURE, p->units)->pretty);
    nr_panel(p, box, heading);
    nr_limits y = heat_up_limits(p, c, end), x = nr_nice(0, end, 8, true);
    nr_range(p, "y", y.lo, y.hi);
    nr_tics(p, "y", &y);
    nr_range(p, "x", 0, end);
    x.hi = end;
    nr_tics(p, "x", &x);
    nr_x_label(p, "minutes");
    target_line(p, c->day.to_degC);
    for (size_t b = 0; b < c->builds; b++) {
        bool left = b == ahead(c);
        write_heat_up(p, &c->heat_up[b], b, end);
        meet_target(p, c, b, left, whiskers_overlap(c) ? ASIDE * (y.hi - y.lo) : 0);
        name_line(p, c, b, left, end, &y);
    }
    fputs("plot NaN", f);
    for (size_t b = 0; b < c->builds; b++)
        fprintf(f, ", $heat%zu using 1:3:4 with filledcurves fs transparent solid 0.15 lc rgb '%s'",
                b, nr_build_colour(b));
    for (size_t b = 0; b < c->builds; b++)
        fprintf(f, ", $heat%zu using 1:2 with lines lw 3 dt %s lc rgb '%s'", b, nr_build_dash(b),
                nr_build_colour(b));
    for (size_t b = 0; b < c->builds; b++) {
        fprintf(f, ", $time%zu using 1:2:3:4 with xerrorbars lw 2.5", b);
        nr_mark(p, nr_build_mark(b), 1.7, nr_build_colour(b));
    }
    fputc('\n', f);
}

/* "A − B", in two lines where one is too short. */
static void pair_name(nr_picture *p, const nr_compare *c, const nr_difference *d, double x,
                      double y)
{
    size_t skip = common_start(c);
    char one[2 * NR_NAME], other[2 * NR_NAME], text[4 * NR_NAME + 16];
    double room = nr_picture_px(p, 0.985 - x);
    (void)snprintf(text, sizeof text, "%s \u2212 %s, 95 %%", c->label[d->of] + skip,
                   c->label[d->against] + skip);
    if (nr_text_px(text, NR_PX_TEXT) <= room) {
        nr_text_screen(p, x, y, "left", NR_PX_TEXT, NR_BLACK, text);
        return;
    }
    double line = 1.25 * NR_PX_SMALL / NR_CANVAS_H;
    nr_text_screen(p, x, y + line, "left", NR_PX_SMALL, NR_BLACK,
                   nr_text_cut_front(one, sizeof one, c->label[d->of], NR_PX_SMALL, room));
    (void)snprintf(
        text, sizeof text, "\u2212 %s, 95 %%",
        nr_text_cut_front(other, sizeof other, c->label[d->against], NR_PX_SMALL, room - 80));
    nr_text_screen(p, x, y, "left", NR_PX_SMALL, NR_BLACK, text);
}

/* One difference as a strip: its words, zero, the dot with its interval. */
static void strip(nr_picture *p, const nr_compare *c, nr_compared by, const nr_box *box,
                  const char *words)
{
    const nr_difference *d = &c->difference[0];
    static const nr_shown kind[NR_COMPARED] = {NR_SHOWN_NUMBER, NR_SHOWN_COLLECTOR_LOSS,
                                               NR_SHOWN_MINUTES};
    FILE *f = p->script;
    nr_quantity q = nr_display_quantity(kind[by], p->units, nr_difference_by(d, by));
    char text[200], v[NR_ROUNDED], lo[NR_ROUNDED], hi[NR_ROUNDED];
    int place = nr_round_place(q.u, 2);
    if (q.known)
        (void)snprintf(text, sizeof text, "%s: %s (%s to %s)", words,
                       nr_round_text(q.value, place, v), nr_round_text(q.lo95, place, lo),
                       nr_round_text(q.hi95, place, hi));
    else
        (void)snprintf(text, sizeof text, "%s: not determined", words);
    nr_pretty(text, sizeof text);
    nr_panel(p, box, NULL);
    if (by == 0)
        pair_name(p, c, d, box->left, box->top + 0.056);
    nr_text_screen(p, box->left, box->top + 0.020, "left", NR_PX_SMALL, NR_TEXT_GREY, text);
    if (!q.known) { /* words alone: an empty axis would look like a difference of zero */
        fputs("set border 0\nset xrange [0:1]\nset yrange [0:1]\nplot NaN\n", f);
        return;
    }
    nr_limits x = nr_nice(q.lo95, q.hi95, 5, true);
    double air = 0.04 * (x.hi - x.lo);
    nr_range(p, "x", x.lo - air, x.hi + air);
    nr_tics(p, "x", &x);
    nr_range(p, "y", -1, 1);
    fputs("set grid noytics\nset arrow from first 0, graph 0 to first 0, graph 1 nohead lw 2 "
          "lc rgb '" NR_TEXT_GREY "'\n",
          f);
    fprintf(f, "$difference%d << EOD\n", (int)by);
    nr_gp_number(f, q.value);
    fputs(" 0 ", f);
    nr_gp_number(f, q.lo95);
    fputc(' ', f);
    nr_gp_number(f, q.hi95);
    fprintf(f,
            "\nNaN NaN NaN NaN\nEOD\nplot NaN, $difference%d using 1:2:3:4 with xerrorbars lw 2.5",
            (int)by);
    nr_mark(p, 7, 1.5, NR_BLACK);
    fputc('\n', f);
}

static void differences(nr_picture *p, const nr_compare *c)
{
    const double left = 0.555, right = 0.985, high = 0.045;
    const double top[NR_COMPARED] = {0.335, 0.215, 0.095};
    char a1[96];
    if (c->differences == 0)
        return;
    (void)snprintf(a1, sizeof a1, "loss " NR_A1 ", %s",
                   nr_display_of(NR_SHOWN_COLLECTOR_LOSS, p->units)->pretty);
    const char *const words[NR_COMPARED] = {"zero-loss efficiency " NR_ETA0, a1,
                                            "heat-up time, min"};
    for (int by = 0; by < NR_COMPARED; by++) {
        const nr_box box = {left, right, top[by] - high, top[by]};
        strip(p, c, (nr_compared)by, &box, words[by]);
    }
}

/* Two names for a title that has so much room for both: whole, or without what all names begin with
 * (the picture has it), or each cut to its share. */
static void title_names(const nr_compare *c, size_t one, size_t other, double room,
                        char name[2][2 * NR_NAME])
{
    const double px = NR_PX_TITLE, half = room / 2;
    size_t skip = 0;
    double a = nr_text_px(c->label[one], px), b = nr_text_px(c->label[other], px);
    if (a + b > room) {
        const double ellipsis = nr_text_px("\u2026", px);
        size_t common = common_start(c);
        double a_end = ellipsis + nr_text_px(c->label[one] + common, px);
        double b_end = ellipsis + nr_text_px(c->label[other] + common, px);
        /* Ends of a few letters say too little by themselves. */
        if (common > 0 && a_end + b_end > half) {
            skip = common;
            a = a_end;
            b = b_end;
        }
    }
    /* What one leaves free the other may have. */
    (void)short_name(name[0], 2 * NR_NAME, c, one, px, b < half ? room - b : half, skip);
    (void)short_name(name[1], 2 * NR_NAME, c, other, px, a < half ? room - a : half, skip);
}

/* The finding, with names cut to what room its words leave them. */
static void title_of(char *text, size_t size, const nr_compare *c)
{
    const nr_verdict *v = &c->verdict;
    char name[2][2 * NR_NAME] = {"", ""}, words[200];
    nr_tell_compare_headline(words, sizeof words, c, "", "");
    nr_title_trust(words, sizeof words, &c->trust);
    double room = fmax(TITLE_PX - nr_text_px(words, NR_PX_TITLE), 12 * NR_PX_TITLE);
    if (c->builds == 2 && v->next != v->best)
        title_names(c, v->best, v->next, room, name);
    else
        (void)short_name(name[0], sizeof name[0], c, v->best, NR_PX_TITLE, room, 0);
    nr_tell_compare_headline(text, size, c, name[0], name[1]);
    nr_title_trust(text, size, &c->trust);
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
    if (c->builds > 2) {
        nr_draw_compare_ranking(&p, c);
        return nr_picture_end(&p, err);
    }
    const nr_box heat = {0.055, 0.985, 0.530, 0.860}, curves = {0.055, 0.480, 0.085, 0.369};
    heat_up(&p, c, &heat);
    nr_draw_compare_curves(&p, c, &curves);
    differences(&p, c);
    return nr_picture_end(&p, err);
}
