/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/tell/phrase.h"
#include "analyze/tell/tell.h"

#include <math.h>

/* Bounds this near each other are one number. */
#define ONE_PRESSURE 1.02
#define ONE_POWER 1.05

static void say_friction(nr_phrase *p, const nr_pump *a, const nr_pump_row *now)
{
    const nr_bounds *b = &now->drop_Pa;
    if (!a->tube_known || !isfinite(b->low))
        return;
    NR_SAY(p,
           " It takes {0 seconds .0f} through the {1 length .3g} of tube, at a Reynolds number of "
           "{2 number .0f} ({a}), and loses ",
           .number = {a->transit_s, a->tube.length_m, now->reynolds},
           .name = {nr_flow_regime_name(b->regime)});
    nr_phrase_say(p,
                  b->high > ONE_PRESSURE * b->low
                      ? "{0 pressure .2g bare} to {1 pressure .2g} to friction."
                      : "{0 pressure .2g} to friction.",
                  &(nr_blanks){.number = {b->low, b->high}});
}

void nr_tell_pump(char *text, size_t size, const nr_pump *a, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    const nr_pump_row *now = nr_pump_row_of(a, 1);
    NR_SAY(
        &p,
        "The pump moves {0 flow .2f} (95 %: {1 flow .2f bare} to {2 flow .2f}){3|, worked out from "
        "inlet and outlet|}; in {4 irradiance .0f} of sun the water leaves the collector "
        "{5 difference .1f} warmer than it came.",
        .number = {a->flow_L_min.value, a->flow_L_min.lo95, a->flow_L_min.hi95, a->flow_measured,
                   a->sun_W_m2, now->outlet_degC - a->water_degC});
    say_friction(&p, a, now);
}

void nr_tell_pump_faster(char *text, size_t size, const nr_pump *a, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    const nr_pump_row *half = nr_pump_row_of(a, 0.5), *now = nr_pump_row_of(a, 1),
                      *twice = nr_pump_row_of(a, 2);
    const double *power = a->power_at_twice;
    NR_SAY(
        &p,
        "Water cannot be pumped too fast to pick up heat: at half this flow it would leave "
        "{0 difference .1f} warmer instead of {1 difference .1f}, but the whole collector would "
        "run hotter, lose more and gather {2 percent .1f} less; at twice the flow it would leave "
        "only {3 difference .1f} warmer and gather {4 percent .1f} more",
        .number = {half->outlet_degC - a->water_degC, now->outlet_degC - a->water_degC,
                   -half->change.value, twice->outlet_degC - a->water_degC, twice->change.value});
    if (isfinite(power[0]) && power[0] > 0)
        nr_phrase_say(&p,
                      power[1] > ONE_POWER * power[0]
                          ? ", at {0 number .0f} to {1 number .0f} times the pumping power"
                          : ", at {0 number .0f} times the pumping power",
                      &(nr_blanks){.number = {power[0], power[1]}});
    NR_SAY(&p, ".", .name = {NULL});
}

void nr_tell_pump_panel(char *text, size_t size, const nr_pump *a, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    const nr_quantity *stall = &a->panel.stall.W_m2, *start = &a->panel.start.W_m2;
    if (!a->panel.driven)
        return;
    NR_SAY(
        &p,
        "On its panel the pump stalls below {0 irradiance .0f} (95 %: {1 irradiance .0f bare} to "
        "{2 irradiance .0f}, {3 number .0f} {3#stop|stops})",
        .number = {stall->value, stall->lo95, stall->hi95, (double)a->panel.stall.events});
    if (a->panel.start.events)
        NR_SAY(&p,
               " and starts again at {0 irradiance .0f} (95 %: {1 irradiance .0f bare} to "
               "{2 irradiance .0f}, {3 number .0f} {3#start|starts}); a pump that draws twice the "
               "current needs about twice that, a smaller one less.",
               .number = {start->value, start->lo95, start->hi95, (double)a->panel.start.events});
    else
        NR_SAY(&p, "; it was not seen to start again.", .name = {NULL});
}

void nr_tell_pump_basis(char *text, size_t size, const nr_pump *a, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    NR_SAY(
        &p,
        "FR by Duffie and Beckman from the fitted loss UL = {0 collector-loss .1f} and efficiency "
        "factor F' = {1 number .3f}, water entering at {2 temperature .1f}, air at "
        "{3 temperature .1f}.",
        .number = {a->loss_W_m2K, a->efficiency_factor, a->water_degC, a->air_degC});
}
