/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A rig file to begin with, from a table: a channel for every column of readings, named by its role
 * where the head says it. */
#ifndef NR_IMPORT_SKETCH_H
#define NR_IMPORT_SKETCH_H

#include "logger/import/import.h"

typedef struct nr_sketch {
    char *text; /* free it */
    size_t length;
    char map[NR_MAPS][NR_NAME + 24]; /* "3=store": which column became which channel */
    const char *maps[NR_MAPS];
    size_t channels, known; /* known: by a role */
} nr_sketch;

/* imported: from nr_import_table. NR_CANNOT: no column holds readings. */
nr_code nr_sketch_rig(const nr_imported *imported, const char *table, nr_sketch *out, nr_err *err);

#endif
