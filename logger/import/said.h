/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was decided about a table, in sentences: shown to the person and kept with the run. */
#ifndef NR_IMPORT_SAID_H
#define NR_IMPORT_SAID_H

#include <stdarg.h>
#include <stddef.h>

#define NR_SAID 48
#define NR_SAID_TEXT 320

typedef struct nr_import_said {
    size_t count; /* of those kept; more are counted in lost */
    size_t lost;
    char text[NR_SAID][NR_SAID_TEXT]; /* clean, one line each */
} nr_import_said;

void nr_import_say(nr_import_said *said, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

#endif
