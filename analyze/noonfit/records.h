/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Opening the records that a command line names: whole or in part, with one collector or several.
 */
#ifndef NR_NOONFIT_RECORDS_H
#define NR_NOONFIT_RECORDS_H

#include "logger/base/err.h"
#include "logger/command/command.h"
#include "logger/run/folder.h"

#include <stdbool.h>
#include <stddef.h>

/* What of the records is meant. */
typedef struct nr_records {
    const char *collector; /* --collector: of a record with several; NULL: all of them */
    const char *use;       /* --use A..B: part of each record; NULL: the whole */
    bool clear_sky;        /* --clear-sky: a cloudless sky's sun where none was measured */
} nr_records;

extern const nr_option nr_collector_option[], nr_use_option[],
    nr_clear_sky_option[]; /* of an nr_records */

/* Opens runs; a comma-separated argument is several, and a record with several collectors is one
 * run for each. A folder named twice is an error: its readings would count double. Free with
 * nr_close_runs. */
nr_code nr_open_runs(const nr_command *command, char *const *names, size_t count,
                     const nr_records *which, nr_run ***out, size_t *opened, nr_err *err);

/* Runs that are of several collectors are an error that names them and says how to choose, or to
 * compare. */
nr_code nr_check_runs_of_one(const nr_command *command, nr_run *const *runs, size_t count,
                             nr_err *err);
/* The same as nr_open_runs where all have to be of one collector. */
nr_code nr_open_runs_of_one(const nr_command *command, char *const *names, size_t count,
                            const nr_records *which, nr_run ***out, size_t *opened, nr_err *err);

void nr_close_runs(nr_run **runs, size_t count);

/* Runs by the collector they are of, in the order in which those appear. */
#define NR_GROUPS 24
typedef struct nr_groups {
    size_t groups;
    nr_run **run; /* all of them, sorted by group; borrowed */
    size_t count[NR_GROUPS];
    nr_run **first[NR_GROUPS]; /* into run */
} nr_groups;

/* Free with nr_groups_free, which leaves the runs open. */
nr_code nr_group_by_name(const nr_command *command, nr_run *const *runs, size_t count,
                         nr_groups *out, nr_err *err);
void nr_groups_free(nr_groups *groups);

/* Some record has several collectors. */
bool nr_runs_of_several(nr_run *const *runs, size_t count);

/* The collector that is meant of a rig file read for readings, in *view (which must not be *rig);
 * of a rig with one that one. NR_BAD: none is called so, or one of several has to be named. */
nr_code nr_rig_of_one(const nr_command *command, const nr_rig *rig, const nr_records *which,
                      nr_rig *view, nr_err *err);

/* Whether two runs are the same folder, however it is called. */
bool nr_same_run(const nr_run *a, const nr_run *b);

/* When a note whose text contains `words` was made, elapsed seconds; an error lists the notes where
 * none does or several do. */
nr_code nr_note_find(const nr_run *run, const char *words, double *elapsed_s, char *text,
                     size_t size, nr_err *err);

#endif
