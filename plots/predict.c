/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The picture of a prediction: the store's temperature with its band, the target, the scald line,
 * and the sun it was worked out for. */
#include "plots/picture.h"
#include "plots/timeline.h"
#include "plots/warm.h"

#include "analyze/forecast/day.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <math.h>
#include <string.h>

static const nr_box store_box = {0.065, 0.860, 0.365, 0.840};
static const nr_box sun_box = {0.065, 0.860, 0.095, 0.255};

static double shown_T(const nr_picture *p, double degC)
{
    return nr_display_value(NR_SHOWN_TEMPERATURE, p->units, degC);
}

static void write_trace(nr_picture *p, const nr_predict *q)
{
    FILE *f = p->script;
    fputs("$trace << EOD\n", f);
    for (size_t i = 0; i < q->count; i++) {
        const nr_trace_point *t = &q->trace[i];
        const double row[] = {t->t_s / 60, shown_T(p, t->store_degC), shown_T(p, t->lo95),
                              shown_T(p, t->hi95),
                              nr_display_value(NR_SHOWN_IRRADIANCE, p->units, t->sun_W_m2)};
        for (size_t k = 0; k < sizeof row / sizeof *row; k++) {
            nr_gp_number(f, row[k]);
            fputc(k + 1 < sizeof row / sizeof *row ? ' ' : '\n', f);
        }
    }
    fputs("NaN NaN NaN NaN NaN\nEOD\n", f);
}

/* What the words of the answer take of the usual axis, in kelvins. */
#define WORDS_HIGH_K 5.0

/* The answer where it is: a point on the target with its interval, and a line down to the clock. */
static void arrival(nr_picture *p, const nr_predict *q, double end_min)
{
    char text[256], at[NR_CLOCK_TEXT], lo[NR_CLOCK_TEXT], hi[NR_CLOCK_TEXT];
    const nr_day *d = &q->day;
    const nr_quantity *t = &q->time_s;
    nr_quantity m = nr_display_quantity(NR_SHOWN_MINUTES, p->units, t);
    double target = shown_T(p, d->to_degC);
    fputs("$arrival << EOD\n", p->script);
    const double row[] = {m.value, target, fmax(m.lo95, 0), fmin(m.hi95, end_min)};
    for (size_t k = 0; k < 4; k++) {
        nr_gp_number(p->script, t->known ? row[k] : NAN);
        fputc(k < 3 ? ' ' : '\n', p->script);
    }
    fputs("NaN NaN NaN NaN\nEOD\n", p->script);
    if (!t->known)
        return;
    fprintf(
        p->script,
        "set arrow from first %.9g, graph 0 to first %.9g, first %.9g nohead lw 1.2 dt (3,3) lc "
        "rgb '" NR_TEXT_GREY "'\n",
        m.value, m.value, target);
    if (!d->clear_sky) {
        (void)nr_round_text(m.value, 0, at);
        (void)nr_round_text(m.lo95, 0, lo);
        (void)nr_round_text(m.hi95, 0, hi);
    } else {
        (void)nr_day_clock(d, d->start_s + t->value, at);
        (void)nr_day_clock(d, d->start_s + t->lo95, lo);
        if (isfinite(t->hi95))
            (void)nr_day_clock(d, d->start_s + t->hi95, hi);
    }
    if (isfinite(t->hi95))
        (void)snprintf(text, sizeof text, "%s%s (%s to %s)", at, d->clear_sky ? "" : " min", lo,
                       hi);
    else
        (void)snprintf(text, sizeof text, "%s%s (%s at the earliest)", at,
                       d->clear_sky ? "" : " min", lo);
    bool right = m.value > 0.7 * end_min;
    double down =
        nr_scald_close_under(d->to_degC, WORDS_HIGH_K) ? -2.4 : -1.0; /* below both lines */
    nr_text_point(p, m.value, target, right ? "right" : "left", right ? -0.8 : 0.8,
                  right ? 1.0 : down, NR_PX_TEXT, NR_BLACK, text);
}

static void end_label(nr_picture *p, const nr_predict *q)
{
    char text[64], n[NR_ROUNDED];
    if (q->count == 0)
        return;
    double last = q->final_degC.known ? q->final_degC.value : q->trace[q->count - 1].store_degC;
    (void)snprintf(text, sizeof text, "store %s %s", nr_round_text(shown_T(p, last), 0, n),
                   nr_display_of(NR_SHOWN_TEMPERATURE, p->units)->pretty);
    nr_text_end(p, shown_T(p, last), NR_BLUE, text);
}

