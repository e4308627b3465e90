/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the sun's energy went: as a flow over box, pump and bucket, and below it over time as
 * stacked areas. */
#include "plots/energy.h"
#include "logger/base/order.h"
#include "plots/picture.h"
#include "plots/timeline.h"

#include "analyze/tell/tell.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#define BINS 480
#define STACKS (BINS + NR_TIMELINE_RUNS) /* every run may end in a short bin */
#define PARTS NR_ENERGY_PARTS

static const nr_box flow_box = {0.0, 1.0, 0.395, 0.900};
static const nr_box areas_box = {0.065, 0.775, 0.085, 0.265};
/* Where no flow can be drawn, the areas have the canvas. */
static const nr_box large_box = {0.065, 0.775, 0.105, 0.805};

/* Columns of one part: its area above zero (lower, upper edge), its area below zero, its upper
 * edge for a line. What is negative (water giving heat back, a collector cooling) is stacked below
 * zero. Where a part has no area on a side, both edges lie on the stack: an area that jumped to
 * zero there would draw a wedge across the others. */
#define COLUMNS 5

static void write_stack(FILE *f, const nr_picture *p, double minutes, const double part[PARTS])
{
    double up = 0, down = 0;
    nr_gp_number(f, minutes);
    for (int k = 0; k < PARTS; k++) {
        double shown = nr_display_value(NR_SHOWN_POWER, p->units, part[k]);
        double column[COLUMNS] = {up, up + fmax(shown, 0), down, down + fmin(shown, 0),
                                  shown > 0 ? up + shown : NAN};
        up = column[1];
        down = column[3];
        for (int c = 0; c < COLUMNS; c++) {
            fputc(' ', f);
            nr_gp_number(f, column[c]);
        }
    }
    fputc('\n', f);
}

typedef struct sums {
    double up[STACKS], down[STACKS]; /* heights of the stacks, W */
    size_t count;
} sums;

/* Means over equal bins, so that hours of ten-second blocks stay a light picture. */
static void write_run(nr_picture *p, const nr_fit *fit, const nr_timeline *t, size_t run,
                      size_t per_bin, sums *s)
{
    const nr_fit_run *r = &fit->run[run];
    size_t first = nr_fit_first_block(r, SIZE_MAX);
    for (size_t i = 0; i < r->blocks; i += per_bin) {
        double mean[PARTS] = {0}, part[PARTS], minutes = 0;
        size_t n = 0;
        for (size_t k = i; k < i + per_bin && k < r->blocks; k++) {
            if (!nr_energy_parts(fit, r, k, part))
                continue;
            n++;
            minutes += r->t_s[k] / 60;
            for (int q = 0; q < PARTS; q++)
                mean[q] += part[q];
        }
        if (n == 0) {
            fputc('\n', p->script); /* a hole in the record is a hole in the picture */
            continue;
        }
        double up = 0, down = 0;
        for (int q = 0; q < PARTS; q++) {
            mean[q] /= (double)n;
            *(mean[q] >= 0 ? &up : &down) += mean[q];
        }
        if (i >= first && s->count < STACKS) {
            s->up[s->count] = up;
            s->down[s->count++] = down;
        }
        write_stack(p->script, p, t->offset_min[run] + minutes / (double)n, mean);
    }
    fputs("\n", p->script);
}

/* Limits for the axis, of what sets something: the first minutes push kilowatts to and fro and
 * would press everything else flat; a pump that starts again does so too, so the highest and lowest
 * 2 % may be cut. */
