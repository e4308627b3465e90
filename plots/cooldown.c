/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plots/cooldown.h"

#include "analyze/tell/cooldown.h"
#include "plots/picture.h"
#include "plots/timeline.h"

#include <math.h>
#include <stdio.h>

static const nr_box upper = {0.065, 0.920, 0.360, 0.775}, lower = {0.065, 0.920, 0.105, 0.290};

static double shown(const nr_picture *p, double degC)
{
    return nr_display_value(NR_SHOWN_TEMPERATURE, p->units, degC);
}

/* minutes, read, fitted, air, read - fitted */
static void write_data(const nr_picture *p, const nr_cooldown *x)
{
    fputs("$cooling << EOD\n", p->script);
    for (size_t k = 0; k < x->blocks; k++) {
        nr_gp_number(p->script, (x->t_s[k] - x->t_s[0]) / 60);
        const double column[] = {shown(p, x->reading_degC[k]), shown(p, x->fitted_degC[k]),
                                 shown(p, x->air_at_degC[k]),
                                 nr_display_difference(NR_SHOWN_DIFFERENCE, p->units,
                                                       x->reading_degC[k] - x->fitted_degC[k])};
        for (size_t c = 0; c < sizeof column / sizeof column[0]; c++) {
            fputc(' ', p->script);
            nr_gp_number(p->script, column[c]);
        }
        fputc('\n', p->script);
    }
    fputs("EOD\n", p->script);
}

static void draw_water(nr_picture *p, const nr_cooldown *x, const nr_timeline *t)
{
    double lo = NAN, hi = NAN;
    char heading[96];
    for (size_t k = 0; k < x->blocks; k++) {
        nr_stretch(&lo, &hi, shown(p, x->reading_degC[k]));
        nr_stretch(&lo, &hi, shown(p, x->air_at_degC[k]));
    }
    (void)snprintf(heading, sizeof heading, "Temperature, %s: measured (dots), fitted",
                   nr_display_of(NR_SHOWN_TEMPERATURE, p->units)->pretty);
    nr_panel(p, &upper, NULL);
    nr_text_screen(p, nr_left_edge(p), upper.top + 0.066, "left", NR_PX_TEXT, NR_BLACK, heading);
    nr_timeline_axis(p, t, false, upper.right - upper.left);
    nr_timeline_top(p, t, &upper);
    nr_limits y = nr_nice(lo, hi, 6, false);
    nr_range(p, "y", y.lo, y.hi);
    nr_tics(p, "y", &y);
    size_t last = x->blocks - 1;
    nr_text_end(p, shown(p, x->fitted_degC[last]), NR_BLUE, "water");
    nr_text_end(p, shown(p, x->air_at_degC[last]), NR_GREEN, "air");
    fputs("plot $cooling using 1:4 with lines lw 2 dt (10,5) lc rgb '" NR_GREEN
          "', $cooling using 1:3 with lines lw 3 lc rgb '" NR_BLUE
          "', $cooling using 1:2 with points",
          p->script);
    nr_mark(p, 7, 0.35, NR_BLACK);
    fputc('\n', p->script);
}

static void draw_rest(nr_picture *p, const nr_cooldown *x, const nr_timeline *t)
{
    double most = 0;
    char heading[80];
    for (size_t k = 0; k < x->blocks; k++)
        most = fmax(most, fabs(x->reading_degC[k] - x->fitted_degC[k]));
    most = nr_display_difference(NR_SHOWN_DIFFERENCE, p->units, most);
    (void)snprintf(heading, sizeof heading, "Measured \u2212 fitted, %s",
                   nr_display_of(NR_SHOWN_DIFFERENCE, p->units)->pretty);
    nr_panel(p, &lower, NULL);
    nr_text_screen(p, nr_left_edge(p), lower.top + 0.022, "left", NR_PX_TEXT, NR_BLACK, heading);
    nr_timeline_axis(p, t, true, lower.right - lower.left);
    nr_limits y = nr_nice(-most, most, 3, true);
    nr_range(p, "y", y.lo, y.hi);
    nr_tics(p, "y", &y);
    fputs("plot $cooling using 1:5 with points", p->script);
    nr_mark(p, 7, 0.5, NR_GREY);
    fputs(", 0 with lines lw 1.5 lc rgb '" NR_BLACK "'\n", p->script);
}

nr_code nr_plot_cooldown(const nr_cooldown *x, const char *path, const nr_plot_style *style,
                         nr_err *err)
{
    nr_picture p;
    char title[256], subtitle[400], date[64];
    nr_units units = style && style->us_units ? NR_UNITS_US : NR_UNITS_SI;
    nr_tell_cooldown_finding(title, sizeof title, x, units);
    nr_pretty(title, sizeof title);
    nr_title_trust(title, sizeof title, &x->trust);
    nr_date_text(date, sizeof date, x->begin_utc_s);
    (void)snprintf(subtitle, sizeof subtitle, "%s, %s", nr_base_name(x->folder), date);
    nr_code code = nr_picture_begin(&p, path, style, title, subtitle, err);
    if (code)
        return code;
    nr_timeline t =
        nr_timeline_single(x->t_s[x->blocks - 1] - x->t_s[0], x->begin_utc_s + x->t_s[0]);
    write_data(&p, x);
    draw_water(&p, x, &t);
    draw_rest(&p, x, &t);
    return nr_picture_end(&p, err);
}
