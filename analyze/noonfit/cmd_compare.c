/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/compare/compare.h"
#include "analyze/joint/joint.h"
#include "analyze/noonfit/commands.h"
#include "analyze/noonfit/option_rows.h"
#include "analyze/noonfit/question_options.h"
#include "plots/plots.h"

#include <math.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

typedef struct arguments {
    nr_common common;
    nr_records records;
    nr_fit_options fit;
    const char *change; /* words of a note */
    bool pairs;
    nr_question_options question;
} arguments;

static const nr_option own[] = {
    NR_ROW_PLOT(arguments, common.plot,
                "picture: heat-up, curves, differences, or the ranking; .png, .svg or .pdf"),
    {.kind = NR_OPTION_ON,
     .name = "pairs",
     .offset = offsetof(arguments, pairs),
     .help = "of more than two builds: the difference of every pair, too"},
    {.kind = NR_OPTION_END}};

static const nr_option of_records[] = {
    {.kind = NR_OPTION_HEADING, .name = "The records:"},
    {.kind = NR_OPTION_TEXT,
     .name = "change",
     .value = "NOTE",
     .offset = offsetof(arguments, change),
     .help = "split one record at the note with these words (\"pane off\") and compare before and "
             "after"},
    {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{nr_json_option, offsetof(arguments, common)},
                                         {nr_csv_option, offsetof(arguments, common)},
                                         {nr_units_option, offsetof(arguments, common)},
                                         {own, 0},
                                         {nr_question_group, offsetof(arguments, question)},
                                         {of_records, 0},
                                         {nr_store_only_option, offsetof(arguments, fit)},
                                         {nr_anyway_option, offsetof(arguments, common)},
                                         {nr_clear_sky_option, offsetof(arguments, records)},
                                         {nr_use_option, offsetof(arguments, records)},
                                         {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *err);

const nr_command nr_cmd_compare = {
    .program = "noonfit",
    .name = "compare",
    .arguments = "RUN | A B [C ...]",
    .summary =
        "two to twenty-four builds against each other: which is better, by how much, how sure",
    .about =
        "Sets builds against each other in one joint estimate, so that errors of sensors they "
        "share (the same `sensor` in both rig files) cancel. A, B ... are runs; several runs "
        "of one build are joined by commas: day1,day2. Two to twenty-four builds; of more than "
        "two a ranking, with groups of builds that cannot be told apart.",
    .epilogue = NR_QUANTITIES_HELP,
    .examples = "  noonfit compare sample-runs/wash-stand-glazed \\\n"
                "      sample-runs/wash-stand-bare --to 40C\n",
    .least = 1,
    .most = NR_JOINT_RUNS,
    .wants = "name the builds: runs, or a record with several collectors",
    .word = {NR_WORD_RUN, NR_WORD_RUN},
    .groups = groups,
    .run = run};

static nr_code show(const arguments *a, const nr_compare *compare, nr_units units, nr_err *err)
{
    nr_plot_remark remark = {.say = nr_say_remark};
    nr_plot_style style = {.us_units = units == NR_UNITS_US, .remark = &remark};
    nr_code code = NR_OK;
    if (a->common.plot)
        code = nr_plot_compare(compare, a->common.plot, &style, err);
    if (code)
        return code;
    if (a->common.json)
        return nr_json_compare(stdout, compare, err);
    if (a->common.csv)
        return nr_csv_compare(stdout, compare, err);
    nr_show_compare(stdout, compare, a->pairs, units);
    return NR_OK;
}

/* The runs of every build, opened. */
typedef struct builds {
    size_t opened;
    nr_run *run[NR_JOINT_RUNS]; /* all of them, to close */
    size_t count;
    nr_run *of[NR_BUILDS][NR_JOINT_RUNS]; /* by build */
    nr_run **first[NR_BUILDS];
    size_t counts[NR_BUILDS];
    bool named[NR_BUILDS]; /* it has its name from a record with several collectors: runs of that
                              name belong to it */
} builds;

static nr_code add_run(builds *b, size_t build, nr_run *run, nr_err *err)
{
    if (build == NR_BUILDS)
        return nr_usage(err, &nr_cmd_compare, "at most %d builds", NR_BUILDS);
    if (build == b->count)
        b->first[b->count++] = b->of[build];
    b->of[build][b->counts[build]++] = run;
    return NR_OK;
}

/* The build that a run of a record with several collectors belongs to, by its name. */
static size_t build_named(const builds *b, const char *name)
{
    size_t g = 0;
    while (g < b->count && !(b->named[g] && !strcmp(b->of[g][0]->rig.collector.name, name)))
        g++;
    return g;
}

/* A run is of one build. */
static nr_code refuse_shared(const builds *b, const nr_run *run, nr_err *err)
{
    for (size_t i = 0; i < b->opened; i++)
        if (nr_same_run(b->run[i], run) && !nr_run_same_record(b->run[i], run))
            return nr_fail(err, NR_BAD, run->folder, 0,
                           "is named for two builds; give each build runs of its own");
    return NR_OK;
}

/* One word of the command line: runs of one build, or a record that holds several. */
static nr_code open_word(char **word, const nr_records *which, builds *b, nr_err *err)
{
    nr_run **runs = NULL;
    size_t count = 0;
    nr_code code = nr_open_runs(&nr_cmd_compare, word, 1, which, &runs, &count, err);
    for (size_t i = 0; !code && i < count; i++)
        code = refuse_shared(b, runs[i], err);
    if (!code && b->opened + count > NR_JOINT_RUNS)
        code = nr_usage(err, &nr_cmd_compare, "at most %d runs", NR_JOINT_RUNS);
    if (code) {
        nr_close_runs(runs, count);
        return code;
    }
    bool several = nr_runs_of_several(runs, count);
    size_t new_one = b->count;
    for (size_t i = 0; i < count; i++)
        b->run[b->opened++] = runs[i];
    for (size_t i = 0; !code && i < count; i++) {
        size_t build = build_named(b, runs[i]->rig.collector.name);
        if (build == b->count && !several)
            build = new_one; /* all of one word are one build */
        code = add_run(b, build, runs[i], err);
        if (!code)
            b->named[build] = b->named[build] || several;
    }
    free(runs);
    return code;
}

/* Before and after a note: the quickest test of one change. */
static nr_code split_at_note(const arguments *a, builds *b, nr_err *err)
{
    double at_s;
    char text[256];
    nr_run *after = NULL;
    if (b->opened != 1)
        return nr_usage(err, &nr_cmd_compare, "--change wants one record with one collector");
    nr_run *before = b->run[0];
    nr_code code = nr_note_find(before, a->change, &at_s, text, sizeof text, err);
    if (!code)
        code = nr_run_again(before, &after, err);
    if (code)
        return code;
    b->run[b->opened++] = after;
    code = add_run(b, b->count, after, err);
    if (!code)
        code = nr_run_use(before, NAN, at_s, err);
    if (!code)
        code = nr_run_use(after, at_s, NAN, err);
    snprintf(before->rig.collector.name, sizeof before->rig.collector.name, "before");
    snprintf(after->rig.collector.name, sizeof after->rig.collector.name, "after: %.50s", text);
    return code;
}

static nr_code open_builds(const arguments *a, const nr_words *words, builds *b, nr_err *err)
{
    nr_code code = NR_OK;
    for (size_t i = 0; !code && i < words->count; i++)
        code = open_word(words->word + i, &a->records, b, err);
    if (!code && a->change)
        code = split_at_note(a, b, err);
    if (!code && b->count < 2)
        code = nr_usage(err, &nr_cmd_compare,
                        "one build; name another, a record with several collectors, or a note at "
                        "which something was changed (--change)");
    return code;
}

static nr_code run(int argc, char **argv, nr_err *err)
{
    arguments a = {.fit = nr_fit_defaults(), .question = nr_question_none()};
    nr_words words;
    nr_code code = nr_command_read(&nr_cmd_compare, argc, argv, &a, &words, err);
    if (code)
        return code;
    code = nr_one_form(&nr_cmd_compare, &a.common, err);
    if (code)
        return code;
    builds *b = calloc(1, sizeof *b); /* too large for the stack */
    if (!b)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    nr_compare *compare = NULL;
    nr_units units = NR_UNITS_SI;
    code = open_builds(&a, &words, b, err);
    if (!code) {
        units = nr_common_units(&a.common, &b->run[0]->rig);
        code = nr_question_finish(&a.question, &nr_cmd_compare, units, err);
    }
    if (!code)
        code = nr_compare_builds((const nr_run *const *const *)b->first, b->counts, b->count,
                                 &a.question.day, &a.fit, &compare, err);
    for (size_t g = 0; code == NR_CANNOT && g < b->count; g++)
        nr_blame((const nr_run *const *)b->first[g], b->counts[g], units, err);
    if (!code)
        code = nr_withhold(&compare->trust, a.common.anyway, units, err);
    if (!code)
        code = show(&a, compare, units, err);
    nr_compare_free(compare);
    for (size_t i = 0; i < b->opened; i++)
        nr_run_free(b->run[i]);
    free(b);
    return code;
}
