/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Why an answer is doubted or withheld. {0}..{3}: see nr_trust_code; {a}: the name. */
#include "analyze/tell/phrase.h"
#include "analyze/tell/tell.h"

#include <stdio.h>
#include <string.h>

#define LESS "a shadow or dew on the collector, another aim, or a sensor that got more sun."
#define MORE                                                                                       \
    "a shadow, dirt or a hand on the irradiance sensor, another aim, or dew that dried on the "    \
    "collector."

#define CHANGED                                                                                    \
    "Check what changed while it ran with `noonfit inspect` and the residuals in the picture."
#define FEW                                                                                        \
    "What the sun and the pump did between its {1 number .0f} readings is not known: read more "   \
    "often, or in an hour without clouds."

/* clang-format off */
static const char *const patterns[NR_TRUST_CODES] = {
    [NR_TRUST_GAIN_IMPOSSIBLE] =
        "It turns {0 percent .1f} of the sun into heat (95 %: {1 percent .1f} to {2 percent .1f}), "
        "and {3 percent .0f} is the most that such a collector can. Check the sun sensor's "
        "conversion, its plane, and that nothing shaded it; then gross_area_m2, water_kg and the "
        "flow meter.",
    [NR_TRUST_UNDETERMINED] =
        "The record does not determine the collector's gain (standard uncertainty {0 percent .0f} of "
        "the sun). ",
    [NR_TRUST_GAIN_LITTLE] =
        "It turns only {0 percent .1f} of the sun into heat, which no collector that is worth "
        "testing does. Check gross_area_m2 and the sun sensor's conversion and unit.",
    [NR_TRUST_LOSS_IMPOSSIBLE] =
        "Its loss of {0 collector-loss .1f} lies beyond {1 collector-loss .1f}, which collectors of its kind keep to. "
        "Something changed while the water warmed, or the air's probe or the container is not what "
        "it seems.",
    [NR_TRUST_TOO_MUCH_HEAT] =
        "The water took up {0 percent .0f} of the sun's heat on the collector, more than there was. "
        "Check the sun sensor's conversion and plane, gross_area_m2, water_kg and the flow meter.",
    [NR_TRUST_GAIN_PULSE] =
        "From minute {1 minutes .0f bare} to {3 minutes .0f bare} the collector gained "
        "{0 percent .0f} {2|less|more} for the same irradiance: ",
    [NR_TRUST_GAIN_STEP] =
        "From minute {1 minutes .0f bare} on the collector gained {0 percent .0f} {2|less|more} for "
        "the same irradiance: ",
    [NR_TRUST_SUN_DRIFT] =
        "The collector's gain drifts by {0 percent +.0f} over the record: the irradiance sensor "
        "fades or is in another plane than the collector, or something dries or gets dirty.",
    [NR_TRUST_SUN_COURSE] =
        "The irradiance drifts by {0 percent +.0f} over the record against a cloudless sky's course "
        "and against what the collector made of it: the sensor fades, leans or is in another plane "
        "than the collector.",
    [NR_TRUST_HALVES] =
        "From minute {1 minutes .0f bare} on the record gives {0 percent .0f} {2|less|more} efficiency "
        "than before: wind, water, a probe or the collector changed on the way.",
    [NR_TRUST_PROBE_JUMP] =
        "At minute {1 minutes .0f bare} the {a} probe jumped by {0 difference +.2f} against "
        "everything else: it was bumped, came loose or its contact changed.",
    [NR_TRUST_PROBE_DRIFT] =
        "The {a} probe drifts by {0 difference +.2f} over the record against everything else: look "
        "at its supply, its contact and what warms it.",
    [NR_TRUST_STORE_MASS] =
        "From minute {1 minutes .0f bare} on the container warms as if it held {0 percent .0f} "
        "{2|less|more} water: water was drawn off, leaked or was added, or its layers moved past "
        "the probe.",
    [NR_TRUST_STORE_STEP] =
        "At minute {1 minutes .0f bare} the container's temperature stepped by {0 difference +.2f} "
        "by itself: water was poured in or mixed, or its probe was moved.",
    [NR_TRUST_LOOP_STORE] =
        "From minute {1 minutes .0f bare} on what the loop carried is not found in the container: "
        "{0 percent .0f} of the rise are astray. Water came or went, the container is layered, air "
        "was in the loop, or a probe moved.",
    [NR_TRUST_SLOW_START] =
        "At first the collector gained {0 percent .0f} less for the same irradiance, and less and "
        "less so: it dried, or it was shaded or cold. If it was wet, say `dew = yes` in "
        "[collector]; else leave the beginning out.",
    [NR_TRUST_INLET_STEP] =
        "About minute {1 minutes .0f bare} the inlet's reading moved by {0 difference +.2f} against the "
        "container's: one of the two probes was bumped or came loose, or water came in.",
    [NR_TRUST_INLET_STORE] =
        "The water enters the collector {0 difference .1f} {2|colder|warmer} than the container is: "
        "the container is layered, the inlet probe does not touch the water, or it is not fed from "
        "there.",
    [NR_TRUST_INLET_LEAVES] =
        "From the first third of the record to the last the inlet's reading moved by "
        "{0 difference +.2f} against the container's: one of the two probes drifts or hangs loose, is "
        "held at a hose and feels the air, or layers grew in the container.",
    [NR_TRUST_BACK] =
        "What is behind the absorber is not stated, and the answer hangs on it: {0 percent .0f} in the "
        "middle of the tested range with the board that the record seems to have, {1 percent .0f} "
        "without one. State `back` in rig.ini. If it is light, something else came late: another "
        "aim, dew, a sensor that fades.",
    [NR_TRUST_STATED_VALUE] =
        "The record contradicts {3|a stated value|what is usual where nothing is stated}: {a} comes "
        "out {0 number .1f} times its uncertainty {2|below|above}. {3|Check it, or state a larger "
        "uncertainty.|Look at it, and state it.}",
    [NR_TRUST_STATED_VALUES] =
        "The stated values contradict the record together: they had to move {0 number .1f} times as "
        "far as their uncertainties allow. Check gains, offsets, masses and the area in rig.ini.",
};
/* clang-format on */

