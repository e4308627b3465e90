/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The wording of every finding about a record, and what to do about it. {a}: the channel. */
#include "analyze/tell/phrase.h"
#include "analyze/tell/tell.h"
#include "logger/run/unstated.h"

#include <string.h>

static const char place[] =
    "Check the computer's date, time and time zone, latitude and longitude (east is plus), tilt "
    "and "
    "azimuth (clockwise from north) in the rig file; the incidence angle depends on all of them.";

static const char flow[] =
    "Give the channel its true unit in the rig file, or correct the pulses per litre, and rebuild "
    "the readings; time a bucket filling to be sure.";

/* clang-format off */
static const struct {
    const char *seen, *advice;
} patterns[NR_FIND_COUNT] = {
    [NR_FIND_TOO_SHORT] = {
        "The record is only {0 seconds .0f} long. A fit needs five minutes at the very least.",
        "Let the next test run for at least half an hour; an hour and a half is better."},
    [NR_FIND_BRIEF] = {
        "The record is only {0 minutes .0f bare} minutes long.",
        "Expect wide intervals. An hour and a half narrows them a lot."},
    [NR_FIND_SLOW_SAMPLING] = {
        "There is one row every {0 seconds .0f}. Clouds and pump stops in between go unseen.",
        "An adapter sends a line a second, and the files stay small; by hand, read more often and "
        "note clouds."},
    [NR_FIND_TORN_END] = {
        "The last line of the readings was incomplete (a crash or a full disk) and was left out.",
        "Nothing to do; the adapter log may hold a few seconds more."},
    [NR_FIND_DAMAGED_LINES] = {
        "{0 number .0f} {0#line|lines} of the readings {0#holds|hold} bytes that were never written "
        "(a power cut); they were left out, the first is line {1 number .0f}.",
        "`noonlog rebuild` makes the readings anew from the adapter's own lines."},
    [NR_FIND_GAP] = {
        "No readings came for {0 seconds .0f}.",
        "Look for a loose cable or a computer that went to sleep; short gaps are bridged, long "
        "ones are left out."},
    [NR_FIND_GAPS] = {
        "No readings came for {0 seconds .0f} at a stretch, {1 seconds .0f} in all of {2 number "
        ".0f} gaps.",
        "Look for a loose cable or a computer that went to sleep; short gaps are bridged, long "
        "ones are left out."},
    [NR_FIND_DUPLICATES] = {
        "{0 number .0f} {0#row repeats|rows repeat} the row before {0#it|them} in every channel, "
        "for up to {1 seconds .0f} on end.",
        "The adapter or a program before it sends old lines again: make it send only fresh "
        "readings. Long stretches of repeats are left out."},
    [NR_FIND_CLOCK_STEP] = {
        "The computer's clock was set {1|forward|back} by {0 seconds .1f} during the record{2|| "
        "(and again later)}.",
        "Time differences are safe, they come from elapsed_s. Say in the notes which time of day "
        "is right: the sun's angle is computed from it."},
    [NR_FIND_CLOCK_JUMP] = {
        "The wall clock jumped by {0 number .0f} days while the recording was taken up again{1#|, in several "
        "steps}; so long a pause is not believed.",
        "Elapsed time goes on 1 s after the row before, and the times of day before it are moved to "
        "fit those after it. How long the pause was is not known: where it was long, fit only one "
        "side of it (--use)."},
    [NR_FIND_CLOCK_RATE] = {
        "elapsed_s and time_utc run at different speeds: {0 percent .2f} apart.",
        "An adapter's counter is often off by this much; if it matters, record with clock = host."},
    [NR_FIND_CLOCK_RATE_ABSURD] = {
        "elapsed_s and time_utc run at different speeds: {0 percent .2f} apart.",
        "elapsed_s counts. One of the two is no clock: check the adapter's milliseconds counter, or record with "
        "clock = host."},
    [NR_FIND_MISSING_CHANNEL] = {
        "There is no {a} column in the readings. A fit needs it.",
        "State it in [channel {a}] of the rig file (convert = stated, value, u_value) where it was "
        "about constant, and record it next time; without it there is no heat balance."},
    [NR_FIND_EMPTY_CHANNEL] = {
        "The {a} column holds no reading at all.",
        "Check this sensor's wire, and its field in the rig file; `noonlog listen` shows what "
        "arrives."},
    [NR_FIND_MISSING_READINGS] = {
        "{0 percent .1f} of the {a} readings are missing.",
        "Look for a loose contact at this sensor."},
    [NR_FIND_OUT_OF_RANGE] = {
        "{0 number .0f} {0#reading|readings} of {a} {0#is|are} outside {1 own .0f bare} to {2 own "
        ".0f}, what it can be at all.",
        "Look at the sensor, its wire and its conversion in the rig file. These readings are left "
        "out."},
    [NR_FIND_OUT_OF_RANGE_STATED] = {
        "{0 number .0f} {0#reading|readings} of {a} {0#is|are} outside {1 own .0f bare} to {2 own "
        ".0f}, the range in the rig file.",
        "If these readings can be true, widen low and high in the rig file; else look at the "
        "sensor and its wire. They are left out."},
    [NR_FIND_SPIKES] = {
        "{0 number .0f} {0#reading|readings} of {a} {0#jumps|jump} away and straight back.",
        "A few are harmless and left out. Many mean a bad contact, a wire beside the pump's, or a "
        "missing checksum."},
    [NR_FIND_STUCK] = {
        "{a} did not move at all for {0 seconds .0f} although it should have.",
        "The adapter may repeat its last value when the sensor does not answer: let it send an "
        "empty field instead. These readings are left out."},
    [NR_FIND_SATURATED] = {
        "{a} is pressed against the end of its scale in {0 number .0f} {0#reading|readings}.",
        "The true value was beyond it. Give the sensor's input a wider range (a smaller shunt, "
        "another divider). These readings are left out."},
    [NR_FIND_NEVER_CHANGES] = {
        "{a} has the same value in every row.",
        "Warm the sensor with a hand, or shade it, and watch with `noonlog listen` whether the "
        "number moves."},
    [NR_FIND_NOISY] = {
        "{a} jumps about by {0 difference .2f} from reading to reading.",
        "Use a shielded or twisted wire away from the pump's, a steadier supply, or let the "
        "adapter average."},
    [NR_FIND_NOISY_FLOW] = {
        "The flow jumps about by {0 flow .2f} from reading to reading.",
        "Air in the loop or few pulses a second do this; let the adapter count pulses over a "
        "longer time."},
    [NR_FIND_COARSE] = {
        "{a} moves in steps of {0 difference .2f}.",
        "Many sensors can be set to a finer resolution; 1/16 K is plenty."},
    [NR_FIND_SUN_BELOW_HORIZON] = {
        "The sun shines on the collector while, by clock and site, it is below the horizon.",
        place},
    [NR_FIND_SUN_BEHIND] = {
        "The sun shines on the collector while, by clock, site and plane, it is behind it.",
        place},
    [NR_FIND_SUN_BEYOND_SKY] = {
        "There is more sun on the collector than a cloudless sky could give where, by clock and "
        "site, the sun stands. Clock, site, plane or the sun sensor is wrong.",
        place},
    [NR_FIND_SUN_TOO_HIGH] = {
        "The sun column reaches {0 irradiance .0f} for minutes. The sky gives at most about {1 "
        "irradiance .0f}.",
        "Check the sun sensor's conversion, and that no mirror or white wall shines on it but not "
        "on the collector."},
    [NR_FIND_OBLIQUE_SUN] = {
        "The sun stood {0 number .0f} to {1 number .0f} degrees from straight on.",
        "Aim the collector at the sun, or test nearer noon; glass reflects more the more obliquely "
        "the sun meets it."},
    [NR_FIND_NO_SUN] = {
        "There is no sun in this record: at most {0 irradiance .0f}. It cannot tell an efficiency "
        "by itself.",
        "As a cool-down with the pump off it tells the container's loss by itself (`noonfit fit`, "
        "--write RIG), and the collector's when it is fitted together with a sunny run of the same "
        "build. If the sun did shine, the sensor is dead or covered."},
    [NR_FIND_NO_SITE] = {
        "The rig file does not say where the collector stands and faces. The sun's angle stays "
        "unknown, and the result holds for the angles of this day only.",
        "Put latitude_deg, longitude_deg, tilt_deg and azimuth_deg into the rig file; a telephone "
        "knows the first two."},
    [NR_FIND_SWAPPED_PROBES] = {
        "The outlet reads {0 difference .1f} colder than the inlet in full sun with water running. "
        "The two probes are probably exchanged, or the water runs the other way.",
        "Warm one probe with a hand and see which number rises; then exchange the two fields in "
        "the rig file, or the hoses if the water runs backwards."},
    [NR_FIND_PROBES_DISAGREE] = {
        "At the start {a} reads {0 difference +.1f} against {2|store|inlet}, more than the {1 "
        "difference .1f} their stated uncertainties allow, although {2|it is the same water|there "
        "is no sun yet and water runs}.",
        "Put both probes in one stirred bucket: `noonlog bath` finds their offsets and writes the "
        "rig keys. Check that the probes touch the water's pipe and are wrapped."},
    [NR_FIND_HEAT_BALANCE_CLOSES] = {
        "The loop carried {0 number .2f} times the heat found in the container (standard "
        "uncertainty {1 number .2f}).",
        "Nothing to do: flow meter, probes and water mass fit together."},
    [NR_FIND_HEAT_BALANCE_OPEN] = {
        "The loop carried {0 number .2f} times the heat found in the container (standard "
        "uncertainty {1 number .2f}). Flow meter, inlet, outlet or water mass is wrong by more "
        "than stated.",
        "Time a bucket filling to check the flow meter, hold inlet and outlet probe in one bucket, "
        "and weigh the water in the container."},
    [NR_FIND_TOO_MUCH_HEAT] = {
        "The water gained {0 number .2f} times the sun's energy on the collector. More than 1 is "
        "impossible.",
        "Check gross_area_m2, water_kg, the flow meter and the sun sensor's conversion; a column "
        "in degF, or irradiance in Btu/(h ft2), would look like this."},
    [NR_FIND_LAG_COLLECTOR] = {
        "outlet follows sun about {0 seconds .0f} later.",
        "Nothing to do: it is the collector's mass and the water's way through the tube."},
    [NR_FIND_LAG_STORE] = {
        "store follows inlet about {0 seconds .0f} later.",
        "If the probe in the container is slow or the water is not stirred, say so in lag_s or "
        "stir."},
    [NR_FIND_LAG_INLET] = {
        "inlet follows store about {0 seconds .0f} later.",
        "If the inlet probe is slow or sits outside the pipe, give its lag_s or wrap it."},
    [NR_FIND_PUMP_STOPS] = {
        "The pump ran {0 percent .0f} of the record and stopped {1 number .0f} {1#time|times}, for "
        "up to {2 seconds .0f}.",
        "Inlet and outlet are left out while it stands and shortly after; a bigger panel starts "
        "earlier. A collector without flow gets very hot: mind the restart."},
    [NR_FIND_FLOW_DEAD] = {
        "The flow meter shows no flow while the container goes on warming in the sun. The water "
        "must have been moving.",
        "Look for dirt in the meter's wheel, a loose wire, or a wrong field in the rig file. The "
        "flow readings of that time are left out."},
    [NR_FIND_PUMP_UNKNOWN] = {
        "Nothing in the record says when the pump ran. A stop would be taken for a poor collector.",
        "Record the flow or the pump's supply voltage, or note it while it happens: `noonlog note "
        "RUN --pump off`."},
    [NR_FIND_PUMP_NEVER_RAN] = {
        "The pump never ran, says the {0|flow meter|pump's supply|notes}.",
        "If this was meant as a cool-down or a stagnation test, all is well. Else check the pump's "
        "supply, air in the loop and the flow meter."},
    [NR_FIND_WRONG_UNIT_TEMPERATURE] = {
        "The {a} column says degC but its values, around {0 number .0f}, look like "
        "{1|kelvin|degF}.",
        "Give the channel its true unit in the rig file (unit = degF or K) and rebuild the "
        "readings with `noonlog rebuild`."},
    [NR_FIND_WRONG_UNIT_SUN] = {
        "The sun column stays below {0 number .2g} although the sun shone. That looks like "
        "{1|kW/m2|millivolts or another raw reading}, not W/m2.",
        "Put the factor into the channel's conversion in the rig file (convert = linear) so that "
        "the column is W/m2, and rebuild the readings with `noonlog rebuild`."},
    [NR_FIND_WRONG_UNIT_FLOW] = {
        "The flow column says L/min, but with it the loop carried {0 number .3g} times the heat "
        "found in the container. The numbers look like {1|L/h|L/s|gal/min|gal/h or "
        "mL/s|m3/h|mL/min}.",
        flow},
    [NR_FIND_WRONG_UNIT_SPEED] = {
        "A flow of {0 flow .3g} would run at {1 speed .0f} through the tube. The numbers may be "
        "L/h.",
        flow},
    [NR_FIND_SMALL_SPREAD] = {
        "The water was only {0 difference +.0f bare} to {1 difference +.0f} from the air's "
        "temperature. That spread tells the efficiency but hardly the loss.",
        "Start with colder water and go on until it is much warmer than the air, or add a test "
        "that starts with hot water and fit the two together."},
    [NR_FIND_AIR_SWINGS] = {
        "The air's temperature went from {0 temperature .0f bare} to {1 temperature .0f}.",
        "See that the air probe hangs in the shade, in moving air, away from the collector."},
    [NR_FIND_STEADY_STRICT] = {
        "{0 number .0f} {0#stretch is|stretches are} as steady as ISO 9806 asks (limits from "
        "memory; diffuse light and what was not recorded are not checked).",
        "They are drawn on the efficiency plot."},
    [NR_FIND_STEADY_FIELD] = {
        "{0 number .0f} {0#stretch|stretches} of five minutes {0#is|are} steady by relaxed field "
        "limits, none by those of ISO 9806: a container that warms up never holds the inlet at one "
        "temperature.",
        "They are drawn on the efficiency plot as a check of the fit, not as a standard test."},
    [NR_FIND_SUN_BROUGHT] = {
        "The irradiance was measured lying flat and is brought to the collector's plane by models, "
        "which adds {0 percent .1f} to its standard uncertainty.",
        "A sensor tilted as the collector is needs none of it; a diffuse channel beside it takes "
        "most of it away."},
    [NR_FIND_SUN_MODEL] = {
        "The irradiance was not measured: what is shown is a cloudless sky's, {0 percent .0f} "
        "uncertain at best.",
        "Test when no cloud is near the sun, and note any that comes; a sensor for the sun narrows "
        "the answer more than anything else."},
    [NR_FIND_CLOUDS] = {
        "The sun was not measured, and for {0 minutes .0f}, first at minute {2 minutes .0f bare}, "
        "what reacts to it dropped: {1|clouds|a cloud, or the pump stood; this record cannot "
        "tell which}. A cloudless sky's irradiance does not hold there.",
        "Those stretches are left out where they are not most of the record. Measure the sun, if only by "
        "a small panel's short-circuit current, or test when no cloud is near it; record flow or the "
        "pump's supply, so that a stop is no cloud."},
    [NR_FIND_CLOUDS_UNSEEN] = {
        "The sun was not measured, and nothing in this record would have shown a cloud.",
        "Note when one passes; readings of the water every few minutes, or a probe in the box, show it."},
    [NR_FIND_NOT_STATED] = {
        "{b} rig.ini does not say.", "{c}."},
    [NR_FIND_NO_LID] = {
        "The container has no lid. It also loses heat by evaporation, which grows faster than the "
        "temperature and with the wind; a single loss number is only its mean.",
        "Lay a lid or a floating sheet on it, for the test and for good."},
    [NR_FIND_SCALD] = {
        "Water of {0 temperature .0f} scalds adult skin in {1 contact}, a child's sooner; mix it "
        "down before use.",
        "Keep children away and mix with cold water first."},
    [NR_FIND_LUKEWARM] = {
        "Legionella grows in water standing between {0 temperature .0f bare} and {1 temperature "
        ".0f}: use it the same day or throw it away; water kept for later must be stored at {=60 "
        "temperature .0f}.",
        "This matters for water that is sprayed, drunk or kept overnight."},
};
/* clang-format on */

