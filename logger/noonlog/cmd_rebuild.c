/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog rebuild: readings.csv again from adapter.log after a correction of the rig. */
#include "logger/noonlog/commands.h"

#include "logger/record/files.h"
#include "logger/record/notebook.h"
#include "logger/record/rebuild.h"
#include "logger/run/folder.h"

#include <getopt.h>
#include <stdio.h>
#include <stdlib.h>

static void help(void)
{
    puts("noonlog rebuild RUN [--rig RIG]\n"
         "    readings.csv again from adapter.log, after RUN/rig.ini was corrected (a conversion, "
         "an\n"
         "    offset, a field); with --rig, RIG becomes the run's rig.ini. What was there before "
         "is\n"
         "    kept in RUN/.noonlog as readings.csv.before and rig.ini.before.\n"
         "    adapter.log itself is never changed.");
}

static void note_it(const char *folder, const nr_rebuilt *r, bool other_rig)
{
    static nr_notebook book;
    nr_note note = {.utc_s = r->last_utc_s, .elapsed_s = r->last_elapsed_s, .kind = NR_NOTE_NOTE};
    snprintf(note.text, sizeof note.text,
             "readings.csv made again from adapter.log%s: %lu rows, before %lu",
             other_rig ? " with another rig.ini" : "", r->rows, r->rows_before);
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
    if (r->rejected > 0)
        printf("lines without a reading: %lu\n", r->rejected);
    if (r->foreign > 0)
        printf("lines of [adapter%s%s], which the rig does not have: %lu\n",
               r->stranger[0] ? " " : "", r->stranger, r->foreign);
    if (r->damaged > 0)
        printf("damaged lines of adapter.log, left out: %lu, the first is line %ld\n", r->damaged,
               r->first_damaged);
}

int nr_cmd_rebuild(int argc, char **argv)
{
    static const struct option options[] = {{"rig", required_argument, NULL, 'r'},
                                            {"help", no_argument, NULL, 'h'},
                                            {NULL, 0, NULL, 0}};
    static nr_rig rig;
    const char *other = NULL;
    nr_rebuilt rebuilt;
    nr_err err;
    for (int c = 0; (c = getopt_long(argc, argv, "", options, NULL)) != -1;) {
        if (c == 'h') {
            help();
            return NR_OK;
        }
        if (c != 'r')
            return NR_BAD;
        other = optarg;
    }
    if (argc - optind != 1)
        return nr_cmd_usage("rebuild", "wants one run folder: RUN");
    const char *folder = argv[optind];
    char path[NR_ERR_FILE], *text = NULL;
    size_t length = 0;
    snprintf(path, sizeof path, "%s%s", other ? other : folder, other ? "" : "/" NR_RIG_FILE);
    int status = nr_cmd_read_rig(path, NR_RIG_FOR_RECORD, &rig, &text, &length);
    if (status != NR_OK)
        return status;
    nr_code code = nr_rebuild(folder, &rig, other ? text : NULL, length, &rebuilt, &err);
    free(text);
    if (code != NR_OK)
        return nr_cmd_failed(&err);
    if (rebuilt.changed || other)
        note_it(folder, &rebuilt, other != NULL);
    report(folder, &rebuilt);
    return NR_OK;
}