/* Codes whose first number is a size without its sign, which stands in a word. */
static bool unsigned_size(nr_trust_code code)
{
    return code == NR_TRUST_GAIN_PULSE || code == NR_TRUST_GAIN_STEP ||
           code == NR_TRUST_STORE_MASS || code == NR_TRUST_HALVES || code == NR_TRUST_INLET_STORE ||
           code == NR_TRUST_STATED_VALUE;
}

void nr_tell_trust(char *text, size_t size, const nr_trust_reason *r, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    if (r->whose[0])
        NR_SAY(&p, "{a}: ", .name = {r->whose});
    if (r->code == NR_TRUST_FINDING) {
        char part[NR_TELL];
        nr_tell_finding(part, sizeof part, &r->finding, units);
        NR_SAY(&p, "{a}", .name = {part});
        nr_tell_finding_advice(part, sizeof part, &r->finding, units);
        NR_SAY(&p, " {a}", .name = {part});
        return;
    }
    nr_blanks blanks = {.name = {r->name}};
    memcpy(blanks.number, r->number, sizeof r->number);
    if (unsigned_size(r->code) && blanks.number[0] < 0)
        blanks.number[0] = -blanks.number[0];
    nr_phrase_say(&p, patterns[r->code], &blanks);
    if (r->code == NR_TRUST_UNDETERMINED)
        nr_phrase_say(&p, r->number[1] > 0 ? FEW : CHANGED, &blanks);
    if (r->code == NR_TRUST_GAIN_PULSE || r->code == NR_TRUST_GAIN_STEP)
        nr_phrase_say(&p, r->number[2] > 0 ? MORE : LESS, &blanks);
}
