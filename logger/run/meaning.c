/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/meaning.h"
#include "logger/base/text.h"

#include <stdio.h>
#include <string.h>

static const nr_meaning meanings[] = {
    {"store", {NR_DIM_TEMPERATURE}, true, "water in the container, well mixed"},
    {"inlet", {NR_DIM_TEMPERATURE}, true, "fluid entering the collector"},
    {"outlet", {NR_DIM_TEMPERATURE}, true, "fluid leaving the collector"},
    {"air", {NR_DIM_TEMPERATURE}, false, "ambient air, shaded"},
    {"box", {NR_DIM_TEMPERATURE}, true, "inside the collector box or on the absorber"},
    {"sun", {NR_DIM_IRRADIANCE}, false, "irradiance in the collector plane"},
    {"flow", {NR_DIM_FLOW}, true, "volume flow in the loop"},
    {"wind", {NR_DIM_SPEED}, false, "wind over the collector"},
    {"pump", {NR_DIM_VOLTAGE, NR_DIM_CURRENT, NR_DIM_POWER}, false, "pump supply"},
    {"sky",
     {NR_DIM_TEMPERATURE, NR_DIM_IRRADIANCE},
     false,
     "the sky's radiant temperature, or long-wave irradiance"},
    {"humidity", {NR_DIM_PERCENT}, false, "relative humidity of the air"},
    {"diffuse", {NR_DIM_IRRADIANCE}, false, "diffuse irradiance in the collector plane"},
};
#define MEANINGS (sizeof meanings / sizeof meanings[0])

const nr_meaning *nr_meaning_at(size_t index)
{
    return index < MEANINGS ? &meanings[index] : NULL;
}

const nr_meaning *nr_meaning_find(const char *channel)
{
    for (size_t i = 0; i < MEANINGS; i++)
        if (strcmp(meanings[i].channel, channel) == 0)
            return &meanings[i];
    return NULL;
}

bool nr_meaning_accepts(const nr_meaning *meaning, nr_dimension dimension)
{
    for (size_t i = 0; i < NR_MEANING_DIMENSIONS; i++)
        if (dimension != NR_DIM_NONE && meaning->dimension[i] == dimension)
            return true;
    return false;
}

void nr_meaning_units(const nr_meaning *meaning, char *out, size_t size)
{
    size_t used = 0;
    nr_copy(out, size, "");
    for (size_t i = 0; i < NR_MEANING_DIMENSIONS; i++) {
        if (meaning->dimension[i] == NR_DIM_NONE || used >= size)
            continue;
        int more = snprintf(out + used, size - used, "%s%s", i > 0 ? ", " : "",
                            nr_unit_names(meaning->dimension[i]));
        used += more > 0 ? (size_t)more : 0;
    }
}

bool nr_column_split(const char *column, char *channel, char *unit, size_t size)
{
    const char *cut = strrchr(column, '_');
    for (const char *p = strchr(column, '_'); p; p = strchr(p + 1, '_'))
        if (p > column && nr_unit_find(p + 1)) {
            cut = p;
            break; /* the first that fits is the longest */
        }
    if (!cut || cut == column) {
        unit[0] = '\0';
        return nr_copy(channel, size, column);
    }
    bool fits = nr_copy(unit, size, cut + 1);
    size_t length = (size_t)(cut - column);
    if (length >= size) {
        length = size - 1;
        fits = false;
    }
    memcpy(channel, column, length);
    channel[length] = '\0';
    return fits;
}
