/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Run folders inside a page: what `noonfit report` puts in and everybody else takes out.
 *
 * Each file is a link of the page, a download for people and a line of base64 (RFC 4648) of a gzip
 * member (RFC 1952) for programs:
 *
 *   <a class="record" data-run="1" data-folder="NAME" data-file="readings.csv" data-bytes="193036"
 *    data-sha256="HEX" download="NAME-readings.csv.gz" href="data:application/gzip;base64,...">
 *
 * Runs count from 1. A page comes from anybody: names of files are those of a run folder and no
 * others, sizes are limited and have to be as stated, and every file has to have its checksum.
 */
#ifndef NR_PACKED_PACKED_H
#define NR_PACKED_PACKED_H

#include "logger/base/err.h"

#include <stdbool.h>
#include <stddef.h>

#define NR_PACKED_RUNS 64
#define NR_PACKED_NAME 80
#define NR_PACKED_DIGEST 65
#define NR_PACKED_TABLE_NAME 256
/* Of one file as it is on the disk, bytes: ten days at a row a second. */
#define NR_PACKED_MOST 268435456UL

typedef struct nr_packed_file {
    unsigned run;                /* from 1 */
    char folder[NR_PACKED_NAME]; /* the folder's own name, without a path; clean */
    const char *name;            /* "readings.csv" ...; static */
    char *bytes;                 /* [length] and a zero behind */
    size_t length;
    char sha256[NR_PACKED_DIGEST];
} nr_packed_file;

typedef struct nr_packed {
    unsigned runs;
    size_t files;
    nr_packed_file *file;
} nr_packed;

/* Is it a page's name: does it end in .html or .htm? */
bool nr_packed_is_page(const char *path);

/* SHA-256 in hexadecimal. */
void nr_packed_digest(const void *bytes, size_t length, char hex[NR_PACKED_DIGEST]);

/* A folder's own name for the page: the last part of its path, clean. */
void nr_packed_folder_name(const char *path, char out[NR_PACKED_NAME]);

/* Of a run that was imported: how its table was read, and that table, whatever name it has on the
 * disk: how.ini tells that. */
#define NR_PACKED_HOW "imported/how.ini"
#define NR_PACKED_TABLE "imported/table"
/* The table's name in the folder imported/, of the text of how.ini [length] with a zero behind.
 * False: it has none that is one file's plain name. */
bool nr_packed_table_name(const char *how, size_t length, char out[NR_PACKED_TABLE_NAME]);

/* Writes one link; its text is the file's name. name is rig.ini, readings.csv, notes.csv,
 * adapter.log, results.json, imported/how.ini or imported/table, folder as nr_packed_folder_name
 * gives it. Trouble of `to` is the caller's to look for. */
nr_code nr_packed_write(FILE *to, unsigned run, const char *folder, const char *name,
                        const void *bytes, size_t length, nr_err *err);

/* Reads the runs of a page; free with nr_packed_free. NR_BAD: the file cannot be read, holds no
 * record, or one of its files is damaged. */
nr_code nr_packed_read(const char *path, nr_packed **out, nr_err *err);
nr_code nr_packed_parse(const char *text, size_t length, const char *path, nr_packed **out,
                        nr_err *err);
void nr_packed_free(nr_packed *packed);

/* NULL when the run has no such file. */
const nr_packed_file *nr_packed_find(const nr_packed *packed, unsigned run, const char *name);

/* Makes a run folder again: the folder must not be there yet. results.json is not part of it.
 * Nothing is left behind when it fails. */
nr_code nr_packed_unpack(const nr_packed *packed, unsigned run, const char *folder, nr_err *err);

#endif
