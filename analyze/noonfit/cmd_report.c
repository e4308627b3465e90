/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/compare/compare.h"
#include "analyze/noonfit/commands.h"
#include "analyze/noonfit/option_rows.h"
#include "analyze/noonfit/question_options.h"
#include "analyze/noonfit/subject.h"
#include "analyze/report/report.h"
#include "logger/base/text.h"

#include <math.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

typedef struct arguments {
    nr_common common;
    nr_records records;
    nr_fit_options fit;
    nr_question_options question;
    const char *output;
} arguments;

static const nr_option own[] = {NR_ROW_OUTPUT(arguments, output, "FILE.html", "the page to write"),
                                {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{own, 0},
                                         {nr_units_option, offsetof(arguments, common)},
                                         {nr_question_group, offsetof(arguments, question)},
                                         {nr_store_only_option, offsetof(arguments, fit)},
                                         {nr_clear_sky_option, offsetof(arguments, records)},
                                         {nr_anyway_option, offsetof(arguments, common)},
                                         {nr_collector_option, offsetof(arguments, records)},
                                         {nr_use_option, offsetof(arguments, records)},
                                         {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *err);

const nr_command nr_cmd_report = {
    .program = "noonfit",
    .name = "report",
    .arguments = "RUN [RUN ...] -o FILE.html",
    .summary = "one self-contained page with everything, for others to check",
    .about =
        "Writes one self-contained page: the result in a sentence, the numbers, the pictures, "
        "the quality of the record, the rig, the method, cautions, and the record itself, packed, "
        "with the SHA-256 of each file, so that others can check it. Every command takes such "
        "a page where it takes a run; of a page of several runs PAGE.html#2 is the second. Runs of "
        "one collector (the same [collector] "
        "name) are fitted together; runs of two to six collectors give a comparison.",
    .epilogue = NR_QUANTITIES_HELP,
    .examples = "  noonfit report sample-runs/wash-stand-glazed -o glazed.html\n",
    .least = 1,
    .most = NR_ANY_NUMBER,
    .wants = "name at least one run folder",
    .word = {NR_WORD_RUN, NR_WORD_RUN},
    .groups = groups,
    .run = run};

static nr_code write_page(const arguments *a, const nr_subject *m, const nr_report_style *style,
                          nr_err *err)
{
    nr_report_runs builds[NR_BUILDS];
    nr_units units = nr_common_units(&a->common, &m->groups.run[0]->rig);
    size_t at = 0;
    for (size_t b = 0; b < m->groups.groups; b++) {
        builds[b] = (nr_report_runs){m->groups.count[b], (const nr_run *const *)m->groups.first[b],
                                     (const nr_inspect *const *)m->inspects + at};
        at += m->groups.count[b];
    }
    nr_code code;
    if (m->groups.groups == 1) {
        nr_fit *fit = NULL;
        code = nr_fit_runs((const nr_run *const *)m->groups.run, m->count, &a->fit, &fit, err);
        if (code == NR_CANNOT)
            nr_blame((const nr_run *const *)m->groups.run, m->count, units, err);
        if (!code)
            code = nr_withhold(&fit->trust, a->common.anyway, units, err);
        if (!code)
            code = nr_report_fit(a->output, fit, builds, style, err);
        nr_fit_free(fit);
        return code;
    }
    nr_compare *compare = NULL;
    code = nr_compare_builds((const nr_run *const *const *)m->groups.first, m->groups.count,
                             m->groups.groups, &a->question.day, &a->fit, &compare, err);
    if (code == NR_CANNOT)
        nr_blame((const nr_run *const *)m->groups.run, m->count, units, err);
    if (!code)
        code = nr_withhold(&compare->trust, a->common.anyway, units, err);
    if (!code)
        code = nr_report_compare(a->output, compare, builds, style, err);
    nr_compare_free(compare);
    return code;
}

/* One word as a shell reads it back. */
static void quote_word(FILE *to, const char *word)
{
    static const char plain[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
                                "0123456789_./,=-+:%";
    if (word[0] != '\0' && word[strspn(word, plain)] == '\0') {
        fputs(word, to);
        return;
    }
    fputc('\'', to);
    for (const char *p = word; *p != '\0'; p++) {
        if (*p == '\'')
            fputs("'\\''", to);
        else
            fputc(*p, to);
    }
    fputc('\'', to);
}

/* The command line that made the page, for a reader to repeat. NULL: out of memory. */
static char *command_line(int argc, char *const *argv)
{
    char *text = NULL;
    size_t size;
    FILE *to = open_memstream(&text, &size);
    if (to == NULL)
        return NULL;
    fputs("noonfit", to);
    for (int i = 0; i < argc; i++) {
        fputc(' ', to);
        const char *slash = strrchr(argv[i], '/'); /* a page is shown to others: no paths */
        quote_word(to, argv[i][0] != '-' && slash && slash[1] ? slash + 1 : argv[i]);
    }
    return fclose(to) == 0 ? text : NULL;
}

/* Now, or the time a reproducible build asks for. */
static double today(void)
{
    const char *epoch = getenv("SOURCE_DATE_EPOCH");
    double seconds;
    return epoch != NULL && nr_parse_double(epoch, &seconds) ? seconds : (double)time(NULL);
}

static nr_code run(int argc, char **argv, nr_err *err)
{
    arguments a = {.fit = nr_fit_defaults(), .question = nr_question_none()};
    char *command = command_line(argc, argv); /* before getopt reorders the words */
    nr_words words;
    nr_code code = nr_command_read(&nr_cmd_report, argc, argv, &a, &words, err);
    if (!code && !a.output)
        code = nr_usage(err, &nr_cmd_report, "name the page to write: -o FILE.html");
    if (code) {
        free(command);
        return code;
    }
    nr_subject m = {0};
    nr_units units = NR_UNITS_SI;
    code = nr_subject_open(&m, &nr_cmd_report, words.word, words.count, &a.records, err);
    if (!code) {
        units = nr_common_units(&a.common, &m.groups.run[0]->rig);
        code = nr_question_for(&a.question, &nr_cmd_report, m.groups.groups, units, err);
    }
    if (!code) {
        nr_report_style style = {.units = units, .made_utc_s = today(), .command = command};
        code = write_page(&a, &m, &style, err);
    }
    nr_subject_free(&m);
    free(command);
    return code;
}
