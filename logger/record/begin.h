/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A run folder made ready for rows: a new one, or one taken up again.
 *
 * New: the folder appears with a frozen rig.ini, the heads of readings.csv, adapter.log and
 * notes.csv, all of it on the disk before the first row. When that fails, nothing stays behind.
 * Resumed: torn last lines are moved to .noonlog/cut-FILE, and the run's time goes on where it
 * would be by now.
 */
#ifndef NR_RECORD_BEGIN_H
#define NR_RECORD_BEGIN_H

#include "logger/record/clock.h"
#include "logger/record/state.h"
#include "logger/run/readings.h"
#include "logger/run/rig.h"

/* A pause longer than NR_PAUSE_MOST_S (readings.h) is not believed to be one: time then goes on one
 * second after the last row, and time_utc and a note tell the rest. */

typedef struct nr_begun {
    char folder[NR_ERR_FILE];
    int lock_fd;
    nr_state state; /* zero_steady_s, zero_utc_s, last_row_s, boot_id are set */
    bool resumed;
    bool by_wall_clock; /* resumed after a reboot: the pause was measured by the wall clock */
    bool clock_behind;  /* resumed, and the wall clock is before the last row: pause unknown */
    bool clock_beyond;  /* resumed, and the pause would be longer than NR_PAUSE_MOST_S: unknown */
    double last_utc_s;  /* resumed: of the last row */
    double pause_s;     /* resumed: from the last row to now */
    off_t torn_bytes;   /* resumed: moved to .noonlog, all files together */
    /* Resumed: lines in the middle of a file that cannot be ours, and the first of them. */
    unsigned long damaged;
    const char *damaged_file;
    long damaged_line;
} nr_begun;

/* Could a new run be begun here? To be asked before a port is opened, which may take its time or
 * fail for reasons that matter less. */
nr_code nr_begin_check(const char *folder, const nr_rig *rig, nr_err *err);

/* rig_text: the rig file's bytes, written as they are. NR_BAD when the folder already holds
 * anything but what a start that was cut short leaves. */
nr_code nr_begin_new(const char *folder, const nr_rig *rig, const char *rig_text, size_t rig_length,
                     const nr_now *now, nr_begun *out, nr_err *err);

/* Takes away what nr_begin_new has made, of a run that could not be begun after all. */
void nr_begin_undo(nr_begun *begun);

/* rig: read from the folder's own rig.ini; the columns of readings.csv must be its channels. */
nr_code nr_begin_again(const char *folder, const nr_rig *rig, const nr_now *now, nr_begun *out,
                       nr_err *err);

/* Gives the lock back. */
void nr_begun_end(nr_begun *begun);

#endif
