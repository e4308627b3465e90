/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/forecast/predict.h"
#include "analyze/noonfit/commands.h"
#include "analyze/noonfit/day_options.h"
#include "analyze/noonfit/option_rows.h"
#include "plots/plots.h"

#include <stddef.h>

typedef struct arguments {
    nr_common common;
    nr_records records;
    nr_fit_options fit;
    nr_day_options day;
} arguments;

static const nr_option own[] = {
    NR_ROW_PLOT(arguments, common.plot, "picture of the day; .png, .svg or .pdf"),
    {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{nr_json_option, offsetof(arguments, common)},
                                         {nr_units_option, offsetof(arguments, common)},
                                         {own, 0},
                                         {nr_store_only_option, offsetof(arguments, fit)},
                                         {nr_clear_sky_option, offsetof(arguments, records)},
                                         {nr_anyway_option, offsetof(arguments, common)},
                                         NR_DAY_GROUPS(arguments, day),
                                         {nr_collector_option, offsetof(arguments, records)},
                                         {nr_use_option, offsetof(arguments, records)},
                                         {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *err);

const nr_command nr_cmd_predict = {
    .program = "noonfit",
    .name = "predict",
    .arguments = "RUN [RUN ...]",
    .summary = "heat-up time and temperatures on a stated or a clear-sky day",
    .about = "How long the collector of these records takes to warm the water on another day, with "
             "a 95 % band; what it takes when the target is not reached. `noonfit size` turns the "
             "question round.",
    .epilogue = NR_QUANTITIES_HELP,
    .examples = "  noonfit predict sample-runs/wash-stand-glazed --sun 900 --air 20C --from 15C "
                "\\\n      --to 40C\n  noonfit predict sample-runs/wash-stand-glazed --day "
                "2026-06-21 \\\n      --start 9:30+02:00 --air 22C --from 12C --to 43C\n",
    .least = 1,
    .most = NR_ANY_NUMBER,
    .wants = "name at least one run",
    .word = {NR_WORD_RUN, NR_WORD_RUN},
    .groups = groups,
    .run = run};

NR_SHOW_ANSWER(show, nr_predict, predict)

static nr_code run(int argc, char **argv, nr_err *err)
{
    arguments a = {.fit = nr_fit_defaults(), .day = nr_day_options_none(&nr_cmd_predict)};
    nr_words words;
    nr_code code = nr_command_read(&nr_cmd_predict, argc, argv, &a, &words, err);
    if (code)
        return code;
    nr_run **runs = NULL;
    size_t count = 0;
    nr_predict *p = NULL;
    nr_units units = NR_UNITS_SI;
    code = nr_open_runs_of_one(&nr_cmd_predict, words.word, words.count, &a.records, &runs, &count,
                               err);
    if (!code) {
        units = nr_common_units(&a.common, &runs[0]->rig);
        code = nr_day_options_finish(&a.day, units, &runs[0]->rig, err);
    }
    if (!code)
        code = nr_predict_runs((const nr_run *const *)runs, count, &a.day.day, &a.fit, &p, err);
    if (code == NR_CANNOT)
        nr_blame((const nr_run *const *)runs, count, units, err);
    if (!code)
        code = nr_withhold(&p->fit->trust, a.common.anyway, units, err);
    if (!code)
        code = show(&a.common, p, units, err);
    nr_predict_free(p);
    nr_close_runs(runs, count);
    return code;
}
