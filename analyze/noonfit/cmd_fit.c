/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/cooldown/cooldown.h"
#include "analyze/fit/fit.h"
#include "analyze/noonfit/commands.h"
#include "analyze/noonfit/fit_cooldown.h"
#include "analyze/noonfit/option_rows.h"
#include "logger/base/text.h"
#include "plots/plots.h"

#include <stddef.h>
#include <string.h>

typedef struct arguments {
    nr_common common;
    nr_records records;
    nr_fit_options fit;
    const char *budget, *energy, *write;
    long trials, seed;
    int reference; /* 1 inlet, 2 mean */
    int curve;     /* 1 straight where the record does not tell a2, 2 quadratic */
} arguments;

static const nr_option own[] = {
    NR_ROW_PLOT(arguments, common.plot,
                "picture of fit and efficiency curve; FILE ends in .png, .svg or .pdf"),
    {.kind = NR_OPTION_OUTPUT,
     .name = "budget-plot",
     .value = "FILE",
     .offset = offsetof(arguments, budget),
     .help = "picture of what limits the answer"},
    {.kind = NR_OPTION_OUTPUT,
     .name = "energy-plot",
     .value = "FILE",
     .offset = offsetof(arguments, energy),
     .help = "picture of where the sun's energy went"},
    {.kind = NR_OPTION_OUTPUT,
     .name = "write",
     .value = "RIG",
     .offset = offsetof(arguments, write),
     .help = "of a lone cool-down: puts loss_W_K and its u into [store] of this rig file; all else "
             "in it stays as it is",
     .edits = true},
    {.kind = NR_OPTION_WHOLE,
     .name = "monte-carlo",
     .value = "N",
     .offset = offsetof(arguments, trials),
     .help = "the uncertainties once more from N simulated records (200 take seconds)",
     .low = 20,
     .high = 1000000},
    {.kind = NR_OPTION_WHOLE,
     .name = "seed",
     .value = "S",
     .offset = offsetof(arguments, seed),
     .help = "of the Monte Carlo: the same seed gives the same numbers (default 1)",
     .low = 0,
     .high = 2147483647},
    {.kind = NR_OPTION_ON,
     .name = "standard",
     .offset = offsetof(arguments, fit.standard),
     .help = "in the terms of ISO 9806, as a test laboratory tabulates them, with what of that "
             "standard the record meets"},
    {.kind = NR_OPTION_CHOICE,
     .name = "curve",
     .value = "straight|quadratic",
     .offset = offsetof(arguments, curve),
     .help = "a2 in any case, with its interval (default: where the record tells it)"},
    {.kind = NR_OPTION_CHOICE,
     .name = "reference",
     .value = "inlet|mean",
     .offset = offsetof(arguments, reference),
     .help = "the temperature the curve is given on"},
    {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{nr_json_option, offsetof(arguments, common)},
                                         {nr_csv_option, offsetof(arguments, common)},
                                         {nr_units_option, offsetof(arguments, common)},
                                         {own, 0},
                                         {nr_store_only_option, offsetof(arguments, fit)},
                                         {nr_anyway_option, offsetof(arguments, common)},
                                         {nr_loop_only_option, offsetof(arguments, fit)},
                                         {nr_clear_sky_option, offsetof(arguments, records)},
                                         {nr_collector_option, offsetof(arguments, records)},
                                         {nr_use_option, offsetof(arguments, records)},
                                         {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *err);

const nr_command nr_cmd_fit = {
    .program = "noonfit",
    .name = "fit",
    .arguments = "RUN [RUN ...]",
    .summary = "efficiency curve and loss coefficient of one collector, from one or more runs",
    .about = "Derives the collector's zero-loss efficiency and loss coefficient from one or more "
             "runs of the same collector, with uncertainties. The runs are fitted together: a "
             "heat-up and a run that starts hot narrow the loss far more than two heat-ups.\n\nA "
             "lone cool-down (pump off, no sun) tells the container's loss; --write puts it into "
             "the rig file.",
    .examples = "  noonfit fit sample-runs/wash-stand-glazed --plot glazed.png\n",
    .least = 1,
    .most = NR_ANY_NUMBER,
    .wants = "name at least one run folder",
    .word = {NR_WORD_RUN, NR_WORD_RUN},
    .groups = groups,
    .run = run};

static nr_code draw(const arguments *a, const nr_fit *fit, nr_units units, nr_err *err)
{
    nr_plot_remark remark = {.say = nr_say_remark};
    nr_plot_style style = {.us_units = units == NR_UNITS_US, .remark = &remark};
    nr_code code = NR_OK;
    if (a->common.plot)
        code = nr_plot_fit(fit, a->common.plot, &style, err);
    if (!code && a->budget)
        code = nr_plot_budget(fit, a->budget, &style, err);
    if (!code && a->energy)
        code = nr_plot_energy(fit, a->energy, &style, err);
    return code;
}

/* One answer as it is; several one after the other, under their names. */
static nr_code show(const arguments *a, nr_fit *const *fit, size_t count, nr_units units,
                    nr_err *err)
{
    nr_code code = count == 1 ? draw(a, fit[0], units, err) : NR_OK;
    if (code)
        return code;
    if (a->common.json)
        return count == 1 ? nr_json_fit(stdout, fit[0], err)
                          : nr_json_fits(stdout, fit, count, err);
    if (a->common.csv)
        return nr_csv_fits(stdout, fit, count, err);
    for (size_t i = 0; i < count; i++) {
        if (count > 1)
            printf("%s%s\n\n", i ? "\n\n" : "", fit[i]->collector_name);
        if (fit[i]->standard)
            nr_show_standard(stdout, fit[i], units);
        else
            nr_show_fit(stdout, fit[i], units);
    }
    return NR_OK;
}

/* The collectors of records that hold several, each by itself. */
static nr_code fit_each(const arguments *a, nr_run *const *runs, size_t count, nr_units units,
                        nr_err *err)
{
    nr_groups by;
    nr_fit *fit[NR_GROUPS] = {NULL};
    if (a->common.plot || a->budget || a->energy)
        return nr_usage(err, &nr_cmd_fit, "a picture is of one collector: --collector NAME");
    nr_code code = nr_group_by_name(&nr_cmd_fit, runs, count, &by, err);
    for (size_t g = 0; !code && g < by.groups; g++)
        code = nr_fit_runs((const nr_run *const *)by.first[g], by.count[g], &a->fit, &fit[g], err);
    for (size_t g = 0; !code && g < by.groups; g++)
        code = nr_withhold_fit(fit[g], a->common.anyway, units, err);
    if (!code)
        code = show(a, fit, by.groups, units, err);
    for (size_t g = 0; g < NR_GROUPS; g++)
        nr_fit_free(fit[g]);
    nr_groups_free(&by);
    return code;
}

static nr_code open_all(const arguments *a, const nr_words *words, nr_run ***runs, size_t *count,
                        nr_err *err)
{
    nr_code code =
        nr_open_runs(&nr_cmd_fit, words->word, words->count, &a->records, runs, count, err);
    if (code || nr_runs_of_several(*runs, *count))
        return code;
    code = nr_check_runs_of_one(&nr_cmd_fit, *runs, *count, err);
    if (code) {
        nr_close_runs(*runs, *count);
        *runs = NULL;
        *count = 0;
    }
    return code;
}

static nr_code answer(arguments *a, const nr_words *words, nr_err *err)
{
    nr_run **runs = NULL;
    size_t count = 0;
    nr_fit *fit = NULL;
    nr_progress_line progress = {.what = "Monte Carlo trial"};
    nr_sink sink = {nr_progress_line_say, &progress};
    a->fit.progress = &sink;
    nr_code code = open_all(a, words, &runs, &count, err);
    if (code)
        return code;
    nr_units units = nr_common_units(&a->common, &runs[0]->rig);
    bool cooling = count == 1 && nr_cooldown_of(runs[0]) == NR_COOLDOWN_IS;
    if (a->write && !cooling)
        code = nr_fail(err, NR_CANNOT, runs[0]->folder, 0,
                       "--write is for one cool-down by itself: pump off, no sun, warm water");
    else if (cooling)
        code = nr_fit_cooldown(runs[0], &a->common, a->write, units, err);
    else if (nr_runs_of_several(runs, count)) {
        code = fit_each(a, runs, count, units, err);
    } else {
        code = nr_fit_runs((const nr_run *const *)runs, count, &a->fit, &fit, err);
        nr_progress_line_end(&progress);
        if (code == NR_CANNOT)
            nr_blame((const nr_run *const *)runs, count, units, err);
        if (!code)
            code = nr_withhold_fit(fit, a->common.anyway, units, err);
        if (!code)
            code = show(a, &fit, 1, units, err);
    }
    nr_progress_line_end(&progress);
    nr_fit_free(fit);
    nr_close_runs(runs, count);
    return code;
}

static nr_code run(int argc, char **argv, nr_err *err)
{
    arguments a = {.fit = nr_fit_defaults(), .seed = 1};
    nr_words words;
    nr_code code = nr_command_read(&nr_cmd_fit, argc, argv, &a, &words, err);
    if (!code && !a.fit.use_store && !a.fit.use_loop)
        code = nr_usage(err, &nr_cmd_fit,
                        "--store-only and --loop-only together leave nothing to fit");
    if (!code)
        code = nr_one_form(&nr_cmd_fit, &a.common, err);
    a.fit.monte_carlo = (size_t)a.trials;
    a.fit.seed = (unsigned long)a.seed;
    a.fit.at_once = !a.common.anyway;
    a.fit.quadratic = a.curve == 2;
    a.fit.force_reference = a.reference != 0;
    a.fit.reference = a.reference == 2 ? NR_REFERENCE_MEAN : NR_REFERENCE_INLET;
    if (code)
        return code;
    return answer(&a, &words, err);
}
