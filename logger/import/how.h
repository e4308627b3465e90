/* SPDX-License-Identifier: GPL-3.0-or-later */
/* imported/how.ini in a run folder: how the table beside it was read, so that it can be read again.
 *
 * Lines "key = value"; lines that begin with ; are remarks. Keys: table (the file's name), skip,
 * time, time_format, zone, start, and map, which may come several times.
 */
#ifndef NR_IMPORT_HOW_H
#define NR_IMPORT_HOW_H

#include "logger/import/import.h"

#define NR_IMPORTED_FOLDER "imported"
#define NR_HOW_FILE NR_IMPORTED_FOLDER "/how.ini"

typedef struct nr_import_how {
    char table[256];
    char time[400], format[80], zone[NR_ZONE], start[40];
    char map[NR_MAPS][300];
    const char *maps[NR_MAPS]; /* into map */
    nr_import_stated stated;   /* into the members above */
} nr_import_how;

/* What was stated and what was found: the text of how.ini, to be freed; NULL: no memory. */
char *nr_import_how_write(const char *table, const nr_imported *imported, const nr_rig *rig,
                          const nr_import_stated *stated, size_t *length);

/* Maps to channels that the rig does not have (any more) are passed over. *out is large: not for
 * the stack, and not to be copied. */
nr_code nr_import_how_read(const char *text, size_t length, const char *path, const nr_rig *rig,
                           nr_import_how *out, nr_err *err);

#endif
