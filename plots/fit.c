/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The picture of a fit: temperatures, sun and flow, residuals on one time axis; beside them the
 * efficiency curve and the numbers. */
#include "plots/curve.h"
#include "plots/picture.h"
#include "plots/timeline.h"

#include "analyze/tell/round.h"

#include <math.h>
#include <string.h>

/* More measured points than this on one panel only make the file large. */
#define POINTS_SHOWN 300

static const nr_box temperature_box = {0.055, 0.535, 0.525, 0.815};
static const nr_box sun_box = {0.055, 0.535, 0.305, 0.455};
static const nr_box residual_box = {0.055, 0.535, 0.090, 0.235};

static double shown_T(const nr_picture *p, double degC)
{
    return nr_display_value(NR_SHOWN_TEMPERATURE, p->units, degC);
}

/* Datablock $NAME_R: minutes and up to two columns, one block of lines a run, NAN left out. */
static void write_rows(nr_picture *p, const char *name, const nr_fit *fit, const nr_timeline *t,
                       const double *(*column)(const nr_fit_run *, size_t), size_t which,
                       nr_shown what, bool difference, size_t step)
{
    FILE *f = p->script;
    fprintf(f, "$%s << EOD\n", name);
    for (size_t r = 0; r < t->count; r++) {
        const nr_fit_run *run = &fit->run[r];
        const double *values = column(run, which);
        for (size_t i = 0; values != NULL && i < run->blocks; i += step) {
            nr_gp_number(f, t->offset_min[r] + run->t_s[i] / 60);
            fputc(' ', f);
            nr_gp_number(f, difference ? nr_display_difference(what, p->units, values[i])
                                       : nr_display_value(what, p->units, values[i]));
            fputc('\n', f);
        }
        fputs("\n", f); /* a blank line breaks the line between runs */
    }
    fputs("NaN NaN\nEOD\n", f); /* never an empty block: gnuplot would stop at it */
}

static const double *measured(const nr_fit_run *r, size_t c)
{
    return c < r->channels ? r->channel[c].measured : NULL;
}
static const double *modelled(const nr_fit_run *r, size_t c)
{
    return c < r->channels ? r->channel[c].modelled : NULL;
}
static const double *residual(const nr_fit_run *r, size_t c)
{
    return c < r->channels ? r->channel[c].residual : NULL;
}
static const double *air(const nr_fit_run *r, size_t unused)
{
    (void)unused;
    return r->air_degC;
}
static const double *sun(const nr_fit_run *r, size_t unused)
{
    (void)unused;
    return r->sun_W_m2;
}
static const double *flow(const nr_fit_run *r, size_t unused)
{
    (void)unused;
    return r->flow_L_min;
}

static void stretch_all(const nr_fit *fit, const nr_timeline *t,
                        const double *(*column)(const nr_fit_run *, size_t), size_t which,
                        double *lo, double *hi)
{
    for (size_t r = 0; r < t->count; r++) {
        const double *values = column(&fit->run[r], which);
        for (size_t i = 0; values != NULL && i < fit->run[r].blocks; i++)
            nr_stretch(lo, hi, values[i]);
    }
}

/* The run with most channels names them; runs of one collector share their rig. */
static const nr_fit_run *fullest(const nr_fit *fit)
{
    const nr_fit_run *best = &fit->run[0];
    for (size_t r = 1; r < fit->runs; r++)
        if (fit->run[r].channels > best->channels)
            best = &fit->run[r];
    return best;
}

static double last_finite(const double *values, size_t count)
{
    for (size_t i = count; values != NULL && i-- > 0;)
        if (isfinite(values[i]))
            return values[i];
    return NAN;
}

