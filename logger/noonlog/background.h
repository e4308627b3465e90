/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Going to the background without losing the error: the foreground process waits until the child
 * records, or leaves with the child's error.
 */
#ifndef NR_NOONLOG_BACKGROUND_H
#define NR_NOONLOG_BACKGROUND_H

#include "logger/base/err.h"

#include <stdbool.h>

typedef struct nr_background {
    int pipe; /* to the waiting foreground process; -1: nobody waits */
} nr_background;

/* Forks. True in the foreground process, when the child has reported: *status is the exit status
 * to leave with, everything has been said. False in the child. */
bool nr_background_fork(nr_background *b, int *status);

/* In the child: it records. Lets the foreground go, leaves the terminal, and sends what is said
 * from now on to RUN/.noonlog/messages. Does nothing when nobody waits. */
void nr_background_ready(nr_background *b, const char *folder);

/* In the child: it failed before it was ready. False: nobody waits, print it yourself. */
bool nr_background_failed(nr_background *b, const nr_err *err);

#endif
