/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/answer/pump.h"
#include "analyze/noonfit/commands.h"
#include "analyze/noonfit/day_options.h"
#include "plots/plots.h"

#include <getopt.h>
#include <math.h>

static const char help_text[] =
    "Usage: noonfit pump RUN... [options]\n"
    "\n"
    "What the pump of these records does: flow, time through the tube, laminar or turbulent,\n"
    "friction, how much of the collector's heat the flow takes along (the heat removal factor), "
    "and\n"
    "what a smaller or bigger pump would change. Of a pump on its own panel: at which irradiance "
    "it\n"
    "starts and stalls, if the record holds a stop.\n"
    "\n"
    "  --coil MM              diameter of the tube's turns, centre to centre (default: straight)\n"
    "  --json                 the result as JSON (SI)\n"
    "  --units si|us          units shown (default: rig.ini's [test] units, else the locale's)\n"
    "  --plot FILE            picture: heat, outlet, FR and friction against flow; .png, .svg or\n"
    "                         .pdf\n"
    "\n"
    "Example:\n"
    "  noonfit pump sample-runs/wash-stand-glazed-panel-pump\n";

enum { OPT_COIL = NR_OPT_OWN };

typedef struct arguments {
    nr_common common;
    double coil_mm;
    bool help;
} arguments;

static nr_code own_option(void *context, int option, const char *argument, nr_err *err)
{
    arguments *a = context;
    return option == OPT_COIL
               ? nr_quantity_option("pump", "coil", argument, "mm", 10, 20000, &a->coil_mm, err)
               : nr_common_option(&a->common, option, argument, err);
}

static nr_code parse(int argc, char **argv, arguments *a, nr_err *err)
{
    static const struct option options[] = {
        NR_COMMON_OPTIONS, {"coil", required_argument, NULL, OPT_COIL}, {NULL, 0, NULL, 0}};
    *a = (arguments){.coil_mm = NAN};
    nr_code code = nr_read_options(argc, argv, ":", options, own_option, a, &a->help, err);
    if (code || a->help)
        return code;
    if (optind == argc)
        return nr_usage(err, "pump", "name at least one run");
    return NR_OK;
}

static nr_code show(const arguments *a, const nr_pump *p, nr_units units, nr_err *err)
{
    nr_plot_style style = {.us_units = units == NR_UNITS_US};
    nr_code code = NR_OK;
    if (a->common.plot)
        code = nr_plot_pump(p, a->common.plot, &style, err);
    if (code)
        return code;
    if (a->common.json)
        return nr_json_pump(stdout, p, err);
    nr_show_pump(stdout, p, units);
    return NR_OK;
}

nr_code nr_cmd_pump(int argc, char **argv, nr_err *err)
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
    nr_pump *p = NULL;
    nr_fit_options options = nr_fit_defaults();
    code = nr_open_runs(argv + optind, (size_t)(argc - optind), &runs, &count, err);
    if (!code)
        code =
            nr_pump_runs((const nr_run *const *)runs, count, a.coil_mm / 1000, &options, &p, err);
    if (!code)
        code = show(&a, p, nr_common_units(&a.common, &runs[0]->rig), err);
    nr_pump_free(p);
    nr_close_runs(runs, count);
    return code;
}
