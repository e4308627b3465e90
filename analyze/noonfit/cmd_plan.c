/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/answer/plan.h"
#include "analyze/noonfit/commands.h"
#include "analyze/noonfit/day_options.h"
#include "logger/base/text.h"
#include "plots/plots.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static const char help_text[] =
    "Usage: noonfit plan RIG [options]\n"
    "\n"
    "What a test with this rig file would tell, before it is done: how well the efficiency and "
    "the\n"
    "loss coefficient would be known, what limits them, and what would help most for the least. "
    "The\n"
    "test is simulated with an ordinary collector and fitted like a real one.\n"
    "\n"
    "  --for DURATION         length of the test (default 90m)\n"
    "  --loss W_m2K           expected loss coefficient (default: usual for the glazing)\n"
    "  --json                 the result as JSON (SI)\n"
    "  --units si|us          units shown and read (default: rig.ini's [test] units, else the "
    "locale's)\n"
    "  --plot FILE            picture: what the test and each improvement would tell; .png, .svg\n"
    "                         or .pdf\n"
    "A steady sky:\n"
    "  --sun W_m2             irradiance in the collector's plane\n"
    "A clear-sky day (an irradiance model, not a forecast):\n"
    "  --day DATE --start TIME\n"
    "                         2026-06-21; TIME as 10:30 (local solar time), 10:30Z or 10:30+02:00\n"
    "  --latitude --longitude --elevation   where (default: [site] of the rig file)\n"
    "  --tilt --azimuth       the plane in degrees (default: [collector] of the rig file)\n"
    "The test:\n"
    "  --air T --wind M_S     air and wind\n"
    "  --from T               water at the start\n"
    "  --store-loss W_K       the container's loss (default: as in the rig file, else "
    "usual)\n" NR_QUANTITIES_HELP
    "Everything may be left out: 850 W/m2, air at 20 degC, water 4 K below the air.\n"
    "\n"
    "Example:\n"
    "  noonfit plan sample-runs/wash-stand-bare-store-only/rig.ini --for 2h --from 10C\n";

enum { OPT_FOR = NR_DAY_OWN, OPT_LOSS };

typedef struct arguments {
    nr_common common;
    nr_day_options day;
    nr_plan_test test;
    bool help;
} arguments;

static nr_code own_option(void *context, int option, const char *argument, nr_err *err)
{
    arguments *a = context;
    bool taken = false;
    nr_code code = nr_day_option(&a->day, option, argument, &taken, err);
    if (code || taken)
        return code;
    if (option == OPT_LOSS)
        return nr_quantity_option("plan", "loss", argument, "W_m2K", 0.5, 60, &a->test.loss_W_m2K,
                                  err);
    if (option != OPT_FOR)
        return nr_common_option(&a->common, option, argument, err);
    if (nr_parse_duration(argument, &a->test.duration_s) && a->test.duration_s >= 600 &&
        a->test.duration_s <= 43200)
        return NR_OK;
    return nr_usage(err, "plan", "--for %s: give a duration from 10m to 12h", argument);
}

static nr_code parse(int argc, char **argv, arguments *a, nr_err *err)
{
    static const struct option options[] = {NR_COMMON_OPTIONS,
                                            NR_DAY_TEST_OPTIONS,
                                            {"for", required_argument, NULL, OPT_FOR},
                                            {"loss", required_argument, NULL, OPT_LOSS},
                                            {NULL, 0, NULL, 0}};
    *a = (arguments){.day = nr_day_options_none("plan"), .test = nr_plan_test_open()};
    nr_code code = nr_read_options(argc, argv, ":", options, own_option, a, &a->help, err);
    if (code || a->help)
        return code;
    if (argc - optind != 1)
        return nr_usage(err, "plan", "name one rig file");
    return NR_OK;
}

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

static nr_code show(const arguments *a, const nr_plan *plan, nr_units units, nr_err *err)
{
    nr_plot_style style = {.us_units = units == NR_UNITS_US};
    nr_code code = NR_OK;
    if (a->common.plot)
        code = nr_plot_plan(plan, a->common.plot, &style, err);
    if (code)
        return code;
    if (a->common.json)
        return nr_json_plan(stdout, plan, err);
    nr_show_plan(stdout, plan, units);
    return NR_OK;
}

nr_code nr_cmd_plan(int argc, char **argv, nr_err *err)
{
    arguments a;
    nr_code code = parse(argc, argv, &a, err);
    if (code || a.help) {
        if (!code)
            fputs(help_text, stdout);
        return code;
    }
    char path[1024];
    rig_path(argv[optind], path, sizeof path);
    nr_rig *rig = malloc(sizeof *rig); /* too large for the stack */
    if (!rig)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    size_t problems = 0;
    nr_sink sink = {say_problem, &problems};
    nr_plan *plan = NULL;
    nr_units units = NR_UNITS_SI;
    code = nr_rig_read(path, NR_RIG_FOR_ANALYSIS, rig, &sink, err);
    if (!code) {
        units = nr_common_units(&a.common, rig);
        code = nr_day_options_finish(&a.day, units, rig, err);
    }
    a.test.day = a.day.day;
    a.test.store_loss_W_K = a.day.day.store_loss_W_K;
    if (!code)
        code = nr_plan_rig(path, &a.test, &plan, err);
    if (!code)
        code = show(&a, plan, units, err);
    nr_plan_free(plan);
    free(rig);
    return code;
}
