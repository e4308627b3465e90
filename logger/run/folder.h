/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A run folder, read whole: the only way the analyzer knows a run. */
#ifndef NR_RUN_FOLDER_H
#define NR_RUN_FOLDER_H

#include "logger/run/notes.h"
#include "logger/run/readings.h"
#include "logger/run/rig.h"

typedef struct nr_run {
    char folder[NR_ERR_FILE]; /* as the caller named it, without a trailing slash */
    nr_rig rig;
    nr_readings *readings;
    nr_notes *notes;
} nr_run;

/* Reads rig.ini, readings.csv and notes.csv. The rig is read with NR_RIG_FOR_ANALYSIS.
 * problems: all findings about rig.ini, may be NULL. Free with nr_run_free. */
nr_code nr_run_open(const char *folder, nr_run **out, const nr_sink *problems, nr_err *err);
void nr_run_free(nr_run *run);

#define NR_RIG_FILE "rig.ini"
#define NR_READINGS_FILE "readings.csv"
#define NR_ADAPTER_LOG_FILE "adapter.log"
#define NR_NOTES_FILE "notes.csv"

#endif
