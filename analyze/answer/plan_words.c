/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/answer/plan_words.h"

#include "analyze/answer/figure.h"
#include "analyze/answer/predict_words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define K95 1.96
/* Tests with less than this between coldest and hottest against the air tell little of the loss. */
#define NARROW_K 10.0

/* The item with the largest share of one result's variance. */
static const nr_budget_item *largest(const nr_fit *f, int result)
{
    const nr_budget_item *top = NULL;
    for (size_t i = 0; i < f->budget_items; i++)
        if (!top || f->budget[i].share[result] > top->share[result])
            top = &f->budget[i];
    return top;
}

static void say_limits(nr_plan *p)
{
    const nr_budget_item *e = largest(p->fit, NR_SHARE_ETA0), *a = largest(p->fit, NR_SHARE_A1);
    p->limits[0] = '\0';
    if (e && a)
        snprintf(p->limits, sizeof p->limits,
                 "What limits it: for the efficiency %s (%.0f %% of the variance), for the loss %s "
                 "(%.0f %%).",
                 e->label, 100 * e->share[NR_SHARE_ETA0], a->label, 100 * a->share[NR_SHARE_A1]);
}

void nr_plan_write(nr_plan *p, const nr_rig *rig)
{
    const nr_fit *f = p->fit;
    char span[NR_SPAN_TEXT];
    snprintf(p->sentence, sizeof p->sentence,
             "A test of %s from %s degC would tell the zero-loss efficiency to +-%.3f and the "
             "loss coefficient%s to +-%s W/(m2 K) (95 %%), for an ordinary collector of eta0 "
             "%.2f and a1 %s W/(m2 K).",
             nr_span_words(p->test.duration_s, span), NR_FIGURE("%.4g", p->test.day.from_degC),
             K95 * f->eta0.u, f->loss_includes_store ? ", the container's included," : "",
             NR_FIGURE("%.2g", K95 * f->a1.u), f->eta0.value, NR_FIGURE("%.2g", f->a1.value));
    say_limits(p);
    double range = f->dT_range[1] - f->dT_range[0];
    if (range < NARROW_K)
        nr_warn(&p->warnings, "narrow-range",
                "The water would only go from %s K to %s K above the air: start colder, let it "
                "run longer, or add a hot-start run.",
                NR_FIGURE("%.0f", f->dT_range[0]), NR_FIGURE("%.0f", f->dT_range[1]));
    if (f->loss_includes_store)
        nr_warn(&p->warnings, "loss-includes-store",
                "The container's loss cannot be told from the collector's by this rig.");
    if (rig->store.lid == NR_LID_NO)
        nr_warn(&p->warnings, "no-lid",
                "Without a lid the container also evaporates; that loss depends on wind and is not "
                "proportional to temperature.");
    if (!nr_rig_channel_find(rig, "wind"))
        nr_warn(&p->warnings, "no-wind",
                "Gusts are not recorded: on a windy day an unglazed collector tells less than "
                "this.");
    for (size_t i = 0; i < f->warnings.count; i++)
        if (!strcmp(f->warnings.item[i].code, "assumed-uncertainty"))
            nr_warn(&p->warnings, "assumed-uncertainty", "%s", f->warnings.item[i].text);
}
