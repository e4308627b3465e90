/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a crash left in the files of a run: a torn end is moved out of the way, and nothing else is
 * touched.
 *
 * After a power cut a journalling file system may leave NUL bytes where data was not yet written,
 * at the end or, when pages reached the disk out of order, in the middle with good rows behind
 * them. Only what follows the last line end goes, and it is kept in .noonlog. Lines in the middle
 * that cannot be ours stay; the readers skip them.
 */
#ifndef NR_RECORD_REPAIR_H
#define NR_RECORD_REPAIR_H

#include "logger/base/err.h"

#include <stdbool.h>
#include <stddef.h>
#include <sys/types.h>

/* Cuts a file behind its last line end. What is cut, without NUL bytes at its end, is first added
 * to the file kept_path (NULL: it is thrown away), with a line of its own before it. *cut: bytes
 * removed. A missing file is fine (0 bytes). The result is synced. */
nr_code nr_repair_tail(const char *path, const char *kept_path, off_t *cut, nr_err *err);

/* What a readings.csv or another file of lines holds. */
typedef struct nr_repair_survey {
    unsigned long lines;     /* whole ones */
    unsigned long damaged;   /* of those, with control characters in them: none of our files has */
    unsigned long rows;      /* lines that begin with time_utc,elapsed_s */
    long first_damaged;      /* line number; 0: none */
    double utc_s, elapsed_s; /* of the last such row; NAN: there is none */
} nr_repair_survey;

/* A missing file has no lines. */
nr_code nr_repair_look(const char *path, nr_repair_survey *out, nr_err *err);

#endif
