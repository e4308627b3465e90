/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The command line of `virtual-rig`. */
#ifndef NR_VIRTUAL_OPTIONS_H
#define NR_VIRTUAL_OPTIONS_H

#include "sample-runs/rig/virtual.h"

typedef enum nr_rig_command {
    NR_RIG_WRITE, /* a run folder */
    NR_RIG_TRUTH, /* JSON */
    NR_RIG_RIG,   /* rig.ini for `noonlog record` */
    NR_RIG_SERVE, /* speak on a pseudo-terminal */
    NR_RIG_HELP,
    NR_RIG_VERSION
} nr_rig_command;

typedef struct nr_rig_options {
    nr_rig_command command;
    const char *folder;       /* write */
    nr_virtual_params params; /* of the first collector */
    size_t collectors;        /* that stand side by side; 1: it stands alone */
    nr_virtual_params collector[NR_RIG_BUILDS];
    bool sentence; /* truth: for people */
    /* serve */
    double speed; /* times real time; 0 = as fast as the reader reads */
    double misbehave_garbage, misbehave_half, misbehave_checksum; /* share of lines, 0..1 */
    double hang_up_every_s;            /* of simulated time; NAN = never */
    double hang_up_for_s;              /* wall clock */
    double silent_from_s, silent_to_s; /* simulated: the adapter says nothing */
    bool reset_clock;                  /* the adapter's counter restarts with every hang-up */
    unsigned long first_ms;            /* of the adapter's counter */
    double boot_s;                     /* between the port's opening and the first word */
    bool stay;                         /* after the last line, until the reader leaves */
    double wait_s;                     /* for a reader, before giving up */
} nr_rig_options;

nr_code nr_rig_options_parse(int argc, char **argv, nr_rig_options *o, nr_err *err);
void nr_rig_options_help(FILE *to);

#endif
