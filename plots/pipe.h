/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Runs gnuplot on a script: the only place that knows a process is behind it. */
#ifndef NR_PLOTS_PIPE_H
#define NR_PLOTS_PIPE_H

#include "logger/base/err.h"

#include <stddef.h>

/* Feeds script to program (NULL: "gnuplot") and keeps what it writes to its standard output as
 * the file path: written beside it, synced, then renamed, so that path is either the old file or a
 * whole new one. No path ever enters the script. NR_BAD when gnuplot is missing (the message names
 * the package), complains, dies, writes nothing, or the file cannot be written; gnuplot's own words
 * are in the message. Does not touch the process's signal handling. */
nr_code nr_gp_run(const char *program, const char *script, size_t length, const char *path,
                  nr_err *err);

#endif
