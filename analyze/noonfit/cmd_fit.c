/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/answer/fit.h"
#include "analyze/noonfit/commands.h"
#include "logger/base/text.h"
#include "plots/plots.h"

#include <getopt.h>
#include <string.h>

static const char help_text[] =
    "Usage: noonfit fit RUN [RUN ...] [options]\n"
    "\n"
    "Derives the collector's zero-loss efficiency and loss coefficient from one or more runs of\n"
    "the same collector, with uncertainties. The runs are fitted together: a heat-up and a run\n"
    "that starts hot narrow the loss far more than two heat-ups.\n"
    "\n"
    "  --json              the result as JSON (SI)\n"
    "  --units si|us       units shown (default: rig.ini's [test] units, else the locale's)\n"
    "  --plot FILE         picture of fit and efficiency curve; FILE ends in .png, .svg or .pdf\n"
    "  --budget-plot FILE  picture of what limits the answer\n"
    "  --energy-plot FILE  picture of where the sun's energy went\n"
    "  --store-only        ignore inlet, outlet and flow\n"
    "  --loop-only         ignore the store's temperature\n"
    "  --clear-sky         no pyranometer: irradiance from a sky model, 10 % uncertain; only for "
    "a\n"
    "                      test without a cloud, with [site], tilt and azimuth in rig.ini\n"
    "  --monte-carlo N     the uncertainties once more from N simulated records (200 take "
    "seconds)\n"
    "  --seed S            of the Monte Carlo: the same seed gives the same numbers (default 1)\n"
    "  --reference inlet|mean  the temperature the curve is given on\n"
    "\n"
    "Example:\n"
    "  noonfit fit sample-runs/wash-stand-glazed --plot glazed.png\n";

enum {
    OPT_STORE_ONLY = NR_OPT_OWN,
    OPT_LOOP_ONLY,
    OPT_REFERENCE,
    OPT_BUDGET,
    OPT_ENERGY,
    OPT_TRIALS,
    OPT_SEED,
    OPT_SKY
};

typedef struct arguments {
    nr_common common;
    nr_fit_options fit;
    const char *budget, *energy;
    bool help;
} arguments;

static nr_code own_option(void *context, int option, const char *argument, nr_err *err)
{
    arguments *a = context;
    long whole;
    switch (option) {
    case OPT_STORE_ONLY:
        a->fit.use_loop = false;
        return NR_OK;
    case OPT_LOOP_ONLY:
        a->fit.use_store = false;
        return NR_OK;
    case OPT_SKY:
        a->fit.clear_sky = true;
        return NR_OK;
    case OPT_BUDGET:
        a->budget = argument;
        return NR_OK;
    case OPT_ENERGY:
        a->energy = argument;
        return NR_OK;
    case OPT_TRIALS:
        if (!nr_parse_long(argument, 20, 1000000, &whole))
            return nr_usage(err, "fit", "--monte-carlo %s: give a number from 20 to 1000000",
                            argument);
        a->fit.monte_carlo = (size_t)whole;
        return NR_OK;
    case OPT_SEED:
        if (!nr_parse_long(argument, 0, 4294967295, &whole))
            return nr_usage(err, "fit", "--seed %s: give a number from 0 to 4294967295", argument);
        a->fit.seed = (unsigned long)whole;
        return NR_OK;
    case OPT_REFERENCE:
        a->fit.force_reference = true;
        a->fit.reference = strcmp(argument, "mean") ? NR_REFERENCE_INLET : NR_REFERENCE_MEAN;
        if (!strcmp(argument, "mean") || !strcmp(argument, "inlet"))
            return NR_OK;
        return nr_usage(err, "fit", "--reference %s: give inlet or mean", argument);
    default:
        return nr_common_option(&a->common, option, argument, err);
    }
}

static nr_code parse(int argc, char **argv, arguments *a, nr_err *err)
{
    static const struct option options[] = {NR_COMMON_OPTIONS,
                                            {"store-only", no_argument, NULL, OPT_STORE_ONLY},
                                            {"loop-only", no_argument, NULL, OPT_LOOP_ONLY},
                                            {"reference", required_argument, NULL, OPT_REFERENCE},
                                            {"clear-sky", no_argument, NULL, OPT_SKY},
                                            {"monte-carlo", required_argument, NULL, OPT_TRIALS},
                                            {"seed", required_argument, NULL, OPT_SEED},
                                            {"budget-plot", required_argument, NULL, OPT_BUDGET},
                                            {"energy-plot", required_argument, NULL, OPT_ENERGY},
                                            {NULL, 0, NULL, 0}};
    *a = (arguments){.fit = nr_fit_defaults()};
    a->fit.seed = 1;
    nr_code code = nr_read_options(argc, argv, ":", options, own_option, a, &a->help, err);
    if (code || a->help)
        return code;
    if (optind >= argc)
        return nr_usage(err, "fit", "name at least one run folder");
    if (!a->fit.use_store && !a->fit.use_loop)
        return nr_usage(err, "fit", "--store-only and --loop-only together leave nothing to fit");
    return NR_OK;
}

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
        nr_warn(
            &fit->warnings, "different-collectors",
            "The rig files name different collectors, %s and %s, and were fitted as one; to set "
            "one against the other use noonfit compare.",
            first, name);
        for (size_t w = 0; w < others.count && fit->warnings.count < NR_WARNINGS; w++)
            fit->warnings.item[fit->warnings.count++] = others.item[w];
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

nr_code nr_cmd_fit(int argc, char **argv, nr_err *err)
{
    arguments a;
    nr_code code = parse(argc, argv, &a, err);
    if (code || a.help) {
        if (!code)
            fputs(help_text, stdout);
        return code;
    }
    nr_run **runs = NULL;
    size_t count = 0;
    nr_fit *fit = NULL;
    nr_progress progress = {.what = "Monte Carlo trial"};
    nr_sink sink = {nr_progress_say, &progress};
    a.fit.progress = &sink;
    code = nr_open_runs(argv + optind, (size_t)(argc - optind), &runs, &count, err);
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
