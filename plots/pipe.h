/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Runs gnuplot on a script: the only place that knows a process is behind it. */
#ifndef NR_PLOTS_PIPE_H
#define NR_PLOTS_PIPE_H

#include "logger/base/err.h"

#include <stddef.h>

/* A picture takes less than a second; a slow computer under load may take a few. */
#define NR_GP_LIMIT_S 120.0

/* Feeds script to program (NULL: "gnuplot") and keeps what it writes to its standard output as
 * the file path, whole or not at all (base/replace.h): path is either the old file or a whole new
 * one. No path ever enters the script. NR_BAD when gnuplot is missing (the message names the
 * package), complains, dies, writes nothing, is not done in time (then it is killed), or the file
 * cannot be written; gnuplot's own words are in the message. Does not touch the process's signal
 * handling. */
nr_code nr_gp_run(const char *program, const char *script, size_t length, const char *path,
                  nr_err *err);

/* The same with another limit than NR_GP_LIMIT_S. */
nr_code nr_gp_run_within(const char *program, const char *script, size_t length, double limit_s,
                         const char *path, nr_err *err);

#endif
