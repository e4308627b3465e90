/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog rebuild: readings.csv again from adapter.log after a correction of the rig. */
#include "logger/noonlog/commands.h"

#include "logger/import/keep.h"
#include "logger/record/files.h"
#include "logger/record/notebook.h"
#include "logger/record/rebuild.h"
#include "logger/run/by_hand.h"
#include "logger/run/folder.h"

#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

typedef struct request {
    const char *rig;
} request;

static const nr_option own[] = {{.kind = NR_OPTION_TEXT,
                                 .name = "rig",
                                 .value = "RIG",
                                 .offset = offsetof(request, rig),
                                 .help = "becomes the run's rig.ini"},
                                {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{own, 0}, {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *said);

const nr_command nr_cmd_rebuild = {
    .program = NR_PROGRAM,
    .name = "rebuild",
    .arguments = "RUN",
    .summary = "readings.csv again from adapter.log",
    .about = "Makes readings.csv again from adapter.log (of an imported run: from its table; with "
             "what was taken by hand), after RUN/rig.ini was corrected (a "
             "conversion, an offset, a field). What was there before is kept in RUN/.noonlog as "
             "readings.csv.before and rig.ini.before. adapter.log itself is never changed.",
    .least = 1,
    .most = 1,
    .wants = "wants one run folder: RUN",
    .word = {NR_WORD_RUN, NR_WORD_NONE},
    .groups = groups,
    .run = run};

/* source: what the readings were made from. */
static void note_it(const char *folder, const nr_rebuilt *r, const char *source, bool other_rig)
{
    static nr_notebook book;
    nr_note note = {.utc_s = r->last_utc_s, .elapsed_s = r->last_elapsed_s, .kind = NR_NOTE_NOTE};
    snprintf(note.text, sizeof note.text, "readings.csv made again from %s%s: %lu rows, before %lu",
             source, other_rig ? " with another rig.ini" : "", r->rows, r->rows_before);
    if (!nr_notebook_init(&book, &nr_files_system, folder) || !nr_notebook_add(&book, &note) ||
        !nr_notebook_flush(&book))
        fprintf(stderr,
                NR_PROGRAM ": %s: the readings are in place, but notes.csv could not be "
                           "written\n",
                folder);
}

static void report(const char *folder, const nr_rebuilt *r)
{
    printf("%s: %lu rows from %lu lines", folder, r->rows, r->lines);
    if (!r->changed)
        puts(", the same as before");
    else if (r->rows_before == 0)
        puts("; there were none before");
    else
        printf(" (before: %lu rows); the old readings are in .noonlog/readings.csv.before\n",
               r->rows_before);
    if (r->by_hand > 0)
        printf("rows taken by hand among them: %lu\n", r->by_hand);
    if (r->rejected > 0)
        printf("lines without a reading: %lu\n", r->rejected);
    if (r->foreign > 0)
        printf("lines of [adapter%s%s], which the rig does not have: %lu\n",
               r->stranger[0] ? " " : "", r->stranger, r->foreign);
    if (r->damaged > 0)
        printf("damaged lines of adapter.log, left out: %lu, the first is line %ld\n", r->damaged,
               r->first_damaged);
}

static int rebuild_run(int argc, char **argv)
{
    static nr_rig rig;
    request q = {0};
    nr_words words;
    nr_rebuilt rebuilt;
    nr_err err;
    if (nr_command_read(&nr_cmd_rebuild, argc, argv, &q, &words, &err) != NR_OK)
        return nr_cmd_failed(&err);
    const char *folder = words.word[0], *other = q.rig;
    char path[NR_ERR_FILE], *text = NULL;
    size_t length = 0;
    snprintf(path, sizeof path, "%s%s", other ? other : folder, other ? "" : "/" NR_RIG_FILE);
    bool table = nr_import_is(folder);
    char hands[NR_ERR_FILE], log[NR_ERR_FILE];
    snprintf(hands, sizeof hands, "%s/%s", folder, NR_BY_HAND_FILE);
    snprintf(log, sizeof log, "%s/%s", folder, NR_ADAPTER_LOG_FILE);
    bool by_hand = access(hands, F_OK) == 0 && access(log, F_OK) != 0;
    nr_rig_need need = table || by_hand ? NR_RIG_FOR_READINGS : NR_RIG_FOR_RECORD;
    int status = nr_cmd_read_rig(path, need, &rig, &text, &length);
    if (status != NR_OK)
        return status;
    const char *new_rig = other ? text : NULL;
    nr_code code = table ? nr_import_rebuild(folder, &rig, new_rig, length, &rebuilt, NULL, &err)
                         : nr_rebuild(folder, &rig, new_rig, length, &rebuilt, &err);
    free(text);
    if (code != NR_OK)
        return nr_cmd_failed(&err);
    if (rebuilt.changed || other)
        note_it(folder, &rebuilt,
                table     ? "its table"
                : by_hand ? NR_BY_HAND_FILE
                          : NR_ADAPTER_LOG_FILE,
                other != NULL);
    report(folder, &rebuilt);
    return NR_OK;
}

static nr_code run(int argc, char **argv, nr_err *said)
{
    (void)said; /* printed where it arose */
    return (nr_code)rebuild_run(argc, argv);
}