/* Names at the right end of the lines, moved apart. */
static void temperature_labels(nr_picture *p, const nr_fit *fit, const nr_timeline *t,
                               const nr_limits *y)
{
    const nr_fit_run *last = &fit->run[t->count - 1];
    double at[4];
    const char *name[4], *colour[4];
    size_t n = 0;
    for (size_t c = 0; c < last->channels && c < 3; c++) {
        at[n] = shown_T(p, last_finite(last->channel[c].modelled, last->blocks));
        name[n] = last->channel[c].name;
        colour[n++] = nr_channel_colour(last->channel[c].name, c);
    }
    at[n] = shown_T(p, last_finite(last->air_degC, last->blocks));
    name[n] = "air";
    colour[n++] = nr_channel_colour("air", 3);
    size_t kept = 0;
    for (size_t i = 0; i < n; i++) {
        if (!isfinite(at[i]))
            continue;
        at[kept] = at[i];
        name[kept] = name[i];
        colour[kept++] = colour[i];
    }
    double line = (y->hi - y->lo) * 20.0 / ((temperature_box.top - temperature_box.bottom) * 800);
    nr_spread(at, kept, line, y->lo, y->hi);
    for (size_t i = 0; i < kept; i++)
        nr_text_end(p, at[i], colour[i], name[i]);
}

static void temperatures(nr_picture *p, const nr_fit *fit, const nr_timeline *t, size_t step)
{
    FILE *f = p->script;
    const nr_fit_run *names = fullest(fit);
    double lo = NAN, hi = NAN;
    char heading[80];
    (void)snprintf(heading, sizeof heading, "Temperature, %s: measured (grey) and modelled",
                   nr_display_of(NR_SHOWN_TEMPERATURE, p->units)->pretty);
    nr_panel(p, &temperature_box, NULL);
    nr_text_screen(p, temperature_box.left, temperature_box.top + 0.066, "left", NR_PX_TEXT,
                   NR_BLACK, heading);
    for (size_t c = 0; c < names->channels && c < 3; c++) {
        stretch_all(fit, t, measured, c, &lo, &hi);
        stretch_all(fit, t, modelled, c, &lo, &hi);
    }
    stretch_all(fit, t, air, 0, &lo, &hi);
    nr_limits y = nr_nice(shown_T(p, lo), shown_T(p, hi), 5, false);
    nr_range(p, "y", y.lo, y.hi);
    nr_tics(p, "y", &y);
    nr_timeline_axis(p, t, false, temperature_box.right - temperature_box.left);
    nr_timeline_top(p, t, &temperature_box);
    nr_timeline_separators(p, t);
    temperature_labels(p, fit, t, &y);
    for (size_t c = 0; c < names->channels && c < 3; c++) {
        char block[32];
        (void)snprintf(block, sizeof block, "measured%zu", c);
        write_rows(p, block, fit, t, measured, c, NR_SHOWN_TEMPERATURE, false, step);
        (void)snprintf(block, sizeof block, "modelled%zu", c);
        write_rows(p, block, fit, t, modelled, c, NR_SHOWN_TEMPERATURE, false, 1);
    }
    write_rows(p, "air", fit, t, air, 0, NR_SHOWN_TEMPERATURE, false, 1);
    fputs("plot NaN, $air using 1:2 with lines lw 2 dt (10,4) lc rgb '" NR_GREEN "'", f);
    for (size_t c = 0; c < names->channels && c < 3; c++) {
        fprintf(f, ", $measured%zu using 1:2 with points", c);
        nr_mark(p, 7, 0.45, NR_GREY);
    }
    for (size_t c = 0; c < names->channels && c < 3; c++)
        fprintf(f, ", $modelled%zu using 1:2 with lines lw 2 dt %s lc rgb '%s'", c,
                nr_channel_dash(names->channel[c].name, c),
                nr_channel_colour(names->channel[c].name, c));
    fputc('\n', f);
}

