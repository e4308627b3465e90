/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Adapters listened to for a while, without a run folder: what `listen` and `bath` stand on.
 *
 * The same ports, lines and sampler as a recording; what comes out goes to the caller instead of
 * to files.
 */
#ifndef NR_LISTEN_SESSION_H
#define NR_LISTEN_SESSION_H

#include "logger/record/clock.h"
#include "logger/record/sampler.h"

#include <stdbool.h>

typedef struct nr_session_user {
    /* A line with the sampler's verdict; elapsed_s since the start. Any may be NULL. */
    void (*line)(void *context, size_t adapter, const nr_wire_line *line, nr_line_fault fault,
                 double elapsed_s);
    void (*row)(void *context, const nr_sample *row);
    void (*news)(void *context, const char *text); /* what happens to a port; clean text */
    void *context;
} nr_session_user;

typedef struct nr_session nr_session;

/* Opens the ports. rig must live as long. NR_BAD: a port that cannot be opened. */
nr_code nr_session_open(const nr_rig *rig, const nr_session_user *user, nr_session **out,
                        nr_err *err);

/* Listens until so many seconds since the start, or until a signal arrives at signal_fd
 * (nr_record_signals; -1: none). May be called again with a later end. True: all the time was
 * used; false: stopped early. */
bool nr_session_run(nr_session *s, double seconds, int signal_fd);

double nr_session_elapsed_s(const nr_session *s); /* since the start */
const nr_sampler *nr_session_sampler(const nr_session *s);
unsigned long nr_session_bytes(const nr_session *s, size_t adapter); /* that have arrived */
const char *nr_session_path(const nr_session *s, size_t adapter);    /* the device; not cleaned */

/* A request to an adapter. False: its port cannot be written to now. */
bool nr_session_say(nr_session *s, size_t adapter, const char *text);

void nr_session_free(nr_session *s);

#endif
