/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The picture of a planned test, all of it as the +- (95 %) of the two results on one scale each:
 * what each improvement would make of them, and below what they are made of, with what would help.
 */
#include "plots/bar_rows.h"
#include "plots/budget.h"
#include "plots/picture.h"
#include "plots/timeline.h"

#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <math.h>
#include <string.h>

#define K95 1.96
/* A smaller change is not worth a number: the simulated tests differ by chance as much. */
#define WORTH_SAYING 0.05
/* Fractions of the canvas: a row, the highest one, and where the last one ends. */
#define ROW 0.053 /* two lines of words, apart from the next two */
#define TOP 0.845
#define BOTTOM 0.045
/* Between the two tables: two lines of words and the second heading. */
#define BETWEEN 0.125
#define CAUSES 6

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

/* a1 of a row that tells the container's loss apart is another quantity than the plan's. */
static bool other_quantity(const nr_plan *q, size_t row, int which)
{
    return which == A1 && row > 0 && q->step[row - 1].separates;
}

/* What to do, with its cost in words, in the units shown. */
static void row_text(char *text, size_t size, const nr_plan *q, size_t row, nr_units units)
{
    if (row == 0) {
        (void)snprintf(text, size, "As planned");
        return;
    }
    const nr_plan_step *s = &q->step[row - 1];
    nr_plan_step alone = *s;
    alone.separates = false;                       /* said by the cell */
    alone.eta0_by_part = alone.a1_by_part = false; /* its bar is as long as the plan's */
    nr_tell_plan_step(text, size, &alone, units);
    size_t used = strlen(text);
    (void)snprintf(text + used, size - used, " Cost: %s.",
                   s->cost == NR_COST_NOTHING ? "nothing" : nr_plan_cost_word(s->cost));
    nr_pretty(text, size);
}

/* A row of the upper table. */
static nr_bar_row step_row(const nr_picture *p, const nr_plan *q, size_t row)
{
    nr_bar_row r = {.total = row == 0};
    row_text(r.words, sizeof r.words, q, row, p->units);
    nr_bar_halves(p, K95 * row_u(q, row, ETA0), K95 * row_u(q, row, A1), r.value);
    for (int k = ETA0; k <= A1; k++) {
        double gain = 1 - row_u(q, row, k) / row_u(q, 0, k);
        r.hollow[k] = other_quantity(q, row, k);
        if (row > 0 && gain >= WORTH_SAYING && !r.hollow[k])
            (void)snprintf(r.less[k], sizeof r.less[k], "(" NR_MINUS "%.0f %%)", 100 * gain);
    }
    return r;
}

/* The longest bar of each column. */
static void longest(const nr_picture *p, const nr_plan *q, double most[2])
{
    most[0] = most[1] = 0;
    for (size_t i = 0; i < rows_of(q); i++) {
        double half[2];
        nr_bar_halves(p, K95 * row_u(q, i, ETA0), K95 * row_u(q, i, A1), half);
        for (int k = 0; k < 2; k++)
            most[k] = isfinite(half[k]) ? fmax(most[k], half[k]) : most[k];
    }
}

/* "+4", "−4", "0": no sign before what is shown as zero. */
static void signed_text(char *text, size_t size, double value)
{
    char n[NR_ROUNDED];
    (void)nr_round_text(fabs(value), 0, n);
    (void)snprintf(text, size, "%s%s", strcmp(n, "0") == 0 ? "" : value < 0 ? NR_MINUS : "+", n);
}

/* How to read the bars, and how far from the air the test would go. */
static void reading(nr_picture *p, const nr_plan *q, double y)
{
    bool other = false;
    char text[320], from[64], to[64];
    double lo = nr_display_difference(NR_SHOWN_DIFFERENCE, p->units, q->fit->dT_range[0]);
    double hi = nr_display_difference(NR_SHOWN_DIFFERENCE, p->units, q->fit->dT_range[1]);
    for (size_t i = 0; i < rows_of(q); i++)
        other = other || other_quantity(q, i, A1);
    if (q->steps == 0)
        nr_text_screen(p, 0.018, y + 0.034, "left", NR_PX_SMALL, NR_BLACK,
                       "None of the usual improvements would change this by 5 %.");
    if (isfinite(lo) && isfinite(hi)) {
        signed_text(from, sizeof from, lo);
        signed_text(to, sizeof to, hi);
        (void)snprintf(text, sizeof text, "Covered: the collector at %s to %s %s over the air.%s",
                       from, to, nr_display_of(NR_SHOWN_DIFFERENCE, p->units)->pretty,
                       other ? " Hollow bar: the collector\u2019s loss alone, told from the "
                               "container\u2019s."
                             : "");
        nr_text_screen(p, 0.018, y, "left", NR_PX_SMALL, NR_TEXT_GREY, text);
    }
}

static void draw(nr_picture *p, const nr_plan *q)
{
    static const nr_box whole = {0, 1, 0, 1};
    static const double none[2] = {NAN, NAN};
    nr_bar_row row[NR_PLAN_STEPS + 1], cause[CAUSES + 1];
    double most[2], half[2];
    size_t n = rows_of(q);
    double high = fmin(ROW, (TOP - BOTTOM - BETWEEN - 3 * 0.045) / (double)n);
    nr_panel(p, &whole, NULL);
    for (size_t i = 0; i < n; i++)
        row[i] = step_row(p, q, i);
    longest(p, q, most);
    memcpy(half, row[0].value, sizeof half);
    nr_bar_headings(p, TOP + 0.026,
                    q->steps > 0 ? "What would help, each by itself, cheapest first" : "The test");
    nr_bar_rows(p, row, n, TOP, high, most, half);
    double next = TOP - high * (double)n - (q->steps == 0 ? 0.060 : 0.026);
    reading(p, q, next);
    double room = next - (BETWEEN - 0.026) - BOTTOM;
    size_t fits = (size_t)fmin(CAUSES, floor(room / ROW));
    nr_bars b = nr_budget_bars(q->fit, fits > 1 ? fits - 1 : 1);
    if (b.count > 0) {
        size_t causes = nr_budget_rows(&b, half, cause, CAUSES + 1);
        nr_bar_headings(p, next - 0.068, "What it is made of, and what helps against it");
        nr_bar_rows(p, cause, causes, next - 0.094, fmin(1.2 * ROW, room / (double)causes), most,
                    none);
    }
    fputs("set border 0\nset xrange [0:1]\nset yrange [0:1]\nplot NaN\n", p->script);
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
    draw(&p, q);
    return nr_picture_end(&p, err);
}
