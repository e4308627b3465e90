/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An imported table as a run folder: rig.ini, readings.csv, notes.csv, the table verbatim and how
 * it was read (how.h). */
#ifndef NR_IMPORT_KEEP_H
#define NR_IMPORT_KEEP_H

#include "logger/import/how.h"
#include "logger/record/rebuild.h"

/* A new run. table: the name the file had; bytes: its content. When it fails, nothing stays. */
nr_code nr_import_keep(const char *folder, const nr_rig *rig, const char *rig_text,
                       size_t rig_length, const char *table, const char *bytes, size_t length,
                       const nr_imported *imported, const nr_import_stated *stated, nr_err *err);

/* Does the folder hold an imported table? */
bool nr_import_is(const char *folder);

/* readings.csv again from the table; as nr_rebuild. said: what was found, may be NULL. */
nr_code nr_import_rebuild(const char *folder, const nr_rig *rig, const char *rig_text,
                          size_t rig_length, nr_rebuilt *out, nr_import_said *said, nr_err *err);

/* The largest table that is read. */
#define NR_IMPORT_MOST_BYTES 200000000u

#endif
