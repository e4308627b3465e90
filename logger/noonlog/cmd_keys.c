/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog keys: what a rig file may say, from the tables its reader works with. */
#include "logger/noonlog/commands.h"

#include "logger/run/rig.h"

#include <stddef.h>
#include <stdio.h>

static nr_code run(int argc, char **argv, nr_err *said);

const nr_command nr_cmd_keys = {
    .program = NR_PROGRAM,
    .name = "keys",
    .arguments = "",
    .summary = "what a rig file may say: every key with unit, range and default",
    .about = "What a rig file may say: every section and key with its unit, range and default, and "
             "the conversions with theirs.",
    .least = 0,
    .most = 0,
    .wants = "takes no arguments",
    .run = run};

static int keys_run(int argc, char **argv)
{
    nr_words words;
    nr_err err;
    if (nr_command_read(&nr_cmd_keys, argc, argv, NULL, &words, &err) != NR_OK)
        return nr_cmd_failed(&err);
    nr_rig_describe(stdout);
    return NR_OK;
}

static nr_code run(int argc, char **argv, nr_err *said)
{
    (void)said; /* printed where it arose */
    return (nr_code)keys_run(argc, argv);
}
