/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/fit/montecarlo.h"
#include "analyze/noonfit/commands.h"
#include "analyze/show/budget.h"
#include "logger/base/replace.h"

#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct arguments {
    nr_common common;
    nr_records records;
    nr_fit_options fit;
    const char *csv;
    int of; /* from 1; 0: eta0 and a1 */
    long trials, seed;
} arguments;

static const nr_option own[] = {
    {.kind = NR_OPTION_CHOICE,
     .name = "of",
     .value = "eta0|a1|a5|store_loss|stagnation",
     .offset = offsetof(arguments, of),
     .help = "the result (default: eta0 and a1)"},
    {.kind = NR_OPTION_OUTPUT,
     .name = "csv",
     .value = "FILE",
     .offset = offsetof(arguments, csv),
     .help = "the whole budget as a table, too (SI); - for standard output alone"},
    {.kind = NR_OPTION_WHOLE,
     .name = "monte-carlo",
     .value = "N",
     .offset = offsetof(arguments, trials),
     .help = "check eta0 and a1 with N simulated records",
     .low = 20,
     .high = 1000000},
    {.kind = NR_OPTION_WHOLE,
     .name = "seed",
     .value = "S",
     .offset = offsetof(arguments, seed),
     .help = "of the Monte Carlo (default 1)",
     .low = 0,
     .high = 2147483647},
    {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{nr_json_option, offsetof(arguments, common)},
                                         {nr_units_option, offsetof(arguments, common)},
                                         {own, 0},
                                         {nr_store_only_option, offsetof(arguments, fit)},
                                         {nr_loop_only_option, offsetof(arguments, fit)},
                                         {nr_anyway_option, offsetof(arguments, common)},
                                         {nr_collector_option, offsetof(arguments, records)},
                                         {nr_clear_sky_option, offsetof(arguments, records)},
                                         {nr_use_option, offsetof(arguments, records)},
                                         {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *err);

const nr_command nr_cmd_budget = {
    .program = "noonfit",
    .name = "budget",
    .arguments = "RUN [RUN ...]",
    .summary = "the uncertainty of a result as a budget: input by input, in the form of the GUM",
    .about =
        "Takes the standard uncertainty of a result of `noonfit fit` apart, in the form of the "
        "Guide to the expression of uncertainty in measurement (JCGM 100): every input with its "
        "estimate, standard uncertainty, distribution, type, degrees of freedom, sensitivity and "
        "contribution, and the result with its effective degrees of freedom and coverage factor.",
    .examples = "  noonfit budget sample-runs/wash-stand-glazed --csv budget.csv\n",
    .least = 1,
    .most = NR_ANY_NUMBER,
    .wants = "name at least one run folder",
    .word = {NR_WORD_RUN, NR_WORD_RUN},
    .groups = groups,
    .run = run};

static nr_code write_csv(const char *path, const nr_gum_budget *b, size_t count, nr_err *err)
{
    char *bytes = NULL;
    size_t length;
    FILE *to = open_memstream(&bytes, &length);
    if (!to)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    nr_csv_budget(to, b, count);
    bool good = !ferror(to);
    nr_code code = fclose(to) || !good ? nr_fail(err, NR_BAD, NULL, 0, "out of memory")
                                       : nr_replace_file(path, bytes, length, 0644, err);
    free(bytes);
    return code;
}

static nr_code show(const arguments *a, const nr_gum_budget *b, size_t count,
                    const nr_monte_carlo *check, nr_units units, nr_err *err)
{
    if (a->csv && !strcmp(a->csv, "-")) {
        nr_csv_budget(stdout, b, count);
        return NR_OK;
    }
    nr_code code = a->csv ? write_csv(a->csv, b, count, err) : NR_OK;
    if (code)
        return code;
    if (a->common.json)
        return nr_json_budget(stdout, b, count, check, err);
    nr_show_budget(stdout, b, count, check, units);
    return NR_OK;
}

static nr_code sample(const arguments *a, const nr_solved *s, nr_monte_carlo *m, nr_err *err)
{
    nr_curve_at at = s->at;
    nr_progress_line progress = {.what = "Monte Carlo trial"};
    nr_sink sink = {nr_progress_line_say, &progress};
    at.span = nr_derive_span(s->fit);
    at.bend = s->fit->a2.known;
    const nr_sample_of what[] = {{nr_result_efficiency, &at, &m->eta0},
                                 {nr_result_a1, &at, &m->a1}};
    m->seed = (unsigned long)a->seed;
    m->trials = (size_t)a->trials;
    nr_code code =
        nr_monte_carlo_run(s->joint, what, 2, m->trials, m->seed, &sink, &m->failed, err);
    nr_progress_line_end(&progress);
    return code;
}

static nr_code answer(const arguments *a, const nr_solved *s, nr_units units, nr_err *err)
{
    nr_gum_budget budget[2];
    nr_monte_carlo check = {0};
    size_t count = 0;
    nr_budget_of first = a->of ? (nr_budget_of)(a->of - 1) : NR_BUDGET_ETA0;
    nr_code code = nr_gum_budget_make(s, first, &budget[count++], err);
    if (!code && !a->of)
        code = nr_gum_budget_make(s, NR_BUDGET_A1, &budget[count++], err);
    if (!code && a->trials)
        code = sample(a, s, &check, err);
    if (!code)
        code = show(a, budget, count, &check, units, err);
    for (size_t i = 0; i < count; i++)
        nr_gum_budget_free(&budget[i]);
    return code;
}

static nr_code run(int argc, char **argv, nr_err *err)
{
    arguments a = {.fit = nr_fit_defaults(), .seed = 1};
    nr_words words;
    nr_run **runs = NULL;
    size_t count = 0;
    nr_solved solved = {0};
    nr_code code = nr_command_read(&nr_cmd_budget, argc, argv, &a, &words, err);
    if (!code && !a.fit.use_store && !a.fit.use_loop)
        code = nr_usage(err, &nr_cmd_budget,
                        "--store-only and --loop-only together leave nothing to fit");
    if (!code)
        code = nr_open_runs_of_one(&nr_cmd_budget, words.word, words.count, &a.records, &runs,
                                   &count, err);
    if (code)
        return code;
    nr_units units = nr_common_units(&a.common, &runs[0]->rig);
    code = nr_solve_runs((const nr_run *const *)runs, count, &a.fit, &solved, err);
    if (code == NR_CANNOT)
        nr_blame((const nr_run *const *)runs, count, units, err);
    if (!code)
        code = nr_withhold(&solved.fit->trust, a.common.anyway, units, err);
    if (!code)
        code = answer(&a, &solved, units, err);
    nr_solved_free(&solved);
    nr_close_runs(runs, count);
    return code;
}
