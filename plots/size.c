/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The picture of a sizing: how warm the store gets by the deadline with another collector or other
 * water, what just suffices and what surely does; or the same over the months of a year. */
#include "plots/picture.h"
#include "plots/size_months.h"
#include "plots/timeline.h"
#include "plots/warm.h"

#include "analyze/forecast/day.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <math.h>
#include <string.h>

/* Beyond the target and what is reached, K: a bucket on a large collector would boil. */
#define ABOVE_K 18.0
/* Letters of small text across a panel, and in the words of a way to the target. */
#define PANEL_LETTERS 55.0
#define WAY_LETTERS 18.0

static double shown_T(const nr_picture *p, double degC)
{
    return nr_display_value(NR_SHOWN_TEMPERATURE, p->units, degC);
}

/* One of the two things that can be changed. */
typedef struct change {
    const char *heading, *axis, *none; /* words */
    nr_shown what;
    int digits;  /* decimals of a size in SI, as in the text */
    bool rising; /* the more, the warmer */
    double own;  /* as built */
    const nr_size_point *curve;
    const nr_size_bound *way;
    const char *colour, *dash, *block;
} change;

static double own_area(const nr_size *z)
{
    return z->asked.day.area_m2 > 0 ? z->asked.day.area_m2 : z->fit->gross_area_m2;
}

/* Water that would get hotter boils instead. */
static nr_quantity shown_water(const nr_picture *p, const nr_quantity *degC)
{
    nr_quantity T = *degC;
    T.value = fmin(T.value, NR_BOILS_DEGC);
    T.lo95 = fmin(T.lo95, NR_BOILS_DEGC);
    T.hi95 = fmin(T.hi95, NR_BOILS_DEGC);
    return nr_display_quantity(NR_SHOWN_TEMPERATURE, p->units, &T);
}

static void write_curve(nr_picture *p, const change *c)
{
    FILE *f = p->script;
    fprintf(f, "$%s << EOD\n", c->block);
    for (size_t i = 0; i < NR_SIZE_CURVE; i++) {
        nr_quantity T = shown_water(p, &c->curve[i].warmest_degC);
        nr_gp_number(f, nr_display_value(c->what, p->units, c->curve[i].x));
        fputc(' ', f);
        nr_gp_number(f, T.value);
        fputc(' ', f);
        nr_gp_number(f, T.lo95);
        fputc(' ', f);
        nr_gp_number(f, T.hi95);
        fputc('\n', f);
    }
    fputs("NaN NaN NaN NaN\nEOD\n", f);
}

/* Common to both panels: from the start to what is reached and wanted, and some air. */
static nr_limits temperature_limits(const nr_picture *p, const nr_size *z)
{
    const nr_day *d = &z->asked.day;
    double lo = d->from_degC, hi = d->to_degC + 3;
    nr_stretch(&lo, &hi, z->warmest_degC.lo95);
    nr_stretch(&lo, &hi, z->warmest_degC.hi95);
    double most = hi + ABOVE_K, top = hi;
    for (size_t i = 0; i < NR_SIZE_CURVE; i++) {
        nr_stretch(&lo, &top, z->by_area[i].warmest_degC.lo95);
        nr_stretch(&lo, &top, z->by_area[i].warmest_degC.hi95);
        nr_stretch(&lo, &top, z->by_water[i].warmest_degC.lo95);
        nr_stretch(&lo, &top, z->by_water[i].warmest_degC.hi95);
    }
    /* Room for the words of the line at boiling. */
    double ends = top > NR_BOILS_DEGC ? NR_BOILS_DEGC + 5 : NR_BOILS_DEGC;
    return nr_nice(shown_T(p, lo), shown_T(p, fmin(fmin(top, most), ends)), 6, false);
}

/* A line from the axis up to the target. */
static void way_line(nr_picture *p, double x, double target)
{
    if (!isfinite(x))
        return;
    fputs("set arrow from first ", p->script);
    nr_gp_number(p->script, x);
    fputs(", graph 0 to first ", p->script);
    nr_gp_number(p->script, x);
    fputs(", first ", p->script);
    nr_gp_number(p->script, target);
    fputs(" nohead lw 1.5 dt (5,3) lc rgb '" NR_TEXT_GREY "'\n", p->script);
}

