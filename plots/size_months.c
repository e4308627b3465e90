/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plots/size_months.h"

#include "plots/warm.h"

#include "analyze/forecast/day.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <math.h>
#include <string.h>

static const nr_box bars_box = {0.125, 0.890, 0.325, 0.690};
/* The year as a strip of twelve cells. */
#define STRIP_LOW 0.765
#define STRIP_HIGH 0.865

#define SURE 0.95
#define LIKELY 0.5

static const char *const month_name[NR_MONTHS] = {"January",   "February", "March",    "April",
                                                  "May",       "June",     "July",     "August",
                                                  "September", "October",  "November", "December"};

static double shown_T(const nr_picture *p, double degC)
{
    return nr_display_value(NR_SHOWN_TEMPERATURE, p->units, degC);
}

/* How a month's bar is filled: the surer, the fuller. */
typedef enum grade { GRADE_SURE, GRADE_LIKELY, GRADE_NOT, GRADES } grade;

static grade grade_of(const nr_size_month *m)
{
    return m->sun && m->probability >= SURE     ? GRADE_SURE
           : m->sun && m->probability >= LIKELY ? GRADE_LIKELY
                                                : GRADE_NOT;
}

/* Datablocks of each grade: month, middle of the bar, its box, the warmest and its interval. */
static void write_bars(nr_picture *p, const nr_size *z)
{
    FILE *f = p->script;
    for (int g = 0; g < GRADES; g++) {
        fprintf(f, "$bars%d << EOD\n", g);
        for (size_t i = 0; i < z->months; i++) {
            const nr_size_month *m = &z->month[i];
            if ((int)grade_of(m) != g || !m->warmest_degC.known)
                continue;
            nr_quantity top = nr_display_quantity(NR_SHOWN_TEMPERATURE, p->units, &m->warmest_degC);
            double month = (double)i + 1, from = shown_T(p, m->from_degC);
            const double row[] = {month, top.value, month - 0.32, month + 0.32,
                                  from,  top.lo95,  top.hi95};
            for (size_t k = 0; k < 7; k++) {
                nr_gp_number(f, row[k]);
                fputc(k < 6 ? ' ' : '\n', f);
            }
        }
        fputs("NaN NaN NaN NaN NaN NaN NaN\nEOD\n", f);
    }
}

/* What a row of the table says of one month. */
typedef void (*cell_fn)(const nr_picture *p, const nr_size *z, const nr_size_month *m, char *text,
                        size_t size);

static void rounded(char *text, size_t size, double value)
{
    char n[NR_ROUNDED];
    (void)snprintf(text, size, "%s", isfinite(value) ? nr_round_text(value, 0, n) : "\u2013");
}

static void cell_latest(const nr_picture *p, const nr_size *z, const nr_size_month *m, char *text,
                        size_t size)
{
    char clock[NR_CLOCK_TEXT] = "\u2013";
    (void)p;
    if (isfinite(m->latest_s))
        (void)nr_day_clock(&z->asked.day, m->latest_s, clock);
    clock[strcspn(clock, " ")] = '\0'; /* no room for "the day before" */
    (void)snprintf(text, size, "%s", clock);
}

static void cell_water(const nr_picture *p, const nr_size *z, const nr_size_month *m, char *text,
                       size_t size)
{
    (void)z;
    rounded(text, size, nr_display_value(NR_SHOWN_WATER, p->units, m->water_kg));
}

static void cell_uses(const nr_picture *p, const nr_size *z, const nr_size_month *m, char *text,
                      size_t size)
{
    (void)p;
    (void)z;
    rounded(text, size, floor(m->uses));
}

static void cell_air(const nr_picture *p, const nr_size *z, const nr_size_month *m, char *text,
                     size_t size)
{
    (void)z;
    rounded(text, size, shown_T(p, m->air_degC));
}

