/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/base/text.h"
#include "logger/run/meaning.h"
#include "logger/run/rig_parse.h"

#include <math.h>
#include <string.h>

static const nr_rig_adapter *find_adapter(const nr_rig *rig, const char *name)
{
    for (size_t i = 0; i < rig->adapters; i++)
        if (strcmp(rig->adapter[i].name, name) == 0)
            return &rig->adapter[i];
    return NULL;
}

static long section_line(const nr_rig_lines *lines, nr_rig_section_kind kind)
{
    for (size_t i = 0; i < lines->sections; i++)
        if (lines->section[i].kind == kind)
            return lines->section[i].line;
    return 0;
}

static void adapter_names(const nr_rig *rig, char *out, size_t size)
{
    size_t used = 0;
    nr_copy(out, size, "");
    for (size_t i = 0; i < rig->adapters && used < size; i++) {
        const char *name = rig->adapter[i].name;
        int more = snprintf(out + used, size - used, "%s%s", i > 0 ? ", " : "",
                            name[0] ? name : "(the plain [adapter]: leave the key out)");
        used += more > 0 ? (size_t)more : 0;
    }
}

/* Default clock fields; a channel may not read the clock's place. */
static void finish_adapter(nr_rig_adapter *a, nr_rig_problems *problems)
{
    char heading[NR_RIG_SHOWN];
    long index;
    snprintf(heading, sizeof heading, "adapter%s%s", a->name[0] ? " " : "", a->name);
    bool values = a->kind == NR_ADAPTER_LINES && a->line == NR_LINE_VALUES;
    if (!a->clock_field[0])
        nr_copy(a->clock_field, sizeof a->clock_field, values ? "1" : "ms");
    else if (a->clock == NR_CLOCK_HOST)
        nr_rig_problem(problems, a->line_number,
                       "[%s] clock_field is given, but clock = host does not read it; write clock "
                       "= adapter or leave it out",
                       heading);
    else if (values && !nr_parse_long(a->clock_field, 1, 1000, &index))
        nr_rig_problem(problems, a->line_number,
                       "[%s] clock_field = \"%s\": with line = values it is an index from 1",
                       heading, a->clock_field);
    if (a->kind == NR_ADAPTER_MODBUS && a->clock == NR_CLOCK_ADAPTER)
        nr_rig_problem(problems, a->line_number,
                       "[%s] a modbus adapter is polled: it has no clock of its own; leave clock "
                       "out",
                       heading);
}

static void check_field(const nr_rig_adapter *a, nr_rig_channel *c, nr_rig_need need,
                        nr_rig_problems *problems)
{
    long index;
    bool values = a->kind == NR_ADAPTER_LINES && a->line == NR_LINE_VALUES;
    bool recording = need == NR_RIG_FOR_RECORD && !c->law->stated;
    if (a->kind == NR_ADAPTER_MODBUS && c->modbus_register < 0 && recording)
        nr_rig_problem(problems, c->line_number,
                       "[channel %s] modbus_register is missing; a modbus adapter needs to know "
                       "which register to ask for",
                       c->name);
    else if (values && !c->field[0] && recording)
        nr_rig_problem(problems, c->line_number,
                       "[channel %s] field is missing; with line = values it is the index of the "
                       "value in the line, from 1",
                       c->name);
    else if (values && c->field[0] && !nr_parse_long(c->field, 1, 1000, &index))
        nr_rig_problem(problems, c->line_number,
                       "[channel %s] field = \"%s\": with line = values it is an index from 1",
                       c->name, c->field);
    else if (a->clock == NR_CLOCK_ADAPTER && strcmp(c->field, a->clock_field) == 0)
        nr_rig_problem(problems, c->line_number,
                       "[channel %s] field = %s is where the adapter's clock stands", c->name,
                       c->field);
    if (!c->field[0] && !values)
        nr_copy(c->field, sizeof c->field, c->name);
}

static void check_adapter(nr_rig *rig, nr_rig_channel *c, nr_rig_need need,
                          nr_rig_problems *problems)
{
    if (rig->adapters == 0)
        return; /* analysis only, or reported already */
    if (!c->adapter[0] && rig->adapters == 1)
        nr_copy(c->adapter, sizeof c->adapter, rig->adapter[0].name);
    const nr_rig_adapter *a = find_adapter(rig, c->adapter);
    if (a) {
        check_field(a, c, need, problems);
        return;
    }
    char names[NR_RIG_ADAPTERS * (NR_NAME + 4)];
    adapter_names(rig, names, sizeof names);
    if (c->adapter[0])
        nr_rig_problem(problems, c->line_number,
                       "[channel %s] adapter = \"%s\": there is no section [adapter %s]; adapters: "
                       "%s",
                       c->name, c->adapter, c->adapter, names);
    else
        nr_rig_problem(problems, c->line_number, "[channel %s] adapter is missing; which of: %s",
                       c->name, names);
}

