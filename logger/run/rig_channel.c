/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/base/text.h"
#include "logger/convert/infrared.h"
#include "logger/run/rig_parse.h"

#include <math.h>
#include <string.h>

#define MOST_NAMES 64

/* Names that the section takes, for the list in a message; u_ keys are left out of it. */
static size_t allowed(const nr_rig_section *section, const nr_law *law,
                      const char *names[MOST_NAMES])
{
    size_t count = 0, keys;
    const nr_rig_key *key = nr_rig_keys(section->kind, &keys);
    for (size_t i = 0; i < keys && count < MOST_NAMES; i++)
        names[count++] = key[i].name;
    for (int i = 0; law && i < NR_LAW_MAX_KEYS && law->keys[i].name && count < MOST_NAMES; i++)
        names[count++] = law->keys[i].name;
    return count;
}

/* The other section that has this key, or NR_SECTION_NONE. */
static nr_rig_section_kind home_of(const char *key)
{
    bool uncertainty;
    for (int kind = 0; kind < NR_SECTION_KINDS; kind++)
        if (nr_rig_key_find((nr_rig_section_kind)kind, key, &uncertainty))
            return (nr_rig_section_kind)kind;
    return NR_SECTION_NONE;
}

static bool takes_u(nr_rig_section_kind kind, const char *name)
{
    bool uncertainty;
    const nr_rig_key *key = nr_rig_key_find(kind, name, &uncertainty);
    return key && key->kind == NR_KEY_QUANTITY;
}

static void list_names(const char *const *names, size_t count, char *out, size_t size)
{
    size_t used = 0;
    out[0] = '\0';
    for (size_t i = 0; i < count && used < size; i++) {
        int more = snprintf(out + used, size - used, "%s%s", i > 0 ? ", " : "", names[i]);
        used += more > 0 ? (size_t)more : 0;
    }
}

void nr_rig_unknown_key(const nr_rig_section *section, const nr_rig_entry *entry, const nr_law *law,
                        nr_rig_problems *problems)
{
    const char *names[MOST_NAMES];
    char heading[NR_RIG_SHOWN], shown[NR_RIG_SHOWN], list[600];
    size_t count = allowed(section, law, names);
    nr_rig_heading(section, heading);
    nr_clean(shown, sizeof shown, entry->key, strlen(entry->key));
    nr_rig_section_kind home = home_of(entry->key);
    bool with_u, prefixed = strncmp(entry->key, "u_", 2) == 0;
    const char *near = prefixed ? nr_rig_nearest(entry->key + 2, names, count) : NULL;
    with_u = near && takes_u(section->kind, near);
    if (!with_u)
        near = nr_rig_nearest(entry->key, names, count);
    list_names(names, count, list, sizeof list);
    if (home != NR_SECTION_NONE)
        nr_rig_problem(problems, entry->line,
                       "[%s] has no key \"%s\"; it belongs into [%s%s]. Keys here: %s", heading,
                       shown, nr_rig_section_name(home), home == NR_SECTION_CHANNEL ? " NAME" : "",
                       list);
    else if (near)
        nr_rig_problem(problems, entry->line,
                       "[%s] has no key \"%s\"; did you mean %s%s? Keys here: %s", heading, shown,
                       with_u ? "u_" : "", near, list);
    else
        nr_rig_problem(problems, entry->line, "[%s] has no key \"%s\"; keys here: %s%s", heading,
                       shown, list,
                       section->kind <= NR_SECTION_STORE ? ", and u_ before a number's key" : "");
}

static const nr_law *law_with(const char *key)
{
    for (const nr_law *law = nr_laws; law->name; law++)
        if (nr_law_key_index(law, key) >= 0)
            return law;
    return NULL;
}