static nr_limits power_limits(const nr_picture *p, sums *s, const nr_box *box)
{
    int steps = (int)fmax(2, floor((box->top - box->bottom) * NR_CANVAS_H / 40));
    if (s->count == 0)
        return nr_nice(NAN, NAN, steps, true);
    qsort(s->up, s->count, sizeof *s->up, nr_ascending);
    qsort(s->down, s->count, sizeof *s->down, nr_ascending);
    size_t cut = s->count / 50;
    double hi = s->up[s->count - 1 - cut], lo = s->down[cut];
    if (lo > -0.03 * hi)
        lo = 0; /* too little below zero to be worth a step of the axis */
    return nr_nice(nr_display_value(NR_SHOWN_POWER, p->units, lo),
                   nr_display_value(NR_SHOWN_POWER, p->units, hi * 1.02), steps, true);
}

/* Names beside the areas, at the middle of each part's share. */
static void legend(nr_picture *p, const nr_fit *fit, const nr_box *box)
{
    double at[PARTS], share[PARTS], below = 0;
    int part[PARTS], n = 0;
    bool known = nr_energy_shares(fit, share);
    for (int k = 0; k < PARTS; k++) {
        double own = known ? share[k] : 0.2;
        if (nr_energy_told(fit, k)) {
            at[n] = box->bottom + (box->top - box->bottom) * (0.04 + 0.88 * (below + own / 2));
            part[n++] = k;
        }
        below += own;
    }
    nr_spread(at, (size_t)n, 0.040, box->bottom + 0.01, box->top - 0.01);
    for (int i = 0; i < n; i++) {
        fprintf(p->script,
                "set object rectangle from screen %.4f, screen %.4f to screen %.4f, screen %.4f "
                "front fc rgb '%s' fs solid 0.9 border lc rgb '" NR_TEXT_GREY "'\n",
                box->right + 0.012, at[i] - 0.012, box->right + 0.026, at[i] + 0.012,
                nr_energy_colour(part[i]));
        nr_text_screen(p, box->right + 0.034, at[i], "left", NR_PX_SMALL, NR_BLACK,
                       nr_energy_name(fit, part[i]));
    }
}

/* The first block that sets something; 0 where all do, or none. */
static size_t first_set(const nr_fit_run *run)
{
    size_t first = nr_fit_first_block(run, SIZE_MAX);
    return first < run->blocks ? first : 0;
}

/* The first minutes, which set nothing, under a veil. */
static void veil(nr_picture *p, const nr_fit *fit, const nr_timeline *t)
{
    for (size_t r = 0; r < t->count; r++) {
        const nr_fit_run *run = &fit->run[r];
        size_t first = first_set(run);
        if (first > 0)
            fprintf(p->script,
                    "set object rectangle from first %.9g, graph 0 to first %.9g, graph 1 front fc "
                    "rgb 'white' fs transparent solid 0.65 noborder\n",
                    t->offset_min[r], t->offset_min[r] + run->t_s[first] / 60);
    }
}

static void plot_areas(nr_picture *p)
{
    fputs("plot NaN", p->script);
    for (int k = 0; k < PARTS; k++)
        fprintf(p->script,
                ", $energy using 1:%d:%d with filledcurves fs solid 0.9 noborder lc rgb '%s'"
                ", '' using 1:%d:%d with filledcurves fs solid 0.9 noborder lc rgb '%s'",
                COLUMNS * k + 2, COLUMNS * k + 3, nr_energy_colour(k), COLUMNS * k + 4,
                COLUMNS * k + 5, nr_energy_colour(k));
    /* Thin white edges keep neighbours apart in grey. */
    for (int k = 0; k < PARTS; k++)
        fprintf(p->script, ", $energy using 1:%d with lines lw 1 lc rgb 'white'", COLUMNS * k + 6);
    fputc('\n', p->script);
}