/* Words at the foot of a line, on one side of it. */
static void way_words(nr_picture *p, const change *c, double x, double beside, bool left, double up,
                      const char *words, double y)
{
    char text[96], n[NR_ROUNDED];
    if (!isfinite(x))
        return;
    (void)snprintf(text, sizeof text, "%s %s %s", words,
                   nr_round_text(x, nr_display_place(c->what, p->units, c->digits), n),
                   nr_display_of(c->what, p->units)->pretty);
    nr_text_point(p, beside, y, left ? "right" : "left", left ? -0.6 : 0.6, up, NR_PX_SMALL,
                  NR_BLACK, text);
}

/* Just enough and surely enough, or that nothing is. The words stand outside of the two lines;
 * both on one side where the other has no room, between them where neither has. */
static void mark_ways(nr_picture *p, const nr_size *z, const change *c, const nr_limits *y,
                      double end)
{
    double target = shown_T(p, z->asked.day.to_degC);
    double best = nr_display_value(c->what, p->units, c->way->best);
    double sure = nr_display_value(c->what, p->units, c->way->sure);
    double low = fmin(best, sure), high = fmax(best, sure);
    double room = WAY_LETTERS / PANEL_LETTERS * end;
    way_line(p, best, target);
    way_line(p, sure, target);
    bool fits_left = low > room, fits_right = high + room < end;
    bool best_left = fits_left && (best <= low || !fits_right);
    bool sure_left = fits_left && (sure <= low || !fits_right);
    bool between = !fits_left && !fits_right;
    way_words(p, c, best, best_left ? low : high, best_left || between, 0.7, "just", y->lo);
    way_words(p, c, sure, sure_left ? low : high, sure_left || between, 1.9, "95 % sure", y->lo);
    if (isfinite(best) && !isfinite(sure))
        nr_text_point(p, best, y->lo, best_left || between ? "right" : "left",
                      best_left || between ? -0.6 : 0.6, 1.9, NR_PX_SMALL, NR_BLACK,
                      "none is 95 % sure");
    if (!isfinite(best))
        nr_text_point(p, c->rising ? 0 : end, y->hi, c->rising ? "left" : "right",
                      c->rising ? 0.6 : -0.6, -1, NR_PX_SMALL, NR_BLACK,
                      z->warmest_degC.value >= z->asked.day.to_degC ? "any of these reaches it"
                                                                    : c->none);
}

/* What was asked about: a point with its interval, its words on the empty side of the curve. */
static void as_asked(nr_picture *p, const nr_size *z, const change *c, double end)
{
    FILE *f = p->script;
    char text[128], n[NR_ROUNDED], a[NR_ROUNDED];
    nr_quantity T = shown_water(p, &z->warmest_degC);
    double x = nr_display_value(c->what, p->units, c->own);
    fprintf(f, "$own_%s << EOD\n", c->block);
    const double row[] = {x, T.value, T.lo95, T.hi95};
    for (size_t k = 0; k < 4; k++) {
        nr_gp_number(f, T.known ? row[k] : NAN);
        fputc(k < 3 ? ' ' : '\n', f);
    }
    fputs("NaN NaN NaN NaN\nEOD\n", f);
    if (!T.known)
        return;
    bool left = x > 0.5 * end, above = left == c->rising;
    (void)snprintf(text, sizeof text, "as asked: %s %s, %s %s", nr_plain_text(x, 3, n),
                   nr_display_of(c->what, p->units)->pretty, nr_round_text(T.value, 0, a),
                   nr_display_of(NR_SHOWN_TEMPERATURE, p->units)->pretty);
    nr_text_point(p, x, above ? T.hi95 : T.lo95, left ? "right" : "left", left ? -0.5 : 0.5,
                  above ? 0.6 : -0.6, NR_PX_SMALL, NR_BLACK, text);
}

/* Where the curve ends, or a little beyond where that makes room for words right of the last mark.
 */
static double axis_end(const nr_picture *p, const change *c)
{
    double end = nr_display_value(c->what, p->units, c->curve[NR_SIZE_CURVE - 1].x);
    double last = nr_display_value(c->what, p->units, fmax(c->way->best, c->way->sure));
    double wanted = 1.001 * last / (1 - WAY_LETTERS / PANEL_LETTERS);
    return wanted > end && wanted < 1.4 * end ? wanted : end; /* false for NAN */
}

