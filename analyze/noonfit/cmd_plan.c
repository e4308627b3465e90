/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/noonfit/commands.h"
#include "analyze/noonfit/day_options.h"
#include "analyze/noonfit/option_rows.h"
#include "analyze/plan/plan.h"
#include "logger/base/text.h"
#include "plots/plots.h"

#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

typedef struct arguments {
    nr_common common;
    nr_day_options day;
    nr_plan_test test;
} arguments;

static const nr_option own[] = {
    {.kind = NR_OPTION_DURATION,
     .name = "for",
     .value = "D",
     .offset = offsetof(arguments, test.duration_s),
     .help = "length of the test (default 90m)",
     .low = 600,
     .high = 43200},
    {.kind = NR_OPTION_QUANTITY,
     .name = "loss",
     .value = "W_m2K",
     .offset = offsetof(arguments, test.loss_W_m2K),
     .help = "expected loss coefficient (default: usual for the glazing)",
     .low = 0.5,
     .high = 60,
     .unit = "W_m2K"},
    NR_ROW_PLOT(arguments, common.plot,
                "picture: what the test and each improvement would tell; .png, .svg or .pdf"),
    {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{nr_json_option, offsetof(arguments, common)},
                                         {nr_units_option, offsetof(arguments, common)},
                                         {own, 0},
                                         {nr_steady_day_options, offsetof(arguments, day)},
                                         {nr_clear_day_options, offsetof(arguments, day)},
                                         {nr_start_options, offsetof(arguments, day)},
                                         {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *err);

const nr_command nr_cmd_plan = {
    .program = "noonfit",
    .name = "plan",
    .arguments = "RIG",
    .summary = "what a test would tell, before it is done, and what would help most",
    .about =
        "What a test with this rig file would tell, before it is done: how well the efficiency and "
        "the loss coefficient would be known, what limits them, and what would help most for the "
        "least. The test is simulated with an ordinary collector and fitted like a real one.",
    .epilogue = NR_QUANTITIES_HELP
    "\n\nEverything may be left out: 850 W/m2, air at 20 degC, water 4 K below the air.",
    .examples = "  noonfit plan sample-runs/wash-stand-bare-store-only/rig.ini \\\n"
                "      --for 2h --from 10C\n",
    .least = 1,
    .most = 1,
    .wants = "name one rig file",
    .word = {NR_WORD_RIG, NR_WORD_NONE},
    .groups = groups,
    .run = run};

/* A run folder is taken for its rig file. */
static void rig_path(const char *name, char *path, size_t size)
{
    struct stat s;
    bool folder = !stat(name, &s) && S_ISDIR(s.st_mode);
    snprintf(path, size, folder ? "%.900s/" NR_RIG_FILE : "%.900s", name);
}

static void say_problem(void *context, const char *line)
{
    if ((*(size_t *)context)++)
        fprintf(stderr, "noonfit: %s\n", line);
}

NR_SHOW_ANSWER(show, nr_plan, plan)

static nr_code run(int argc, char **argv, nr_err *err)
{
    arguments a = {.day = nr_day_options_none(&nr_cmd_plan), .test = nr_plan_test_open()};
    nr_words words;
    nr_code code = nr_command_read(&nr_cmd_plan, argc, argv, &a, &words, err);
    if (code)
        return code;
    char path[1024];
    rig_path(words.word[0], path, sizeof path);
    nr_rig *rig = malloc(sizeof *rig); /* too large for the stack */
    if (!rig)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    size_t problems = 0;
    nr_sink sink = {say_problem, &problems};
    nr_plan *plan = NULL;
    nr_units units = NR_UNITS_SI;
    code = nr_rig_read(path, NR_RIG_FOR_ANALYSIS, rig, &sink, err);
    if (!code && rig->builds > 1)
        code =
            nr_fail(err, NR_BAD, path, 0,
                    "holds several collectors; a plan is of one: leave one in a copy of the file");
    if (!code)
        code = nr_rig_needs_water(rig, err);
    if (!code) {
        units = nr_common_units(&a.common, rig);
        code = nr_day_options_finish(&a.day, units, rig, err);
    }
    a.test.day = a.day.day;
    a.test.store_loss_W_K = a.day.day.store_loss_W_K;
    if (!code)
        code = nr_plan_rig(path, &a.test, &plan, err);
    if (!code)
        code = show(&a.common, plan, units, err);
    nr_plan_free(plan);
    free(rig);
    return code;
}
