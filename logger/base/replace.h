/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A file put in the place of another, whole or not at all.
 *
 * The new content is written to a file that has no name yet (or, where the file system cannot do
 * that, one that nobody could guess and that is never an existing one), synced, and only then takes
 * the place of the old: a full disk, a kill or a loss of power leave the old file as it was, and
 * nothing beside it.
 */
#ifndef NR_BASE_REPLACE_H
#define NR_BASE_REPLACE_H

#include "logger/base/err.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

typedef struct nr_replacement {
    int fd; /* write here */
    char path[NR_ERR_FILE];
    char temporary[NR_ERR_FILE + 32]; /* "" while it has no name */
} nr_replacement;

/* mode: as of open(2), for a new file; one that is there keeps its own. NR_BAD when path is there
 * and no plain file (a device, a folder), or the place cannot be written. */
nr_code nr_replace_begin(nr_replacement *r, const char *path, unsigned mode, nr_err *err);

nr_code nr_replace_write(nr_replacement *r, const char *bytes, size_t length, nr_err *err);

/* The same file as a stream, to be read back, too. The caller closes it, and says if it could not
 * be written. NULL with errno set: there are no more. */
FILE *nr_replace_stream(const nr_replacement *r);

/* Either of the two ends it. On failure of the first nothing has changed. */
nr_code nr_replace_commit(nr_replacement *r, nr_err *err);
void nr_replace_abandon(nr_replacement *r);

/* All bytes, however many calls it takes. False with errno set. */
bool nr_write_all(int fd, const char *bytes, size_t length);

/* Whether a file of this name is what a kill left of replacing `of`, where the file system has no
 * files without a name. */
bool nr_replace_left(const char *name, const char *of);

/* All of it at once. */
nr_code nr_replace_file(const char *path, const char *bytes, size_t length, unsigned mode,
                        nr_err *err);

#endif
