/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is wrong with a rig file, told in the order of its lines. Internal to the rig reader. */
#ifndef NR_RUN_RIG_PROBLEMS_H
#define NR_RUN_RIG_PROBLEMS_H

#include "logger/base/err.h"

#include <stddef.h>

/* Collects what is wrong, to be told in the order of the lines. */
typedef struct nr_rig_problems {
    size_t count, kept;
    struct nr_rig_found {
        long line;
        char *text;
    } * found;
    size_t room;
} nr_rig_problems;

void nr_rig_problem(nr_rig_problems *problems, long line, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* Every problem to the sink, the first also into err; gives NR_BAD if there was any, and frees. */
nr_code nr_rig_problems_tell(nr_rig_problems *problems, const char *path, const nr_sink *sink,
                             nr_err *err);

/* The word of the list that was probably meant, or NULL. */
const char *nr_rig_nearest(const char *word, const char *const *list, size_t count);

#endif