static void panel(nr_picture *p, const nr_size *z, const change *c, const nr_box *box)
{
    char text[96];
    nr_limits y = temperature_limits(p, z);
    double end = axis_end(p, c);
    nr_limits x = nr_nice(0, end, 5, true);
    (void)snprintf(text, sizeof text, "Warmest water, %s (95 %%), %s",
                   nr_display_of(NR_SHOWN_TEMPERATURE, p->units)->pretty, c->heading);
    nr_panel(p, box, text);
    nr_range(p, "y", y.lo, y.hi);
    nr_tics(p, "y", &y);
    nr_range(p, "x", 0, end);
    x.hi = end;
    nr_tics(p, "x", &x);
    (void)snprintf(text, sizeof text, "%s, %s", c->axis, nr_display_of(c->what, p->units)->pretty);
    nr_x_label(p, text);
    /* Words where the curve is not: a rising one is far above the scald line at its end, or far
     * below it at its beginning. */
    double last = c->curve[NR_SIZE_CURVE - 1].warmest_degC.lo95;
    nr_draw_target(p, z->asked.day.to_degC, c->rising ? "left" : "right");
    if (y.hi > shown_T(p, NR_BOILS_DEGC) + 0.04 * (y.hi - y.lo))
        nr_draw_boils(p, NR_BOILS_DEGC, c->rising ? "left" : "right");
    if (y.hi > shown_T(p, NR_SCALDS_DEGC) + 0.02 * (y.hi - y.lo))
        nr_draw_scald(p, NR_SCALDS_DEGC + 1, z->asked.day.to_degC,
                      !c->rising || last > NR_SCALDS_DEGC + 5 ? "right" : "left");
    mark_ways(p, z, c, &y, end);
    write_curve(p, c);
    as_asked(p, z, c, end);
    fprintf(p->script,
            "plot NaN, $%s using 1:3:4 with filledcurves fs transparent solid 0.18 lc rgb '%s', "
            "$%s using 1:2 with lines lw 3 dt %s lc rgb '%s', $own_%s using 1:2:3:4 with "
            "yerrorbars lw 2",
            c->block, c->colour, c->block, c->dash, c->colour, c->block);
    nr_mark(p, 7, 1.5, NR_BLACK);
    fputc('\n', p->script);
}

/* Whole and half hours of the day's clock between two times, as tics. */
static void clock_axis(nr_picture *p, const nr_day *d, double from_s, double to_s)
{
    static const double steps[] = {900, 1800, 3600, 7200, 10800};
    double step = 14400;
    for (size_t i = sizeof steps / sizeof *steps; i-- > 0;)
        if ((to_s - from_s) / steps[i] <= 12)
            step = steps[i];
    nr_range(p, "x", from_s, to_s);
    fputs("set xtics nomirror out scale 0.5 tc rgb '" NR_TEXT_GREY "'", p->script);
    nr_font(p, NR_PX_SMALL);
    const char *before = " (";
    for (double clock = step * ceil((from_s + d->clock_ahead_s) / step - 1e-9);
         clock - d->clock_ahead_s <= to_s + 1; clock += step) {
        char text[NR_CLOCK_TEXT];
        (void)nr_day_clock(d, clock - d->clock_ahead_s, text);
        text[strcspn(text, " ")] = '\0';
        fputs(before, p->script);
        nr_gp_quote_tic(p->script, text);
        fprintf(p->script, " %.9g", clock - d->clock_ahead_s);
        before = ", ";
    }
    fputs(strcmp(before, ", ") == 0 ? ")\n" : " ('' 0)\n", p->script);
}

/* A stretch of the day in which to start, its words inside where they fit. */
static void stretch(nr_picture *p, double from_s, double to_s, const char *fill, double span,
                    const char *words)
{
    if (!(to_s > from_s))
        return;
    fprintf(p->script,
            "set object rectangle from first %.9g, graph 0.12 to first %.9g, graph 0.88 back fc "
            "rgb '%s' fs solid noborder\n",
            from_s, to_s, fill);
    /* The strip is some 120 letters long. */
    if ((to_s - from_s) / span * 120 > (double)strlen(words))
        nr_text_point(p, (from_s + to_s) / 2, 0.5, "center", 0, 0, NR_PX_SMALL, NR_BLACK, words);
}

