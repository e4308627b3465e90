/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The picture of a fit: the efficiency curve large, with the numbers; beside it what was measured
 * over what is modelled, sun and flow, and the residuals, a strip a channel, on one time axis. */
#include "plots/curve.h"
#include "plots/picture.h"
#include "plots/timeline.h"

#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <math.h>
#include <string.h>

/* Measured marks on the whole time axis: few, so that the model shows between them. */
#define MARKS_SHOWN 45
/* Residuals on one strip. */
#define POINTS_SHOWN 300
#define CHANNELS 3

static const nr_box temperature_box = {0.590, 0.915, 0.545, 0.800};
static const nr_box sun_box = {0.590, 0.915, 0.365, 0.465};
static const nr_box residual_box = {0.590, 0.915, 0.085, 0.285};

static double shown_T(const nr_picture *p, double degC)
{
    return nr_display_value(NR_SHOWN_TEMPERATURE, p->units, degC);
}

/* What of a run's column is drawn: a value of block i, or NAN. */
typedef double (*value_fn)(const nr_fit_run *, size_t which, size_t i);

static double finite_of(const double *values, size_t i)
{
    return values != NULL ? values[i] : NAN;
}
static nr_channel_use use_of(const nr_fit_run *r, size_t c)
{
    return c < r->channels ? nr_fit_channel_use(r, c) : NR_CHANNEL_UNUSED;
}
/* As recorded, where the fit made use of it. */
static double measured(const nr_fit_run *r, size_t c, size_t i)
{
    return use_of(r, c) == NR_CHANNEL_FITTED ? r->channel[c].measured[i] : NAN;
}
static double driving(const nr_fit_run *r, size_t c, size_t i)
{
    return use_of(r, c) == NR_CHANNEL_DRIVES ? r->channel[c].measured[i] : NAN;
}
/* From the first block that sets something: before it the model runs in from a guess. */
static double modelled(const nr_fit_run *r, size_t c, size_t i)
{
    return use_of(r, c) == NR_CHANNEL_FITTED && i >= nr_fit_first_block(r, c)
               ? r->channel[c].modelled[i]
               : NAN;
}
static double residual(const nr_fit_run *r, size_t c, size_t i)
{
    return c < r->channels ? r->channel[c].residual[i] : NAN;
}
static double air(const nr_fit_run *r, size_t unused, size_t i)
{
    (void)unused;
    return finite_of(r->air_degC, i);
}
static double sun(const nr_fit_run *r, size_t unused, size_t i)
{
    (void)unused;
    return finite_of(r->sun_W_m2, i);
}
static double flow(const nr_fit_run *r, size_t unused, size_t i)
{
    (void)unused;
    return finite_of(r->flow_L_min, i);
}

typedef struct column {
    const char *name; /* of its data block */
    value_fn value;
    size_t which; /* channel */
    nr_shown what;
    bool difference;
    size_t step;
} column;

/* Datablock $NAME: minutes and value, one block of lines a run; nothing known draws nothing. */
static void write_rows(nr_picture *p, const nr_fit *fit, const nr_timeline *t, const column *c)
{
    FILE *f = p->script;
    fprintf(f, "$%s << EOD\n", c->name);
    for (size_t r = 0; r < t->count; r++) {
        const nr_fit_run *run = &fit->run[r];
        for (size_t i = 0; i < run->blocks; i += c->step) {
            double v = c->value(run, c->which, i);
            nr_gp_number(f, t->offset_min[r] + run->t_s[i] / 60);
            fputc(' ', f);
            nr_gp_number(f, c->difference ? nr_display_difference(c->what, p->units, v)
                                          : nr_display_value(c->what, p->units, v));
            fputc('\n', f);
        }
        fputs("\n", f); /* a blank line breaks the line between runs */
    }
    fputs("NaN NaN\nEOD\n", f); /* never an empty block: gnuplot would stop at it */
}

static void stretch_all(const nr_fit *fit, const nr_timeline *t, value_fn value, size_t which,
                        double *lo, double *hi)
{
    for (size_t r = 0; r < t->count; r++)
        for (size_t i = 0; i < fit->run[r].blocks; i++)
            nr_stretch(lo, hi, value(&fit->run[r], which, i));
}

