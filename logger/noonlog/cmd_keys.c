/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog keys: what a rig file may say, from the tables its reader works with. */
#include "logger/noonlog/commands.h"

#include "logger/run/rig.h"

#include <getopt.h>
#include <stdio.h>

int nr_cmd_keys(int argc, char **argv)
{
    static const struct option options[] = {{"help", no_argument, NULL, 'h'}, {NULL, 0, NULL, 0}};
    for (int c = 0; (c = getopt_long(argc, argv, "", options, NULL)) != -1;) {
        if (c != 'h')
            return NR_BAD;
        puts("noonlog keys   what a rig file may say: every section and key with its unit, range\n"
             "               and default, and the conversions with theirs");
        return NR_OK;
    }
    if (optind != argc)
        return nr_cmd_usage("keys", "takes no arguments");
    nr_rig_describe(stdout);
    return fflush(stdout) == 0 && !ferror(stdout) ? NR_OK : NR_BAD;
}
