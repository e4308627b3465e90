/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The picture of a sizing: which areas and amounts of water reach the target, what just suffices
 * and what surely does, and when to start; or the months of a year. */
#include "plots/picture.h"
#include "plots/size_map.h"
#include "plots/size_months.h"
#include "plots/timeline.h"

#include "analyze/forecast/day.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <math.h>
#include <string.h>

/* Whole and half hours of the day's clock between two times, as tics. */
static void clock_axis(nr_picture *p, const nr_day *d, double from_s, double to_s)
{
    static const double steps[] = {900, 1800, 3600, 7200, 10800};
    double step = 14400;
    for (size_t i = sizeof steps / sizeof *steps; i-- > 0;)
        if ((to_s - from_s) / steps[i] <= 12)
            step = steps[i];
    nr_range(p, "x", from_s, to_s);
    nr_tics_style(p, "x");
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

/* A stretch of the day in which to start, its words inside where they fit: before or behind the
 * start's line, where that goes through. */
static void stretch(nr_picture *p, const nr_size *z, double from_s, double to_s, const char *fill,
                    double span, const char *words)
{
    double start = z->asked.day.start_s, left = from_s, right = to_s;
    if (!(to_s > from_s))
        return;
    if (start > from_s && start < to_s)
        *(start - from_s > to_s - start ? &right : &left) = start;
    fprintf(p->script,
            "set object rectangle from first %.9g, graph 0.12 to first %.9g, graph 0.88 back fc "
            "rgb '%s' fs solid noborder\n",
            from_s, to_s, fill);
    /* The strip is some 120 letters long. */
    if ((right - left) / span * 120 > (double)strlen(words))
        nr_text_point(p, (left + right) / 2, 0.5, "center", 0, 0, NR_PX_SMALL, NR_BLACK, words);
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
    stretch(p, z, z->warmest_start_s, certain, "#7FB8D8", span, "95 % sure");
    stretch(p, z, certain, likely, "#CFE3F0", span, "more likely than not");
    stretch(p, z, likely, by, "#EEEEEE", span,
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
    nr_pretty(text, sizeof text);
    nr_text_screen(p, 0.065, y, "left", NR_PX_SMALL, NR_BLACK, text);
}

static void draw_day(nr_picture *p, const nr_size *z)
{
    bool clear = z->asked.day.clear_sky, mixed = !isnan(z->asked.tap_degC);
    double bottom = clear ? mixed ? 0.370 : 0.345 : mixed ? 0.165 : 0.125;
    const nr_box where = {0.065, 0.800, bottom, 0.835};
    const nr_box strip = {0.065, 0.975, mixed ? 0.115 : 0.085, mixed ? 0.185 : 0.160};
    uses(p, z, 0.030); /* before the first panel: each later one begins without labels */
    nr_draw_size_map(p, z, &where);
    if (clear)
        starts(p, z, &strip);
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
    char rest[480], sky[160], start[160] = "", air[64] = "", a[NR_ROUNDED], b[NR_ROUNDED];
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
    nr_tell_size_title(title, sizeof title, z, units);
    nr_pretty(title, sizeof title);
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
