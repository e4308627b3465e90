/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonfit card: one portrait picture to post. */
#include "analyze/compare/compare.h"
#include "analyze/noonfit/commands.h"
#include "analyze/noonfit/option_rows.h"
#include "analyze/noonfit/question_options.h"
#include "analyze/noonfit/subject.h"
#include "analyze/tell/tell.h"
#include "plots/plots.h"

#include <stddef.h>
#include <stdlib.h>

typedef struct arguments {
    nr_common common;
    nr_fit_options fit;
    nr_records records;
    nr_question_options question;
    const char *output;
} arguments;

static const nr_option own[] = {
    NR_ROW_OUTPUT(arguments, output, "FILE.png|svg|pdf", "the picture to write"),
    {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{own, 0},
                                         {nr_units_option, offsetof(arguments, common)},
                                         {nr_question_group, offsetof(arguments, question)},
                                         {nr_store_only_option, offsetof(arguments, fit)},
                                         {nr_clear_sky_option, offsetof(arguments, records)},
                                         {nr_collector_option, offsetof(arguments, records)},
                                         {nr_use_option, offsetof(arguments, records)},
                                         {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *err);

const nr_command nr_cmd_card = {
    .program = "noonfit",
    .name = "card",
    .arguments = "RUN [RUN ...] -o FILE",
    .summary = "one portrait picture to post",
    .about =
        "Draws one portrait picture with letters large enough for a telephone: the name, three "
        "numbers with their intervals, the water over time, where the sun's energy went, the "
        "conditions of the test, what inspection says of the record, and its checksum. Runs "
        "of one collector (the same [collector] name) are fitted together; runs of two to six "
        "collectors give a ranking by the time they take to heat up.",
    .epilogue = NR_QUANTITIES_HELP,
    .examples = "  noonfit card sample-runs/wash-stand-glazed -o card.png\n",
    .least = 1,
    .most = NR_ANY_NUMBER,
    .wants = "name at least one run folder",
    .word = {NR_WORD_RUN, NR_WORD_RUN},
    .groups = groups,
    .run = run};

static void count_findings(const nr_subject *m, nr_card *card)
{
    for (size_t r = 0; r < m->count; r++)
        for (size_t i = 0; i < m->inspects[r]->findings; i++) {
            nr_severity severity = m->inspects[r]->finding[i].severity;
            card->faults += severity == NR_SEVERITY_FAULT;
            card->doubts += severity == NR_SEVERITY_DOUBT;
        }
}

/* Of the first run's readings; of several runs none stands for all. */
static void checksum(const nr_subject *m, char hex[NR_PACKED_DIGEST])
{
    char *bytes;
    size_t length;
    hex[0] = '\0';
    if (m->count != 1 ||
        nr_run_file(m->groups.run[0], NR_READINGS_FILE, &bytes, &length, NULL) != NR_OK)
        return;
    nr_packed_digest(bytes, length, hex);
    free(bytes);
}

static nr_code draw_one(const arguments *a, const nr_subject *m, const nr_plot_style *style,
                        nr_err *err)
{
    nr_fit *fit = NULL;
    char hex[NR_PACKED_DIGEST];
    nr_code code = nr_fit_runs((const nr_run *const *)m->groups.run, m->count, &a->fit, &fit, err);
    if (!code) {
        nr_card card = {.fit = fit, .sha256 = hex};
        checksum(m, hex);
        count_findings(m, &card);
        code = nr_plot_card(&card, a->output, style, err);
    }
    nr_fit_free(fit);
    return code;
}

static nr_code draw_ranking(const arguments *a, const nr_subject *m, nr_units units,
                            const nr_plot_style *style, nr_err *err)
{
    nr_compare *compare = NULL;
    char day[400];
    nr_code code = nr_compare_builds((const nr_run *const *const *)m->groups.first, m->groups.count,
                                     m->groups.groups, &a->question.day, &a->fit, &compare, err);
    if (!code) {
        nr_tell_compare_day(day, sizeof day, &compare->day, units);
        code = nr_plot_ranking(compare, day, a->output, style, err);
    }
    nr_compare_free(compare);
    return code;
}

static nr_code run(int argc, char **argv, nr_err *err)
{
    arguments a = {.fit = nr_fit_defaults(), .question = nr_question_none()};
    nr_words words;
    nr_subject m = {0};
    nr_code code = nr_command_read(&nr_cmd_card, argc, argv, &a, &words, err);
    if (!code && !a.output)
        code = nr_usage(err, &nr_cmd_card, "name the picture to write: -o card.png");
    if (!code)
        code = nr_subject_open(&m, &nr_cmd_card, words.word, words.count, &a.records, err);
    nr_units units = NR_UNITS_SI;
    if (!code) {
        units = nr_common_units(&a.common, &m.groups.run[0]->rig);
        code = nr_question_for(&a.question, &nr_cmd_card, m.groups.groups, units, err);
    }
    if (!code) {
        nr_plot_remark remark = {.say = nr_say_remark};
        nr_plot_style style = {.us_units = units == NR_UNITS_US, .remark = &remark};
        code = m.groups.groups == 1 ? draw_one(&a, &m, &style, err)
                                    : draw_ranking(&a, &m, units, &style, err);
    }
    nr_subject_free(&m);
    return code;
}
