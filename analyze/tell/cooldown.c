/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/tell/cooldown.h"

#include "analyze/tell/phrase.h"
#include "analyze/tell/round.h"

#include <math.h>
#include <stdio.h>

void nr_tell_cooldown_finding(char *text, size_t size, const nr_cooldown *x, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    NR_SAY(&p,
           "The container loses {0 store-loss .2f} (95 %: {1 store-loss .2f bare} to "
           "{2 store-loss .2f})",
           .number = {x->loss_W_K.value, x->loss_W_K.lo95, x->loss_W_K.hi95});
}

void nr_tell_cooldown_listed(char *text, size_t size, const nr_quantity *loss, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    NR_SAY(&p,
           "cool-down: the container's loss only, {0 store-loss .2f} (95 %: "
           "{1 store-loss .2f bare} to {2 store-loss .2f bare})",
           .number = {loss->value, loss->lo95, loss->hi95});
}

void nr_tell_cooldown(char *text, size_t size, const nr_cooldown *x, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    NR_SAY(
        &p,
        "Standing by itself the container loses {0 store-loss .2f} (95 %: {1 store-loss .2f bare} "
        "to {2 store-loss .2f}). ",
        .number = {x->loss_W_K.value, x->loss_W_K.lo95, x->loss_W_K.hi95});
    NR_SAY(&p,
           "It cooled from {0 temperature .1f} to {1 temperature .1f} in {2 span}, in air of "
           "{3 temperature .1f}; half of its warmth is gone after {4 span}.",
           .number = {x->from_degC, x->to_degC, x->duration_s, x->air_degC,
                      M_LN2 * x->time_constant_s});
    NR_SAY(&p,
           " A mean over {0 difference .0f bare} to {1 difference .0f} above the air; with the lid "
           "off it is another.",
           .number = {x->over_air_K[0], x->over_air_K[1]});
}

void nr_tell_cooldown_limits(char *text, size_t size, const nr_cooldown *x)
{
    nr_phrase p = nr_phrase_begin(text, size, NR_UNITS_SI);
    const struct {
        double share;
        const char *what;
    } part[] = {{x->share_probes, "what the two thermometers differ by: put both into one bath"},
                {x->share_noise, "the readings themselves: a longer evening, or warmer water"},
                {x->share_water, "the water's mass and the container's heat capacity: weigh them"},
                {x->share_model, "the law itself: a container's loss is not quite in proportion"}};
    size_t most = 0;
    for (size_t i = 1; i < sizeof part / sizeof part[0]; i++)
        if (part[i].share > part[most].share)
            most = i;
    NR_SAY(&p, "What limits this answer: {a} ({0 percent .0f} of the variance).",
           .number = {part[most].share}, .name = {part[most].what});
}

void nr_tell_cooldown_keys(char value[NR_COOLDOWN_KEY], char u[NR_COOLDOWN_KEY],
                           const nr_cooldown *x)
{
    char a[NR_ROUNDED], b[NR_ROUNDED];
    int place = nr_round_place(x->loss_W_K.u, 2);
    (void)snprintf(value, NR_COOLDOWN_KEY, "%.*s", NR_COOLDOWN_KEY - 1,
                   nr_round_text(x->loss_W_K.value, place, a));
    (void)snprintf(u, NR_COOLDOWN_KEY, "%.*s", NR_COOLDOWN_KEY - 1,
                   nr_round_text(x->loss_W_K.u, place, b));
}
