/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/noonfit/commands.h"

#include "analyze/fit/fit.h"
#include "analyze/tell/tell.h"
#include "logger/base/text.h"

#include <stddef.h>
#include <stdio.h>
#include <time.h>
#include <unistd.h>

const nr_option nr_json_option[] = {{.kind = NR_OPTION_ON,
                                     .name = "json",
                                     .offset = offsetof(nr_common, json),
                                     .help = "the result as JSON (SI)"},
                                    {.kind = NR_OPTION_END}};

const nr_option nr_csv_option[] = {{.kind = NR_OPTION_ON,
                                    .name = "csv",
                                    .offset = offsetof(nr_common, csv),
                                    .help = "the numbers as CSV for a spreadsheet (SI)"},
                                   {.kind = NR_OPTION_END}};

nr_code nr_one_form(const nr_command *command, const nr_common *common, nr_err *err)
{
    if (common->json && common->csv)
        return nr_usage(err, command, "--json or --csv, not both");
    return NR_OK;
}

const nr_option nr_units_option[] = {
    {.kind = NR_OPTION_CHOICE,
     .name = "units",
     .value = "si|us",
     .offset = offsetof(nr_common, units),
     .help = "units shown and read (default: rig.ini's [test] units, else the locale's)"},
    {.kind = NR_OPTION_END}};

const nr_option nr_store_only_option[] = {{.kind = NR_OPTION_OFF,
                                           .name = "store-only",
                                           .offset = offsetof(nr_fit_options, use_loop),
                                           .help = "ignore inlet, outlet and flow"},
                                          {.kind = NR_OPTION_END}};

const nr_option nr_loop_only_option[] = {{.kind = NR_OPTION_OFF,
                                          .name = "loop-only",
                                          .offset = offsetof(nr_fit_options, use_store),
                                          .help = "ignore the store's temperature"},
                                         {.kind = NR_OPTION_END}};

const nr_option nr_anyway_option[] = {
    {.kind = NR_OPTION_ON,
     .name = "anyway",
     .offset = offsetof(nr_common, anyway),
     .help = "also an answer that is withheld for its doubts, with the doubt first"},
    {.kind = NR_OPTION_END}};

nr_code nr_withhold(const nr_trust *trust, bool anyway, nr_units units, nr_err *err)
{
    if (anyway || !nr_trust_withholds(trust))
        return NR_OK;
    char text[NR_TELL];
    nr_tell_trust(text, sizeof text, &trust->reason[0], units);
    return nr_fail(err, NR_CANNOT, NULL, 0,
                   "the answer is withheld: %s (--anyway gives it all the same)", text);
}

nr_code nr_withhold_fit(const nr_fit *fit, bool anyway, nr_units units, nr_err *err)
{
    nr_code code = nr_withhold(&fit->trust, anyway, units, err);
    if (code && fit->runs == 1)
        nr_copy(err->file, sizeof err->file, fit->run[0].folder);
    return code;
}

bool nr_blame_finding(const nr_inspect *x, nr_units units, nr_err *err)
{
    /* What is missing the error names already, with what can stand in for it. */
    if (x->findings == 0 || x->finding[0].severity != NR_SEVERITY_FAULT ||
        x->finding[0].code == NR_FIND_MISSING_CHANNEL)
        return false;
    char seen[NR_TELL], advice[NR_TELL];
    nr_tell_finding(seen, sizeof seen, &x->finding[0], units);
    nr_tell_finding_advice(advice, sizeof advice, &x->finding[0], units);
    (void)nr_fail(err, NR_CANNOT, x->folder, 0, "the answer is withheld: %s %s", seen, advice);
    return true;
}

bool nr_blame(const nr_run *const *runs, size_t count, nr_units units, nr_err *err)
{
    for (size_t i = 0; i < count; i++) {
        nr_inspect *x = NULL;
        if (nr_inspect_run(runs[i], &x, NULL))
            continue;
        bool fault = nr_blame_finding(x, units, err);
        nr_inspect_free(x);
        if (fault)
            return true;
    }
    return false;
}

nr_units nr_common_units(const nr_common *common, const nr_rig *rig)
{
    if (common->units)
        return common->units == 2 ? NR_UNITS_US : NR_UNITS_SI;
    return nr_units_us(rig ? rig->units : "") ? NR_UNITS_US : NR_UNITS_SI;
}

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

void nr_say_remark(const char *sentence)
{
    fprintf(stderr, "noonfit: %s\n", sentence);
}

void nr_progress_line_say(void *context, const char *line)
{
    nr_progress_line *p = context;
    if (p->began_s == 0)
        p->began_s = now_s();
    if (now_s() - p->began_s < 1 || !isatty(STDERR_FILENO))
        return;
    fprintf(stderr, "\r\033[K%s %s", p->what, line);
    p->shown = true;
}

void nr_progress_line_end(nr_progress_line *p)
{
    if (p->shown)
        fputs("\r\033[K", stderr);
}
