/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A table of values from anywhere, made into the readings of a run.
 *
 * bytes -> text -> cells -> table (head, units, data rows) -> times -> channels -> readings. Pure:
 * it sees bytes and a rig, and knows neither folders nor clocks; the same bytes, rig and statements
 * give the same readings. Everything that was decided is in `said`; what cannot be decided is an
 * error that names the option that does.
 */
#ifndef NR_IMPORT_IMPORT_H
#define NR_IMPORT_IMPORT_H

#include "logger/import/encoding.h"
#include "logger/import/match.h"
#include "logger/import/rows.h"
#include "logger/import/said.h"
#include "logger/import/times.h"

/* What the user stated; "" or NULL: nothing. */
typedef struct nr_import_stated {
    const char *time, *format; /* times.h */
    const char *zone;          /* zone.h */
    const char *start;         /* date and time of the first row, for tables that have none */
    long skip;                 /* lines at the top */
    const char *const *map;    /* match.h */
    size_t maps;
} nr_import_stated;

typedef struct nr_imported {
    const char *encoding;
    nr_table table;
    nr_time_plan plan;
    nr_zone zone;   /* name "": not needed */
    bool zone_told; /* the table names it */
    nr_times times;
    nr_match match;
    nr_ordered rows;
    double zero_utc_s; /* at elapsed 0 */
    bool dated;        /* false: the table has no date, and time_utc counts from 1970 */
    double *elapsed_s; /* [rows.count] */
    double *value;     /* [rows.count][rig->channels] canonical, NAN: no reading */
    double first[NR_RIG_CHANNELS], last[NR_RIG_CHANNELS]; /* as in the table, codes left out; NAN */
    nr_import_said said;
} nr_imported;

/* Text, table and times: what is the same for any rig. Free with nr_imported_free, also after an
 * error. *out is large: not for the stack. */
nr_code nr_import_table(const char *bytes, size_t length, const char *path,
                        const nr_import_stated *stated, nr_imported *out, nr_err *err);

/* Everything. rig: read for NR_RIG_FOR_READINGS. */
nr_code nr_import_read(const char *bytes, size_t length, const char *path, const nr_rig *rig,
                       const nr_import_stated *stated, nr_imported *out, nr_err *err);
void nr_imported_free(nr_imported *imported);

/* The unit that a channel's numbers are taken to be in, as words: "degF", or "" for a law's. */
const char *nr_imported_unit(const nr_imported *imported, const nr_rig *rig, size_t channel);

/* How the time is read, as words: "Date+Time, day first". */
void nr_imported_time(const nr_imported *imported, char *out, size_t size);

#endif
