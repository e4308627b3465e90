/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A file that only grows, whole rows at a time, through every trouble a disk can make.
 *
 * Rows go to memory first, then to the file (nr_append_flush), then to the disk
 * (nr_append_sync). Bytes leave memory only when the disk has confirmed them: after a failed
 * write or sync they are written again at the same place, so the file never has a torn row in its
 * middle, whatever failed and for however long. Memory is bounded: when it is full, new rows are
 * refused and counted, which is all that is ever lost.
 *
 * Two threads may use it: one adds rows, one flushes and syncs. Adding never waits for the disk.
 *
 * Why bytes are kept until the sync: after a failed fsync Linux may have marked the pages clean,
 * and a later fsync reports success for data that never reached the disk.
 */
#ifndef NR_RECORD_APPEND_H
#define NR_RECORD_APPEND_H

#include "logger/base/err.h"
#include "logger/record/files.h"

#include <stddef.h>

typedef struct nr_append nr_append;

/* Opens path for appending; its present content must end in a line end (see repair.h) or be
 * empty. capacity: bytes kept at most. files must live as long. Free with nr_append_close. */
nr_code nr_append_open(const nr_files *files, const char *path, size_t capacity, nr_append **out,
                       nr_err *err);

/* Takes rows (each ending in '\n') into memory. False: there is no room, nothing was taken. */
bool nr_append_rows(nr_append *a, const char *rows, size_t length);

/* No limit. */
#define NR_APPEND_ALL ((size_t)-1)

/* Hands to the file the first `most` bytes of what memory holds (NR_APPEND_ALL, or what
 * nr_append_waiting said a while ago). The disk's side, as nr_append_sync is. False: trouble; *a
 * knows the errno; try again later. */
bool nr_append_flush(nr_append *a, size_t most);

/* Flushes and has the disk confirm; rows that are added meanwhile wait for the next. Opens the file
 * anew when it was replaced or vanished. */
bool nr_append_sync(nr_append *a, size_t most);

/* 0 when the last flush and sync worked; ESTALE when the file is no longer under its name. Either
 * side. */
int nr_append_errno(nr_append *a);
unsigned long nr_append_confirmed(nr_append *a); /* rows that the disk has, since it was opened */
size_t nr_append_waiting(nr_append *a); /* bytes not yet confirmed by the disk; either side */

/* Does not sync; what is still waiting is lost. */
void nr_append_close(nr_append *a);

#endif
