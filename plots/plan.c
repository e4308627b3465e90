/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The picture of a planned test: what it would tell and what each improvement would make of that;
 * below, what limits it, and how far over the air it would go. */
#include "plots/budget.h"
#include "plots/letters.h"
#include "plots/picture.h"
#include "plots/timeline.h"

#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <math.h>
#include <string.h>

#define K95 1.96
/* A smaller change is not worth a number: the simulated tests differ by chance as much. */
#define WORTH_SAYING 0.05
/* Part of the canvas's width for what to do, beside the bars. */
#define WORDS 0.495
/* Fractions of the canvas for a row of two lines, and for all of them. */
#define ROW 0.052
#define ROWS_TOP 0.830
#define ROWS_BOTTOM 0.335
/* The lower panels: where they end at the lowest, and the height of a bar. */
#define LOWER_BOTTOM 0.095
#define LOWER_BAR 0.0255

enum { ETA0, A1 };

/* Row 0: as planned; then the steps. */
static size_t rows_of(const nr_plan *q)
{
    return q->steps + 1;
}

static double row_u(const nr_plan *q, size_t row, int which)
{
    if (row == 0)
        return which == ETA0 ? q->fit->eta0.u : q->fit->a1.u;
    return which == ETA0 ? q->step[row - 1].u_eta0 : q->step[row - 1].u_a1;
}

static nr_shown shown_as(int which)
{
    return which == ETA0 ? NR_SHOWN_NUMBER : NR_SHOWN_COLLECTOR_LOSS;
}

/* a1 of a row that tells the container's loss apart is another quantity than the plan's. */
static bool other_quantity(const nr_plan *q, size_t row, int which)
{
    return which == A1 && row > 0 && q->step[row - 1].separates;
}

static nr_box rows_box(const nr_plan *q, int which)
{
    double high = fmin(ROW * (double)rows_of(q), ROWS_TOP - ROWS_BOTTOM);
    nr_box box = {0.530, 0.745, ROWS_TOP - high, ROWS_TOP};
    if (which == A1) {
        box.left = 0.775;
        box.right = 0.990;
    }
    return box;
}

/* What to do, with its cost in words, in the units shown. */
static void row_text(char *text, size_t size, const nr_plan *q, size_t row, nr_units units)
{
    if (row == 0) {
        (void)snprintf(text, size, "As planned.");
        return;
    }
    const nr_plan_step *s = &q->step[row - 1];
    nr_plan_step alone = *s;
    alone.separates = false; /* said by the cell */
    nr_tell_plan_step(text, size, &alone, units);
    size_t used = strlen(text);
    (void)snprintf(text + used, size - used, " Cost: %s.",
                   s->cost == NR_COST_NOTHING ? "nothing" : nr_plan_cost_word(s->cost));
    nr_pretty(text, size);
}

static void row_names(nr_picture *p, const nr_plan *q, const nr_box *box)
{
    double high = (box->top - box->bottom) / (double)rows_of(q);
    nr_text_screen(p, 0.018, box->top + 0.026, "left", NR_PX_TEXT, NR_BLACK,
                   q->steps > 0 ? "What would help, each by itself, cheapest first"
                                : "What would help");
    for (size_t i = 0; i < rows_of(q); i++) {
        char text[400];
        row_text(text, sizeof text, q, i, p->units);
        double y = box->top - high * ((double)i + 0.5);
        double up = nr_text_px(text, NR_PX_SMALL) > nr_picture_px(p, WORDS)
                        ? 0.6 * NR_PX_SMALL / NR_CANVAS_H
                        : 0;
        (void)nr_text_block(p, 0.018, y + up, NR_PX_SMALL, i == 0 ? NR_TEXT_GREY : NR_BLACK, text,
                            WORDS, 2);
    }
    if (q->steps == 0)
        nr_text_screen(p, 0.018, box->bottom - 0.03, "left", NR_PX_SMALL, NR_BLACK,
                       "None of the usual improvements would change this by 5 %.");
}

/* "0.014 (−41 %)" at the end of a bar. */
static void bar_label(nr_picture *p, const nr_plan *q, size_t row, int which)
{
    char text[96], n[NR_ROUNDED], less[48] = "";
    double u = nr_display_difference(shown_as(which), p->units, row_u(q, row, which));
    if (!isfinite(u)) {
        nr_text_point(p, 0, -(double)row, "left", 0.7, 0, NR_PX_SMALL, NR_TEXT_GREY,
                      "not determined");
        return;
    }
    double gain = 1 - row_u(q, row, which) / row_u(q, 0, which);
    if (row > 0 && gain >= WORTH_SAYING && !other_quantity(q, row, which))
        (void)snprintf(less, sizeof less, " (" NR_MINUS "%.0f %%)", 100 * gain);
    (void)snprintf(text, sizeof text, "%s%s", nr_round_text(u, nr_round_place(u, 2), n), less);
    nr_text_point(p, u, -(double)row, "left", 0.7, 0, NR_PX_SMALL, NR_BLACK, text);
}

