/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog's commands: one file cmd_NAME.c each, one row each in main.c's table. */
#ifndef NR_NOONLOG_COMMANDS_H
#define NR_NOONLOG_COMMANDS_H

#include "logger/base/err.h"
#include "logger/command/command.h"
#include "logger/run/rig.h"

#include <stddef.h>

extern const nr_command nr_cmd_ports;
extern const nr_command nr_cmd_record;
extern const nr_command nr_cmd_note;
extern const nr_command nr_cmd_status;
extern const nr_command nr_cmd_stop;
extern const nr_command nr_cmd_listen;
extern const nr_command nr_cmd_bath;
extern const nr_command nr_cmd_rebuild;
extern const nr_command nr_cmd_watch;
extern const nr_command nr_cmd_serve;
extern const nr_command nr_cmd_keys;
extern const nr_command nr_cmd_draft;
extern const nr_command nr_cmd_import;
extern const nr_command nr_cmd_take;

#define NR_PROGRAM "noonlog"

/* Prints the error to stderr and returns the exit status that belongs to it. */
int nr_cmd_failed(const nr_err *err);

/* nr_usage, printed to stderr; returns 2. */
int nr_cmd_usage(const nr_command *command, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* Reads a rig file and the bytes it was read from (free *text), and prints whatever is wrong with
 * it. Returns the exit status. */
int nr_cmd_read_rig(const char *path, nr_rig_need need, nr_rig *rig, char **text, size_t *length);

/* The word for --units as it was read (1 si, 2 us), or what holds otherwise. */
const char *nr_cmd_units(int given, const char *otherwise);

#endif