static void check_cold(const nr_rig *rig, const nr_rig_channel *c, nr_rig_problems *problems)
{
    int key = nr_law_key_index(c->law, "cold_degC");
    bool fixed = key >= 0 && isfinite(c->coefficient[key]);
    if (!c->law->wants_cold) {
        if (c->cold_channel[0])
            nr_rig_problem(problems, c->line_number,
                           "[channel %s] cold_channel is given, but convert = %s has no use for it",
                           c->name, c->law->name);
        return;
    }
    if (!c->cold_channel[0]) {
        if (!fixed)
            nr_rig_problem(problems, c->line_number,
                           "[channel %s] convert = %s needs the temperature of the reference "
                           "junction: cold_channel = CHANNEL, or cold_degC",
                           c->name, c->law->name);
        return;
    }
    const nr_rig_channel *cold = nr_rig_channel_find(rig, c->cold_channel);
    if (fixed)
        nr_rig_problem(problems, c->line_number,
                       "[channel %s] both cold_channel and cold_degC; keep one of them", c->name);
    else if (!cold)
        nr_rig_problem(problems, c->line_number,
                       "[channel %s] cold_channel = \"%s\": there is no section [channel %s]",
                       c->name, c->cold_channel, c->cold_channel);
    else if (cold->unit->dimension != NR_DIM_TEMPERATURE || cold->law->wants_cold)
        nr_rig_problem(
            problems, c->line_number,
            "[channel %s] cold_channel = %s: that must be a temperature by a sensor that "
            "needs no reference junction itself",
            c->name, c->cold_channel);
}

/* Two channels that read the same number the same way: one of them was meant to be another. */
static void check_copies(const nr_rig *rig, size_t index, nr_rig_problems *problems)
{
    const nr_rig_channel *c = &rig->channel[index];
    const nr_rig_adapter *a = find_adapter(rig, c->adapter);
    for (size_t i = 0; i < index; i++) {
        const nr_rig_channel *o = &rig->channel[i];
        if (!a || c->law->stated || strcmp(o->adapter, c->adapter) != 0 || o->law != c->law)
            continue;
        bool same = a->kind == NR_ADAPTER_MODBUS
                        ? c->modbus_register >= 0 && o->modbus_register == c->modbus_register &&
                              o->modbus_unit == c->modbus_unit &&
                              strcmp(o->modbus_type, c->modbus_type) == 0
                        : c->field[0] && strcmp(o->field, c->field) == 0;
        if (same) {
            nr_rig_problem(problems, c->line_number,
                           "[channel %s] reads the same field as [channel %s] on line %ld and "
                           "converts it alike; correct one of them",
                           c->name, o->name, o->line_number);
            return;
        }
    }
}

/* The column must be read back as this channel in this unit. */
static void check_column(const nr_rig_channel *c, nr_rig_problems *problems)
{
    char column[2 * NR_NAME], channel[NR_NAME], unit[NR_NAME];
    nr_rig_column_name(c, column, sizeof column);
    if (!nr_column_split(column, channel, unit, NR_NAME) || strcmp(channel, c->name) != 0)
        nr_rig_problem(problems, c->line_number,
                       "[channel %s] with unit %s its column would be %s, which reads as channel "
                       "%s in %s; choose another name",
                       c->name, c->unit->name, column, channel, unit);
}

static void check_need(const nr_rig *rig, nr_rig_need need, const nr_rig_lines *lines,
                       nr_rig_problems *problems)
{
    if (need == NR_RIG_FOR_RECORD) {
        if (section_line(lines, NR_SECTION_ADAPTER) == 0)
            nr_rig_problem(problems, 0,
                           "there is no [adapter]; write one with port = ... (noonlog ports lists "
                           "them)");
    }
    if (need != NR_RIG_FOR_ANALYSIS) {
        if (section_line(lines, NR_SECTION_CHANNEL) == 0)
            nr_rig_problem(problems, 0,
                           "there is no channel to record; write [channel store] with unit = degC, "
                           "and so on");
        return;
    }
    for (size_t i = 0; i < rig->builds; i++) {
        const nr_rig_build *b = &rig->build[i];
        if (b->name[0] && b->collector.line_number == 0)
            continue; /* a store without its collector: reported */
        if (b->collector.gross_area_m2.line == 0)
            nr_rig_problem(problems, b->collector.line_number,
                           "[collector%s%s] gross_area_m2 (or gross_area_ft2) is missing; the "
                           "efficiency needs it",
                           b->name[0] ? " " : "", b->name);
    }
}

void nr_rig_check(nr_rig *rig, nr_rig_need need, const nr_rig_lines *lines,
                  nr_rig_problems *problems)
{
    check_need(rig, need, lines, problems);
    nr_rig_check_builds(rig, problems);
    for (size_t i = 0; i < rig->adapters; i++)
        finish_adapter(&rig->adapter[i], problems);
    for (size_t i = 0; i < rig->channels; i++) {
        check_adapter(rig, &rig->channel[i], need, problems);
        check_cold(rig, &rig->channel[i], problems);
        check_copies(rig, i, problems);
        check_column(&rig->channel[i], problems);
    }
}
