/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A card to post: one portrait picture, letters large enough for a telephone. Name, three numbers
 * with their intervals, the water over time, where the sun's energy went as one bar, the
 * conditions, what inspection says of the record, its checksum. Of several builds: who heats up
 * first. */
#include "plots/energy.h"
#include "plots/letters.h"
#include "plots/picture.h"
#include "plots/timeline.h"

#include "analyze/fit/trust.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <math.h>
#include <string.h>

/* Text sizes before the portrait canvas's factor (NR_PORTRAIT_SCALE). */
#define PX_LARGE 44.0
#define LEFT 0.05
#define COLUMN 0.32 /* from one large number to the next */
/* Readings drawn: more only make the file large. */
#define POINTS 400

static const nr_box curve_box = {0.095, 0.945, 0.448, 0.685};
static const nr_box bar = {LEFT, 0.945, 0.278, 0.314};
static const nr_box ranking_box = {LEFT, 0.945, 0.240, 0.840};
#define HIGHEST_ROW 0.135 /* a row of dots: two builds do not fill the canvas */

/* Height on the canvas of so many px below its top. */
static double down(double px)
{
    return 1.0 - px / NR_PORTRAIT_H;
}

/* From edge to edge, px; letters of portrait size. */
#define EDGES ((1 - 2 * LEFT) * NR_PORTRAIT_W)

/* One line, cut to the room between the edges. */
static void text(nr_picture *p, double px_down, double px, const char *colour, const char *words)
{
    char cut[256];
    nr_text_screen(p, LEFT, down(px_down), "left", px, colour,
                   nr_text_cut(cut, sizeof cut, words, px * p->scale, EDGES));
}

/* Over two lines at most. */
static void two_lines(nr_picture *p, double px_down, const char *words)
{
    (void)nr_text_block(p, LEFT, down(px_down), NR_PX_SMALL, NR_TEXT_GREY, words, 1 - 2 * LEFT, 2);
}

/* A name is never cut: a long one is smaller, and over two lines. */
static void name_line(nr_picture *p, const char *name)
{
    double px = NR_PX_TITLE;
    if (nr_text_px(name, px * p->scale) <= EDGES) {
        text(p, 62, px, NR_BLACK, name);
        return;
    }
    px *= 0.70;
    while (nr_text_px(name, px * p->scale) > 1.6 * EDGES && px > 8)
        px *= 0.95;
    (void)nr_text_block(p, LEFT, down(34), px, NR_BLACK, name, 1 - 2 * LEFT, 2);
}

/* --- three numbers ---------------------------------------------------------------------------- */

static void number(nr_picture *p, int column, nr_shown what, const nr_quantity *q,
                   const char *line1, const char *line2)
{
    char value[NR_ROUNDED], half[NR_ROUNDED], below[96];
    double x = LEFT + COLUMN * column;
    if (q->known) {
        nr_quantity d = nr_display_quantity(what, p->units, q);
        double wide = (d.hi95 - d.lo95) / 2;
        int place = nr_round_place(wide, 2);
        nr_round_text(d.value, place, value);
        (void)snprintf(below, sizeof below, "\u00b1 %s %s", nr_round_text(wide, place, half),
                       nr_display_of(what, p->units)->pretty);
    } else {
        (void)snprintf(value, sizeof value, "?");
        (void)snprintf(below, sizeof below, "not determined");
    }
    nr_text_screen(p, x, down(209), "left", PX_LARGE, NR_BLACK, value);
    nr_text_screen(p, x, down(265), "left", NR_PX_TEXT, NR_BLACK, below);
    nr_text_screen(p, x, down(303), "left", NR_PX_SMALL, NR_TEXT_GREY, line1);
    nr_text_screen(p, x, down(335), "left", NR_PX_SMALL, NR_TEXT_GREY, line2);
}

