/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The wording of every warning and caution. */
#include "analyze/tell/phrase.h"
#include "analyze/tell/tell.h"

#include <stdio.h>
#include <string.h>

/* clang-format off */
static const char *const patterns[NR_WARN_COUNT] = {
    [NR_WARN_DIFFERENT_COLLECTORS] =
        "The rig files name different collectors, {a} and {b}, and were fitted as one; to set one "
        "against the other use noonfit compare.",
    [NR_WARN_LOSS_INCLUDES_STORE] =
        "The container's own loss could not be separated from the collector's: a1 and the curve "
        "contain it (a1 is then the loss of the whole rig on the gross area of collector). To "
        "separate them: give [store] loss_W_K, record inlet, outlet and flow, or let the water cool "
        "for half an hour with the pump off and record that.",
    [NR_WARN_STORE_LOSS_NOT_DETERMINED] =
        "The record hardly tells the container's loss: its value is mostly the usual one for a "
        "container of this size.",
    [NR_WARN_HIDDEN_STOP] =
        "The water's temperature departs from the fit by {0 difference .2f} in steps: the pump "
        "probably stopped some time and nothing in the record shows when. The answer was widened "
        "for it; record flow or the pump's supply to do better.",
    [NR_WARN_CONTAINER_CHANGED] =
        "The container's water does not follow the heat that flow, inlet and outlet say: from minute "
        "{0 number .0f} on its temperature {1|changes at another rate|is off by a step} ({2 number "
        ".1f} standard deviations; chance stays below {3 number .1f}). Water drawn off, added or "
        "leaking, layers, a moved probe? Its balance was left out: the collector is judged by inlet, "
        "outlet and flow alone.",
    [NR_WARN_CONTAINER_PULLED] =
        "The container's heat and that of the loop contradict each other by more than what is stated "
        "allows (sum of squared departures {0 number .0f}, limit {1 number .0f}). Check water_kg, "
        "the flow meter, inlet and outlet. The container was left out: the collector is judged by "
        "inlet, outlet and flow alone.",
    [NR_WARN_CONTAINER_LEAKS] =
        "By the heat that the loop says, the container would lose {0 store-loss .2f} (standard "
        "uncertainty {1 store-loss .2f}); none loses less than some {2 store-loss .2f}. Water that "
        "leaks away looks like this: weigh it at the end (water_end_kg). The container was left out, "
        "and its loss is not told: the collector is judged by inlet, outlet and flow alone.",
    [NR_WARN_CONTAINER_WANDERS] =
        "The container's temperature wanders by {0 difference .2f} about what the heat of the loop "
        "makes of it; stirred water stays within {1 difference .2f}. Layers, or a probe near a hose? "
        "The container was left out, and its loss is not told: the collector is judged by inlet, "
        "outlet and flow alone.",
    [NR_WARN_WATER_GONE] =
        "By the container's temperatures against the loop's heat, {0 percent .0f} of its water was "
        "gone by the end (standard uncertainty {1 percent .0f}), which nobody stated. The answer "
        "counts that in and was widened for it. Look for a leak, and weigh the water at the end "
        "(water_end_kg).",
    [NR_WARN_WATER_MASS] =
        "By the heat that the loop carried there was {0 percent .0f} {2|more|less} water than rig.ini "
        "says (standard uncertainty {1 percent .0f}). The answer counts that in and was widened for "
        "it. Weigh the water, and the container without it (water_kg, u_water_kg).",
    [NR_WARN_PLANE_UNSTATED] =
        "rig.ini does not say in which plane the irradiance sensor stands; in another than the "
        "collector's it easily reads 6 % wrong, and the answer is widened for that. With plane = "
        "collector in its channel eta0 would be known to {1 number .3f} instead of {0 number .3f} "
        "(standard uncertainty).",
    [NR_WARN_SUN_NOT_MEASURED] =
        "{a}: the irradiance was not measured but taken from a clear-sky model for site and time, "
        "10 % uncertain at best; any cloud or haze during the test makes the efficiency wrong.",
    [NR_WARN_SUN_BROUGHT] =
        "{a}: the irradiance was measured lying flat and brought to the collector's plane, its "
        "diffuse share {1|by a model (Erbs 1982)|as measured}, by the model of Hay and Davies; that "
        "adds {0 percent .1f} to its standard uncertainty. A sensor tilted as the collector is "
        "needs none of it.",
    [NR_WARN_READINGS_LEFT_OUT] =
        "{a}: {0 number .0f} {0#reading was|readings were} left out as bad; `noonfit inspect` lists "
        "them.",
    [NR_WARN_GAPS_LEFT_OUT] =
        "{a}: {0 seconds .0f} without irradiance, air{1|| or flow} were left out; what follows a gap "
        "starts anew.",
    [NR_WARN_SUN_ANGLE_DOUBTFUL] =
        "{a}: by clock and site the sun was down or behind the collector while the record shows "
        "bright sun; the incidence angle was not used. Check latitude, longitude (east positive), "
        "azimuth and the computer's clock.",
    [NR_WARN_NO_LID] =
        "{a}: an open container also loses heat by evaporation, which grows faster than the "
        "temperature and with wind; a lid makes the loss measurable.",
    [NR_WARN_PUMP_UNSEEN] =
        "{a}: nothing in the record says whether the pump ran; a stop would look like loss. Record "
        "flow or the pump's supply.",
    [NR_WARN_STATED_VALUE_DOUBTFUL] =
        "The record disagrees with a stated value: {a} comes out {0 number .1f} times its stated "
        "uncertainty {1|above|below}. Check it, or state a larger uncertainty.",
    [NR_WARN_TESTED_RANGE] =
        "Tested from {0 difference .0f} to {1 difference .0f} over the air; beyond that the curve is "
        "an extrapolation and, for stagnation, an underestimate: read it as \"at least\".",
    [NR_WARN_LOSS_UNCERTAIN] =
        "The loss coefficient is uncertain because the water was only within {0 difference .0f} of "
        "one difference to the air. Start colder, end hotter, or add a run from hot water in the "
        "same fit.",
    [NR_WARN_LOSS_AS_USUAL] =
        "With {0 number .0f} rows the loss coefficient rests on what is usual for such a collector "
        "({1 collector-loss .0f}, standard uncertainty {2 collector-loss .0f}), not on this record: "
        "use the efficiency of the run.",
    [NR_WARN_LOSS_NOT_DETERMINED] =
        "The record does not show that the collector loses heat at all; the loss coefficient is not "
        "usable by itself.",
    [NR_WARN_RESIDUALS_NOT_WHITE] =
        "{a}: what is left of channel {b} after the fit still remembers (lag-one correlation "
        "{0 number .2f} where 0 is expected); the random uncertainty may be too small.",
    [NR_WARN_OUTLIERS] =
        "{a}: {0 number .0f} of {1 number .0f} means of channel {b} lie more than four standard "
        "deviations from the fit (they were used); look at the residuals in the picture.",
    [NR_WARN_ASSUMED_UNCERTAINTY] =
        "rig.ini states no uncertainty for these, so usual ones were assumed: {a}. Give u_offset, "
        "u_gain (or u_ keys) to make the answer yours.",
    [NR_WARN_LOSS_INCLUDES_STORE_FOR_ALL] =
        "The container's loss is known for only some of the builds, so it is counted with the "
        "collector's loss for all of them.",
    [NR_WARN_OUTSIDE_TESTED] =
        "Tested were {0 difference .0f} to {1 difference .0f} above the air in "
        "{2 irradiance .0f bare} to {3 irradiance .0f}; this prediction goes beyond, where the loss "
        "was not measured, and its band widens accordingly.",
    [NR_WARN_OUTSIDE_TESTED_RISE] =
        "Tested were {0 difference .0f} to {1 difference .0f} above the air; this goes beyond, where "
        "the loss was not measured, and its margins widen accordingly.",
    [NR_WARN_CLEAR_SKY] =
        "The irradiance is that of a cloudless day by a model, good to {0 percent .0f}; haze and "
        "clouds take more. The air is taken as steady.",
    [NR_WARN_TRUE_IRRADIANCE] =
        "The irradiance stated is taken as true, so the record's own sensor error counts in full. "
        "For irradiance as that same sensor will show it, use --same-meter: its error cancels.",
    [NR_WARN_SAME_METER] =
        "The irradiance stated is taken as what the record's own sensor will show: its error "
        "cancels. It does not for another sensor.",
    [NR_WARN_PANEL_PUMP] =
        "The records show the pump on its own panel: it is taken to start at {0 irradiance .0f}, to "
        "stall at {1 irradiance .0f} and to move {2 flow .2g} in between.",
    [NR_WARN_WIND_UNUSED] =
        "How the loss changes with wind was not learnt from the record, so the stated wind has no "
        "effect here.",
    [NR_WARN_SAME_BUILD] =
        "Another area means the same build in another size, its flow in proportion: "
        "{0 area-flow .3g}.",
    [NR_WARN_OTHER_CONTAINER] =
        "The record's loss includes its own container's, which is taken as usual ({0 store-loss .1f}, "
        "standard uncertainty {1 store-loss .1f}) to put another in its place, and the answer is "
        "wider for it. A cool-down, or inlet, outlet and flow in the record, tell the two apart.",
    [NR_WARN_SAME_AIR] =
        "All months were given the same air temperature. Twelve values, --air T,T,...,T from January "
        "to December, make the table yours; --from likewise.",
    [NR_WARN_TUBE_UNKNOWN] =
        "Without tube_length_m and tube_bore_mm in [collector] there is no Reynolds number, pressure "
        "drop or transit time, and the heat transfer in the tube is taken as the same at every "
        "flow.",
    [NR_WARN_STRAIGHT_TUBE] =
        "The tube is taken as straight, without bends and lift: a coil resists more and stays "
        "laminar longer. --coil gives the diameter of its turns.",
    [NR_WARN_REGIME_UNCERTAIN] =
        "At this Reynolds number a flow may be laminar or turbulent; pressure and heat transfer lie "
        "between the two.",
    [NR_WARN_SWITCHED] =
        "The pump stopped in full sun, so it was switched off and not starved: no starting "
        "irradiance can be told.",
    [NR_WARN_NARROW_RANGE] =
        "The water would only go from {0 difference .0f} to {1 difference .0f} above the air: start "
        "colder, let it run longer, or add a hot-start run.",
    [NR_WARN_PLAN_LOSS_INCLUDES_STORE] =
        "The container's loss cannot be told from the collector's by this rig.",
    [NR_WARN_PLAN_NO_LID] =
        "Without a lid the container also evaporates; that loss depends on wind and is not "
        "proportional to temperature.",
    [NR_WARN_NO_WIND] =
        "Gusts are not recorded: on a windy day an unglazed collector tells less than this.",
    [NR_WARN_SCALD] =
        "{2|Water of|It may become as hot as} {0 temperature .0f} scalds adult skin in {1 contact}, "
        "a child's sooner (burn-prevention tables after Moritz and Henriques 1947, as on the US "
        "CPSC's tap-water sheet): mix it down before use.",
    [NR_WARN_BOILING] =
        "This runs to {0 temperature .0f}, at or beyond boiling, of which the calculation knows "
        "nothing: water then goes off as steam instead of getting hotter. Shade the collector or "
        "take water before, and never with the loop closed at both ends.",
    [NR_WARN_LEGIONELLA] =
        "Legionella grows in water that stands between {0 temperature .0f bare} and "
        "{1 temperature .0f}: use it the same day; water kept for later must be stored at "
        "{=60 temperature .0f} (WHO and health agencies).",
    [NR_WARN_STAGNATION] =
        "Without flow, in {=1000 irradiance .0f}, the absorber gets at least {0 difference .0f} "
        "hotter than the air (95 %: {1 difference .0f bare} to {2 difference .0f} by this curve, and "
        "a curve fitted below that understates it): no upper limit for plastics, skin or refilled "
        "water.",
    [NR_WARN_CLOSED_LOOP] =
        "The box reached {0 temperature .0f} while nothing flowed. Never heat a loop that is closed "
        "at both ends: leave a vent open or fit a relief valve.",
};
/* clang-format on */