/* The latest start and the one asked about, on the clock of the question. */
static void starts_heading(char *text, size_t size, const nr_size *z)
{
    const nr_day *d = &z->asked.day;
    char when[160], best[NR_CLOCK_TEXT], sure[NR_CLOCK_TEXT], zone[NR_CLOCK_TEXT];
    if (!isfinite(z->latest_s.best))
        (void)snprintf(when, sizeof when, "none is early enough");
    else if (!isfinite(z->latest_s.sure))
        (void)snprintf(when, sizeof when, "%s at the latest, none is 95 %% sure",
                       nr_day_clock(d, z->latest_s.best, best));
    else
        (void)snprintf(when, sizeof when, "%s at the latest, %s to be 95 %% sure",
                       nr_day_clock(d, z->latest_s.best, best),
                       nr_day_clock(d, z->latest_s.sure, sure));
    (void)snprintf(text, size, "Start of the heat-up, %s: %s; line: %s, %s",
                   nr_day_clock_name(d, zone), when, nr_day_clock(d, d->start_s, best),
                   z->best_start ? "the best" : "as asked");
}

static void starts(nr_picture *p, const nr_size *z, const nr_box *box)
{
    const nr_day *d = &z->asked.day;
    char heading[400];
    starts_heading(heading, sizeof heading, z);
    nr_panel(p, box, heading);
    double from = fmin(z->warmest_start_s, d->start_s), by = z->asked.by_s, span = by - from;
    clock_axis(p, d, from, by);
    nr_range(p, "y", 0, 1);
    fputs("set grid noytics\n", p->script);
    double likely = isfinite(z->latest_s.best) ? z->latest_s.best : z->warmest_start_s;
    double certain = isfinite(z->latest_s.sure) ? z->latest_s.sure : z->warmest_start_s;
    stretch(p, z->warmest_start_s, certain, "#7FB8D8", span, "95 % sure");
    stretch(p, certain, likely, "#CFE3F0", span, "more likely than not");
    stretch(p, likely, by, "#EEEEEE", span,
            isfinite(z->latest_s.best) ? "too late" : "not reached, whenever it starts");
    fputs("set arrow from first ", p->script);
    nr_gp_number(p->script, d->start_s);
    fputs(", graph 0 to first ", p->script);
    nr_gp_number(p->script, d->start_s);
    fputs(", graph 1 nohead lw 3 lc rgb '" NR_BLACK "'\nplot NaN\n", p->script);
}

static void uses(nr_picture *p, const nr_size *z, double y)
{
    char text[NR_TELL];
    nr_tell_size_uses(text, sizeof text, z, p->units);
    nr_pretty_degrees(text);
    nr_text_screen(p, 0.065, y, "left", NR_PX_SMALL, NR_BLACK, text);
}

static void draw_day(nr_picture *p, const nr_size *z)
{
    bool clear = z->asked.day.clear_sky, mixed = !isnan(z->asked.tap_degC);
    double bottom = clear ? mixed ? 0.370 : 0.345 : mixed ? 0.165 : 0.125;
    const nr_box left = {0.065, 0.480, bottom, 0.820}, right = {0.560, 0.975, bottom, 0.820};
    const nr_box strip = {0.065, 0.975, mixed ? 0.115 : 0.085, mixed ? 0.185 : 0.160};
    const change area = {.heading = "by size of the collector",
                         .axis = "gross area",
                         .none = "no size reaches it",
                         .what = NR_SHOWN_AREA,
                         .digits = 2,
                         .rising = true,
                         .own = own_area(z),
                         .curve = z->by_area,
                         .way = &z->area_m2,
                         .colour = NR_BLUE,
                         .dash = "solid",
                         .block = "area"};
    const change water = {.heading = "by amount of water",
                          .axis = "water",
                          .none = "no amount reaches it",
                          .what = NR_SHOWN_WATER,
                          .digits = 1,
                          .own = z->asked.day.water_kg,
                          .curve = z->by_water,
                          .way = &z->water_kg,
                          .colour = NR_GREEN,
                          .dash = "(14,4)",
                          .block = "water"};
    uses(p, z, 0.030); /* before the first panel: each later one begins without labels */
    panel(p, z, &area, &left);
    panel(p, z, &water, &right);
    if (clear)
        starts(p, z, &strip);
}

/* "40 °C by 15:00" */
static void wish_of(char *text, size_t size, const nr_size *z, nr_units units)
{
    const nr_day *d = &z->asked.day;
    char target[NR_ROUNDED], when[NR_CLOCK_TEXT];
    double T = nr_display_value(NR_SHOWN_TEMPERATURE, units, d->to_degC);
    if (d->clear_sky)
        (void)snprintf(text, size, "%s %s by %s", nr_round_text(T, 0, target),
                       nr_display_of(NR_SHOWN_TEMPERATURE, units)->pretty,
                       nr_day_clock(d, z->asked.by_s, when));
    else
        (void)snprintf(text, size, "%s %s within %.0f min", nr_round_text(T, 0, target),
                       nr_display_of(NR_SHOWN_TEMPERATURE, units)->pretty, d->limit_s / 60);
}

