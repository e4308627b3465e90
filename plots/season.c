/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plots/season.h"

#include "analyze/tell/round.h"
#include "analyze/tell/season.h"
#include "plots/picture.h"

#include <math.h>
#include <stdio.h>
#include <time.h>

/* Grades of a day, the fuller the surer; of Okabe and Ito's palette, so that grey tells them, too.
 */
#define GRADES 4
/* Apart in grey, too: white with an edge, and ever darker. */
#define EDGE "#C4C4C4"
static const char *const grade_colour[GRADES] = {"#FFFFFF", "#F0C766", NR_ORANGE, NR_BLUE};
static const char *const grade_words[GRADES] = {"not", "perhaps (5 to 50 %)", "likely (50 to 95 %)",
                                                "sure (95 % and more)"};

static const char *const month_name[NR_SEASON_MONTHS] = {
    "January", "February", "March",     "April",   "May",      "June",
    "July",    "August",   "September", "October", "November", "December"};

static const nr_box cells = {0.115, 0.690, 0.170, 0.835};

static int grade_of(double probability)
{
    return probability >= 0.95 ? 3 : probability >= 0.5 ? 2 : probability >= 0.05 ? 1 : 0;
}

/* One block of cells a grade: corners of a box a little smaller than its place. Of a table of
 * several years a day has the mean of its years. */
static void write_cells(nr_picture *p, const nr_season *s)
{
    double sum[NR_SEASON_MONTHS][32] = {{0}}, count[NR_SEASON_MONTHS][32] = {{0}};
    for (size_t k = 0; k < s->days; k++) {
        time_t at = (time_t)s->day[k].date_s;
        struct tm t;
        gmtime_r(&at, &t);
        sum[t.tm_mon][t.tm_mday] += s->day[k].probability;
        count[t.tm_mon][t.tm_mday]++;
    }
    for (int g = 0; g < GRADES; g++) {
        fprintf(p->script, "$cells%d << EOD\n", g);
        for (int m = 0; m < NR_SEASON_MONTHS; m++)
            for (int d = 1; d < 32; d++)
                if (count[m][d] > 0 && grade_of(sum[m][d] / count[m][d]) == g)
                    fprintf(p->script, "%d %d\n", d, m + 1);
        fputs("NaN NaN\nEOD\n", p->script);
    }
}

/* The sums beside each row. */
static void write_sums(nr_picture *p, const nr_season *s)
{
    static const double column[3] = {0.810, 0.872, 0.980};
    static const char *const head[3] = {"days (95 %: build)", "uses", "sun, kWh/m\u00b2"};
    char text[2 * NR_ROUNDED + 8], n[NR_ROUNDED], hi[NR_ROUNDED];
    for (int c = 0; c < 3; c++)
        nr_text_screen(p, column[c], cells.top + 0.022, "right", NR_PX_SMALL, NR_TEXT_GREY,
                       head[c]);
    for (int m = 0; m < NR_SEASON_MONTHS; m++) {
        const nr_season_month *month = &s->month[m];
        double share = ((double)m + 1 - 0.4) / 12.2;
        double y = cells.top - share * (cells.top - cells.bottom);
        if (!month->days)
            continue;
        nr_text_screen(p, column[0] - 0.062, y, "right", NR_PX_TEXT, NR_BLACK,
                       nr_round_text(month->reached.value, 0, n));
        snprintf(text, sizeof text, "%s\u2013%s", nr_round_text(month->reached.lo95, 0, n),
                 nr_round_text(month->reached.hi95, 0, hi));
        nr_text_screen(p, column[0], y, "right", NR_PX_SMALL, NR_TEXT_GREY, text);
        nr_text_screen(p, column[1], y, "right", NR_PX_TEXT, NR_BLACK,
                       nr_round_text(month->uses.value, 0, n));
        nr_text_screen(p, column[2], y, "right", NR_PX_TEXT, NR_BLACK,
                       nr_round_text(month->sun_kWh_m2, 0, n));
    }
}

static void write_legend(nr_picture *p, const nr_season *s)
{
    double x = cells.left;
    char text[160];
    for (int g = GRADES - 1; g >= 0; g--) {
        fprintf(p->script,
                "set object rectangle from screen %.4f, screen 0.084 to screen %.4f, screen 0.108 "
                "front "
                "fillcolor rgb '%s' fillstyle solid border lc rgb '" EDGE "'\n",
                x, x + 0.018, grade_colour[g]);
        nr_text_screen(p, x + 0.025, 0.096, "left", NR_PX_SMALL, NR_BLACK, grade_words[g]);
        x += g == 3 ? 0.225 : g == 2 ? 0.215 : 0.215;
    }
    nr_tell_season_legend(text, sizeof text, s);
    nr_text_screen(p, cells.left, 0.040, "left", NR_PX_TEXT, NR_BLACK, text);
}

static void draw_cells(nr_picture *p, const nr_season *s)
{
    FILE *f = p->script;
    nr_panel(p, &cells, "");
    write_legend(p, s); /* a panel begins without boxes */
    write_cells(p, s);
    fputs("set xrange [0.4:31.6]\nset yrange [12.6:0.4]\nset border 0\nunset grid\nunset key\n", f);
    fputs("set xtics scale 0 textcolor rgb '#4D4D4D' (", f);
    for (int d = 1; d < 32; d += 5)
        fprintf(f, "%s\"%d\" %d", d > 1 ? ", " : "", d, d);
    fputs(")\nset ytics scale 0 textcolor rgb '#000000' (", f);
    for (int m = 0; m < NR_SEASON_MONTHS; m++)
        fprintf(f, "%s\"%s\" %d", m ? ", " : "", month_name[m], m + 1);
    fputs(")\nset style fill solid 1.0 border lc rgb '" EDGE "'\nplot ", f);
    for (int g = 0; g < GRADES; g++)
        fprintf(f, "%s$cells%d using 1:2:(0.45):(0.42) with boxxyerrorbars lc rgb '%s' notitle",
                g ? ", " : "", g, grade_colour[g]);
    fputc('\n', f);
}

nr_code nr_plot_season(const nr_season *s, const char *path, const nr_plot_style *style,
                       nr_err *err)
{
    nr_picture p;
    char title[200], subtitle[260];
    nr_tell_season_title(title, sizeof title, s, style->us_units ? NR_UNITS_US : NR_UNITS_SI);
    nr_pretty(title, sizeof title);
    snprintf(subtitle, sizeof subtitle, "%s, weather of %s%s", s->fit->collector_name,
             s->place[0] ? s->place : "a table", s->typical ? ", a typical year" : "");
    nr_code code = nr_picture_begin(&p, path, style, title, subtitle, err);
    if (code)
        return code;
    write_sums(&p, s);
    draw_cells(&p, s);
    return nr_picture_end(&p, err);
}
