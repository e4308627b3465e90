/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The run of a folder that is known to hold one collector. */
#ifndef NR_TESTS_ONE_RUN_H
#define NR_TESTS_ONE_RUN_H

#include "logger/run/folder.h"

static inline nr_code one_run(const char *folder, nr_run **out, nr_err *err)
{
    nr_run *all[NR_RIG_BUILDS] = {NULL};
    size_t count;
    nr_code code = nr_run_open_builds(folder, NULL, all, &count, NULL, err);
    *out = all[0];
    if (code || count == 1)
        return code;
    *out = NULL;
    while (count > 0)
        nr_run_free(all[--count]);
    return nr_fail(err, NR_BAD, folder, 0, "holds several collectors");
}

#endif