static void set_coefficient(nr_rig_channel *channel, int index, long given[NR_LAW_MAX_KEYS],
                            const nr_rig_entry *entry, nr_rig_problems *problems)
{
    const nr_law_key *key = &channel->law->keys[index];
    char shown[NR_RIG_SHOWN];
    double value;
    nr_clean(shown, sizeof shown, entry->value, strlen(entry->value));
    if (given[index] > 0)
        nr_rig_problem(problems, entry->line,
                       "[channel %s] %s: already given on line %ld; keep one of them",
                       channel->name, key->name, given[index]);
    else if (!nr_parse_double(entry->value, &value))
        nr_rig_problem(problems, entry->line, "[channel %s] %s = \"%s\": not a number; it is %s",
                       channel->name, key->name, shown, key->meaning);
    else if (value < key->low || value > key->high)
        nr_rig_problem(problems, entry->line,
                       "[channel %s] %s = \"%s\": not believable; it must be from %g to %g (%s)",
                       channel->name, key->name, shown, key->low, key->high, key->meaning);
    else
        channel->coefficient[index] = value;
    given[index] = entry->line;
}

/* A law's key that is also a key of every channel belongs to the channel: `offset` of a linear law
 * and the channel's correction `offset` are the same sum. */
static bool shared(const char *key)
{
    bool uncertainty;
    return nr_rig_key_find(NR_SECTION_CHANNEL, key, &uncertainty) != NULL;
}

static void finish_law(nr_rig_channel *channel, const nr_rig_section *section,
                       const nr_rig_lines *lines, nr_rig_problems *problems)
{
    if (!channel->law) { /* reported; whose keys these are is not known */
        channel->law = nr_law_find("none");
        return;
    }
    const nr_law *law = channel->law;
    long given[NR_LAW_MAX_KEYS] = {0};
    for (int i = 0; i < NR_LAW_MAX_KEYS && law->keys[i].name; i++)
        channel->coefficient[i] = law->keys[i].fallback;
    for (size_t i = 0; i < section->entries; i++) {
        const nr_rig_entry *entry = &lines->entry[section->first + i];
        const nr_law *other = law_with(entry->key);
        if (!other || shared(entry->key))
            continue;
        int index = nr_law_key_index(law, entry->key);
        if (index >= 0)
            set_coefficient(channel, index, given, entry, problems);
        else
            nr_rig_problem(problems, entry->line,
                           "[channel %s] %s belongs to convert = %s, but this channel has convert "
                           "= %s",
                           channel->name, entry->key, other->name, law->name);
    }
    for (int i = 0; i < NR_LAW_MAX_KEYS && law->keys[i].name; i++)
        if (isnan(law->keys[i].fallback) && given[i] == 0)
            nr_rig_problem(problems, channel->line_number,
                           "[channel %s] convert = %s needs the key %s: %s", channel->name,
                           law->name, law->keys[i].name, law->keys[i].meaning);
}

/* What the kind of instrument says where the file says nothing. */
static void finish_kind(nr_rig_channel *c, nr_rig_problems *problems)
{
    if (c->kind) {
        const nr_instrument_kind *kind = nr_instrument_find(c->kind->name, c->unit->dimension);
        char names[300];
        nr_instrument_names(c->unit->dimension, names, sizeof names);
        if (!kind)
            nr_rig_problem(problems, c->line_number, "[channel %s] kind = %s does not read %s%s%s",
                           c->name, c->kind->name, c->unit->name, names[0] ? "; what does: " : "",
                           names);
        c->kind = kind;
    }
    if (c->kind) {
        c->u_offset = isnan(c->u_offset) ? c->kind->u_offset : c->u_offset;
        c->u_gain = isnan(c->u_gain) ? c->kind->u_gain : c->u_gain;
        c->u_drift = isnan(c->u_drift) ? c->kind->u_drift : c->u_drift;
        c->resolution = isnan(c->resolution) ? c->kind->resolution : c->resolution;
        c->lag_s = isnan(c->lag_s) ? c->kind->lag_s : c->lag_s;
    }
    c->lag_s = isnan(c->lag_s) ? 0 : c->lag_s;
}

/* The standard uncertainty of a stated value is that of its constant error. */
static void finish_stated(nr_rig_channel *c, nr_rig_problems *problems)
{
    int key = nr_law_key_index(c->law, "u_value");
    if (!c->law->stated || key < 0 || !isfinite(c->coefficient[key]))
        return;
    if (!isnan(c->u_offset))
        nr_rig_problem(problems, c->line_number,
                       "[channel %s] both u_value and u_offset; of a stated value they are the "
                       "same: keep one of them",
                       c->name);
    c->u_offset = c->coefficient[key];
}