static void numbers(nr_picture *p, const nr_fit *fit)
{
    number(p, 0, NR_SHOWN_PERCENT, &fit->eta0, "of the sun into heat,", "warm as the air");
    number(p, 1, NR_SHOWN_COLLECTOR_LOSS, &fit->a1, "lost for each degree",
           fit->loss_includes_store ? "warmer, with bucket" : "warmer");
    number(p, 2, NR_SHOWN_PERCENT, &fit->run_efficiency, "of this test's sun", "in the water");
}

/* --- the water over time ---------------------------------------------------------------------- */

static size_t store_of(const nr_fit_run *r)
{
    for (size_t c = 0; c < r->channels; c++)
        if (strcmp(r->channel[c].name, "store") == 0)
            return c;
    return 0;
}

/* $water: minutes, water, air; a blank line between runs. */
static void write_rows(nr_picture *p, const nr_fit *fit, const nr_timeline *t, double *lo,
                       double *hi)
{
    FILE *f = p->script;
    fputs("$water << EOD\n", f);
    for (size_t r = 0; r < t->count; r++) {
        const nr_fit_run *run = &fit->run[r];
        const double *water = run->channels > 0 ? run->channel[store_of(run)].measured : NULL;
        size_t step = run->blocks / POINTS + 1;
        for (size_t i = 0; i < run->blocks; i += step) {
            double w = nr_display_value(NR_SHOWN_TEMPERATURE, p->units, water ? water[i] : NAN);
            double air = nr_display_value(NR_SHOWN_TEMPERATURE, p->units,
                                          run->air_degC ? run->air_degC[i] : NAN);
            nr_stretch(lo, hi, w);
            nr_stretch(lo, hi, air);
            nr_gp_number(f, t->offset_min[r] + run->t_s[i] / 60);
            fputc(' ', f);
            nr_gp_number(f, w);
            fputc(' ', f);
            nr_gp_number(f, air);
            fputc('\n', f);
        }
        fputs("\n", f);
    }
    fputs("NaN NaN NaN\nEOD\n", f);
}

static void curve(nr_picture *p, const nr_fit *fit)
{
    char heading[96];
    double lo = NAN, hi = NAN;
    nr_timeline t = nr_timeline_of(fit);
    write_rows(p, fit, &t, &lo, &hi);
    nr_limits y = nr_nice(lo, hi, 5, false);
    nr_range(p, "y", y.lo, y.hi);
    nr_tics(p, "y", &y);
    nr_timeline_axis(p, &t, true, (curve_box.right - curve_box.left) / NR_PORTRAIT_SCALE);
    nr_timeline_separators(p, &t);
    (void)snprintf(heading, sizeof heading, "Water (thick) and air, %s",
                   nr_display_of(NR_SHOWN_TEMPERATURE, p->units)->pretty);
    nr_text_screen(p, LEFT, curve_box.top + 0.022, "left", NR_PX_TEXT, NR_BLACK, heading);
}

/* --- where the sun's energy went -------------------------------------------------------------- */

static void energy_bar(nr_picture *p, const nr_fit *fit)
{
    double share[NR_ENERGY_PARTS], at = bar.left;
    int row = 0;
    if (!nr_energy_shares(fit, share))
        return;
    nr_text_screen(p, LEFT, bar.top + 0.018, "left", NR_PX_TEXT, NR_BLACK,
                   "Where the sun's energy went");
    for (int k = 0; k < NR_ENERGY_PARTS; k++) {
        double part = share[k];
        double end = at + (bar.right - bar.left) * part;
        if (!nr_energy_told(fit, k))
            continue;
        double x = LEFT + (row % 2) * 0.46, y = down(1008 + 40 * (row / 2));
        char words[96];
        (void)snprintf(words, sizeof words, part < 0.005 ? "%s under 1 %%" : "%s %.0f %%",
                       nr_energy_name(fit, k), 100 * part);
        fprintf(p->script,
                "set object rectangle from screen %.4f, screen %.4f to screen %.4f, screen %.4f "
                "front fc rgb '%s' fs solid 0.9 border lc rgb 'white'\n",
                at, bar.bottom, end, bar.top, nr_energy_colour(k));
        fprintf(p->script,
                "set object rectangle from screen %.4f, screen %.4f to screen %.4f, screen %.4f "
                "front fc rgb '%s' fs solid 0.9 border lc rgb '" NR_TEXT_GREY "'\n",
                x, y - 0.009, x + 0.024, y + 0.009, nr_energy_colour(k));
        nr_text_screen(p, x + 0.036, y, "left", NR_PX_SMALL, NR_BLACK, words);
        at = end;
        row++;
    }
}

