/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A run folder, read whole: the only way the analyzer knows a run.
 *
 * A record may hold several collectors. An nr_run is the view of one of them: its rig has that
 * collector and container (nr_rig_view), its readings the channels that are this build's own or
 * shared, under the names of their roles.
 *
 * A page of `noonfit report` has its runs inside (logger/packed) and is read like a folder. */
#ifndef NR_RUN_FOLDER_H
#define NR_RUN_FOLDER_H

#include "logger/packed/packed.h"
#include "logger/run/notes.h"
#include "logger/run/readings.h"
#include "logger/run/rig.h"

#define NR_RUN_OWN (4 * NR_RIG_BUILDS)

typedef struct nr_run {
    char folder[NR_ERR_FILE]; /* as the caller named it, without a trailing slash */
    nr_rig rig;
    nr_readings *readings;
    nr_notes *notes;
    struct nr_run *record; /* whose readings and notes these are; NULL: this run's own */
    size_t collector;      /* of those, from 0 */
    nr_packed *packed;     /* of a page's record: its files; NULL: a folder */
    unsigned packed_run;
    size_t views;            /* of a record: runs that look at it; the last one frees it */
    double *own[NR_RUN_OWN]; /* of a record: columns that a view has for itself */
    size_t owns;
} nr_run;

/* A column of this run's own in the place of the channel's, or a new one (NAN) where there is none:
 * *value is [rows], with the readings as they were. unit: as in a file's header. What others see of
 * the record is not changed. It lives as long as the record. */
nr_code nr_run_own_column(nr_run *run, const char *channel, const char *unit, double **value,
                          nr_err *err);

/* The views of a record's collectors: of all of them in the order of the rig file (collector NULL),
 * or of the one of that name. Each is freed with nr_run_free, in any order. */
nr_code nr_run_open_builds(const char *folder, const char *collector, nr_run *out[NR_RIG_BUILDS],
                           size_t *count, const nr_sink *problems, nr_err *err);

/* Whether two runs are of one record: what is not a build's own (weather) is then the same. */
bool nr_run_same_record(const nr_run *a, const nr_run *b);

/* Whether they are parts of one record of one collector, whatever each calls it: what was weighed,
 * measured and plugged in once is then the same. */
bool nr_run_same_collector(const nr_run *a, const nr_run *b);

/* Another look at the same record, for a part of its own (nr_run_use). NR_BAD without memory. */
nr_code nr_run_again(const nr_run *run, nr_run **out, nr_err *err);

/* From now on the run is only its rows from_s <= elapsed_s <= to_s (NAN: open). NR_CANNOT when none
 * is left, with what there is. The numbers themselves stay where they are; a view's other looks at
 * them are not changed. Not for a run without a record of its own behind it (made in memory). */
nr_code nr_run_use(nr_run *run, double from_s, double to_s, nr_err *err);

void nr_run_free(nr_run *run);

/* How many runs a name stands for: 1, or those of a page of several. *pages is true where it is a
 * page (packed.h): each of its runs is opened as "PAGE.html#1", "PAGE.html#2" ...; a page of one
 * also by its name alone. A name that is neither counts 1: opening it says what is wrong. */
size_t nr_run_count(const char *name, bool *page);

/* A file of a run as it was read from: folder or page. free *bytes; a zero stands behind the last.
 * NR_CANNOT: there is no such file. */
nr_code nr_run_file(const nr_run *run, const char *name, char **bytes, size_t *length, nr_err *err);

#define NR_RIG_FILE "rig.ini"
#define NR_READINGS_FILE "readings.csv"
#define NR_ADAPTER_LOG_FILE "adapter.log"
#define NR_NOTES_FILE "notes.csv"

#endif