static bool stands_in(const nr_rig_section *section, const nr_rig_lines *lines, const char *key)
{
    for (size_t i = 0; i < section->entries; i++)
        if (strcmp(lines->entry[section->first + i].key, key) == 0)
            return true;
    return false;
}

static void finish_emissivity(nr_rig_channel *c, const nr_rig_section *section,
                              const nr_rig_lines *lines, nr_rig_problems *problems)
{
    bool surface = stands_in(section, lines, "emissivity");
    bool around = stands_in(section, lines, "surroundings");
    bool infrared = c->kind && strcmp(c->kind->name, "infrared") == 0;
    bool more =
        stands_in(section, lines, "emissivity_set") || stands_in(section, lines, "instrument");
    if ((surface || around || more) && !infrared)
        nr_rig_problem(problems, c->line_number,
                       "[channel %s] emissivity is of an infrared thermometer; write kind = "
                       "infrared if it is one",
                       c->name);
    else if (surface != around)
        nr_rig_problem(problems, c->line_number,
                       "[channel %s] emissivity and surroundings belong together: the surface "
                       "reflects what it does not emit; give both",
                       c->name);
    c->surroundings = nr_unit_to_canonical(c->unit, c->surroundings);
    c->instrument = nr_unit_to_canonical(c->unit, c->instrument);
    c->instrument = isnan(c->instrument) ? c->surroundings : c->instrument;
    c->emissivity_set = isnan(c->emissivity_set) ? NR_EMISSIVITY_USUAL : c->emissivity_set;
}

static void finish_plane(const nr_rig_channel *c, nr_rig_problems *problems)
{
    const char *role = c->role[0] ? c->role : c->name;
    if (c->plane != NR_PLANE_UNKNOWN && c->unit->dimension != NR_DIM_IRRADIANCE)
        nr_rig_problem(problems, c->line_number,
                       "[channel %s] plane is of an irradiance sensor, but this channel is in %s",
                       c->name, c->unit->name);
    if (c->shaded != NR_SHADED_UNKNOWN && strcmp(role, "air") != 0)
        nr_rig_problem(problems, c->line_number,
                       "[channel %s] shaded is of the air's probe (channel air)", c->name);
}

static void finish_unit(nr_rig_channel *c, nr_rig_problems *problems)
{
    if (!c->unit) {
        nr_rig_problem(problems, c->line_number,
                       "[channel %s] unit is missing; write one such as unit = degC", c->name);
        c->unit = nr_unit_canonical(NR_DIM_TEMPERATURE); /* so that the rest can be checked */
    }
    const nr_unit *result = c->law->unit ? nr_unit_find(c->law->unit) : NULL;
    if (result && result->dimension != c->unit->dimension)
        nr_rig_problem(problems, c->line_number,
                       "[channel %s] convert = %s gives %s, which unit = %s cannot hold; use one "
                       "of: %s",
                       c->name, c->law->name, result->name, c->unit->name,
                       nr_unit_names(result->dimension));
    c->low = nr_unit_to_canonical(c->unit, c->low);
    c->high = nr_unit_to_canonical(c->unit, c->high);
    finish_stated(c, problems);
    c->u_offset = nr_unit_difference_to_canonical(c->unit, c->u_offset);
    c->u_drift = nr_unit_difference_to_canonical(c->unit, c->u_drift);
    c->resolution = nr_unit_difference_to_canonical(c->unit, c->resolution);
    c->correct_offset = nr_unit_difference_to_canonical(c->unit, c->correct_offset);
    if (c->low >= c->high)
        nr_rig_problem(problems, c->line_number,
                       "[channel %s] low is not below high; between them lie the readings to "
                       "believe",
                       c->name);
}

void nr_rig_finish_channel(nr_rig_channel *channel, const nr_rig_section *section,
                           const nr_rig_lines *lines, nr_rig_problems *problems)
{
    finish_law(channel, section, lines, problems);
    finish_unit(channel, problems);
    finish_kind(channel, problems);
    finish_emissivity(channel, section, lines, problems);
    finish_plane(channel, problems);
}
