/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/noonfit/commands.h"
#include "analyze/noonfit/day_options.h"
#include "analyze/noonfit/option_rows.h"
#include "analyze/pump/pump.h"
#include "plots/plots.h"

#include <math.h>
#include <stddef.h>

typedef struct arguments {
    nr_common common;
    nr_records records;
    double coil_mm;
} arguments;

static const nr_option own[] = {
    {.kind = NR_OPTION_QUANTITY,
     .name = "coil",
     .value = "MM",
     .offset = offsetof(arguments, coil_mm),
     .help = "diameter of the tube's turns, centre to centre (default: straight)",
     .low = 10,
     .high = 20000,
     .unit = "mm"},
    NR_ROW_PLOT(arguments, common.plot,
                "picture: heat, outlet, FR and friction against flow; .png, .svg or .pdf"),
    {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{nr_json_option, offsetof(arguments, common)},
                                         {nr_units_option, offsetof(arguments, common)},
                                         {own, 0},
                                         {nr_anyway_option, offsetof(arguments, common)},
                                         {nr_clear_sky_option, offsetof(arguments, records)},
                                         {nr_collector_option, offsetof(arguments, records)},
                                         {nr_use_option, offsetof(arguments, records)},
                                         {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *err);

const nr_command nr_cmd_pump = {
    .program = "noonfit",
    .name = "pump",
    .arguments = "RUN [RUN ...]",
    .summary = "what the loop's flow does, and what a smaller or bigger pump would change",
    .about = "What the pump of these records does: flow, time through the tube, laminar or "
             "turbulent, friction, how much of the collector's heat the flow takes along (the heat "
             "removal factor), and what a smaller or bigger pump would change. Of a pump on its "
             "own panel: at which irradiance it starts and stalls, if the record holds a stop.",
    .examples = "  noonfit pump sample-runs/wash-stand-glazed-panel-pump\n",
    .least = 1,
    .most = NR_ANY_NUMBER,
    .wants = "name at least one run",
    .word = {NR_WORD_RUN, NR_WORD_RUN},
    .groups = groups,
    .run = run};

NR_SHOW_ANSWER(show, nr_pump, pump)

static nr_code run(int argc, char **argv, nr_err *err)
{
    arguments a = {.coil_mm = NAN};
    nr_words words;
    nr_code code = nr_command_read(&nr_cmd_pump, argc, argv, &a, &words, err);
    if (code)
        return code;
    nr_run **runs = NULL;
    size_t count = 0;
    nr_pump *p = NULL;
    nr_fit_options options = nr_fit_defaults();
    code =
        nr_open_runs_of_one(&nr_cmd_pump, words.word, words.count, &a.records, &runs, &count, err);
    if (!code)
        code =
            nr_pump_runs((const nr_run *const *)runs, count, a.coil_mm / 1000, &options, &p, err);
    if (code == NR_CANNOT)
        nr_blame((const nr_run *const *)runs, count, nr_common_units(&a.common, &runs[0]->rig),
                 err);
    if (!code)
        code = nr_withhold(&p->fit->trust, a.common.anyway,
                           nr_common_units(&a.common, &runs[0]->rig), err);
    if (!code)
        code = show(&a.common, p, nr_common_units(&a.common, &runs[0]->rig), err);
    nr_pump_free(p);
    nr_close_runs(runs, count);
    return code;
}
