/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A pseudo-terminal with a name of its own: what the adapter's USB port is to a real rig.
 *
 * The far end is held open here as well, so that closing by a reader neither loses what is unread
 * nor breaks the line; who comes and goes is seen by watching the device file. */
#ifndef NR_VIRTUAL_TERMINAL_H
#define NR_VIRTUAL_TERMINAL_H

#include "logger/base/err.h"

#include <stdbool.h>
#include <stddef.h>

typedef struct terminal {
    char link[256]; /* the symbolic link that leads to the device */
    bool linked;    /* it is there, and ours */
    int near, far;  /* our end; the reader's end, held */
    int watch;      /* inotify on the reader's end */
    int signals;    /* signalfd: SIGINT, SIGTERM, SIGHUP */
    int readers;    /* that have the device open now */
    bool met;       /* there has been a reader */
    bool stopped;   /* a signal came */
} terminal;

/* Blocks the signals, opens a pseudo-terminal and puts the link in place (an old link there is
 * replaced; anything else is an error). */
nr_code terminal_open(terminal *t, const char *link, nr_err *err);

/* Pulls the plug: the reader sees a hang-up, the link vanishes. terminal_plug opens a new one. */
void terminal_unplug(terminal *t);
nr_code terminal_plug(terminal *t, nr_err *err);

void terminal_close(terminal *t);

/* Waits until monotonic time `until_s` (INFINITY = for ever), a change of readers or a signal. */
void terminal_wait(terminal *t, double until_s);

/* Writes all of it, waiting as long as the reader needs. NR_CANNOT when stopped by a signal. */
nr_code terminal_write(terminal *t, const char *bytes, size_t count, nr_err *err);

/* Waits until the reader has taken everything, or has left, or a signal came. */
void terminal_drain(terminal *t);

double terminal_now(void);

#endif
