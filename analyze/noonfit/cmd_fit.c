/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/fit/fit.h"
#include "analyze/noonfit/commands.h"
#include "logger/base/text.h"
#include "plots/plots.h"

#include <stddef.h>
#include <string.h>

typedef struct arguments {
    nr_common common;
    nr_fit_options fit;
    const char *budget, *energy;
    long trials, seed;
    int reference; /* 1 inlet, 2 mean */
} arguments;

static const nr_option own[] = {
    {.kind = NR_OPTION_TEXT,
     .name = "plot",
     .value = "FILE",
     .offset = offsetof(arguments, common.plot),
     .help = "picture of fit and efficiency curve; FILE ends in .png, .svg or .pdf"},
    {.kind = NR_OPTION_TEXT,
     .name = "budget-plot",
     .value = "FILE",
     .offset = offsetof(arguments, budget),
     .help = "picture of what limits the answer"},
    {.kind = NR_OPTION_TEXT,
     .name = "energy-plot",
     .value = "FILE",
     .offset = offsetof(arguments, energy),
     .help = "picture of where the sun's energy went"},
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
     .high = 4294967295},
    {.kind = NR_OPTION_CHOICE,
     .name = "reference",
     .value = "inlet|mean",
     .offset = offsetof(arguments, reference),
     .help = "the temperature the curve is given on"},
    {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{nr_json_option, offsetof(arguments, common)},
                                         {nr_units_option, offsetof(arguments, common)},
                                         {own, 0},
                                         {nr_store_only_option, offsetof(arguments, fit)},
                                         {nr_loop_only_option, offsetof(arguments, fit)},
                                         {nr_clear_sky_option, offsetof(arguments, fit)},
                                         {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *err);

const nr_command nr_cmd_fit = {
    .program = "noonfit",
    .name = "fit",
    .arguments = "RUN [RUN ...]",
    .summary = "efficiency curve and loss coefficient of one collector, from one or more runs",
    .about = "Derives the collector's zero-loss efficiency and loss coefficient from one or more "
             "runs of the same collector, with uncertainties. The runs are fitted together: a "
             "heat-up and a run that starts hot narrow the loss far more than two heat-ups.",
    .examples = "  noonfit fit sample-runs/wash-stand-glazed --plot glazed.png\n",
    .least = 1,
    .most = NR_ANY_NUMBER,
    .wants = "name at least one run folder",
    .word = {NR_WORD_RUN, NR_WORD_RUN},
    .groups = groups,
    .run = run};

/* First of all warnings: it explains the others. A name may have changed from day to day, so that
 * it is no error. */
static void doubt_names(nr_fit *fit, nr_run *const *runs, size_t count)
{
    const char *first = runs[0]->rig.collector.name;
    for (size_t i = 1; i < count; i++) {
        const char *name = runs[i]->rig.collector.name;
        if (!strcmp(name, first) || !*name || !*first)
            continue;
        nr_warnings others = fit->warnings;
        fit->warnings.count = 0;
        nr_warning w = {.code = NR_WARN_DIFFERENT_COLLECTORS};
        nr_copy(w.about, sizeof w.about, first);
        nr_copy(w.other, sizeof w.other, name);
        nr_warn(&fit->warnings, w);
        for (size_t k = 0; k < others.count && fit->warnings.count < NR_WARNINGS; k++)
            fit->warnings.item[fit->warnings.count++] = others.item[k];
        return;
    }
}

static nr_code show(const arguments *a, const nr_fit *fit, const nr_rig *rig, nr_err *err)
{
    nr_units units = nr_common_units(&a->common, rig);
    nr_plot_style style = {.us_units = units == NR_UNITS_US};
    nr_code code = NR_OK;
    if (a->common.plot)
        code = nr_plot_fit(fit, a->common.plot, &style, err);
    if (!code && a->budget)
        code = nr_plot_budget(fit, a->budget, &style, err);
    if (!code && a->energy)
        code = nr_plot_energy(fit, a->energy, &style, err);
    if (code)
        return code;
    if (a->common.json)
        return nr_json_fit(stdout, fit, err);
    nr_show_fit(stdout, fit, units);
    return NR_OK;
}

static nr_code run(int argc, char **argv, nr_err *err)
{
    arguments a = {.fit = nr_fit_defaults(), .seed = 1};
    nr_words words;
    nr_code code = nr_command_read(&nr_cmd_fit, argc, argv, &a, &words, err);
    if (!code && !a.fit.use_store && !a.fit.use_loop)
        code = nr_usage(err, &nr_cmd_fit,
                        "--store-only and --loop-only together leave nothing to fit");
    a.fit.monte_carlo = (size_t)a.trials;
    a.fit.seed = (unsigned long)a.seed;
    a.fit.force_reference = a.reference != 0;
    a.fit.reference = a.reference == 2 ? NR_REFERENCE_MEAN : NR_REFERENCE_INLET;
    if (code)
        return code;
    nr_run **runs = NULL;
    size_t count = 0;
    nr_fit *fit = NULL;
    nr_progress progress = {.what = "Monte Carlo trial"};
    nr_sink sink = {nr_progress_say, &progress};
    a.fit.progress = &sink;
    code = nr_open_runs(words.word, words.count, &runs, &count, err);
    if (!code)
        code = nr_fit_runs((const nr_run *const *)runs, count, &a.fit, &fit, err);
    nr_progress_end(&progress);
    if (!code)
        doubt_names(fit, runs, count);
    if (!code)
        code = show(&a, fit, &runs[0]->rig, err);
    nr_fit_free(fit);
    nr_close_runs(runs, count);
    return code;
}