/* --- the small print -------------------------------------------------------------------------- */

static void append(char *to, size_t size, const char *label, nr_shown what, nr_units units,
                   double value, int digits)
{
    char n[NR_ROUNDED];
    size_t used = strlen(to);
    if (!isfinite(value))
        return;
    (void)snprintf(to + used, size - used, "%s%s %s %s", used > 0 ? ", " : "", label,
                   nr_plain_text(nr_display_value(what, units, value), digits, n),
                   nr_display_of(what, units)->pretty);
}

static void small_print(nr_picture *p, const nr_card *card)
{
    const nr_fit *fit = card->fit;
    char line[256] = "", sum[64];
    append(line, sizeof line, "mean sun", NR_SHOWN_IRRADIANCE, p->units, fit->mean_sun_W_m2, 3);
    append(line, sizeof line, "air", NR_SHOWN_TEMPERATURE, p->units, fit->mean_air_degC, 3);
    text(p, 1158, NR_PX_SMALL, NR_TEXT_GREY, line);
    line[0] = '\0';
    append(line, sizeof line, "flow", NR_SHOWN_FLOW, p->units, fit->mean_flow_L_min, 3);
    append(line, sizeof line, "wind", NR_SHOWN_SPEED, p->units, fit->mean_wind_m_s, 2);
    append(line, sizeof line, "area", NR_SHOWN_AREA, p->units, fit->gross_area_m2, 3);
    text(p, 1196, NR_PX_SMALL, NR_TEXT_GREY, line);
    bool good = fit->trust.count == 0;
    size_t used = (size_t)snprintf(line, sizeof line, "Grade: %s", nr_trust_grade(&fit->trust));
    if (card->faults + card->doubts > 0)
        (void)snprintf(line + used, sizeof line - used, "; inspection: %zu fault%s, %zu doubt%s",
                       card->faults, card->faults == 1 ? "" : "s", card->doubts,
                       card->doubts == 1 ? "" : "s");
    text(p, 1246, NR_PX_SMALL, good ? NR_BLACK : NR_VERMILLION, line);
    text(p, 1284, NR_PX_SMALL, NR_TEXT_GREY,
         "\u00b1 is half of the 95 % interval; efficiency on the gross area.");
    (void)snprintf(sum, sizeof sum, "%.24s", card->sha256);
    (void)snprintf(line, sizeof line, "noonfit %s; readings.csv SHA-256 %s%s", NOONRUN_VERSION, sum,
                   strlen(card->sha256) > 24 ? "\u2026" : "");
    text(p, 1322, NR_PX_SMALL * 0.85, NR_TEXT_GREY, card->sha256[0] ? line : "");
}

nr_code nr_plot_card(const nr_card *card, const char *path, const nr_plot_style *style, nr_err *err)
{
    nr_picture p;
    char subtitle[512];
    const nr_fit *fit = card->fit;
    if (fit->runs == 0)
        return nr_fail(err, NR_BAD, path, 0, "this fit holds no run to draw");
    nr_code code = nr_picture_begin_portrait(&p, path, style, err);
    if (code != NR_OK)
        return code;
    nr_subtitle_fit(subtitle, sizeof subtitle, fit);
    nr_panel(&p, &curve_box, NULL);
    name_line(&p, fit->collector_name[0] != '\0' ? fit->collector_name : "Solar collector");
    two_lines(&p, 114, subtitle);
    numbers(&p, fit);
    curve(&p, fit);
    energy_bar(&p, fit);
    small_print(&p, card);
    fputs("plot NaN, $water using 1:3 with lines lw 2 dt (10,4) lc rgb '" NR_GREEN
          "', $water using 1:2 with lines lw 5 lc rgb '" NR_BLUE "'\n",
          p.script);
    return nr_picture_end(&p, err);
}

