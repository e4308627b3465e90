/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The recording loop: ports in, run folder out, until it is told to stop.
 *
 * One poll; what may block on a disk is done by a thread of its own (disk.h). Signals arrive
 * through a signalfd (block them before any thread or child exists). Nothing is allocated once it
 * runs, except by the system's libraries when a lost port is opened again.
 */
#ifndef NR_RECORD_RECORD_H
#define NR_RECORD_RECORD_H

#include "logger/record/begin.h"
#include "logger/record/clock.h"
#include "logger/record/files.h"
#include "logger/record/sampler.h"
#include "logger/run/rig.h"

#define NR_SYNC_DEFAULT_S 1.0

typedef struct nr_record_view {
    double elapsed_s;
    unsigned long rows, lines, rejected;
    bool waiting;        /* a port is down */
    const char *trouble; /* "" or what keeps data from the disk */
    const nr_rig *rig;
    const nr_sample *last; /* NULL before the first row */
} nr_record_view;

typedef struct nr_record_options {
    double for_s;  /* stop when the series' elapsed_s goes beyond; NAN: never */
    double sync_s; /* data is on the disk at most this long after it arrived */
    bool wait;     /* a port that cannot be opened at the start is waited for */
    nr_clock clock;
    const nr_files *files;
    nr_sink say; /* what happens, a line each */
    /* About once a second; may be NULL. */
    void (*progress)(void *context, const nr_record_view *view);
    void *progress_context;
    /* Others that watch; each may be NULL and must not wait: a row that was made, what is new
     * (noted as a port's news; false: nothing), whether the computer is kept awake, and a last word
     * when the recording has ended. */
    void (*row)(void *context, const nr_sample *row);
    bool (*news)(void *context, char *text, size_t size);
    nr_awake_is (*awake)(void *context);
    void (*last_word)(void *context, char *text, size_t size);
    void *watch_context;
} nr_record_options;

typedef struct nr_recorder nr_recorder;

/* Opens the ports. Before the run folder is made, so that a port that is not there leaves no
 * folder behind. options and rig must live as long. */
nr_code nr_recorder_new(const nr_rig *rig, const nr_record_options *options, nr_recorder **out,
                        nr_err *err);

/* Records into a folder that was begun until SIGINT, SIGTERM, SIGHUP or for_s. signal_fd: of
 * nr_record_signals. *begun's state is kept current in .noonlog/state. NR_BAD when something was
 * lost because it could not be written to the end. */
nr_code nr_recorder_run(nr_recorder *r, nr_begun *begun, int signal_fd, nr_err *err);

void nr_recorder_free(nr_recorder *r);

/* Blocks the signals that stop a recording and returns a descriptor for them, -1 on failure.
 * A SIGHUP that is ignored (nohup) stays so. */
int nr_record_signals(void);

#endif
