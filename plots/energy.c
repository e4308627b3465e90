/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the sun's energy went, over time: kept in the water, lost by the container, lost by the
 * collector, spent on warming the collector itself, not absorbed. Stacked areas. */
#include "plots/energy.h"
#include "plots/picture.h"
#include "plots/timeline.h"

#include "analyze/tell/phrase.h"
#include "analyze/tell/round.h"

#include <math.h>
#include <stdlib.h>

#define BINS 480
#define STACKS (BINS + NR_TIMELINE_RUNS) /* every run may end in a short bin */
enum { KEPT, CONTAINER, COLLECTOR, WARMING, OPTICAL, PARTS = NR_ENERGY_PARTS };

static const char *const part_name[PARTS] = {"kept in the water", "container's loss",
                                             "collector's loss", "warming the collector",
                                             "not absorbed"};
static const char *const part_colour[PARTS] = {NR_BLUE, NR_SKY, NR_VERMILLION, NR_PURPLE,
                                               "#F3E9B5"};

static const nr_box box = {0.065, 0.775, 0.105, 0.805};

/* The five parts of one block, W; they add up to the sun on the gross area. False: unknown. */
static bool parts_of(const nr_fit *fit, const nr_fit_run *r, size_t i, double part[PARTS])
{
    double sun = r->sun_W_m2[i] * fit->gross_area_m2;
    part[KEPT] = r->to_water_W[i] - (isfinite(r->store_loss_W[i]) ? r->store_loss_W[i] : 0);
    part[CONTAINER] = isfinite(r->store_loss_W[i]) ? r->store_loss_W[i] : 0;
    part[COLLECTOR] = r->collector_loss_W[i];
    part[WARMING] = r->absorbed_W[i] - r->to_water_W[i] - r->collector_loss_W[i];
    part[OPTICAL] = sun - r->absorbed_W[i];
    for (int k = 0; k < PARTS; k++)
        if (!isfinite(part[k]))
            return false;
    return true;
}

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

const char *nr_energy_name(int part)
{
    return part_name[part];
}

const char *nr_energy_colour(int part)
{
    return part_colour[part];
}

bool nr_energy_shares(const nr_fit *fit, double share[NR_ENERGY_PARTS])
{
    double all = 0, part[PARTS];
    for (int k = 0; k < PARTS; k++)
        share[k] = 0;
    for (size_t r = 0; r < fit->runs; r++)
        for (size_t i = 0; i < fit->run[r].blocks; i++)
            for (int k = 0; parts_of(fit, &fit->run[r], i, part) && k < PARTS; k++)
                share[k] += part[k];
    for (int k = 0; k < PARTS; k++)
        all += share[k] = fmax(0, share[k]);
    for (int k = 0; k < PARTS; k++)
        share[k] /= all;
    return all > 0;
}

typedef struct sums {
    double energy[PARTS];            /* J */
    double highest;                  /* of the stacks, W */
    double up[STACKS], down[STACKS]; /* heights of the stacks, W */
    size_t count;
} sums;

