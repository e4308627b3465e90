/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A rig file named on the command line: read, checked, its problems shown. */
#include "logger/noonlog/commands.h"

#include "logger/run/file.h"

#include <stdio.h>
#include <stdlib.h>

#define RIG_MOST_BYTES 1000000u

static void show_problem(void *context, const char *line)
{
    unsigned *count = context;
    fprintf(stderr, NR_PROGRAM ": %s\n", line);
    (*count)++;
}

int nr_cmd_read_rig(const char *path, nr_rig_need need, nr_rig *rig, char **text, size_t *length)
{
    nr_err err;
    unsigned shown = 0;
    const nr_sink problems = {.write = show_problem, .context = &shown};
    *text = NULL;
    nr_code code = nr_file_read(path, RIG_MOST_BYTES, text, length, &err);
    if (code == NR_OK)
        code = nr_rig_parse(*text, *length, path, need, rig, &problems, &err);
    if (code == NR_OK)
        return NR_OK;
    free(*text);
    *text = NULL;
    return shown > 0 ? (int)code : nr_cmd_failed(&err); /* *err would only repeat the first */
}
