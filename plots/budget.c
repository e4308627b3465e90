/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The uncertainty budget: which input is to blame for how much of the variance. */
#include "plots/budget.h"
#include "plots/picture.h"
#include "plots/timeline.h"

#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <math.h>
#include <string.h>

/* Smaller than this in both panels: folded into one last bar. */
#define WORTH_A_BAR 0.005

static double known(double share)
{
    return isfinite(share) && share > 0 ? share : 0;
}

/* What an item is worth showing for: its larger share. */
static double worth(const nr_budget_item *item)
{
    return fmax(known(item->share[NR_SHARE_ETA0]), known(item->share[NR_SHARE_A1]));
}

/* Whether fewer than `most` items are worth more; of equals the first. */
static bool among(const nr_fit *fit, size_t which, size_t most)
{
    size_t before = 0;
    double own = worth(&fit->budget[which]);
    for (size_t i = 0; i < fit->budget_items; i++) {
        double other = worth(&fit->budget[i]);
        before += other > own || (other == own && i < which);
    }
    return own >= WORTH_A_BAR && before < most;
}

nr_bars nr_budget_bars(const nr_fit *fit, size_t most, size_t letters)
{
    nr_bars b = {0};
    double rest[2] = {0, 0};
    size_t folded = 0;
    for (size_t i = 0; i < fit->budget_items; i++) {
        const nr_budget_item *item = &fit->budget[i];
        double eta0 = known(item->share[NR_SHARE_ETA0]), a1 = known(item->share[NR_SHARE_A1]);
        if (!among(fit, i, most < NR_BARS ? most : NR_BARS)) {
            rest[0] += eta0;
            rest[1] += a1;
            folded++;
            continue;
        }
        (void)nr_gp_shorten(b.label[b.count], sizeof b.label[0], item->label, letters);
        b.share[b.count][0] = eta0;
        b.share[b.count++][1] = a1;
    }
    if (folded > 0 && fmax(rest[0], rest[1]) > 0) {
        (void)snprintf(b.label[b.count], sizeof b.label[0], "everything else (%zu)", folded);
        b.share[b.count][0] = rest[0];
        b.share[b.count++][1] = rest[1];
    }
    return b;
}

/* The inputs' names, as tics of the left panel. */
static void names(nr_picture *p, const nr_bars *b, double px)
{
    fputs("set ytics nomirror scale 0 tc rgb '" NR_BLACK "'", p->script);
    nr_font(p, px);
    for (size_t i = 0; i < b->count; i++) {
        fputs(i == 0 ? " (" : ", ", p->script);
        nr_gp_quote_tic(p->script, b->label[i]);
        fprintf(p->script, " %.6g", -(double)i);
    }
    fputs(")\n", p->script);
}

void nr_draw_budget(nr_picture *p, const nr_bars *b, int which, const nr_box *box,
                    const char *heading, bool named, double px)
{
    FILE *f = p->script;
    nr_panel(p, box, heading);
    const nr_limits x = {0, 100, 25};
    nr_range(p, "x", 0, 112); /* room for "100 %" behind a full bar */
    nr_tics(p, "x", &x);
    nr_range(p, "y", -(double)b->count + 0.5, 0.5);
    fputs("set grid noytics\n", f);
    nr_x_label(p, "percent of the variance");
    if (named)
        names(p, b, px);
    fprintf(f, "$bars%d << EOD\n", which);
    for (size_t i = 0; i < b->count; i++)
        fprintf(f, "0 %.6g 0 %.6g %.6g %.6g\n", -(double)i, 100 * b->share[i][which],
                -(double)i - 0.33, -(double)i + 0.33);
    fputs("EOD\n", f);
    for (size_t i = 0; i < b->count; i++) {
        char text[32];
        double percent = 100 * b->share[i][which];
        char n[NR_ROUNDED];
        (void)snprintf(text, sizeof text, "%s %%",
                       percent < 0.95 ? "< 1" : nr_round_text(percent, 0, n));
        fputs("set label ", f);
        nr_gp_quote(f, percent > 0 ? text : "0 %");
        fprintf(f, " at first %.6g, first %.6g left offset 0.7,0 front tc rgb '" NR_BLACK "'",
                percent, -(double)i);
        nr_font(p, NR_PX_SMALL);
        fputc('\n', f);
    }
    fprintf(f,
            "plot $bars%d using 1:2:3:4:5:6 with boxxyerror fs solid 0.85 noborder lc rgb '%s'\n",
            which, which == 0 ? NR_BLUE : NR_SKY);
}

nr_code nr_plot_budget(const nr_fit *fit, const char *path, const nr_plot_style *style, nr_err *err)
{
    nr_picture p;
    char title[256], subtitle[512], run[400], name[64];
    nr_bars b = nr_budget_bars(fit, NR_BARS, 38);
    if (b.count == 0)
        return nr_fail(err, NR_CANNOT, path, 0, "this fit has no uncertainty budget to draw");
    nr_tell_budget_title(title, sizeof title, fit);
    nr_title_trust(title, sizeof title, &fit->trust);
    nr_subtitle_fit(run, sizeof run, fit);
    bool twice = strncmp(run, fit->collector_name, strlen(fit->collector_name)) == 0;
    (void)snprintf(subtitle, sizeof subtitle, "%s%s%s",
                   twice ? "" : nr_gp_shorten(name, sizeof name, fit->collector_name, 30),
                   twice ? "" : ": ", run);
    nr_code code = nr_picture_begin(&p, path, style, title, subtitle, err);
    if (code != NR_OK)
        return code;
    /* Few bars do not need the whole height. */
    double bottom = 0.82 - 0.09 * (double)b.count;
    bottom = bottom < 0.11 ? 0.11 : bottom;
    const nr_box eta0 = {0.345, 0.655, bottom, 0.82}, a1 = {0.680, 0.990, bottom, 0.82};
    nr_draw_budget(&p, &b, 0, &eta0, "Zero-loss efficiency " NR_ETA0, true, NR_PX_TEXT);
    nr_draw_budget(&p, &b, 1, &a1, "Loss coefficient " NR_A1, false, NR_PX_TEXT);
    return nr_picture_end(&p, err);
}