static void title_of(char *text, size_t size, const nr_size *z, nr_units units)
{
    char wish[128], finding[160], a[NR_ROUNDED], lo[NR_ROUNDED], hi[NR_ROUNDED];
    wish_of(wish, sizeof wish, z, units);
    if (z->months > 0) {
        nr_months_finding(finding, sizeof finding, z);
        (void)snprintf(text, size, "%s, clear sky: %s", wish, finding);
        return;
    }
    nr_quantity T = nr_display_quantity(NR_SHOWN_TEMPERATURE, units, &z->warmest_degC);
    if (!T.known) {
        (void)snprintf(text, size, "%s: not known", wish);
        return;
    }
    (void)snprintf(text, size, "%s %s: %s %s (95 %%: %s to %s)", wish,
                   nr_chance_verdict(nr_chance_of(z->probability)), nr_round_text(T.value, 0, a),
                   nr_display_of(NR_SHOWN_TEMPERATURE, units)->pretty, nr_round_text(T.lo95, 0, lo),
                   nr_round_text(T.hi95, 0, hi));
}

/* On which clock, and when each day of the year starts. */
static void months_start(char *text, size_t size, const nr_size *z)
{
    const nr_day *d = &z->asked.day;
    char clock[NR_CLOCK_TEXT], zone[NR_CLOCK_TEXT];
    if (z->best_start)
        (void)snprintf(text, size, ", best start; %s", nr_day_clock_name(d, zone));
    else
        (void)snprintf(text, size, ", start %s %s", nr_day_clock(d, d->start_s, clock),
                       nr_day_clock_name(d, zone));
}

static void subtitle_of(char *text, size_t size, const nr_size *z, nr_units units)
{
    const nr_day *d = &z->asked.day;
    const char *degrees = nr_display_of(NR_SHOWN_TEMPERATURE, units)->pretty;
    char rest[400], sky[160], start[160] = "", air[64] = "", a[NR_ROUNDED], b[NR_ROUNDED];
    char date[64];
    if (d->clear_sky) {
        nr_calendar_text(date, sizeof date, d->date_s);
        if (z->months > 0) /* the 21st of each month of its year */
            (void)snprintf(sky, sizeof sky, "the 21st of each month of %s",
                           strlen(date) > 4 ? date + strlen(date) - 4 : "a year");
        else
            (void)snprintf(sky, sizeof sky, "clear sky of %s", date);
        if (z->months > 0)
            months_start(start, sizeof start, z);
    } else {
        double G = nr_display_value(NR_SHOWN_IRRADIANCE, units, d->sun_W_m2);
        (void)snprintf(sky, sizeof sky, "steady sun of %s %s", nr_round_text(G, 0, a),
                       nr_display_of(NR_SHOWN_IRRADIANCE, units)->pretty);
    }
    if (z->months == 0) {
        double T = nr_display_value(NR_SHOWN_TEMPERATURE, units, d->air_degC);
        (void)snprintf(air, sizeof air, ", air at %s %s", nr_round_text(T, 0, a), degrees);
    }
    double kg = nr_display_value(NR_SHOWN_WATER, units, d->water_kg);
    double from = nr_display_value(NR_SHOWN_TEMPERATURE, units, d->from_degC);
    (void)snprintf(rest, sizeof rest, ", %s %s of water from %s %s, %s%s%s",
                   nr_plain_text(kg, 3, a), nr_display_of(NR_SHOWN_WATER, units)->pretty,
                   nr_round_text(from, 0, b), degrees, sky, start, air);
    nr_subtitle_of(text, size, z->fit, rest);
}

nr_code nr_plot_size(const nr_size *z, const char *path, const nr_plot_style *style, nr_err *err)
{
    nr_picture p;
    char title[400], subtitle[512];
    nr_units units = style != NULL && style->us_units ? NR_UNITS_US : NR_UNITS_SI;
    title_of(title, sizeof title, z, units);
    nr_title_trust(title, sizeof title, &z->fit->trust);
    subtitle_of(subtitle, sizeof subtitle, z, units);
    nr_code code = nr_picture_begin(&p, path, style, title, subtitle, err);
    if (code != NR_OK)
        return code;
    if (z->months > 0)
        nr_draw_months(&p, z);
    else
        draw_day(&p, z);
    return nr_picture_end(&p, err);
}
