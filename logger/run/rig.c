/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/rig.h"
#include "logger/base/text.h"
#include "logger/run/file.h"
#include "logger/run/rig_parse.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define MOST_BYTES 1000000u

/* Every quantity of the section's struct starts as not known. */
static void start_section(nr_rig_section_kind kind, void *base)
{
    size_t count;
    const nr_rig_key *key = nr_rig_keys(kind, &count);
    for (size_t i = 0; i < count; i++) {
        nr_value unknown = {.value = NAN, .u = NAN};
        if (key[i].kind == NR_KEY_QUANTITY)
            memcpy((char *)base + key[i].offset, &unknown, sizeof unknown);
    }
}

static void start_build(nr_rig_collector *collector, nr_rig_store *store)
{
    start_section(NR_SECTION_COLLECTOR, collector);
    start_section(NR_SECTION_STORE, store);
    collector->back.thickness_m = NAN;
}

static void start(nr_rig *rig, const char *path)
{
    memset(rig, 0, sizeof *rig);
    nr_clean(rig->path, sizeof rig->path, path, strlen(path));
    start_section(NR_SECTION_SITE, rig);
    start_build(&rig->collector, &rig->store);
    for (size_t i = 0; i < NR_RIG_BUILDS; i++)
        start_build(&rig->build[i].collector, &rig->build[i].store);
}

nr_code nr_rig_parse(const char *text, size_t length, const char *path, nr_rig_need need,
                     nr_rig *rig, const nr_sink *problems, nr_err *err)
{
    nr_rig_problems found = {0};
    nr_rig_lines lines;
    start(rig, path);
    bool whole = nr_rig_lines_read(text, length, &lines, &found);
    if (whole && (lines.sections > 0 || found.count == 0)) { /* else it is no rig file at all */
        nr_rig_fill(rig, &lines, &found);
        nr_rig_join_builds(rig, &found);
        nr_rig_check(rig, need, &lines, &found);
        if (need == NR_RIG_FOR_ANALYSIS && rig->builds == 1 && found.count == 0)
            nr_rig_choose(rig, 0);
    }
    nr_rig_lines_free(&lines);
    nr_code code = nr_rig_problems_tell(&found, path, problems, err);
    return whole ? code : nr_fail(err, NR_BAD, path, 0, "not enough memory");
}

nr_code nr_rig_read(const char *path, nr_rig_need need, nr_rig *rig, const nr_sink *problems,
                    nr_err *err)
{
    char *text;
    size_t length;
    nr_code code = nr_file_read(path, MOST_BYTES, &text, &length, err);
    if (code != NR_OK)
        return code;
    code = nr_rig_parse(text, length, path, need, rig, problems, err);
    free(text);
    return code;
}

nr_code nr_rig_needs_water(const nr_rig *rig, nr_err *err)
{
    if (rig->store.water_kg.given)
        return NR_OK;
    const char *name = rig->builds == 1 ? rig->build[0].name : "";
    return nr_fail(err, NR_BAD, rig->path, rig->store.line_number,
                   "[store%s%s] water_kg (or water_L, water_lb, water_gal) is missing; the heat "
                   "balance needs it",
                   name[0] ? " " : "", name);
}

int nr_glazing_covers(nr_glazing glazing)
{
    return glazing == NR_GLAZING_DOUBLE ? 2 : glazing == NR_GLAZING_SINGLE ? 1 : 0;
}

const char *nr_glazing_word(nr_glazing glazing)
{
    for (const nr_rig_choice *c = nr_glazing_words; c->word; c++)
        if (c->value == (int)glazing)
            return c->word;
    return "";
}

double nr_rig_back_J_m2K(const nr_rig_collector *collector)
{
    const nr_back *back = &collector->back;
    if (collector->back_heat_capacity_J_K.given && collector->gross_area_m2.given)
        return collector->back_heat_capacity_J_K.value / collector->gross_area_m2.value;
    if (back->kind == NR_BACK_NONE)
        return 0;
    if (back->kind != NR_BACK_STATED)
        return NAN;
    return back->material->density_kg_m3 * back->material->specific_heat_J_kgK * back->thickness_m;
}