/* The kind of number that a channel's own readings are. */
static nr_shown kind_of(nr_dimension dimension)
{
    switch (dimension) {
    case NR_DIM_TEMPERATURE:
        return NR_SHOWN_TEMPERATURE;
    case NR_DIM_IRRADIANCE:
        return NR_SHOWN_IRRADIANCE;
    case NR_DIM_FLOW:
        return NR_SHOWN_FLOW;
    case NR_DIM_SPEED:
        return NR_SHOWN_SPEED;
    default:
        return NR_SHOWN_NUMBER;
    }
}

static void fill(char *text, size_t size, const char *pattern, const nr_finding *f, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    nr_blanks blanks = {.name = {f->channel}, .own = kind_of(f->dimension)};
    memcpy(blanks.number, f->number, sizeof f->number);
    if (f->code == NR_FIND_NOT_STATED && f->number[0] >= 0 && f->number[0] < NR_UNSTATEDS) {
        blanks.name[1] = nr_unstated_question((nr_unstated)f->number[0]);
        blanks.name[2] = nr_unstated_answer((nr_unstated)f->number[0]);
    }
    nr_phrase_say(&p, pattern, &blanks);
}

void nr_tell_finding(char *text, size_t size, const nr_finding *f, nr_units units)
{
    fill(text, size, patterns[f->code].seen, f, units);
}

void nr_tell_finding_advice(char *text, size_t size, const nr_finding *f, nr_units units)
{
    fill(text, size, patterns[f->code].advice, f, units);
}

const char *nr_severity_word(nr_severity severity)
{
    static const char *const word[] = {
        [NR_SEVERITY_NOTE] = "note", [NR_SEVERITY_DOUBT] = "doubt", [NR_SEVERITY_FAULT] = "fault"};
    return word[severity];
}
