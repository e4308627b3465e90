/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/noonfit/commands.h"
#include "analyze/sheet/sheet.h"

#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct arguments {
    nr_common common;
    nr_records records;
    const char *output;
    int paper; /* 1 a4, 2 letter; 0: by the units */
    double every_s;
} arguments;

static const nr_option own[] = {{.kind = NR_OPTION_OUTPUT,
                                 .name = "output",
                                 .value = "FILE",
                                 .offset = offsetof(arguments, output),
                                 .help = "the sheet to write: .pdf, .svg or .html",
                                 .letter = 'o'},
                                {.kind = NR_OPTION_CHOICE,
                                 .name = "paper",
                                 .value = "a4|letter",
                                 .offset = offsetof(arguments, paper),
                                 .help = "the paper's size (otherwise by the units)"},
                                {.kind = NR_OPTION_DURATION,
                                 .name = "every",
                                 .value = "D",
                                 .offset = offsetof(arguments, every_s),
                                 .help = "time between the rows (default 5m)",
                                 .low = 10,
                                 .high = 86400},
                                {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{own, 0},
                                         {nr_units_option, offsetof(arguments, common)},
                                         {nr_collector_option, offsetof(arguments, records)},
                                         {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *err);

const nr_command nr_cmd_sheet = {
    .program = "noonfit",
    .name = "sheet",
    .arguments = "RIG",
    .summary = "a paper form for readings by hand, and the table to type it into",
    .about =
        "A blank form to take outside: what to weigh and when, a row for every time with a "
        "column for every channel of the rig file, the cautions. Beside it, with the same "
        "name and .csv, an empty table to type it into: `noonlog import` reads it without "
        "any option. A table that is there already is left alone. Of several collectors all are "
        "on one page, where their channels fit it, else each has one, or one alone with "
        "--collector; the table is always of all.",
    .examples = "  noonfit sheet bucket.ini -o sheet.pdf --paper letter\n"
                "  noonlog import sheet.csv --rig bucket.ini evening\n",
    .least = 1,
    .most = 1,
    .wants = "name one rig file",
    .word = {NR_WORD_RIG, NR_WORD_NONE},
    .groups = groups,
    .run = run};

static void say_problem(void *context, const char *line)
{
    if ((*(size_t *)context)++)
        fprintf(stderr, "noonfit: %s\n", line);
}

/* sheet.pdf -> sheet.csv */
static bool table_path(const char *sheet, char out[1024])
{
    const char *dot = strrchr(sheet, '.');
    size_t length = dot ? (size_t)(dot - sheet) : strlen(sheet);
    return snprintf(out, 1024, "%.*s.csv", (int)length, sheet) < 1024;
}

static nr_code run(int argc, char **argv, nr_err *err)
{
    arguments a = {.every_s = 300};
    nr_words words;
    size_t problems = 0, pages = 0;
    nr_sink sink = {say_problem, &problems};
    char table[1024];
    nr_code code = nr_command_read(&nr_cmd_sheet, argc, argv, &a, &words, err);
    if (code)
        return code;
    if (!a.output)
        return nr_usage(err, &nr_cmd_sheet, "name the sheet to write: -o sheet.pdf");
    if (!table_path(a.output, table))
        return nr_fail(err, NR_BAD, a.output, 0, "the path is too long");
    nr_rig *rig = malloc(2 * sizeof *rig); /* too large for the stack */
    nr_rig *page = rig;                    /* what is on it: all, or one collector's view */
    if (!rig)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    code = nr_rig_read(words.word[0], NR_RIG_FOR_READINGS, rig, &sink, err);
    bool us = !code && nr_common_units(&a.common, rig) == NR_UNITS_US;
    nr_sheet_style style = {
        .letter = a.paper == 2 || (a.paper == 0 && us), .us = us, .every_s = a.every_s};
    if (!code && a.records.collector) {
        page = rig + 1;
        code = nr_rig_of_one(&nr_cmd_sheet, rig, &a.records, page, err);
    }
    if (!code)
        code = nr_sheet_write(page, a.output, &style, &pages, err);
    if (!code) {
        nr_err kept;
        const char *each = pages > 1 ? " (a page for each collector)" : "";
        if (nr_sheet_table(rig, table, &kept) == NR_OK)
            printf("%s%s to print, %s to type it into, then `noonlog import %s --rig %s RUN`.\n",
                   a.output, each, table, table, words.word[0]);
        else
            printf("%s%s to print; %s %s.\n", a.output, each, table, kept.text);
    }
    free(rig);
    return code;
}
