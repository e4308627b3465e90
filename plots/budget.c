/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The uncertainty budget: which input is to blame for how much of the +- of a result, and what
 * would help against it. */
#include "plots/budget.h"
#include "plots/bar_rows.h"
#include "plots/picture.h"
#include "plots/timeline.h"

#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"
#include "logger/base/text.h"

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

nr_bars nr_budget_bars(const nr_fit *fit, size_t most)
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
        (void)nr_copy(b.label[b.count], sizeof b.label[0], item->label);
        b.action[b.count] = nr_cause_action(item);
        b.share[b.count][0] = eta0;
        b.share[b.count++][1] = a1;
    }
    if (folded > 0 && fmax(rest[0], rest[1]) > 0) {
        (void)snprintf(b.label[b.count], sizeof b.label[0], "everything else (%zu)", folded);
        b.action[b.count] = "";
        b.share[b.count][0] = rest[0];
        b.share[b.count++][1] = rest[1];
    }
    return b;
}

size_t nr_budget_rows(const nr_bars *b, const double half[2], nr_bar_row *row, size_t most)
{
    size_t n = b->count < most ? b->count : most;
    for (size_t i = 0; i < n; i++) {
        row[i] =
            (nr_bar_row){.value = {half[0] * sqrt(b->share[i][0]), half[1] * sqrt(b->share[i][1])}};
        (void)snprintf(row[i].words, sizeof row[i].words, "%s", b->label[i]);
        (void)snprintf(row[i].more, sizeof row[i].more, "%s", b->action[i]);
    }
    return n;
}

static double half_of(const nr_quantity *q)
{
    return q->known ? (q->hi95 - q->lo95) / 2 : NAN;
}

nr_code nr_plot_budget(const nr_fit *fit, const char *path, const nr_plot_style *style, nr_err *err)
{
    static const nr_box whole = {0, 1, 0, 1};
    static const double none[2] = {NAN, NAN};
    nr_picture p;
    char title[256], subtitle[512];
    nr_bars b = nr_budget_bars(fit, style != NULL && style->portrait ? 6 : NR_BARS);
    nr_bar_row row[NR_BARS + 2] = {
        {.words = "all together, as the roots of squares add", .total = true}};
    if (b.count == 0)
        return nr_fail(err, NR_CANNOT, path, 0, "this fit has no uncertainty budget to draw");
    nr_tell_budget_title(title, sizeof title, fit);
    nr_title_trust(title, sizeof title, &fit->trust);
    nr_subtitle_named(subtitle, sizeof subtitle, fit);
    nr_code code = nr_picture_begin(&p, path, style, title, subtitle, err);
    if (code != NR_OK)
        return code;
    nr_panel(&p, &whole, NULL);
    nr_bar_halves(&p, half_of(&fit->eta0), half_of(&fit->a1), row[0].value);
    size_t n = 1 + nr_budget_rows(&b, row[0].value, row + 1, NR_BARS + 1);
    double top = nr_is_portrait(&p) ? 0.815 : 0.845;
    nr_bar_headings(&p, top, "Input, and what would help");
    double rows = (double)(nr_is_portrait(&p) || n > 9 ? n : 9);
    nr_bar_rows(&p, row, n, top - 0.030, (top - 0.065) / rows, row[0].value, none);
    fputs("set border 0\nset xrange [0:1]\nset yrange [0:1]\nplot NaN\n", p.script);
    return nr_picture_end(&p, err);
}