/* Whether any run fits that channel, or is driven by it. */
static bool used_as(const nr_fit *fit, const nr_timeline *t, size_t channel, nr_channel_use use)
{
    for (size_t r = 0; r < t->count; r++)
        if (use_of(&fit->run[r], channel) == use)
            return true;
    return false;
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

static double last_finite(const nr_fit_run *r, value_fn value, size_t which)
{
    for (size_t i = r->blocks; i-- > 0;)
        if (isfinite(value(r, which, i)))
            return value(r, which, i);
    return NAN;
}

/* Round, square and pointed marks tell the channels apart in grey. */
static const int open_marks[CHANNELS] = {6, 4, 8};

/* Where a channel's line ends (which CHANNELS: the air's), in the last run that has it. */
static double line_end(const nr_fit *fit, size_t channel, size_t *run)
{
    double end = NAN;
    for (size_t r = *run; !isfinite(end) && r-- > 0;) {
        end = channel == CHANNELS ? last_finite(&fit->run[r], air, 0)
                                  : last_finite(&fit->run[r], modelled, channel);
        if (!isfinite(end) && channel != CHANNELS)
            end = last_finite(&fit->run[r], driving, channel);
        *run = r;
    }
    return end;
}

/* Names at the right end of the lines, moved apart; an arrow to those that end before. */
static void temperature_labels(nr_picture *p, const nr_fit *fit, const nr_timeline *t,
                               const nr_limits *y)
{
    const nr_fit_run *names = fullest(fit);
    double at[CHANNELS + 1];
    char name[CHANNELS + 1][NR_NAME + 8];
    const char *colour[CHANNELS + 1];
    size_t n = 0;
    for (size_t c = 0; c <= CHANNELS; c++) {
        size_t run = t->count;
        double end = c < names->channels || c == CHANNELS ? line_end(fit, c, &run) : NAN;
        const char *word = c == CHANNELS         ? "air"
                           : c < names->channels ? names->channel[c].name
                                                 : "";
        at[n] = shown_T(p, end);
        (void)snprintf(name[n], sizeof name[n], "%s%s", run + 1 < t->count ? "\u2190 " : "", word);
        colour[n] = nr_channel_colour(word, c);
        n += isfinite(end) ? 1 : 0;
    }
    double line = (y->hi - y->lo) * 20.0 / ((temperature_box.top - temperature_box.bottom) * 800);
    nr_spread(at, n, line, y->lo, y->hi);
    for (size_t i = 0; i < n; i++)
        nr_text_end(p, at[i], colour[i], name[i]);
}

/* The data blocks of the temperatures; returns their limits. */
static nr_limits write_temperatures(nr_picture *p, const nr_fit *fit, const nr_timeline *t,
                                    size_t step)
{
    double lo = NAN, hi = NAN;
    static const value_fn kinds[] = {measured, driving, modelled};
    static const char *const names[] = {"measured", "driving", "modelled"};
    for (size_t c = 0; c < CHANNELS; c++)
        for (int k = 0; k < 3; k++) {
            char block[32];
            (void)snprintf(block, sizeof block, "%s%zu", names[k], c);
            stretch_all(fit, t, kinds[k], c, &lo, &hi);
            write_rows(p, fit, t,
                       &(column){.name = block,
                                 .value = kinds[k],
                                 .which = c,
                                 .what = NR_SHOWN_TEMPERATURE,
                                 .step = k == 0 ? step : 1});
        }
    stretch_all(fit, t, air, 0, &lo, &hi);
    write_rows(p, fit, t,
               &(column){.name = "air", .value = air, .what = NR_SHOWN_TEMPERATURE, .step = 1});
    return nr_nice(shown_T(p, lo), shown_T(p, hi), 5, false);
}

static void temperatures(nr_picture *p, const nr_fit *fit, const nr_timeline *t, size_t step)
{
    FILE *f = p->script;
    const nr_fit_run *names = fullest(fit);
    char heading[96];
    (void)snprintf(heading, sizeof heading, "Temperature, %s: measured (marks), modelled",
                   nr_display_of(NR_SHOWN_TEMPERATURE, p->units)->pretty);
    nr_panel(p, &temperature_box, NULL);
    nr_text_screen(p, temperature_box.left - 0.035, temperature_box.top + 0.060, "left", NR_PX_TEXT,
                   NR_BLACK, heading);
    nr_limits y = write_temperatures(p, fit, t, step);
    nr_range(p, "y", y.lo, y.hi);
    nr_tics(p, "y", &y);
    nr_timeline_axis(p, t, false, temperature_box.right - temperature_box.left);
    nr_timeline_top(p, t, &temperature_box);
    nr_timeline_separators(p, t);
    temperature_labels(p, fit, t, &y);
    fputs("plot NaN, $air using 1:2 with lines lw 2 dt (10,5) lc rgb '" NR_GREEN "'", f);
    for (size_t c = 0; c < names->channels && c < CHANNELS; c++)
        fprintf(f, ", $modelled%zu using 1:2 with lines lw 2.5 dt %s lc rgb '%s'", c,
                nr_channel_dash(names->channel[c].name, c),
                nr_channel_colour(names->channel[c].name, c));
    for (size_t c = 0; c < names->channels && c < CHANNELS; c++)
        fprintf(f, ", $driving%zu using 1:2 with lines lw 1.5 dt %s lc rgb '%s'", c,
                nr_channel_dash(names->channel[c].name, c),
                nr_channel_colour(names->channel[c].name, c));
    for (size_t c = 0; c < names->channels && c < CHANNELS; c++) {
        fprintf(f, ", $measured%zu using 1:2 with points lw 1.2", c);
        nr_mark(p, open_marks[c], 0.7, NR_TEXT_GREY);
    }
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
    nr_panel(p, &sun_box, NULL);
    nr_text_screen(p, sun_box.left - 0.035, sun_box.top + 0.024, "left", NR_PX_TEXT, NR_BLACK,
                   heading);
    nr_limits y = nr_nice(0, nr_display_value(NR_SHOWN_IRRADIANCE, p->units, hi), 3, true);
    nr_range(p, "y", y.lo, y.hi);
    nr_tics(p, "y", &y);
    nr_timeline_axis(p, t, false, sun_box.right - sun_box.left);
    nr_timeline_separators(p, t);
    write_rows(p, fit, t,
               &(column){.name = "sun", .value = sun, .what = NR_SHOWN_IRRADIANCE, .step = 1});
    if (with_flow) {
        (void)snprintf(heading, sizeof heading, "Flow (thin line), %s",
                       nr_display_of(NR_SHOWN_FLOW, p->units)->pretty);
        nr_text_screen(p, 0.988, sun_box.top + 0.024, "right", NR_PX_TEXT, NR_BLUE, heading);
        /* As many steps as the left axis, so that both share the grid. */
        double steps = (y.hi - y.lo) / y.step;
        double top = nr_display_value(NR_SHOWN_FLOW, p->units, flow_hi) * 1.05;
        nr_limits q = nr_nice(0, top, (int)steps, true);
        q.hi = q.step * steps >= top ? q.step * steps : q.hi;
        nr_range(p, "y2", q.lo, q.hi);
        nr_tics(p, "y2", &q);
        write_rows(p, fit, t,
                   &(column){.name = "flow", .value = flow, .what = NR_SHOWN_FLOW, .step = 1});
    }
    fputs("plot NaN, $sun using 1:2 with filledcurves y1=0 fs transparent solid 0.15 lc rgb "
          "'" NR_ORANGE "', $sun using 1:2 with lines lw 2 lc rgb '" NR_ORANGE "'",
          f);
    if (with_flow)
        fputs(", $flow using 1:2 axes x1y2 with lines lw 1.2 lc rgb '" NR_BLUE "'", f);
    fputc('\n', f);
}

static void strips_heading(nr_picture *p, double band)
{
    char heading[120], of_band[64] = "", s[NR_ROUNDED];
    if (isfinite(band))
        (void)snprintf(of_band, sizeof of_band, " (band: \u00b12 s = \u00b1%s)",
                       nr_round_text(band, nr_round_place(band, 2), s));
    (void)snprintf(heading, sizeof heading, "Measured \u2212 modelled, %s%s",
                   nr_display_of(NR_SHOWN_DIFFERENCE, p->units)->pretty, of_band);
    nr_text_screen(p, residual_box.left - 0.035, residual_box.top + 0.026, "left", NR_PX_TEXT,
                   NR_BLACK, heading);
}

/* One strip: residuals of one channel about zero, with the band all share. */
static void strip(nr_picture *p, const nr_fit *fit, const nr_timeline *t, size_t channel,
                  const nr_box *box, const nr_limits *y, double band, bool last)
{
    FILE *f = p->script;
    const nr_fit_run *names = fullest(fit);
    const char *name = names->channel[channel].name;
    size_t blocks = 0;
    nr_panel(p, box, NULL);
    nr_range(p, "y", y->lo, y->hi);
    nr_tics(p, "y", y);
    nr_timeline_axis(p, t, last, box->right - box->left);
    nr_timeline_separators(p, t);
    if (isfinite(band))
        fprintf(f,
                "set object rectangle from graph 0, first %.9g to graph 1, first %.9g behind "
                "fc rgb '#DDDDDD' fs solid 0.6 noborder\n",
                -band, band);
    fputs("set arrow from graph 0, first 0 to graph 1, first 0 nohead lw 1 lc rgb '" NR_TEXT_GREY
          "'\n",
          f);
    nr_text_end(p, 0, nr_channel_colour(name, channel), name);
    if (box->top >= residual_box.top - 1e-9)
        strips_heading(p, band);
    for (size_t r = 0; r < t->count; r++)
        blocks += fit->run[r].blocks;
    write_rows(p, fit, t,
               &(column){.name = "residual",
                         .value = residual,
                         .which = channel,
                         .what = NR_SHOWN_DIFFERENCE,
                         .difference = true,
                         .step = blocks / POINTS_SHOWN + 1});
    fputs("plot NaN, $residual using 1:2 with points", f);
    nr_mark(p, 7, 0.45, nr_channel_colour(name, channel));
    fputc('\n', f);
}

/* Limits that all strips share: zero in the middle, one number either way. */
static nr_limits residual_limits(nr_picture *p, const nr_fit *fit, const nr_timeline *t,
                                 double band)
{
    double lo = NAN, hi = NAN;
    for (size_t c = 0; c < CHANNELS; c++)
        stretch_all(fit, t, residual, c, &lo, &hi);
    double most = fmax(fabs(lo), fabs(hi));
    most = nr_display_difference(NR_SHOWN_DIFFERENCE, p->units, most);
    most = fmax(isfinite(most) ? most : 0, isfinite(band) ? 1.2 * band : 0);
    nr_limits y = nr_nice(0, most > 0 ? most : 1, 1, true);
    return (nr_limits){-y.hi, y.hi, y.hi};
}

static void residuals(nr_picture *p, const nr_fit *fit, const nr_timeline *t)
{
    const nr_fit_run *names = fullest(fit);
    size_t shown[CHANNELS], n = 0;
    double band = 2 * nr_display_difference(NR_SHOWN_DIFFERENCE, p->units, fit->residual_rms_K);
    for (size_t c = 0; c < names->channels && c < CHANNELS; c++)
        if (used_as(fit, t, c, NR_CHANNEL_FITTED))
            shown[n++] = c;
    if (n == 0 && names->channels > 0)
        shown[n++] = 0;
    nr_limits y = residual_limits(p, fit, t, band);
    const double between = 0.030;
    double high = (residual_box.top - residual_box.bottom - between * (double)(n - 1)) / (double)n;
    for (size_t i = 0; i < n; i++) {
        double top = residual_box.top - (high + between) * (double)i;
        const nr_box box = {residual_box.left, residual_box.right, top - high, top};
        strip(p, fit, t, shown[i], &box, &y, band, i + 1 == n);
    }
}

nr_code nr_plot_fit(const nr_fit *fit, const char *path, const nr_plot_style *style, nr_err *err)
{
    nr_picture p;
    char title[256], subtitle[512];
    nr_units units = style != NULL && style->us_units ? NR_UNITS_US : NR_UNITS_SI;
    if (fit->runs == 0)
        return nr_fail(err, NR_BAD, path, 0, "this fit holds no run to draw");
    nr_tell_fit_title(title, sizeof title, fit, units);
    nr_title_of(title, sizeof title, fit);
    nr_subtitle_fit(subtitle, sizeof subtitle, fit);
    nr_code code = nr_picture_begin(&p, path, style, title, subtitle, err);
    if (code != NR_OK)
        return code;
    nr_timeline t = nr_timeline_of(fit);
    size_t blocks = 0;
    for (size_t r = 0; r < t.count; r++)
        blocks += fit->run[r].blocks;
    nr_draw_fit_curve(&p, fit);
    if (nr_is_portrait(&p))
        return nr_picture_end(&p, err);
    temperatures(&p, fit, &t, blocks / MARKS_SHOWN + 1);
    sun_and_flow(&p, fit, &t);
    residuals(&p, fit, &t);
    return nr_picture_end(&p, err);
}
