/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/listen/heard.h"

#include "logger/base/text.h"
#include "logger/record/reading.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

void nr_heard_begin(nr_heard *heard, const nr_rig *rig)
{
    memset(heard, 0, sizeof *heard);
    heard->rig = rig;
    for (size_t c = 0; c < NR_RIG_CHANNELS; c++)
        heard->channel[c] = (nr_heard_channel){.raw = NAN,
                                               .value = NAN,
                                               .raw_low = NAN,
                                               .raw_high = NAN,
                                               .raw_whole = true,
                                               .low = NAN,
                                               .high = NAN,
                                               .first = NAN};
}

/* --- fields -------------------------------------------------------------------------------- */

static nr_heard_key *key_of(nr_heard_adapter *a, const char *name)
{
    for (size_t i = 0; i < a->keys; i++)
        if (strcmp(a->key[i].name, name) == 0)
            return &a->key[i];
    if (a->keys == NR_HEARD_KEYS)
        return NULL;
    nr_heard_key *key = &a->key[a->keys++];
    *key = (nr_heard_key){.seen = nr_seen_none()};
    nr_copy(key->name, sizeof key->name, name);
    return key;
}

static void take_field(nr_heard_adapter *a, const nr_field *field, size_t index, double elapsed_s)
{
    char name[NR_NAME];
    double number;
    nr_field_name(field, index, name);
    nr_heard_key *key = key_of(a, name);
    if (!key)
        return;
    key->count++;
    if (nr_field_number(field, &number))
        nr_seen_number(&key->seen, number, elapsed_s);
}

/* --- channels ------------------------------------------------------------------------------ */

static void take_reading(nr_heard_channel *c, double value)
{
    if (isnan(value))
        return;
    if (isnan(c->value)) {
        c->first = value;
    } else if (value != c->value) {
        c->changes++;
        c->largest_step = fmax(c->largest_step, fabs(value - c->value));
    }
    c->value = value;
    c->low = fmin(isnan(c->low) ? value : c->low, value);
    c->high = fmax(isnan(c->high) ? value : c->high, value);
}

/* The reading of a thermocouple wants the newest temperature of its junction. */
static double cold_of(const nr_heard *heard, const nr_rig_channel *channel)
{
    const nr_rig_channel *cold =
        channel->cold_channel[0] ? nr_rig_channel_find(heard->rig, channel->cold_channel) : NULL;
    return cold ? heard->channel[cold - heard->rig->channel].value : nr_reading_cold_key(channel);
}

static void take_channel(nr_heard *heard, size_t index, const nr_fields *fields)
{
    const nr_rig_channel *channel = &heard->rig->channel[index];
    nr_heard_channel *to = &heard->channel[index];
    double raw;
    const nr_field *field = nr_sampler_find(heard->rig, channel, fields);
    if (!field)
        return;
    const nr_unit *unit;
    if (!nr_field_reading(field, &raw, &unit)) {
        nr_clean(to->unreadable_text, sizeof to->unreadable_text, field->value,
                 field->value_length);
        return;
    }
    to->raw = raw;
    to->raw_low = fmin(isnan(to->raw_low) ? raw : to->raw_low, raw);
    to->raw_high = fmax(isnan(to->raw_high) ? raw : to->raw_high, raw);
    to->raw_whole = to->raw_whole && raw == floor(raw);
    double value = nr_reading_with_unit(channel, raw, unit, cold_of(heard, channel));
    to->unit_said = unit != NULL;
    take_reading(to, value);
    if (channel->unit->dimension == NR_DIM_TEMPERATURE)
        nr_touch_take(&heard->touch, channel->name, value);
}

/* --- lines --------------------------------------------------------------------------------- */

static bool has_checksum(const nr_wire_line *line)
{
    char hex[3];
    if (line->length < 4 || line->text[line->length - 3] != '*')
        return false;
    snprintf(hex, sizeof hex, "%02X", nr_xor8(line->text, line->length - 3));
    return strncasecmp(hex, line->text + line->length - 2, 2) == 0;
}

static void take_good(nr_heard *heard, size_t adapter, const nr_wire_line *line, double elapsed_s)
{
    nr_heard_adapter *a = &heard->adapter[adapter];
    nr_rig_adapter format = nr_sampler_format(&heard->rig->adapter[adapter]);
    nr_fields fields;
    nr_clean(a->good, sizeof a->good, line->text, line->length);
    if (a->fault[NR_LINE_GOOD] == 1)
        a->first_good_s = elapsed_s;
    a->last_good_s = elapsed_s;
    if (nr_fields_split(&format, line->text, line->length, &fields) != NR_LINE_GOOD)
        return;
    for (size_t i = 0; i < fields.count; i++)
        take_field(a, &fields.field[i], i, elapsed_s);
    for (int pass = 0; pass < 2; pass++) /* thermocouples last: they want the junction's reading */
        for (size_t c = 0; c < heard->rig->channels; c++)
            if (nr_sampler_adapter_of(heard->rig, &heard->rig->channel[c]) == adapter &&
                heard->rig->channel[c].law->wants_cold == (pass == 1))
                take_channel(heard, c, &fields);
}

/* A line that gave nothing may still show its keys, when it is text of the right shape. */
static void take_bad(nr_heard *heard, size_t adapter, const nr_wire_line *line, nr_line_fault fault,
                     double elapsed_s)
{
    nr_heard_adapter *a = &heard->adapter[adapter];
    nr_rig_adapter format = nr_sampler_format(&heard->rig->adapter[adapter]);
    nr_fields fields;
    if (fault != NR_LINE_HALF)
        nr_clean(a->bad, sizeof a->bad, line->text, line->length);
    if ((fault != NR_LINE_UNKNOWN && fault != NR_LINE_TOO_SHORT) ||
        nr_fields_split(&format, line->text, line->length, &fields) != NR_LINE_GOOD)
        return;
    for (size_t i = 0; i < fields.count; i++)
        take_field(a, &fields.field[i], i, elapsed_s);
}

void nr_heard_line(nr_heard *heard, size_t adapter, const nr_wire_line *line, nr_line_fault fault,
                   double elapsed_s)
{
    nr_heard_adapter *a = &heard->adapter[adapter];
    a->lines++;
    a->fault[fault]++;
    if (heard->rig->adapter[adapter].checksum == NR_CHECKSUM_NONE && has_checksum(line))
        a->checksum_unused = true;
    if (fault == NR_LINE_GOOD)
        take_good(heard, adapter, line, elapsed_s);
    else if (fault != NR_LINE_COMMENT && fault != NR_LINE_EMPTY)
        take_bad(heard, adapter, line, fault, elapsed_s);
}

const char *nr_heard_warming(nr_heard *heard)
{
    double rise_K;
    const nr_touch_field *found = nr_touch_found(&heard->touch, &rise_K);
    const nr_rig_channel *channel = found ? nr_rig_channel_find(heard->rig, found->name) : NULL;
    if (!channel)
        return NULL;
    bool again = channel == heard->held;
    heard->held = channel;
    heard->channel[channel - heard->rig->channel].warms = true;
    nr_touch_begin(&heard->touch);
    return again ? NULL : channel->name;
}

void nr_heard_end(nr_heard *heard, const nr_sampler *sampler, double seconds)
{
    heard->seconds = seconds;
    for (size_t c = 0; c < heard->rig->channels; c++) {
        const nr_channel_counts *counts = nr_sampler_channel(sampler, c);
        heard->channel[c].good = counts->good;
        heard->channel[c].unreadable = counts->unreadable;
        heard->channel[c].outside = counts->outside;
        heard->channel[c].missing = counts->missing;
    }
}