/* --- several builds --------------------------------------------------------------------------- */

/* More than these have one line each, and letters for who is told apart instead of dots. */
#define FEW_BUILDS 8

static void time_words(const nr_picture *p, const nr_quantity *q, char *words, size_t size)
{
    char v[NR_ROUNDED], half[NR_ROUNDED];
    nr_quantity d = nr_display_quantity(NR_SHOWN_MINUTES, p->units, q);
    double wide = (d.hi95 - d.lo95) / 2;
    int digits = nr_round_place(wide, 2);
    if (q->known)
        (void)snprintf(words, size, "%s \u00b1 %s min", nr_round_text(d.value, digits, v),
                       nr_round_text(wide, digits, half));
    else
        (void)snprintf(words, size, "does not get there");
}

/* Letters, name, time in a line of their own. */
static void list_line(nr_picture *p, const nr_compare *c, size_t place)
{
    const nr_rank *r = &c->rank[place];
    double row = (ranking_box.top - ranking_box.bottom) / (double)c->builds;
    double y = ranking_box.top - row * ((double)place + 0.5), name_x = LEFT + 0.11;
    double px = NR_PX_SMALL * 0.95;
    char words[160], cut[256];
    time_words(p, &c->heat_up[r->build].time_s, words, sizeof words);
    double room =
        (ranking_box.right - name_x) * NR_PORTRAIT_W - nr_text_px(words, px * p->scale) - 20;
    nr_text_screen(p, LEFT, y, "left", px, NR_TEXT_GREY, r->letters);
    nr_text_screen(p, name_x, y, "left", px, NR_BLACK,
                   nr_text_cut_middle(cut, sizeof cut, c->label[r->build], px * p->scale, room));
    nr_text_screen(p, ranking_box.right, y, "right", px, NR_BLACK, words);
}

static double dots_row(const nr_compare *c)
{
    return fmin((ranking_box.top - ranking_box.bottom) / (double)c->builds, HIGHEST_ROW);
}

/* The name in smaller letters where it would not fit beside the time, cut in the middle only beyond
 * that: names that begin alike stay apart. */
static void rank_line(nr_picture *p, const nr_compare *c, size_t build, size_t place)
{
    const nr_quantity *q = &c->heat_up[build].time_s;
    double y = ranking_box.top - dots_row(c) * (double)place - 0.030, px = NR_PX_TEXT;
    char name[NR_NAME + 32], words[160], cut[2 * NR_NAME];
    (void)snprintf(name, sizeof name, "%zu. %s", place + 1, c->label[build]);
    time_words(p, q, words, sizeof words);
    double room =
        (ranking_box.right - LEFT) * NR_PORTRAIT_W - nr_text_px(words, NR_PX_TEXT * p->scale) - 24;
    while (nr_text_px(name, px * p->scale) > room && px > 0.6 * NR_PX_TEXT)
        px *= 0.97;
    nr_text_screen(p, LEFT, y, "left", px, NR_BLACK,
                   nr_text_cut_middle(cut, sizeof cut, name, px * p->scale, room));
    nr_text_screen(p, ranking_box.right, y, "right", NR_PX_TEXT, NR_BLACK, words);
}

static void write_ranking(nr_picture *p, const nr_compare *c, double *hi)
{
    FILE *f = p->script;
    /* So many px under the row's upper edge: the name stands above it. */
    double below = 78.0 / (dots_row(c) * NR_PORTRAIT_H);
    for (size_t place = 0; place < c->builds; place++) {
        const nr_quantity *q = &c->heat_up[c->rank[place].build].time_s;
        fprintf(f, "$build%zu << EOD\n", place);
        if (q->known) {
            nr_gp_number(f, q->value / 60);
            fprintf(f, " %.4f ", (double)c->builds - (double)place - below);
            nr_gp_number(f, q->lo95 / 60);
            fputc(' ', f);
            nr_gp_number(f, q->hi95 / 60);
            fputs("\n", f);
            *hi = fmax(*hi, q->hi95 / 60);
        }
        fputs("NaN NaN NaN NaN\nEOD\n", f);
    }
}

