/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog's commands: one file cmd_NAME.c each, one row each in main.c's table. */
#ifndef NR_NOONLOG_COMMANDS_H
#define NR_NOONLOG_COMMANDS_H

#include "logger/base/err.h"
#include "logger/run/rig.h"

#include <stddef.h>

typedef struct nr_command {
    const char *name;
    const char *arguments; /* "RIG RUN [--for D]" */
    const char *summary;   /* one line */
    /* argv[0] is the command's name. Returns the exit status. */
    int (*run)(int argc, char **argv);
} nr_command;

int nr_cmd_ports(int argc, char **argv);
int nr_cmd_record(int argc, char **argv);
int nr_cmd_note(int argc, char **argv);
int nr_cmd_status(int argc, char **argv);
int nr_cmd_stop(int argc, char **argv);
int nr_cmd_listen(int argc, char **argv);
int nr_cmd_bath(int argc, char **argv);
int nr_cmd_rebuild(int argc, char **argv);
int nr_cmd_watch(int argc, char **argv);
int nr_cmd_keys(int argc, char **argv);
int nr_cmd_draft(int argc, char **argv);

#define NR_PROGRAM "noonlog"

/* Prints the error to stderr and returns the exit status that belongs to it. */
int nr_cmd_failed(const nr_err *err);

/* "noonlog COMMAND: TEXT; `noonlog COMMAND --help` ..." to stderr; returns 2. */
int nr_cmd_usage(const char *command, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* Reads a rig file and the bytes it was read from (free *text), and prints whatever is wrong with
 * it. Returns the exit status. */
int nr_cmd_read_rig(const char *path, nr_rig_need need, nr_rig *rig, char **text, size_t *length);

#endif