static void areas(nr_picture *p, const nr_fit *fit, const nr_box *box)
{
    nr_timeline t = nr_timeline_of(fit);
    sums s = {.count = 0};
    size_t blocks = 0;
    char heading[200];
    bool veiled = false;
    for (size_t r = 0; r < t.count; r++)
        blocks += fit->run[r].blocks;
    for (size_t r = 0; r < t.count; r++)
        veiled = veiled || first_set(&fit->run[r]) > 0;
    nr_panel(p, box, NULL);
    fputs("$energy << EOD\n", p->script);
    for (size_t r = 0; r < t.count; r++)
        write_run(p, fit, &t, r, blocks / BINS + 1, &s);
    for (int k = 0; k <= COLUMNS * PARTS; k++)
        fputs(k == 0 ? "NaN" : " NaN", p->script);
    fputs("\nEOD\n", p->script);
    nr_limits y = power_limits(p, &s, box);
    (void)snprintf(heading, sizeof heading, "Power on the gross area, %s%s%s",
                   nr_display_of(NR_SHOWN_POWER, p->units)->pretty,
                   y.lo < 0 ? "; below zero: given back" : "",
                   veiled ? "; pale: the model runs in" : "");
    nr_text_screen(p, 0.018, box->top + 0.064, "left", NR_PX_TEXT, NR_BLACK, heading);
    nr_range(p, "y", y.lo, y.hi);
    nr_tics(p, "y", &y);
    nr_timeline_axis(p, &t, true, box->right - box->left);
    nr_timeline_top(p, &t, box);
    nr_timeline_separators(p, &t);
    legend(p, fit, box);
    veil(p, fit, &t);
    plot_areas(p);
}

/* On a portrait canvas: the parts as one bar, what is lost above what is kept. */
static void one_bar(nr_picture *p, const nr_fit *fit, const double share[PARTS])
{
    static const nr_box bar = {NR_PORTRAIT_LEFT, 0.300, 0.050, 0.800};
    double at[PARTS], below = bar.bottom;
    int part[PARTS], n = 0;
    nr_panel(p, &bar, NULL);
    for (int k = 0; k < PARTS; k++) {
        double high = (bar.top - bar.bottom) * share[k];
        fprintf(p->script,
                "set object rectangle from screen %.4f, screen %.4f to screen %.4f, screen %.4f "
                "front fc rgb '%s' fs solid 0.9 border lc rgb 'white'\n",
                bar.left, below, bar.right, below + high, nr_energy_colour(k));
        if (nr_energy_told(fit, k)) {
            at[n] = below + high / 2;
            part[n++] = k;
        }
        below += high;
    }
    nr_spread(at, (size_t)n, 0.070, bar.bottom + 0.02, bar.top - 0.02);
    for (int i = 0; i < n; i++) {
        char text[96];
        nr_energy_words(fit, p->units, share[part[i]], text, sizeof text);
        nr_text_screen(p, bar.right + 0.04, at[i] + 0.016, "left", NR_PX_TEXT, NR_BLACK,
                       nr_energy_name(fit, part[i]));
        nr_text_screen(p, bar.right + 0.04, at[i] - 0.016, "left", NR_PX_SMALL, NR_TEXT_GREY, text);
    }
    fputs("set border 0\nset xrange [0:1]\nset yrange [0:1]\nplot NaN\n", p->script);
}

nr_code nr_plot_energy(const nr_fit *fit, const char *path, const nr_plot_style *style, nr_err *err)
{
    nr_picture p;
    char title[256], subtitle[512];
    double share[PARTS];
    if (fit->runs == 0)
        return nr_fail(err, NR_BAD, path, 0, "this fit holds no run to draw");
    nr_tell_energy_title(title, sizeof title, fit);
    nr_title_of(title, sizeof title, fit);
    nr_subtitle_fit(subtitle, sizeof subtitle, fit);
    nr_code code = nr_picture_begin(&p, path, style, title, subtitle, err);
    if (code != NR_OK)
        return code;
    bool flow = nr_energy_shares(fit, share);
    if (flow && nr_is_portrait(&p)) {
        one_bar(&p, fit, share);
        return nr_picture_end(&p, err);
    }
    if (flow)
        nr_draw_energy_flow(&p, fit, share, &flow_box);
    areas(&p, fit, flow ? &areas_box : &large_box);
    return nr_picture_end(&p, err);
}