/* The sentence of the comparison, as far as there is room below. */
static void verdict(nr_picture *p, const nr_compare *c, double px_down)
{
    char words[NR_TELL];
    double lines = (1290 - px_down) / (1.25 * NR_PX_TEXT * p->scale);
    if (lines < 2)
        return;
    nr_tell_compare_verdict(words, sizeof words, c, p->units);
    nr_pretty(words, sizeof words);
    (void)nr_text_block(p, LEFT, down(px_down), NR_PX_TEXT, NR_BLACK, words, 1 - 2 * LEFT,
                        (size_t)lines);
}

static void dots(nr_picture *p, const nr_compare *c)
{
    double hi = 1;
    write_ranking(p, c, &hi);
    nr_limits x = nr_nice(0, hi, 5, true);
    nr_range(p, "x", 0, x.hi);
    nr_tics(p, "x", &x);
    nr_range(p, "y", 0, (double)c->builds);
    nr_x_label(p, "minutes on the reference day; lines are 95 % intervals");
    for (size_t place = 0; place < c->builds; place++)
        rank_line(p, c, c->rank[place].build, place);
    double foot = (1 - p->panel.bottom) * NR_PORTRAIT_H + 219;
    text(p, foot, NR_PX_SMALL, NR_TEXT_GREY,
         "Intervals that overlap may still differ for sure, or not: the builds share");
    text(p, foot + 36, NR_PX_SMALL, NR_TEXT_GREY,
         "sensors. noonfit compare tells the differences with their own intervals.");
    verdict(p, c, foot + 105);
    fputs("plot NaN", p->script);
    for (size_t place = 0; place < c->builds; place++) {
        size_t build = c->rank[place].build;
        fprintf(p->script, ", $build%zu using 1:2:3:4 with xerrorbars lw 4", place);
        nr_mark(p, nr_build_mark(build), 2.4, nr_build_colour(build));
    }
    fputc('\n', p->script);
}

static void list(nr_picture *p, const nr_compare *c)
{
    nr_range(p, "x", 0, 1);
    nr_range(p, "y", 0, 1);
    for (size_t place = 0; place < c->builds; place++)
        list_line(p, c, place);
    text(p, 1120, NR_PX_SMALL, NR_TEXT_GREY, "\u00b1 is half of the 95 % interval.");
    text(p, 1160, NR_PX_SMALL, NR_TEXT_GREY, "Builds without a letter in common are told apart,");
    text(p, 1196, NR_PX_SMALL, NR_TEXT_GREY, "all pairs together at 95 %.");
    fputs("unset border\nplot NaN\n", p->script);
}

nr_code nr_plot_ranking(const nr_compare *c, const char *day, const char *path,
                        const nr_plot_style *style, nr_err *err)
{
    nr_picture p;
    char pretty[512];
    nr_code code = nr_picture_begin_portrait(&p, path, style, err);
    if (code != NR_OK)
        return code;
    (void)snprintf(pretty, sizeof pretty, "%s", day);
    nr_pretty(pretty, sizeof pretty);
    nr_box box = ranking_box;
    if (c->builds <= FEW_BUILDS)
        box.bottom = box.top - dots_row(c) * (double)c->builds;
    nr_panel(&p, &box, NULL);
    text(&p, 62, NR_PX_TITLE, NR_BLACK, "Who heats up first");
    two_lines(&p, 108, pretty);
    text(&p, 1322, NR_PX_SMALL * 0.85, NR_TEXT_GREY, "noonfit " NOONRUN_VERSION);
    if (c->builds > FEW_BUILDS)
        list(&p, c);
    else
        dots(&p, c);
    return nr_picture_end(&p, err);
}
