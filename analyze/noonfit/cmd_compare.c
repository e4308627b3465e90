/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/compare/compare.h"
#include "analyze/noonfit/commands.h"
#include "plots/plots.h"

#include <math.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

typedef struct arguments {
    nr_common common;
    nr_fit_options fit;
    const char *air, *from, *to; /* read when the units are known */
    nr_reference_day day;
} arguments;

static const nr_option own[] = {
    {.kind = NR_OPTION_TEXT,
     .name = "plot",
     .value = "FILE",
     .offset = offsetof(arguments, common.plot),
     .help = "picture: curves, heat-up, differences; .png, .svg or .pdf"},
    {.kind = NR_OPTION_HEADING,
     .name = "The day and use to judge by (default: what all builds were tested at):"},
    {.kind = NR_OPTION_QUANTITY,
     .name = "sun",
     .value = "W_m2",
     .offset = offsetof(arguments, day.sun_W_m2),
     .help = "irradiance in the collector's plane",
     .low = 50,
     .high = 1500,
     .unit = "W_m2"},
    {.kind = NR_OPTION_TEXT,
     .name = "air",
     .value = "T",
     .offset = offsetof(arguments, air),
     .help = "air"},
    {.kind = NR_OPTION_TEXT,
     .name = "from",
     .value = "T",
     .offset = offsetof(arguments, from),
     .help = "water at the start"},
    {.kind = NR_OPTION_TEXT,
     .name = "to",
     .value = "T",
     .offset = offsetof(arguments, to),
     .help = "water as wanted"},
    {.kind = NR_OPTION_QUANTITY,
     .name = "water",
     .value = "KG",
     .offset = offsetof(arguments, day.store_kg),
     .help = "other than in the records",
     .low = 0.1,
     .high = 10000,
     .unit = "kg"},
    {.kind = NR_OPTION_QUANTITY,
     .name = "wind",
     .value = "M_S",
     .offset = offsetof(arguments, day.wind_m_s),
     .help = "wind over the collector",
     .low = 0,
     .high = 50,
     .unit = "m_s"},
    {.kind = NR_OPTION_HEADING, .name = "The records:"},
    {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{nr_json_option, offsetof(arguments, common)},
                                         {nr_units_option, offsetof(arguments, common)},
                                         {own, 0},
                                         {nr_store_only_option, offsetof(arguments, fit)},
                                         {nr_clear_sky_option, offsetof(arguments, fit)},
                                         {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *err);

const nr_command nr_cmd_compare = {
    .program = "noonfit",
    .name = "compare",
    .arguments = "A B [C ...]",
    .summary = "two to six builds against each other: which is better, by how much, how sure",
    .about = "Sets builds against each other in one joint estimate, so that errors of sensors they "
             "share (the same `sensor` in both rig files) cancel. A, B ... are runs; several runs "
             "of one build are joined by commas: day1,day2. Two to six builds.",
    .epilogue = NR_QUANTITIES_HELP,
    .examples = "  noonfit compare sample-runs/wash-stand-glazed \\\n"
                "      sample-runs/wash-stand-bare --to 40C\n",
    .least = 2,
    .most = NR_BUILDS,
    .wants = "name two to six builds",
    .word = {NR_WORD_RUN, NR_WORD_RUN},
    .groups = groups,
    .run = run};

static nr_code read_day(arguments *a, nr_units units, nr_err *err)
{
    bool us = units == NR_UNITS_US;
    const nr_command *me = &nr_cmd_compare;
    nr_code code = nr_temperature_option(me, "air", a->air, us, -60, 60, &a->day.air_degC, err);
    if (!code)
        code = nr_temperature_option(me, "from", a->from, us, 0, 100, &a->day.from_degC, err);
    if (!code)
        code = nr_temperature_option(me, "to", a->to, us, 0, 100, &a->day.to_degC, err);
    if (!code && a->day.to_degC <= a->day.from_degC)
        code = nr_usage(err, &nr_cmd_compare, "--to must be above --from");
    return code;
}

static nr_code show(const arguments *a, const nr_compare *compare, nr_units units, nr_err *err)
{
    nr_plot_style style = {.us_units = units == NR_UNITS_US};
    nr_code code = NR_OK;
    if (a->common.plot)
        code = nr_plot_compare(compare, a->common.plot, &style, err);
    if (code)
        return code;
    if (a->common.json)
        return nr_json_compare(stdout, compare, err);
    nr_show_compare(stdout, compare, units);
    return NR_OK;
}

/* The runs of every build, opened. */
typedef struct builds {
    size_t count;
    nr_run **runs[NR_BUILDS];
    size_t counts[NR_BUILDS];
} builds;

/* A run is of one build. */
static nr_code refuse_shared(const builds *b, size_t last, nr_err *err)
{
    for (size_t build = 0; build < last; build++)
        for (size_t i = 0; i < b->counts[build]; i++)
            for (size_t k = 0; k < b->counts[last]; k++)
                if (nr_same_run(b->runs[build][i], b->runs[last][k]))
                    return nr_fail(err, NR_BAD, b->runs[last][k]->folder, 0,
                                   "is named for two builds; give each build runs of its own");
    return NR_OK;
}

static nr_code open_builds(char **names, size_t count, builds *b, nr_err *err)
{
    for (b->count = 0; b->count < count; b->count++) {
        nr_code code =
            nr_open_runs(names + b->count, 1, &b->runs[b->count], &b->counts[b->count], err);
        if (code)
            return code;
        code = refuse_shared(b, b->count, err);
        if (code) {
            b->count++; /* this one is open, too */
            return code;
        }
    }
    return NR_OK;
}

static nr_code run(int argc, char **argv, nr_err *err)
{
    arguments a = {.fit = nr_fit_defaults(), .day = {NAN, NAN, NAN, NAN, NAN, NAN, false}};
    nr_words words;
    nr_code code = nr_command_read(&nr_cmd_compare, argc, argv, &a, &words, err);
    if (code)
        return code;
    builds b = {0};
    nr_compare *compare = NULL;
    nr_units units = NR_UNITS_SI;
    code = open_builds(words.word, words.count, &b, err);
    if (!code) {
        units = nr_common_units(&a.common, &b.runs[0][0]->rig);
        code = read_day(&a, units, err);
    }
    if (!code)
        code = nr_compare_builds((const nr_run *const *const *)b.runs, b.counts, b.count, &a.day,
                                 &a.fit, &compare, err);
    if (!code)
        code = show(&a, compare, units, err);
    nr_compare_free(compare);
    for (size_t i = 0; i < b.count; i++)
        nr_close_runs(b.runs[i], b.counts[i]);
    return code;
}
