/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/answer/inspect.h"
#include "analyze/noonfit/commands.h"
#include "logger/base/text.h"
#include "plots/plots.h"

#include <getopt.h>
#include <signal.h>
#include <time.h>

static const char help_text[] =
    "Usage: noonfit inspect RUN [options]\n"
    "\n"
    "Looks at a record before anything is fitted to it: gaps, sensors that stick or jump, the\n"
    "clock, steadiness, the sun's angle; what it can be used for, and what to do better.\n"
    "\n"
    "  --json              the findings as JSON (SI)\n"
    "  --units si|us       units shown (default: rig.ini's [test] units, else the locale's)\n"
    "  --plot FILE         picture of all channels with the findings shaded; .png, .svg or .pdf\n"
    "  --every DURATION    with --plot: draw it anew so often, until the recording stops or "
    "Ctrl-C;\n"
    "                      for an image viewer that reloads, while `noonlog record` runs\n"
    "\n"
    "Example:\n"
    "  noonfit inspect sample-runs/wash-stand-glazed --plot record.png\n";

enum { OPT_EVERY = NR_OPT_OWN };

typedef struct arguments {
    nr_common common;
    double every_s; /* 0: once */
    bool help;
} arguments;

static nr_code own_option(void *context, int option, const char *argument, nr_err *err)
{
    arguments *a = context;
    if (option != OPT_EVERY)
        return nr_common_option(&a->common, option, argument, err);
    if (nr_parse_duration(argument, &a->every_s) && a->every_s >= 1 && a->every_s <= 86400)
        return NR_OK;
    return nr_usage(err, "inspect", "--every %s: give a time from 1s to 24h", argument);
}

static nr_code parse(int argc, char **argv, arguments *a, nr_err *err)
{
    static const struct option options[] = {
        NR_COMMON_OPTIONS, {"every", required_argument, NULL, OPT_EVERY}, {NULL, 0, NULL, 0}};
    *a = (arguments){.help = false};
    nr_code code = nr_read_options(argc, argv, ":", options, own_option, a, &a->help, err);
    if (code || a->help)
        return code;
    if (a->every_s > 0 && !a->common.plot)
        return nr_usage(err, "inspect", "--every redraws a picture: name it with --plot");
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

/* Whether the recording has ended: its last note of kind start or stop is a stop. */
static bool has_stopped(const nr_run *run)
{
    bool stopped = false;
    for (size_t i = 0; i < run->notes->count; i++)
        if (run->notes->note[i].kind == NR_NOTE_STOP || run->notes->note[i].kind == NR_NOTE_START)
            stopped = run->notes->note[i].kind == NR_NOTE_STOP;
    return stopped;
}

/* One look at the record; text only when it is the last. */
static nr_code look(const arguments *a, char **name, bool last, bool *stopped, nr_err *err)
{
    nr_run **runs = NULL;
    size_t count = 0;
    nr_inspect *inspect = NULL;
    nr_code code = nr_open_runs(name, 1, &runs, &count, err);
    if (!code && count != 1)
        code = nr_usage(err, "inspect", "name one run folder");
    if (!code)
        code = nr_inspect_run(runs[0], &inspect, err);
    if (!code) {
        *stopped = has_stopped(runs[0]);
        nr_plot_style style = {.us_units =
                                   nr_common_units(&a->common, &runs[0]->rig) == NR_UNITS_US};
        code = last || *stopped ? show(a, inspect, runs[0], err)
                                : nr_plot_inspect(inspect, runs[0], a->common.plot, &style, err);
    }
    nr_inspect_free(inspect);
    nr_close_runs(runs, count);
    return code;
}

/* Draws until the recording stops; Ctrl-C and SIGTERM end it between two pictures, so that none is
 * left half-drawn. */
static nr_code follow(const arguments *a, char **name, nr_err *err)
{
    sigset_t ends;
    sigemptyset(&ends);
    sigaddset(&ends, SIGINT);
    sigaddset(&ends, SIGTERM);
    sigprocmask(SIG_BLOCK, &ends, NULL);
    struct timespec pause = {.tv_sec = (time_t)a->every_s};
    bool last = false, stopped = false;
    for (;;) {
        nr_code code = look(a, name, last, &stopped, err);
        if (code || last || stopped)
            return code;
        last = sigtimedwait(&ends, NULL, &pause) > 0;
    }
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
    bool stopped;
    return a.every_s > 0 ? follow(&a, argv + optind, err)
                         : look(&a, argv + optind, true, &stopped, err);
}
