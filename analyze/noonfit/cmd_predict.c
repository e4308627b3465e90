/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/answer/predict.h"
#include "analyze/noonfit/commands.h"
#include "analyze/noonfit/day_options.h"
#include "plots/plots.h"

static const char help_text[] =
    "Usage: noonfit predict RUN... [options]\n"
    "\n"
    "How long the collector of these records takes to warm the water on another day, with a 95 %%\n"
    "band; what it takes when the target is not reached. `noonfit size` turns the question round.\n"
    "\n"
    "  --json                 the result as JSON (SI)\n"
    "  --units si|us          units shown and read (default: rig.ini's [test] units, else the "
    "locale's)\n"
    "  --plot FILE            picture of the day; .png, .svg or .pdf\n"
    "  --store-only           ignore inlet, outlet and flow of the records\n"
    "%s"
    "\n"
    "Examples:\n"
    "  noonfit predict sample-runs/wash-stand-glazed --sun 900 --air 20C --from 15C --to 40C\n"
    "  noonfit predict sample-runs/wash-stand-glazed --day 2026-06-21 --start 9:30+02:00 \\\n"
    "      --air 22C --from 12C --to 43C\n";

enum { OPT_STORE_ONLY = NR_DAY_OWN };

typedef struct arguments {
    nr_common common;
    nr_fit_options fit;
    nr_day_options day;
    bool help;
} arguments;

static nr_code own_option(void *context, int option, const char *argument, nr_err *err)
{
    arguments *a = context;
    bool taken = false;
    nr_code code = nr_day_option(&a->day, option, argument, &taken, err);
    if (code || taken)
        return code;
    if (option != OPT_STORE_ONLY)
        return nr_common_option(&a->common, option, argument, err);
    a->fit.use_loop = false;
    return NR_OK;
}

static nr_code parse(int argc, char **argv, arguments *a, nr_err *err)
{
    static const struct option options[] = {NR_COMMON_OPTIONS,
                                            NR_DAY_OPTIONS,
                                            {"store-only", no_argument, NULL, OPT_STORE_ONLY},
                                            {NULL, 0, NULL, 0}};
    *a = (arguments){.fit = nr_fit_defaults(), .day = nr_day_options_none("predict")};
    nr_code code = nr_read_options(argc, argv, ":", options, own_option, a, &a->help, err);
    if (code || a->help)
        return code;
    if (optind == argc)
        return nr_usage(err, "predict", "name at least one run");
    return NR_OK;
}

static nr_code show(const arguments *a, const nr_predict *p, nr_units units, nr_err *err)
{
    nr_plot_style style = {.us_units = units == NR_UNITS_US};
    nr_code code = NR_OK;
    if (a->common.plot)
        code = nr_plot_predict(p, a->common.plot, &style, err);
    if (code)
        return code;
    if (a->common.json)
        return nr_json_predict(stdout, p, err);
    nr_show_predict(stdout, p, units);
    return NR_OK;
}

nr_code nr_cmd_predict(int argc, char **argv, nr_err *err)
{
    arguments a;
    nr_code code = parse(argc, argv, &a, err);
    if (code || a.help) {
        if (!code)
            printf(help_text, nr_day_options_help);
        return code;
    }
    nr_run **runs = NULL;
    size_t count = 0;
    nr_predict *p = NULL;
    nr_units units = NR_UNITS_SI;
    code = nr_open_runs(argv + optind, (size_t)(argc - optind), &runs, &count, err);
    if (!code) {
        units = nr_common_units(&a.common, &runs[0]->rig);
        code = nr_day_options_finish(&a.day, units, &runs[0]->rig, err);
    }
    if (!code)
        code = nr_predict_runs((const nr_run *const *)runs, count, &a.day.day, &a.fit, &p, err);
    if (!code)
        code = show(&a, p, units, err);
    nr_predict_free(p);
    nr_close_runs(runs, count);
    return code;
}
