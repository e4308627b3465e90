/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `virtual-rig`: the command line around the virtual rig. */
#include "sample-runs/rig/program/options.h"
#include "sample-runs/rig/program/serve.h"
#include "sample-runs/rig/side_by_side.h"

#include <stdlib.h>

static nr_code sentences(const nr_virtual_record *record, const nr_rig_options *o, nr_err *err)
{
    nr_code code = NR_OK;
    for (size_t i = 0; code == NR_OK && i < record->collectors; i++) {
        code = nr_virtual_truth_sentence(record->of[i], &o->collector[i], stdout, err);
    }
    return code;
}

static nr_code simulate_and(const nr_rig_options *o, nr_err *err)
{
    nr_virtual_record *record = NULL;
    nr_code code = nr_virtual_record_make(o->collector, o->collectors, &record, err);
    if (code == NR_OK && o->command == NR_RIG_WRITE) {
        code = nr_virtual_record_write(record, o->collector, o->folder, err);
    } else if (code == NR_OK && o->sentence) {
        code = sentences(record, o, err);
    } else if (code == NR_OK) {
        code = nr_virtual_record_truth(record, o->collector, stdout, err);
    }
    nr_virtual_record_free(record);
    return code;
}

static nr_code print_rig(const nr_rig_options *o, nr_err *err)
{
    char *text = nr_virtual_rigs_text(o->collector, o->collectors);
    bool ok = text && fputs(text, stdout) != EOF && fflush(stdout) == 0;
    free(text);
    return ok ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, "the rig file could not be written");
}

static nr_code run(const nr_rig_options *o, nr_err *err)
{
    switch (o->command) {
    case NR_RIG_HELP:
        nr_rig_options_help(stdout);
        return NR_OK;
    case NR_RIG_VERSION:
        puts("virtual-rig " NOONRUN_VERSION);
        return NR_OK;
    case NR_RIG_RIG:
        return print_rig(o, err);
    case NR_RIG_SERVE:
        return nr_rig_serve(o, err);
    case NR_RIG_WRITE:
    case NR_RIG_TRUTH:
    default:
        return simulate_and(o, err);
    }
}

int main(int argc, char **argv)
{
    nr_rig_options options;
    nr_err err = {0};
    nr_code code = nr_rig_options_parse(argc, argv, &options, &err);
    code = code ? code : run(&options, &err);
    if (code) {
        nr_err_print(stderr, "virtual-rig", &err);
    }
    return (int)code;
}
