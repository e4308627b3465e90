/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cuts off the torn end that a crash left in a file of lines. */
#ifndef NR_RECORD_REPAIR_H
#define NR_RECORD_REPAIR_H

#include "logger/base/err.h"

#include <stdbool.h>
#include <stddef.h>
#include <sys/types.h>

/* Truncates the file behind its last whole line; NUL bytes (a power cut on a journalling file
 * system leaves them where data was not yet written) and what follows them go too. *cut: bytes
 * removed. A missing file is fine (0 bytes). The result is synced. */
nr_code nr_repair_tail(const char *path, off_t *cut, nr_err *err);

/* The last line of a file, without its line end, cut to size - 1. False: none. */
bool nr_last_line(const char *path, char *out, size_t size);

#endif
