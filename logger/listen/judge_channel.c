/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/listen/inside.h"

#include "logger/run/meaning.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Outside of these a reading is not what a water heater shows; common sense, no source. */
#define WATER_LOW_DEGC (-40.0)
#define WATER_HIGH_DEGC 200.0
#define SUN_LOW_W_M2 (-20.0)
#define SUN_HIGH_W_M2 1600.0
#define JUMP_K 3.0
/* What a one-wire thermometer's driver says for "not measured yet" and "no answer". */
#define POWER_ON_DEGC 85.0
#define NO_ANSWER_DEGC (-127.0)
#define STILL_READINGS 8

static const char *field_of(const nr_heard *heard, size_t channel)
{
    return nr_sampler_field(heard->rig, &heard->rig->channel[channel]);
}

static void judge_missing(const nr_heard *heard, size_t index, nr_advices *out)
{
    const nr_rig_channel *channel = &heard->rig->channel[index];
    const nr_heard_channel *c = &heard->channel[index];
    size_t adapter = nr_sampler_adapter_of(heard->rig, channel);
    unsigned long lines = heard->adapter[adapter].fault[NR_LINE_GOOD];
    char fields[200];
    nr_judge_fields(&heard->adapter[adapter], fields, sizeof fields);
    if (lines > 0 && c->missing == lines)
        nr_advise(out, NR_ADVICE_FAULT, "missing", channel->name,
                  "no line carries the field %s; the lines have %s", field_of(heard, index),
                  fields);
    else if (c->missing > 0)
        nr_advise(out, NR_ADVICE_DOUBT, "sometimes", channel->name,
                  "was missing in %lu of %lu lines", c->missing, lines);
}

static void judge_unreadable(const nr_heard *heard, size_t index, nr_advices *out)
{
    const nr_rig_channel *channel = &heard->rig->channel[index];
    const nr_heard_channel *c = &heard->channel[index];
    size_t adapter = nr_sampler_adapter_of(heard->rig, channel);
    nr_advice_weight weight = c->good == 0 ? NR_ADVICE_FAULT : NR_ADVICE_DOUBT;
    const char *often = c->good == 0 ? "" : " now and then";
    if (c->unreadable == 0)
        return;
    if (heard->rig->adapter[adapter].kind == NR_ADAPTER_MODBUS)
        nr_advise(out, weight, "no-answer", channel->name,
                  "device %d on the bus does not answer%s for register %d: check its address, its "
                  "supply, and whether A and B are the right way round",
                  channel->modbus_unit > 0 ? channel->modbus_unit : 1, often,
                  channel->modbus_register);
    else if (!c->unreadable_text[0])
        nr_advise(
            out, weight, "unreadable", channel->name,
            "the adapter sends nothing where the number should be%s: is the sensor connected?",
            often);
    else
        nr_advise(out, weight, "unreadable", channel->name,
                  "the adapter sends \"%s\" instead of a number%s: is the sensor connected?",
                  c->unreadable_text, often);
}

static double key_value(const nr_rig_channel *channel, const char *key)
{
    int i = nr_law_key_index(channel->law, key);
    return i < 0 ? NAN : channel->coefficient[i];
}

/* Why a number that arrived is no reading. */
static void judge_outside(const nr_heard *heard, size_t index, nr_advices *out)
{
    const nr_rig_channel *channel = &heard->rig->channel[index];
    const nr_heard_channel *c = &heard->channel[index];
    if (c->outside == 0)
        return;
    nr_advice_weight weight = c->good == 0 ? NR_ADVICE_FAULT : NR_ADVICE_DOUBT;
    double full_scale = key_value(channel, "full_scale");
    double low = nr_unit_from_canonical(channel->unit, channel->low);
    double high = nr_unit_from_canonical(channel->unit, channel->high);
    if (strncmp(channel->law->name, "onewire", 7) == 0)
        nr_advise(out, weight, "outside", channel->name,
                  "the sensor sends %g: that is its power-on value or no answer at all; check its "
                  "supply and its wires",
                  c->raw);
    else if (!isnan(full_scale) && (c->raw <= 0.02 * full_scale || c->raw >= 0.98 * full_scale))
        nr_advise(out, weight, "outside", channel->name,
                  "the divider reads %g of %g: a broken or shorted wire to the thermistor", c->raw,
                  full_scale);
    else if (!isnan(low) || !isnan(high))
        nr_advise(
            out, weight, "outside", channel->name,
            "%g on the wire is outside what the rig believes (low %g, high %g) or what convert "
            "= %s can answer",
            c->raw, low, high, channel->law->name);
    else
        nr_advise(out, weight, "outside", channel->name,
                  "convert = %s has no answer for %g on the wire: is it the right law, and in the "
                  "right unit?",
                  channel->law->name, c->raw);
}

