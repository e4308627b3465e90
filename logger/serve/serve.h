/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The live page: one process, one thread, reading the run folder and nothing else of the recorder.
 *
 * HTTP is libmicrohttpd's, driven from our own poll; what is pushed are server-sent events (WHATWG
 * HTML, section 9.2). A client gets each topic (state.h) whole, so one that is slow skips and one
 * that comes back is right at once; the curve is not sent again to one that says it has it
 * (Last-Event-ID). Every second the files are looked at; noonfit is asked only while somebody
 * looks.
 */
#ifndef NR_SERVE_SERVE_H
#define NR_SERVE_SERVE_H

#include "logger/serve/door.h"

#include <stdbool.h>

typedef struct nr_serve_options {
    const char *folder;
    const char *units;   /* si, us, or "" */
    double target_degC;  /* NAN: none; the page can set another */
    const char *noonfit; /* NULL: found as ask.h says */
} nr_serve_options;

/* Until a signal arrives at signal_fd (a signalfd). `ready` is called once when the page can be
 * had. NR_BAD when it could not begin. */
nr_code nr_serve(const nr_serve_options *options, const nr_door *door, int signal_fd,
                 void (*ready)(const nr_door *door), nr_err *err);

#endif