/* Means over equal bins, so that hours of ten-second blocks stay a light picture. */
static void write_run(nr_picture *p, const nr_fit *fit, const nr_timeline *t, size_t run,
                      size_t per_bin, sums *s)
{
    const nr_fit_run *r = &fit->run[run];
    for (size_t i = 0; i < r->blocks; i += per_bin) {
        double mean[PARTS] = {0}, part[PARTS], minutes = 0;
        size_t n = 0;
        for (size_t k = i; k < i + per_bin && k < r->blocks; k++) {
            if (!parts_of(fit, r, k, part))
                continue;
            n++;
            minutes += r->t_s[k] / 60;
            for (int q = 0; q < PARTS; q++) {
                mean[q] += part[q];
                s->energy[q] += part[q] * r->block_s;
            }
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
        s->highest = fmax(s->highest, up);
        if (s->count < STACKS) {
            s->up[s->count] = up;
            s->down[s->count++] = down;
        }
        write_stack(p->script, p, t->offset_min[run] + minutes / (double)n, mean);
    }
    fputs("\n", p->script);
}

static int ascending(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return x < y ? -1 : x > y;
}

/* Limits for the axis: the first seconds after a pump starts push kilowatts to and fro and would
 * press everything else flat, so the highest and lowest 2 % may be cut. */
static nr_limits power_limits(const nr_picture *p, sums *s)
{
    if (s->count == 0)
        return nr_nice(NAN, NAN, 5, true);
    qsort(s->up, s->count, sizeof *s->up, ascending);
    qsort(s->down, s->count, sizeof *s->down, ascending);
    size_t cut = s->count / 50;
    double hi = s->up[s->count - 1 - cut], lo = s->down[cut];
    if (lo > -0.03 * hi)
        lo = 0; /* too little below zero to be worth a step of the axis */
    return nr_nice(nr_display_value(NR_SHOWN_POWER, p->units, lo),
                   nr_display_value(NR_SHOWN_POWER, p->units, hi * 1.02), 5, true);
}

/* What is said of one part. The water's is the record's own, as everywhere; the rest is the
 * model's. Where the container's loss could not be told apart it is in the collector's. */
typedef struct told {
    const char *name;
    double share, J;
} told;

static told told_of(const nr_fit *fit, const sums *s, int part)
{
    double all = 0;
    for (int k = 0; k < PARTS; k++)
        all += s->energy[k];
    told t = {part_name[part], all > 0 ? s->energy[part] / all : NAN, s->energy[part]};
    if (part == KEPT && fit->run_efficiency.known)
        t = (told){t.name, fit->run_efficiency.value, fit->water_J};
    if (part == COLLECTOR && fit->loss_includes_store)
        t.name = "both losses";
    return t;
}

static void labels(nr_picture *p, const nr_fit *fit, const sums *s)
{
    double at[PARTS], up = 0;
    for (int k = 0; k < PARTS; k++)
        up += fmax(0, s->energy[k]);
    /* At the middle of each part's share of the whole, over the height of the panel. */
    double below = 0;
    for (int k = 0; k < PARTS; k++) {
        double share = up > 0 ? fmax(0, s->energy[k]) / up : 0.2;
        at[k] = box.bottom + (box.top - box.bottom) * (0.04 + 0.88 * (below + share / 2));
        below += share;
    }
    int place = nr_round_place(nr_display_value(NR_SHOWN_ENERGY, p->units, fit->sun_J), 3);
    nr_spread(at, PARTS, 0.075, box.bottom + 0.03, box.top - 0.02);
    for (int k = 0; k < PARTS; k++) {
        char text[96], a[NR_ROUNDED], percent[NR_INTERIM];
        told t = told_of(fit, s, k);
        if (k == CONTAINER && fit->loss_includes_store)
            continue;
        nr_interim(percent, NR_SHOWN_PERCENT, p->units, ".0f", t.share);
        bool little = fabs(t.share) < 0.005;
        double shown = nr_display_value(NR_SHOWN_ENERGY, p->units, t.J);
        (void)snprintf(text, sizeof text, "%s %%, %s %s", little ? "under 1" : percent,
                       nr_round_text(little ? fabs(shown) : shown, place, a),
                       nr_display_of(NR_SHOWN_ENERGY, p->units)->pretty);
        fprintf(p->script,
                "set object rectangle from screen %.4f, screen %.4f to screen %.4f, screen %.4f "
                "front fc rgb '%s' fs solid 0.9 border lc rgb '" NR_TEXT_GREY "'\n",
                box.right + 0.012, at[k] - 0.020, box.right + 0.028, at[k] + 0.024, part_colour[k]);
        nr_text_screen(p, box.right + 0.036, at[k] + 0.014, "left", NR_PX_SMALL, NR_BLACK, t.name);
        nr_text_screen(p, box.right + 0.036, at[k] - 0.012, "left", NR_PX_SMALL, NR_TEXT_GREY,
                       text);
    }
}

static void title_of(char *text, size_t size, const nr_fit *fit)
{
    char name[64], a[NR_INTERIM];
    (void)nr_gp_shorten(name, sizeof name,
                        fit->collector_name[0] != '\0' ? fit->collector_name : "Collector", 26);
    if (!fit->run_efficiency.known) {
        (void)snprintf(text, size, "%s: where the sun's energy went", name);
        return;
    }
    (void)snprintf(text, size, "%s: %s %% of the sun's energy stayed in the water", name,
                   nr_interim(a, NR_SHOWN_PERCENT, NR_UNITS_SI, ".0f", fit->run_efficiency.value));
}

nr_code nr_plot_energy(const nr_fit *fit, const char *path, const nr_plot_style *style, nr_err *err)
{
    nr_picture p;
    char title[256], subtitle[512], heading[160];
    if (fit->runs == 0)
        return nr_fail(err, NR_BAD, path, 0, "this fit holds no run to draw");
    title_of(title, sizeof title, fit);
    nr_title_trust(title, sizeof title, &fit->trust);
    nr_subtitle_fit(subtitle, sizeof subtitle, fit);
    nr_code code = nr_picture_begin(&p, path, style, title, subtitle, err);
    if (code != NR_OK)
        return code;
    nr_timeline t = nr_timeline_of(fit);
    sums s = {.count = 0};
    size_t blocks = 0;
    for (size_t r = 0; r < t.count; r++)
        blocks += fit->run[r].blocks;
    nr_panel(&p, &box, NULL);
    fputs("$energy << EOD\n", p.script);
    for (size_t r = 0; r < t.count; r++)
        write_run(&p, fit, &t, r, blocks / BINS + 1, &s);
    for (int k = 0; k <= COLUMNS * PARTS; k++)
        fputs(k == 0 ? "NaN" : " NaN", p.script);
    fputs("\nEOD\n", p.script);
    nr_limits y = power_limits(&p, &s);
    char most[NR_INTERIM] = "";
    double highest = nr_display_value(NR_SHOWN_POWER, p.units, s.highest);
    (void)snprintf(
        heading, sizeof heading, "Power on the gross area, %s%s%s%s",
        nr_display_of(NR_SHOWN_POWER, p.units)->pretty, y.lo < 0 ? " (below zero: given back)" : "",
        highest > y.hi ? "; the first moments reach " : "",
        highest > y.hi ? nr_interim(most, NR_SHOWN_POWER, p.units, ".2g", s.highest) : "");
    nr_text_screen(&p, box.left, box.top + 0.066, "left", NR_PX_TEXT, NR_BLACK, heading);
    nr_range(&p, "y", y.lo, y.hi);
    nr_tics(&p, "y", &y);
    nr_timeline_axis(&p, &t, true, box.right - box.left);
    nr_timeline_top(&p, &t, &box);
    nr_timeline_separators(&p, &t);
    labels(&p, fit, &s);
    fputs("plot NaN", p.script);
    for (int k = 0; k < PARTS; k++)
        fprintf(p.script,
                ", $energy using 1:%d:%d with filledcurves fs solid 0.9 noborder lc rgb '%s'"
                ", '' using 1:%d:%d with filledcurves fs solid 0.9 noborder lc rgb '%s'",
                COLUMNS * k + 2, COLUMNS * k + 3, part_colour[k], COLUMNS * k + 4, COLUMNS * k + 5,
                part_colour[k]);
    /* Thin white edges keep neighbours apart in grey. */
    for (int k = 0; k < PARTS; k++)
        fprintf(p.script, ", $energy using 1:%d with lines lw 1 lc rgb 'white'", COLUMNS * k + 6);
    fputc('\n', p.script);
    return nr_picture_end(&p, err);
}
