/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The options that state by which day and use builds are judged: of compare, report and card. */
#ifndef NR_NOONFIT_QUESTION_OPTIONS_H
#define NR_NOONFIT_QUESTION_OPTIONS_H

#include "analyze/compare/compare.h"
#include "analyze/tell/display.h"
#include "logger/command/command.h"

typedef struct nr_question_options {
    const char *air, *from, *to; /* read when the units are known */
    nr_reference_day day;
} nr_question_options;

/* A group of a command's table. */
extern const nr_option nr_question_group[];

nr_question_options nr_question_none(void);

/* Reads what depends on the units. */
nr_code nr_question_finish(nr_question_options *q, const nr_command *command, nr_units units,
                           nr_err *err);

/* The same for a command that judges one build, too: a question to one alone is `predict`'s, and
 * NR_BAD says so. */
nr_code nr_question_for(nr_question_options *q, const nr_command *command, size_t builds,
                        nr_units units, nr_err *err);

#endif
