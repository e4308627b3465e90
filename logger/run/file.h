/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A file read whole, and where it is. */
#ifndef NR_RUN_FILE_H
#define NR_RUN_FILE_H

#include "logger/base/err.h"

#include <stddef.h>
#include <stdio.h>

/* Reads a regular file of at most `most` bytes. *text is terminated by a NUL that *length does not
 * count; free it. A file that grows while it is read is taken as far as it was. */
nr_code nr_file_read(const char *path, size_t most, char **text, size_t *length, nr_err *err);

/* The same, to be read bit by bit: its descriptor, to be closed, and its size now. -1: *err says
 * why not. */
int nr_file_begin(const char *path, size_t most, size_t *size, nr_err *err);

/* Opens a plain file for reading; a FIFO, a device or a folder is an error, and never hangs. NULL:
 * *err (may be NULL) says why, with errno kept (ENOENT: it is not there). */
FILE *nr_file_open(const char *path, nr_err *err);

/* Bytes by which libcsv's room for one cell grows. By its own 128 a cell of megabytes is copied some
 * ten thousand times. */
#define NR_CSV_GROWS 65536

/* Path of a file in a folder. NR_BAD when it is too long. */
nr_code nr_path_in(const char *folder, const char *name, char out[NR_ERR_FILE], nr_err *err);

#endif
