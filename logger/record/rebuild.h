/* SPDX-License-Identifier: GPL-3.0-or-later */
/* readings.csv once more from adapter.log, after a conversion was corrected.
 *
 * The same lines go through the same sampler as while recording: with an unchanged rig the new
 * file is the old one, byte for byte. The old readings.csv (and the old rig.ini, when another one
 * is given) stay as .noonlog/readings.csv.before and .noonlog/rig.ini.before. adapter.log is only
 * read. Readings taken by hand (by-hand.csv) are put among the rows each time.
 */
#ifndef NR_RECORD_REBUILD_H
#define NR_RECORD_REBUILD_H

#include "logger/run/rig.h"

#include <stdio.h>

typedef struct nr_rebuilt {
    unsigned long lines;    /* of the adapter */
    unsigned long rejected; /* lines that gave no reading */
    unsigned long foreign;  /* lines of an adapter that the rig does not have */
    char stranger[NR_NAME]; /* its name in adapter.log */
    unsigned long damaged;  /* rows of adapter.log that are no rows, left out */
    long first_damaged;     /* line number in adapter.log, 0: none */
    unsigned long rows, rows_before;
    unsigned long by_hand; /* rows of by-hand.csv among them */
    bool changed;          /* the new readings differ from the old */
    double last_utc_s, last_elapsed_s;
} nr_rebuilt;

/* rig: the run's own rig.ini or the one to use from now on, read for NR_RIG_FOR_RECORD; in the
 * second case rig_text are its bytes, which become the run's rig.ini, else NULL. NR_CANNOT when
 * there is no adapter.log or it gives no row, NR_BAD when the run is being recorded or the disk
 * refuses; readings.csv is then untouched. */
nr_code nr_rebuild(const char *folder, const nr_rig *rig, const char *rig_text, size_t rig_length,
                   nr_rebuilt *out, nr_err *err);

/* The same for readings that come from elsewhere than adapter.log (a table, a pencil): `rows`
 * writes them behind the header, which is there already, and counts lines, rows and the last row's
 * time in *out. When it fails, readings.csv stays as it was. */
typedef nr_code (*nr_rebuild_rows)(void *context, FILE *to, nr_rebuilt *out, nr_err *err);
nr_code nr_rebuild_from(const char *folder, const nr_rig *rig, const char *rig_text,
                        size_t rig_length, nr_rebuild_rows rows, void *context, nr_rebuilt *out,
                        nr_err *err);

#endif