/* Datablocks: the bars of one column that are full, and those of another quantity. */
static void write_bars(nr_picture *p, const nr_plan *q, int which, bool other)
{
    FILE *f = p->script;
    fprintf(f, "$%s%d << EOD\n", other ? "other" : "bars", which);
    for (size_t i = 0; i < rows_of(q); i++) {
        double u = nr_display_difference(shown_as(which), p->units, row_u(q, i, which));
        if (other_quantity(q, i, which) != other || !isfinite(u))
            continue;
        fputs("0 ", f);
        fprintf(f, "%.6g 0 ", -(double)i);
        nr_gp_number(f, u);
        fprintf(f, " %.6g %.6g\n", -(double)i - 0.30, -(double)i + 0.30);
    }
    fputs("NaN NaN NaN NaN NaN NaN\nEOD\n", f);
}

static void bars(nr_picture *p, const nr_plan *q, int which)
{
    FILE *f = p->script;
    nr_box box = rows_box(q, which);
    double lo = 0, most = NAN;
    char heading[96];
    if (which == ETA0)
        (void)snprintf(heading, sizeof heading, "u(" NR_ETA0 "), zero-loss efficiency");
    else
        (void)snprintf(heading, sizeof heading, "u(" NR_A1 "), loss, %s",
                       nr_display_of(NR_SHOWN_COLLECTOR_LOSS, p->units)->pretty);
    nr_panel(p, &box, NULL);
    nr_text_screen(p, box.left, box.top + 0.026, "left", NR_PX_SMALL, NR_BLACK, heading);
    for (size_t i = 0; i < rows_of(q); i++)
        nr_stretch(&lo, &most,
                   nr_display_difference(shown_as(which), p->units, row_u(q, i, which)));
    /* Room for the numbers behind the longest bar; they stand in place of an axis. */
    nr_range(p, "x", 0, isfinite(most) && most > 0 ? 1.9 * most : 1);
    nr_range(p, "y", -(double)rows_of(q) + 0.5, 0.5);
    fputs("set grid noxtics noytics\nset border 0\n", f);
    double planned = nr_display_difference(shown_as(which), p->units, row_u(q, 0, which));
    if (isfinite(planned))
        fprintf(f,
                "set arrow from first %.9g, graph 0 to first %.9g, graph 1 nohead lw 1.2 dt (5,4) "
                "lc rgb '" NR_GREY "'\n",
                planned, planned);
    if (which == ETA0)
        row_names(p, q, &box);
    for (size_t i = 0; i < rows_of(q); i++)
        bar_label(p, q, i, which);
    write_bars(p, q, which, false);
    write_bars(p, q, which, true);
    const char *colour = which == ETA0 ? NR_BLUE : NR_SKY;
    fprintf(f,
            "plot NaN, $bars%d using 1:2:3:4:5:6 with boxxyerror fc rgb '%s' fs solid 0.85 "
            "noborder, $other%d using 1:2:3:4:5:6 with boxxyerror fc rgb '%s' fs solid 0.0 border "
            "lc rgb '%s'\n",
            which, colour, which, colour, colour);
}

/* Top of the lower panels; few rows leave them more room. */
static double lower_top(const nr_plan *q)
{
    return rows_box(q, ETA0).bottom - 0.110;
}

/* How to read the bars, between them and the lower panels. */
static void reading(nr_picture *p, const nr_plan *q)
{
    bool other = false;
    for (size_t i = 0; i < rows_of(q); i++)
        other = other || other_quantity(q, i, A1);
    nr_text_screen(p, 0.018, lower_top(q) + 0.075, "left", NR_PX_SMALL, NR_TEXT_GREY,
                   other ? "Standard uncertainties; 95 % is twice as far either way. Empty bar: "
                           "the collector\u2019s loss alone, told from the container\u2019s."
                         : "Standard uncertainties; 95 % is twice as far either way.");
}

/* What limits the plan, as shares of the variance; as many bars as there is room for. */
static void limits(nr_picture *p, const nr_plan *q)
{
    double top = lower_top(q);
    size_t most = (size_t)fmin(7, (top - LOWER_BOTTOM) / LOWER_BAR - 1);
    nr_bars b = nr_budget_bars(q->fit, most, 36);
    double bottom = fmax(LOWER_BOTTOM, top - 1.3 * LOWER_BAR * (double)b.count);
    const nr_box eta0 = {0.315, 0.465, bottom, top}, a1 = {0.485, 0.635, bottom, top};
    if (b.count == 0)
        return;
    nr_draw_budget(p, &b, ETA0, &eta0, "Limits of " NR_ETA0, true, NR_PX_SMALL);
    nr_draw_budget(p, &b, A1, &a1, "Limits of " NR_A1, false, NR_PX_SMALL);
}