static void table_row(nr_picture *p, const nr_size *z, size_t row, const char *name, cell_fn cell)
{
    double y = bars_box.bottom - 0.090 - 0.046 * (double)row;
    nr_text_screen(p, 0.018, y, "left", NR_PX_SMALL, NR_TEXT_GREY, name);
    for (size_t i = 0; i < z->months; i++) {
        char text[64];
        cell(p, z, &z->month[i], text, sizeof text);
        double x = bars_box.left + (bars_box.right - bars_box.left) * ((double)i + 0.5) / NR_MONTHS;
        nr_text_screen(p, x, y, "center", NR_PX_SMALL, NR_BLACK, text);
    }
}

/* The year at a glance: a cell a month, the fuller the surer, its word inside. */
static void strip(nr_picture *p, const nr_size *z)
{
    static const char *const fill[] = {[NR_CHANCE_SURE] = "#7FB8D8",
                                       [NR_CHANCE_LIKELY] = "#CFE3F0",
                                       [NR_CHANCE_UNLIKELY] = "#FFFFFF",
                                       [NR_CHANCE_NONE] = "#FFFFFF",
                                       [NR_CHANCE_NO_SUN] = "#DDDDDD"};
    double wide = (bars_box.right - bars_box.left) / NR_MONTHS;
    double middle = (STRIP_LOW + STRIP_HIGH) / 2;
    nr_text_screen(p, 0.018, middle, "left", NR_PX_TEXT, NR_BLACK, "reached?");
    for (size_t i = 0; i < z->months; i++) {
        char name[16];
        nr_chance chance = nr_size_month_chance(&z->month[i]);
        double left = bars_box.left + wide * (double)i;
        fprintf(
            p->script,
            "set object rectangle from screen %.4f, screen %.4f to screen %.4f, screen %.4f back "
            "fc rgb '%s' fs solid 1.0 border lc rgb '" NR_TEXT_GREY "'\n",
            left, STRIP_LOW, left + wide, STRIP_HIGH, fill[chance]);
        (void)snprintf(name, sizeof name, "%.3s", month_name[i]);
        nr_text_screen(p, left + wide / 2, middle + 0.020, "center", NR_PX_TEXT, NR_BLACK, name);
        nr_text_screen(p, left + wide / 2, middle - 0.018, "center", NR_PX_SMALL, NR_BLACK,
                       nr_chance_word(chance));
    }
}

static void table(nr_picture *p, const nr_size *z)
{
    char name[64];
    size_t row = 0;
    table_row(p, z, row++, "latest start", cell_latest);
    (void)snprintf(name, sizeof name, "most water, %s",
                   nr_display_of(NR_SHOWN_WATER, p->units)->pretty);
    table_row(p, z, row++, name, cell_water);
    if (!isnan(z->asked.tap_degC))
        table_row(p, z, row++, "uses", cell_uses);
    (void)snprintf(name, sizeof name, "air, %s",
                   nr_display_of(NR_SHOWN_TEMPERATURE, p->units)->pretty);
    table_row(p, z, row, name, cell_air);
}

static void month_axis(nr_picture *p)
{
    nr_range(p, "x", 0.5, NR_MONTHS + 0.5);
    fputs("set grid noxtics\nset xtics nomirror scale 0 tc rgb '" NR_TEXT_GREY "'", p->script);
    nr_font(p, NR_PX_SMALL);
    for (int m = 0; m < NR_MONTHS; m++)
        fprintf(p->script, "%s'%.3s' %d", m == 0 ? " (" : ", ", month_name[m], m + 1);
    fputs(")\n", p->script);
}

/* "40.3 °C" above a bar, or why there is none. */
/* Over the bar's interval, and over a line that would go through the words. */
static void bar_label(nr_picture *p, const nr_size_month *m, double target_degC, double month,
                      const nr_limits *y)
{
    char text[32], n[NR_ROUNDED];
    if (!m->warmest_degC.known) {
        nr_text_point(p, month, y->lo, "center", 0, 1, NR_PX_SMALL, NR_TEXT_GREY, "no sun");
        return;
    }
    nr_quantity d = nr_display_quantity(NR_SHOWN_TEMPERATURE, p->units, &m->warmest_degC);
    (void)snprintf(text, sizeof text, "%s", nr_round_text(d.value, 0, n));
    double px = (y->hi - y->lo) / ((bars_box.top - bars_box.bottom) * NR_CANVAS_H);
    double at = d.hi95 + 12 * px;
    const double level[2] = {shown_T(p, fmin(target_degC, NR_SCALDS_DEGC)),
                             shown_T(p, fmax(target_degC, NR_SCALDS_DEGC))};
    for (int k = 0; k < 2; k++)
        if (fabs(at - level[k]) < 10 * px)
            at = level[k] + 11 * px;
    nr_text_point(p, month, at, "center", 0, 0, NR_PX_SMALL, NR_BLACK, text);
}

