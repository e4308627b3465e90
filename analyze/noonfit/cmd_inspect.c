#include "analyze/answer/inspect.h"
#include "analyze/noonfit/commands.h"
#include "plots/plots.h"

#include <getopt.h>

static const char help_text[] =
    "Usage: noonfit inspect RUN [options]\n"
    "\n"
    "Looks at a record before anything is fitted to it: gaps, sensors that stick or jump, the\n"
    "clock, steadiness, the sun's angle; what it can be used for, and what to do better.\n"
    "\n"
    "  --json              the findings as JSON (SI)\n"
    "  --units si|us       units shown (default: rig.ini's [test] units, else si)\n"
    "  --plot FILE         picture of all channels with the findings shaded; .png, .svg or .pdf\n"
    "\n"
    "Example:\n"
    "  noonfit inspect sample-runs/wash-stand-glazed --plot record.png\n";

typedef struct arguments {
    nr_common common;
    bool help;
} arguments;

static nr_code parse(int argc, char **argv, arguments *a, nr_err *err)
{
    static const struct option options[] = {NR_COMMON_OPTIONS, {NULL, 0, NULL, 0}};
    *a = (arguments){.help = false};
    opterr = 0;
    optind = 1;
    int option;
    while ((option = getopt_long(argc, argv, ":", options, NULL)) != -1) {
        if (option == NR_OPT_HELP) {
            a->help = true;
            return NR_OK;
        }
        if (option == ':' || option == '?')
            return nr_usage(err, "inspect", "%s \"%s\"",
                            option == ':' ? "no value after" : "unknown option", argv[optind - 1]);
        nr_code code = nr_common_option(&a->common, option, optarg, err);
        if (code)
            return code;
    }
    if (argc - optind != 1)
        return nr_usage(err, "inspect", "name one run folder");
    return NR_OK;
}

static nr_code show(const arguments *a, const nr_inspect *inspect, const nr_run *run, nr_err *err)
{
    nr_units units = nr_common_units(&a->common, &run->rig);
    nr_plot_style style = {.us_units = units == NR_UNITS_US};
    nr_code code = NR_OK;
    if (a->common.plot)
        code = nr_plot_inspect(inspect, run, a->common.plot, &style, err);
    if (code)
        return code;
    if (a->common.json)
        return nr_json_inspect(stdout, inspect, err);
    nr_show_inspect(stdout, inspect, units);
    return NR_OK;
}

nr_code nr_cmd_inspect(int argc, char **argv, nr_err *err)
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
    nr_inspect *inspect = NULL;
    code = nr_open_runs(argv + optind, 1, &runs, &count, err);
    if (!code && count != 1)
        code = nr_usage(err, "inspect", "name one run folder");
    if (!code)
        code = nr_inspect_run(runs[0], &inspect, err);
    if (!code)
        code = show(&a, inspect, runs[0], err);
    nr_inspect_free(inspect);
    nr_close_runs(runs, count);
    return code;
}