/* A bucket or the shade at such numbers is in degF, more likely than hot; common sense, no source.
 */
#define AIR_IN_DEGF_FROM 48.0
#define WATER_IN_DEGF_FROM 60.0

static void judge_unit(const nr_rig_channel *channel, const nr_heard_channel *c, nr_advices *out)
{
    const char *role = channel->role[0] ? channel->role : channel->name;
    bool air = strcmp(role, "air") == 0, water = strcmp(role, "store") == 0;
    if (strcmp(channel->unit->name, "degC") != 0 || c->high > WATER_HIGH_DEGC ||
        !((air && c->low > AIR_IN_DEGF_FROM) || (water && c->low > WATER_IN_DEGF_FROM)))
        return;
    nr_advise(out, NR_ADVICE_DOUBT, "degF", channel->name,
              "%.1f would be %s at that many degC: does the adapter send degF? Then write unit = "
              "degF",
              c->raw, air ? "hot air" : "hot water");
}

static void judge_temperature(const nr_heard *heard, size_t index, bool us, nr_advices *out)
{
    const nr_unit *unit = nr_unit_find(us ? "degF" : "degC");
    const nr_rig_channel *channel = &heard->rig->channel[index];
    const nr_heard_channel *c = &heard->channel[index];
    bool plain = strcmp(channel->law->name, "none") == 0;
    if (plain && (c->value == POWER_ON_DEGC || c->value == NO_ANSWER_DEGC))
        nr_advise(out, NR_ADVICE_DOUBT, "power-on", channel->name,
                  "exactly %g %s is what a one-wire thermometer says when it did not measure; "
                  "convert = onewire_degC leaves such values out",
                  nr_unit_from_canonical(unit, c->value), unit->name);
    else if (plain && c->raw_whole && c->raw_high > WATER_HIGH_DEGC)
        nr_advise(
            out, NR_ADVICE_FAULT, "counts", channel->name,
            "%g is no temperature; the adapter seems to send counts: choose a convert for the "
            "sensor (`noonlog listen --help`)",
            c->raw);
    else if (c->low < WATER_LOW_DEGC || c->high > WATER_HIGH_DEGC)
        nr_advise(out, NR_ADVICE_DOUBT, "implausible", channel->name,
                  "reads %.1f to %.1f %s, which no water heater does: check convert and its keys",
                  nr_unit_from_canonical(unit, c->low), nr_unit_from_canonical(unit, c->high),
                  unit->name);
    if (plain && !c->unit_said)
        judge_unit(channel, c, out);
    if (c->largest_step > JUMP_K)
        nr_advise(out, NR_ADVICE_DOUBT, "jumps", channel->name,
                  "jumps by %.1f %s from one line to the next: a loose contact?",
                  nr_unit_difference_from_canonical(unit, c->largest_step), us ? "degF" : "K");
    if (plain && c->good >= STILL_READINGS && c->changes == 0 && c->value != POWER_ON_DEGC)
        nr_advise(
            out, NR_ADVICE_NOTE, "still", channel->name,
            "did not move at all: hold the probe in your hand and listen again, it should rise");
}

static void judge_sun(const nr_heard *heard, size_t index, bool us, nr_advices *out)
{
    const nr_unit *unit = nr_unit_find(us ? "Btu_h_ft2" : "W_m2");
    const nr_heard_channel *c = &heard->channel[index];
    const char *name = heard->rig->channel[index].name;
    if (c->low < SUN_LOW_W_M2 || c->high > SUN_HIGH_W_M2)
        nr_advise(out, NR_ADVICE_DOUBT, "implausible", name,
                  "reads %.0f to %.0f %s; full sun is about %s: check convert and its keys",
                  nr_unit_from_canonical(unit, c->low), nr_unit_from_canonical(unit, c->high),
                  us ? "Btu/(h ft2)" : "W/m2", us ? "317" : "1000");
    else if (c->high <= 0.0)
        nr_advise(out, NR_ADVICE_NOTE, "dark", name,
                  "reads nothing: in daylight it should; covered, or not connected");
}

void nr_judge_channel(const nr_heard *heard, size_t index, bool us, nr_advices *out)
{
    const nr_rig_channel *channel = &heard->rig->channel[index];
    size_t adapter = nr_sampler_adapter_of(heard->rig, channel);
    if (heard->adapter[adapter].fault[NR_LINE_GOOD] == 0)
        return; /* said already, of the adapter */
    judge_missing(heard, index, out);
    judge_unreadable(heard, index, out);
    judge_outside(heard, index, out);
    if (heard->channel[index].good == 0)
        return;
    if (channel->unit->dimension == NR_DIM_TEMPERATURE)
        judge_temperature(heard, index, us, out);
    if (channel->unit->dimension == NR_DIM_IRRADIANCE)
        judge_sun(heard, index, us, out);
}
