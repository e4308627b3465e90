/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The program run once more as a child, with what it says kept: for manifests. */
#ifndef NR_NOONFIT_REPEAT_H
#define NR_NOONFIT_REPEAT_H

#include "analyze/manifest/manifest.h"
#include "logger/command/command.h"

/* Runs this program with these arguments (the command first; NULL behind the last). What it writes
 * to standard output comes back in *said (free it) and, with `pass_on`, goes to ours as it comes;
 * its standard error is ours. Each of `variable` is set in its environment, or unset. */
nr_code nr_repeat(char *const *arguments, size_t count, const nr_manifest_pair *variable,
                  size_t variables, bool pass_on, char **said, size_t *length, int *status,
                  nr_err *err);

/* For nr_program: --manifest FILE, on every command. */
extern const nr_option nr_manifest_option;
nr_code nr_manifest_run(const nr_program *program, const nr_command *command, int argc, char **argv,
                        const char *path, nr_err *err);

/* Whether a file of this name is kept as text in a manifest. */
bool nr_manifest_text_name(const char *path);

/* main.c: a command of this program, or NULL. */
const nr_command *nr_noonfit_command(const char *name);

#endif