/* "+4", "−4", "0": no sign before what is shown as zero. */
static void signed_text(char *text, size_t size, double value)
{
    char n[NR_ROUNDED];
    (void)nr_round_text(fabs(value), 0, n);
    (void)snprintf(text, size, "%s%s", strcmp(n, "0") == 0 ? "" : value < 0 ? NR_MINUS : "+", n);
}

/* How much colder and warmer than the air the collector would be. */
static void covered(nr_picture *p, const nr_plan *q)
{
    FILE *f = p->script;
    double top = lower_top(q);
    const nr_box box = {0.710, 0.985, fmax(LOWER_BOTTOM, top - 4 * LOWER_BAR), top};
    char text[200], from[64], to[64];
    const char *unit = nr_display_of(NR_SHOWN_DIFFERENCE, p->units)->pretty;
    double lo = nr_display_difference(NR_SHOWN_DIFFERENCE, p->units, q->fit->dT_range[0]);
    double hi = nr_display_difference(NR_SHOWN_DIFFERENCE, p->units, q->fit->dT_range[1]);
    (void)snprintf(text, sizeof text, "Covered: collector over air, %s", unit);
    nr_panel(p, &box, text);
    nr_limits x = nr_nice(lo, hi, 5, true);
    nr_range(p, "x", x.lo, x.hi);
    nr_tics(p, "x", &x);
    nr_range(p, "y", 0, 1);
    nr_x_label(p, "0: as warm as the air");
    fputs("set grid noytics\nset arrow from first 0, graph 0 to first 0, graph 1 nohead lw 1.5 lc "
          "rgb '" NR_TEXT_GREY "'\n",
          f);
    if (isfinite(lo) && isfinite(hi)) {
        fprintf(f,
                "set object rectangle from first %.9g, first 0.2 to first %.9g, first 0.5 front fc "
                "rgb '" NR_GREEN "' fs solid noborder\n",
                lo, hi);
        signed_text(from, sizeof from, lo);
        signed_text(to, sizeof to, hi);
        (void)snprintf(text, sizeof text, "%s to %s %s", from, to, unit);
        nr_text_point(p, (lo + hi) / 2, 0.75, "center", 0, 0, NR_PX_SMALL, NR_BLACK, text);
    }
    fputs("plot NaN\n", f);
}

static void subtitle_of(char *text, size_t size, const nr_plan *q, nr_units units)
{
    const nr_day *d = &q->test.day;
    const char *degrees = nr_display_of(NR_SHOWN_TEMPERATURE, units)->pretty;
    char rest[300], sky[96], air[NR_ROUNDED], from[NR_ROUNDED], sun[NR_ROUNDED], e[NR_ROUNDED];
    char date[64], a[NR_ROUNDED];
    nr_calendar_text(date, sizeof date, d->date_s);
    if (d->clear_sky)
        (void)snprintf(sky, sizeof sky, "clear sky of %s", date);
    else
        (void)snprintf(
            sky, sizeof sky, "steady sun of %s %s",
            nr_round_text(nr_display_value(NR_SHOWN_IRRADIANCE, units, d->sun_W_m2), 0, sun),
            nr_display_of(NR_SHOWN_IRRADIANCE, units)->pretty);
    double loss = nr_display_value(NR_SHOWN_COLLECTOR_LOSS, units, q->fit->a1.value);
    (void)snprintf(
        rest, sizeof rest,
        ", %s, air at %s %s, water from %s %s; supposed " NR_ETA0 " %s, " NR_A1 " %s", sky,
        nr_round_text(nr_display_value(NR_SHOWN_TEMPERATURE, units, d->air_degC), 0, air), degrees,
        nr_round_text(nr_display_value(NR_SHOWN_TEMPERATURE, units, d->from_degC), 0, from),
        degrees, nr_round_text(q->fit->eta0.value, 2, e), nr_plain_text(loss, 2, a));
    nr_subtitle_of(text, size, q->fit, rest);
}

nr_code nr_plot_plan(const nr_plan *q, const char *path, const nr_plot_style *style, nr_err *err)
{
    nr_picture p;
    char title[256], subtitle[512];
    nr_units units = style != NULL && style->us_units ? NR_UNITS_US : NR_UNITS_SI;
    nr_tell_plan_title(title, sizeof title, q, units);
    nr_pretty(title, sizeof title);
    subtitle_of(subtitle, sizeof subtitle, q, units);
    nr_code code = nr_picture_begin(&p, path, style, title, subtitle, err);
    if (code != NR_OK)
        return code;
    reading(&p, q); /* with the first panel: each later one begins without labels */
    bars(&p, q, ETA0);
    bars(&p, q, A1);
    limits(&p, q);
    covered(&p, q);
    return nr_picture_end(&p, err);
}