static void store(nr_picture *p, const nr_predict *q, const nr_timeline *t)
{
    double lo = NAN, hi = NAN;
    char heading[96];
    for (size_t i = 0; i < q->count; i++) {
        nr_stretch(&lo, &hi, q->trace[i].lo95);
        nr_stretch(&lo, &hi, q->trace[i].hi95);
        nr_stretch(&lo, &hi, q->trace[i].store_degC);
    }
    nr_stretch(&lo, &hi, q->day.to_degC + 4); /* room for its words */
    if (hi > NR_SCALDS_DEGC - 6)
        nr_stretch(&lo, &hi, NR_SCALDS_DEGC + 2);
    (void)snprintf(heading, sizeof heading, "Water in the container, %s (95 %% band)",
                   nr_display_of(NR_SHOWN_TEMPERATURE, p->units)->pretty);
    nr_panel(p, &store_box, NULL);
    nr_text_screen(p, 0.018, store_box.top + 0.026, "left", NR_PX_TEXT, NR_BLACK, heading);
    nr_limits y = nr_nice(shown_T(p, lo), shown_T(p, hi), 6, false);
    nr_range(p, "y", y.lo, y.hi);
    nr_tics(p, "y", &y);
    nr_timeline_clock_axis(p, t, false, store_box.right - store_box.left);
    nr_draw_target(p, q->day.to_degC, "left");
    nr_draw_scald(p, hi, q->day.to_degC, "left");
    nr_draw_boils(p, hi, "left");
    arrival(p, q, t->total_min);
    end_label(p, q);
    fputs(
        "plot NaN, $trace using 1:3:4 with filledcurves fs transparent solid 0.18 lc rgb '" NR_BLUE
        "', $trace using 1:2 with lines lw 3 lc rgb '" NR_BLUE
        "', $arrival using 1:2:3:4 with xerrorbars lw 2.5",
        p->script);
    nr_mark(p, 7, 1.7, NR_BLACK);
    fputc('\n', p->script);
}

static void sun(nr_picture *p, const nr_predict *q, const nr_timeline *t)
{
    double lo = NAN, hi = NAN;
    char heading[96];
    for (size_t i = 0; i < q->count; i++)
        nr_stretch(&lo, &hi, q->trace[i].sun_W_m2);
    (void)snprintf(heading, sizeof heading, "Irradiance in the collector plane, %s",
                   nr_display_of(NR_SHOWN_IRRADIANCE, p->units)->pretty);
    nr_panel(p, &sun_box, NULL);
    nr_text_screen(p, 0.018, sun_box.top + 0.026, "left", NR_PX_TEXT, NR_BLACK, heading);
    nr_limits y = nr_nice(0, nr_display_value(NR_SHOWN_IRRADIANCE, p->units, hi), 3, true);
    nr_range(p, "y", y.lo, y.hi);
    nr_tics(p, "y", &y);
    nr_timeline_clock_axis(p, t, true, sun_box.right - sun_box.left);
    fputs(
        "plot $trace using 1:5 with filledcurves y1=0 fs transparent solid 0.15 lc rgb '" NR_ORANGE
        "', $trace using 1:5 with lines lw 2 lc rgb '" NR_ORANGE "'\n",
        p->script);
}

static void subtitle_of(char *text, size_t size, const nr_predict *q, nr_units units)
{
    char rest[400], water[NR_ROUNDED], wet[64] = "", sun_text[NR_ROUNDED], air[NR_ROUNDED];
    char date[64];
    const char *degrees = nr_display_of(NR_SHOWN_TEMPERATURE, units)->pretty;
    double kg = nr_display_value(NR_SHOWN_WATER, units, q->day.water_kg);
    if (isfinite(kg))
        (void)snprintf(wet, sizeof wet, ", %s %s of water", nr_plain_text(kg, 3, water),
                       nr_display_of(NR_SHOWN_WATER, units)->pretty);
    (void)nr_round_text(nr_display_value(NR_SHOWN_TEMPERATURE, units, q->day.air_degC), 0, air);
    if (q->day.clear_sky) {
        nr_calendar_text(date, sizeof date, q->day.date_s);
        (void)snprintf(rest, sizeof rest,
                       "%s, clear sky of %s at %.2f\u00b0, %.2f\u00b0, air at %s %s", wet, date,
                       q->day.latitude_deg, q->day.longitude_deg, air, degrees);
    } else {
        double G = nr_display_value(NR_SHOWN_IRRADIANCE, units, q->day.sun_W_m2);
        (void)snprintf(rest, sizeof rest, "%s, steady sun of %s %s, air at %s %s", wet,
                       nr_round_text(G, 0, sun_text),
                       nr_display_of(NR_SHOWN_IRRADIANCE, units)->pretty, air, degrees);
    }
    nr_subtitle_of(text, size, q->fit, rest);
}

/* The clock makes sense for a day of the calendar only; it is the one the user asked in. */
static nr_timeline timeline_of(const nr_predict *q)
{
    char zone[NR_CLOCK_TEXT], name[NR_CLOCK_TEXT + 8];
    (void)snprintf(name, sizeof name, "%s%s", q->day.clock_given ? "clock, " : "",
                   nr_day_clock_name(&q->day, zone));
    return nr_timeline_day(q->trace[q->count - 1].t_s,
                           q->day.clear_sky ? q->day.start_s + q->day.clock_ahead_s : NAN, name);
}

nr_code nr_plot_predict(const nr_predict *q, const char *path, const nr_plot_style *style,
                        nr_err *err)
{
    nr_picture p;
    char title[256], subtitle[512];
    nr_units units = style != NULL && style->us_units ? NR_UNITS_US : NR_UNITS_SI;
    if (q->count == 0)
        return nr_fail(err, NR_BAD, path, 0, "this prediction holds no trace to draw");
    nr_tell_predict_title(title, sizeof title, q, units);
    nr_pretty(title, sizeof title);
    nr_title_trust(title, sizeof title, &q->fit->trust);
    subtitle_of(subtitle, sizeof subtitle, q, units);
    nr_code code = nr_picture_begin(&p, path, style, title, subtitle, err);
    if (code != NR_OK)
        return code;
    nr_timeline t = timeline_of(q);
    write_trace(&p, q);
    store(&p, q, &t);
    sun(&p, q, &t);
    return nr_picture_end(&p, err);
}