/* "irradiance sensor, gain 3 %; inlet sensor, offset 0.2 K" */
static void list_assumed(char *text, size_t size, const nr_warnings *all, nr_units units)
{
    nr_phrase list = nr_phrase_begin(text, size, units);
    for (size_t i = 0; i < all->assumed_count; i++) {
        const nr_assumed *a = &all->assumed[i];
        double scale;
        nr_shown what = nr_shown_of_unit(a->unit, &scale);
        /* An uncertainty is a difference: no offset. */
        if (what == NR_SHOWN_TEMPERATURE)
            what = NR_SHOWN_DIFFERENCE;
        NR_SAY(&list, "{1|; |}{a} {0 own .2g}", .name = {a->label},
               .number = {a->u * scale, i == 0}, .own = what);
        if (what == NR_SHOWN_NUMBER)
            NR_SAY(&list, " {a}", .name = {a->unit});
    }
}

void nr_tell_warning(char *text, size_t size, const nr_warning *w, const nr_warnings *all,
                     nr_units units)
{
    char list[NR_TELL / 2];
    nr_phrase p = nr_phrase_begin(text, size, units);
    nr_blanks blanks = {.name = {w->about, w->other}};
    memcpy(blanks.number, w->number, sizeof w->number);
    if (w->code == NR_WARN_ASSUMED_UNCERTAINTY) {
        list_assumed(list, sizeof list, all, units);
        blanks.name[0] = list;
    }
    nr_phrase_say(&p, patterns[w->code], &blanks);
}