static void sun_and_flow(nr_picture *p, const nr_fit *fit, const nr_timeline *t)
{
    FILE *f = p->script;
    double lo = NAN, hi = NAN, flow_lo = NAN, flow_hi = NAN;
    char heading[120];
    stretch_all(fit, t, sun, 0, &lo, &hi);
    stretch_all(fit, t, flow, 0, &flow_lo, &flow_hi);
    bool with_flow = isfinite(flow_hi);
    (void)snprintf(heading, sizeof heading, "Irradiance, %s",
                   nr_display_of(NR_SHOWN_IRRADIANCE, p->units)->pretty);
    nr_panel(p, &sun_box, heading);
    nr_limits y = nr_nice(0, nr_display_value(NR_SHOWN_IRRADIANCE, p->units, hi), 4, true);
    nr_range(p, "y", y.lo, y.hi);
    nr_tics(p, "y", &y);
    nr_timeline_axis(p, t, false, sun_box.right - sun_box.left);
    nr_timeline_separators(p, t);
    write_rows(p, "sun", fit, t, sun, 0, NR_SHOWN_IRRADIANCE, false, 1);
    if (with_flow) {
        (void)snprintf(heading, sizeof heading, "Flow (thin line), %s",
                       nr_display_of(NR_SHOWN_FLOW, p->units)->pretty);
        nr_text_screen(p, sun_box.right + 0.035, sun_box.top + 0.022, "right", NR_PX_TEXT, NR_BLUE,
                       heading);
        /* As many steps as the left axis, so that both share the grid. */
        double steps = (y.hi - y.lo) / y.step;
        double top = nr_display_value(NR_SHOWN_FLOW, p->units, flow_hi) * 1.05;
        nr_limits q = nr_nice(0, top, (int)steps, true);
        q.hi = q.step * steps >= top ? q.step * steps : q.hi;
        nr_range(p, "y2", q.lo, q.hi);
        nr_tics(p, "y2", &q);
        write_rows(p, "flow", fit, t, flow, 0, NR_SHOWN_FLOW, false, 1);
    }
    fputs("plot NaN, $sun using 1:2 with filledcurves y1=0 fs transparent solid 0.15 lc rgb "
          "'" NR_ORANGE "', $sun using 1:2 with lines lw 2 lc rgb '" NR_ORANGE "'",
          f);
    if (with_flow)
        fputs(", $flow using 1:2 axes x1y2 with lines lw 1.2 lc rgb '" NR_BLUE "'", f);
    fputc('\n', f);
}

/* Round, square and pointed marks tell the channels apart in grey. */
static const int residual_marks[3] = {7, 5, 9};

static void residual_key(nr_picture *p, const nr_fit_run *names)
{
    for (size_t c = 0; c < names->channels && c < 3; c++)
        nr_text_marked(p, residual_box.right + 0.014, residual_box.top - 0.020 - 0.036 * (double)c,
                       NR_PX_SMALL, residual_marks[c], nr_channel_colour(names->channel[c].name, c),
                       names->channel[c].name);
}