/* Target and scald line, named beside the bars. */
static void levels(nr_picture *p, const nr_size *z, const nr_limits *y, double highest_degC)
{
    static const char *const word[] = {"target", "scalds"};
    static const char *const colour[] = {NR_BLACK, NR_VERMILLION};
    const double degC[] = {z->asked.day.to_degC, NR_SCALDS_DEGC};
    bool scald = highest_degC > NR_SCALDS_DEGC && fabs(degC[0] - NR_SCALDS_DEGC) > 1;
    double at[] = {shown_T(p, degC[0]), shown_T(p, degC[1])};
    nr_draw_target(p, degC[0], NULL);
    nr_draw_scald(p, highest_degC, degC[0], NULL);
    nr_spread(at, scald ? 2 : 1,
              (y->hi - y->lo) * 20 / ((bars_box.top - bars_box.bottom) * NR_CANVAS_H), y->lo,
              y->hi);
    for (size_t i = 0; i < (scald ? 2 : 1); i++) {
        char text[64], n[NR_ROUNDED];
        (void)snprintf(text, sizeof text, "%s %s %s", word[i],
                       nr_round_text(shown_T(p, degC[i]), 0, n),
                       nr_display_of(NR_SHOWN_TEMPERATURE, p->units)->pretty);
        nr_text_end(p, at[i], colour[i], text);
    }
}

void nr_draw_months(nr_picture *p, const nr_size *z)
{
    static const double fill[GRADES] = {0.75, 0.30, 0.0};
    FILE *f = p->script;
    double lo = z->asked.day.to_degC, hi = z->asked.day.to_degC + 2;
    char heading[160];
    (void)snprintf(heading, sizeof heading,
                   "Water when warmest by the deadline, %s (bar: from the start; line: 95 %%)",
                   nr_display_of(NR_SHOWN_TEMPERATURE, p->units)->pretty);
    for (size_t i = 0; i < z->months; i++) {
        nr_stretch(&lo, &hi, z->month[i].from_degC);
        nr_stretch(&lo, &hi, z->month[i].warmest_degC.lo95);
        nr_stretch(&lo, &hi, z->month[i].warmest_degC.hi95);
    }
    nr_panel(p, &bars_box, NULL);
    nr_text_screen(p, 0.018, bars_box.top + 0.030, "left", NR_PX_TEXT, NR_BLACK, heading);
    nr_limits y = nr_nice(shown_T(p, lo), shown_T(p, hi + 0.07 * (hi - lo)), 6, false);
    nr_range(p, "y", y.lo, y.hi);
    nr_tics(p, "y", &y);
    month_axis(p);
    levels(p, z, &y, hi);
    for (size_t i = 0; i < z->months; i++)
        bar_label(p, &z->month[i], z->asked.day.to_degC, (double)i + 1, &y);
    strip(p, z);
    table(p, z);
    write_bars(p, z);
    fputs("plot NaN", f);
    for (int g = 0; g < GRADES; g++)
        fprintf(f,
                ", $bars%d using 1:2:3:4:5:2 with boxxyerror fc rgb '" NR_BLUE
                "' fs transparent solid %.2f border lc rgb '" NR_BLUE "'",
                g, fill[g]);
    for (int g = 0; g < GRADES; g++) {
        fprintf(f, ", $bars%d using 1:2:6:7 with yerrorbars lw 2", g);
        nr_mark(p, 7, 0.9, NR_BLACK);
    }
    fputc('\n', f);
}
