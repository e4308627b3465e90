/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/tell/phrase.h"
#include "analyze/tell/tell.h"

#include <math.h>
#include <stdint.h>

#define K95 1.96
/* A chance beyond this is as good as certain. */
#define CERTAIN 0.995

const char *nr_plan_cost_word(nr_plan_cost cost)
{
    static const char *const word[] = {
        [NR_COST_NOTHING] = "free", [NR_COST_AN_EVENING] = "an evening", [NR_COST_MONEY] = "money"};
    return word[cost];
}

void nr_tell_plan(char *text, size_t size, const nr_plan *a, nr_units units)
{
    const nr_fit *f = a->fit;
    nr_phrase p = nr_phrase_begin(text, size, units);
    NR_SAY(
        &p,
        "A test of {0 span} from {1 temperature .4g} would tell the zero-loss efficiency to "
        "+-{2 number .3f} and the loss coefficient{3||, the container's included,} to "
        "+-{4 collector-loss .2g} (95 %), for an ordinary collector of eta0 {5 number .2f} and a1 "
        "{6 collector-loss .2g}.",
        .number = {a->test.duration_s, a->test.day.from_degC, K95 * f->eta0.u,
                   f->loss_includes_store, K95 * f->a1.u, f->eta0.value, f->a1.value});
}

void nr_tell_plan_limits(char *text, size_t size, const nr_plan *a, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    size_t e = nr_fit_limit(a->fit, NR_SHARE_ETA0), l = nr_fit_limit(a->fit, NR_SHARE_A1);
    if (e == SIZE_MAX || l == SIZE_MAX)
        return;
    const nr_budget_item *budget = a->fit->budget;
    NR_SAY(&p,
           "What limits it: for the efficiency {a} ({0 percent .0f} of the variance), for the loss "
           "{b} ({1 percent .0f}).",
           .name = {budget[e].label, budget[l].label},
           .number = {budget[e].share[NR_SHARE_ETA0], budget[l].share[NR_SHARE_A1]});
}

static const char *const action[NR_PLAN_ACTIONS] = {
    [NR_PLAN_LONGER] = "Let the test run twice as long.",
    [NR_PLAN_COLDER_START] = "Start with water {0 difference .0f} colder.",
    [NR_PLAN_HOT_START] =
        "Do a second run that starts {0 difference .0f} above the air, and fit both together.",
    [NR_PLAN_WEIGH] = "Weigh the water to {0 percent .1f} and state u_water_kg.",
    [NR_PLAN_LID] = "Put an insulating lid on the container.",
    [NR_PLAN_COOL_DOWN] = ("Record the container cooling down alone, pump off, for an evening, and "
                           "state loss_W_K."),
    [NR_PLAN_BATH] = "Put all probes into one stirred bath (noonlog bath), to {0 difference .2f}.",
    [NR_PLAN_BUCKET] = "Check the flow meter with bucket, scales and watch, to {0 percent .0f}.",
    [NR_PLAN_LOOP_SENSORS] =
        "Add inlet and outlet probes ({0 difference .2f}) and a flow meter ({1 percent .0f}).",
    [NR_PLAN_BETTER_SUN] = "Use a pyranometer calibrated to {0 percent .1f}.",
};

static const double action_number[NR_PLAN_ACTIONS][2] = {
    [NR_PLAN_COLDER_START] = {NR_PLAN_COLDER_K},
    [NR_PLAN_HOT_START] = {NR_PLAN_HOT_START_K},
    [NR_PLAN_WEIGH] = {NR_PLAN_WEIGHED},
    [NR_PLAN_BATH] = {NR_PLAN_BATH_K},
    [NR_PLAN_BUCKET] = {NR_PLAN_BUCKET_U},
    [NR_PLAN_LOOP_SENSORS] = {NR_PLAN_PROBE_K, NR_PLAN_METER_U},
    [NR_PLAN_BETTER_SUN] = {NR_PLAN_GOOD_SUN},
};

void nr_tell_plan_step(char *text, size_t size, const nr_plan_step *s, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    const double *n = action_number[s->action];
    nr_phrase_say(&p, action[s->action], &(nr_blanks){.number = {n[0], n[1]}});
    if (s->separates)
        NR_SAY(&p,
               " It tells the container's loss from the collector's; u(a1) is then that of the "
               "collector's own.",
               .name = {NULL});
    int part = s->action == NR_PLAN_LOOP_SENSORS ? 1 : s->action == NR_PLAN_LONGER ? 2 : 0;
    if (s->eta0_by_part || s->a1_by_part)
        NR_SAY(&p,
               " {0|Both are|The zero-loss efficiency is|The loss is} told best by {1|the "
               "first run alone|the container alone (--store-only)|the first half alone (--use)}.",
               .number = {s->eta0_by_part && s->a1_by_part ? 0
                          : s->eta0_by_part                ? 1
                                                           : 2,
                          part});
}

void nr_tell_plan_side_by_side(char *text, size_t size, const nr_plan *a)
{
    nr_phrase p = nr_phrase_begin(text, size, NR_UNITS_SI);
    if (!isfinite(a->u_side_by_side) || !isfinite(a->u_apart))
        return;
    NR_SAY(
        &p,
        "Against another build side by side, under the same pyranometer and in the same air, the "
        "difference in eta0 would be known to +-{0 number .3f} (95 %) instead of +-{1 number .3f} "
        "each with its own; a difference of 10 % would show ",
        .number = {K95 * a->u_side_by_side, K95 * a->u_apart});
    nr_phrase_say(&p,
                  a->power_side_by_side > CERTAIN ? "practically always."
                                                  : "{0 number .0f} times in 100.",
                  &(nr_blanks){.number = {100 * a->power_side_by_side}});
    if (isfinite(a->u_twice) && isfinite(a->u_swapped))
        NR_SAY(
            &p,
            " Where each has sensors of its own, a second record with all sensors exchanged makes "
            "that +-{0 number .3f}; a second one with the sensors as they are, +-{1 number .3f}.",
            .number = {K95 * a->u_swapped, K95 * a->u_twice});
}

void nr_tell_plan_supposed(char *text, size_t size, const nr_plan *a, nr_units units)
{
    const nr_plan_test *t = &a->test;
    nr_phrase p = nr_phrase_begin(text, size, units);
    NR_SAY(
        &p,
        "Supposed: {0|steady sun|a clear-sky day}, air at {1 temperature .4g}, wind {2 speed .2g}, "
        "flow {3 flow .2g}, a container losing {4 store-loss .2g}, no clouds.",
        .number = {t->day.clear_sky, t->day.air_degC, t->day.wind_m_s, t->flow_L_min,
                   t->store_loss_W_K});
}