static void residuals(nr_picture *p, const nr_fit *fit, const nr_timeline *t, size_t step)
{
    FILE *f = p->script;
    const nr_fit_run *names = fullest(fit);
    double lo = NAN, hi = NAN;
    char heading[120], s[NR_ROUNDED];
    double band = 2 * nr_display_difference(NR_SHOWN_DIFFERENCE, p->units, fit->residual_rms_K);
    (void)snprintf(heading, sizeof heading,
                   "Measured \u2212 modelled, %s (band: \u00b12 s = \u00b1%s)",
                   nr_display_of(NR_SHOWN_DIFFERENCE, p->units)->pretty,
                   nr_round_text(band, nr_round_place(band, 2), s));
    nr_panel(p, &residual_box, heading);
    for (size_t c = 0; c < names->channels && c < 3; c++)
        stretch_all(fit, t, residual, c, &lo, &hi);
    lo = nr_display_difference(NR_SHOWN_DIFFERENCE, p->units, lo);
    hi = nr_display_difference(NR_SHOWN_DIFFERENCE, p->units, hi);
    if (isfinite(band)) {
        nr_stretch(&lo, &hi, -1.2 * band);
        nr_stretch(&lo, &hi, 1.2 * band);
    }
    nr_limits y = nr_nice(lo, hi, 4, true);
    nr_range(p, "y", y.lo, y.hi);
    nr_tics(p, "y", &y);
    nr_timeline_axis(p, t, true, residual_box.right - residual_box.left);
    nr_timeline_separators(p, t);
    if (isfinite(band))
        fprintf(f,
                "set object rectangle from graph 0, first %.9g to graph 1, first %.9g behind "
                "fc rgb '#DDDDDD' fs solid 0.6 noborder\n",
                -band, band);
    fputs("set arrow from graph 0, first 0 to graph 1, first 0 nohead lw 1 lc rgb '" NR_TEXT_GREY
          "'\n",
          f);
    for (size_t c = 0; c < names->channels && c < 3; c++) {
        char block[32];
        (void)snprintf(block, sizeof block, "residual%zu", c);
        write_rows(p, block, fit, t, residual, c, NR_SHOWN_DIFFERENCE, true, step);
    }
    residual_key(p, names);
    fputs("plot NaN", f);
    for (size_t c = 0; c < names->channels && c < 3; c++) {
        fprintf(f, ", $residual%zu using 1:2 with points", c);
        nr_mark(p, residual_marks[c], 0.5, nr_channel_colour(names->channel[c].name, c));
    }
    fputc('\n', f);
}

/* "Glazed build: 71 % at zero loss, 8.1 W/(m² K)" */
static void title_of(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    char name[80], eta0[NR_ROUNDED], a1[NR_ROUNDED];
    nr_quantity e = nr_display_quantity(NR_SHOWN_PERCENT, units, &fit->eta0);
    nr_quantity a = nr_display_quantity(NR_SHOWN_COLLECTOR_LOSS, units, &fit->a1);
    (void)nr_gp_shorten(name, sizeof name,
                        fit->collector_name[0] != '\0' ? fit->collector_name : "Collector", 30);
    if (!e.known) {
        (void)snprintf(text, size, "%s: the efficiency could not be determined", name);
        return;
    }
    (void)nr_round_text(e.value, nr_round_place(e.u, 1), eta0);
    if (!a.known)
        (void)snprintf(text, size, "%s: %s %% at zero loss", name, eta0);
    else
        (void)snprintf(text, size, "%s: %s %% at zero loss, %s %s", name, eta0,
                       nr_round_text(a.value, nr_round_place(a.u, 1), a1),
                       nr_display_of(NR_SHOWN_COLLECTOR_LOSS, units)->pretty);
}

nr_code nr_plot_fit(const nr_fit *fit, const char *path, const nr_plot_style *style, nr_err *err)
{
    nr_picture p;
    char title[256], subtitle[512];
    nr_units units = style != NULL && style->us_units ? NR_UNITS_US : NR_UNITS_SI;
    if (fit->runs == 0)
        return nr_fail(err, NR_BAD, path, 0, "this fit holds no run to draw");
    title_of(title, sizeof title, fit, units);
    nr_title_trust(title, sizeof title, &fit->trust);
    nr_subtitle_fit(subtitle, sizeof subtitle, fit);
    nr_code code = nr_picture_begin(&p, path, style, title, subtitle, err);
    if (code != NR_OK)
        return code;
    nr_timeline t = nr_timeline_of(fit);
    size_t blocks = 0;
    for (size_t r = 0; r < t.count; r++)
        blocks += fit->run[r].blocks;
    size_t step = blocks / POINTS_SHOWN + 1;
    temperatures(&p, fit, &t, step);
    sun_and_flow(&p, fit, &t);
    residuals(&p, fit, &t, step);
    nr_draw_fit_curve(&p, fit);
    return nr_picture_end(&p, err);
}
