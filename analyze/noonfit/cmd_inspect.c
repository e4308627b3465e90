/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/cooldown/cooldown.h"
#include "analyze/fit/fit.h"
#include "analyze/inspect/inspect.h"
#include "analyze/noonfit/commands.h"
#include "analyze/noonfit/option_rows.h"
#include "logger/base/paragraph.h"
#include "logger/base/text.h"
#include "plots/plots.h"

#include <signal.h>
#include <stddef.h>
#include <time.h>

typedef struct arguments {
    nr_common common;
    nr_records records;
    double every_s; /* 0: once */
} arguments;

static const nr_option own[] = {
    NR_ROW_PLOT(arguments, common.plot,
                "picture of all channels with the findings shaded; .png, .svg or .pdf"),
    {.kind = NR_OPTION_DURATION,
     .name = "every",
     .value = "D",
     .offset = offsetof(arguments, every_s),
     .help = "with --plot: draw it anew so often, until the recording stops or Ctrl-C; for an "
             "image viewer that reloads, while `noonlog record` runs",
     .low = 1,
     .high = 86400},
    {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{nr_json_option, offsetof(arguments, common)},
                                         {nr_units_option, offsetof(arguments, common)},
                                         {own, 0},
                                         {nr_clear_sky_option, offsetof(arguments, records)},
                                         {nr_collector_option, offsetof(arguments, records)},
                                         {nr_use_option, offsetof(arguments, records)},
                                         {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *err);

const nr_command nr_cmd_inspect = {
    .program = "noonfit",
    .name = "inspect",
    .arguments = "RUN",
    .summary = "is this record good? gaps, stuck or jumping sensors, clock, sun angle",
    .about =
        "Looks at a record before anything is fitted to it: gaps, sensors that stick or jump, the "
        "clock, steadiness, the sun's angle; what it can be used for, and what to do better.",
    .examples = "  noonfit inspect sample-runs/wash-stand-glazed --plot record.png\n",
    .least = 1,
    .most = 1,
    .wants = "name one run folder",
    .word = {NR_WORD_RUN, NR_WORD_NONE},
    .groups = groups,
    .run = run};

/* What `fit` would refuse is said beforehand, in fit's words. */
static void foretell(const nr_run *run, const nr_judged *judged, nr_units units)
{
    nr_inspect *inspect = judged->inspect;
    nr_fit_options options = nr_fit_defaults();
    options.judged = judged;
    options.at_once = options.withheld_only = true;
    nr_fit *fit = NULL;
    nr_err err = {.text = ""};
    if (nr_cooldown_of_judged(judged->quality) == NR_COOLDOWN_IS)
        return;
    const char *why = "no-answer";
    nr_code code = nr_fit_runs(&run, 1, &options, &fit, &err);
    if (code == NR_CANNOT) {
        if (nr_blame_finding(inspect, units, &err))
            why = nr_finding_name(inspect->finding[0].code);
    } else if (!code) {
        code = nr_withhold_fit(fit, false, units, &err);
        why = code ? nr_trust_name(&fit->trust.reason[0]) : why;
    }
    if (code == NR_CANNOT) {
        nr_copy(inspect->refusal_code, sizeof inspect->refusal_code, why);
        nr_copy(inspect->refusal, sizeof inspect->refusal, err.text);
    }
    nr_fit_free(fit);
}

/* What inspect itself has found to be a fault stands above already. */
static void say_refusal(const nr_inspect *inspect)
{
    if (!inspect->refusal[0] ||
        (inspect->findings && inspect->finding[0].severity == NR_SEVERITY_FAULT))
        return;
    printf("\n");
    nr_paragraph_of(stdout, "", "noonfit fit refuses this record: %s", inspect->refusal);
}

/* Findings by collector where there are several. */
static nr_code show(const arguments *a, nr_judged *judged, nr_run *const *runs, size_t count,
                    nr_err *err)
{
    nr_inspect *inspect[NR_RIG_BUILDS];
    for (size_t i = 0; i < count; i++)
        inspect[i] = judged[i].inspect;
    nr_units units = nr_common_units(&a->common, &runs[0]->rig);
    nr_plot_remark remark = {.say = nr_say_remark};
    nr_plot_style style = {.us_units = units == NR_UNITS_US, .remark = &remark};
    nr_code code = NR_OK;
    if (a->common.plot)
        code = nr_plot_inspect(inspect[0], runs[0], a->common.plot, &style, err);
    if (code)
        return code;
    for (size_t i = 0; i < count; i++)
        foretell(runs[i], &judged[i], a->common.json ? NR_UNITS_SI : units);
    if (a->common.json)
        return count == 1 ? nr_json_inspect(stdout, inspect[0], err)
                          : nr_json_inspects(stdout, inspect, count, err);
    for (size_t i = 0; i < count; i++) {
        if (count > 1)
            printf("%s%s\n\n", i ? "\n\n" : "", runs[i]->rig.collector.name);
        nr_show_inspect(stdout, inspect[i], units);
        say_refusal(inspect[i]);
    }
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
    nr_judged judged[NR_RIG_BUILDS] = {{NULL, NULL}};
    nr_code code = nr_open_runs(&nr_cmd_inspect, name, 1, &a->records, &runs, &count, err);
    if (!code && (count > NR_RIG_BUILDS || (count > 1 && !nr_runs_of_several(runs, count))))
        code = nr_usage(err, &nr_cmd_inspect, "name one run folder");
    if (!code && count > 1 && a->common.plot)
        code = nr_usage(err, &nr_cmd_inspect, "a picture is of one collector: --collector NAME");
    for (size_t i = 0; !code && i < count; i++)
        code = nr_judge_run(runs[i], &judged[i], err);
    if (!code) {
        *stopped = has_stopped(runs[0]);
        nr_plot_remark remark = {.say = nr_say_remark};
        nr_plot_style style = {.us_units =
                                   nr_common_units(&a->common, &runs[0]->rig) == NR_UNITS_US,
                               .remark = &remark};
        code = last || *stopped
                   ? show(a, judged, runs, count, err)
                   : nr_plot_inspect(judged[0].inspect, runs[0], a->common.plot, &style, err);
    }
    for (size_t i = 0; i < NR_RIG_BUILDS; i++)
        nr_judged_free(&judged[i]);
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

static nr_code run(int argc, char **argv, nr_err *err)
{
    arguments a = {.every_s = 0};
    nr_words words;
    nr_code code = nr_command_read(&nr_cmd_inspect, argc, argv, &a, &words, err);
    if (!code && a.every_s > 0 && !a.common.plot)
        code = nr_usage(err, &nr_cmd_inspect, "--every redraws a picture: name it with --plot");
    if (code)
        return code;
    bool stopped;
    return a.every_s > 0 ? follow(&a, words.word, err) : look(&a, words.word, true, &stopped, err);
}
