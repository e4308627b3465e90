/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The disk's side of a recording: one thread that writes and syncs the files of a run.
 *
 * A worn memory card may take seconds to confirm a write. Were the recording loop to wait for it,
 * lines that arrive meanwhile would be stamped late. So the loop only adds to memory (append.h,
 * notebook.h) and asks; this thread does what may block, and its answers are picked up.
 */
#ifndef NR_RECORD_DISK_H
#define NR_RECORD_DISK_H

#include "logger/record/append.h"
#include "logger/record/notebook.h"
#include "logger/record/state.h"
#include "logger/record/supply.h"

typedef struct nr_disk nr_disk;

/* What came of a sync. */
typedef struct nr_disk_answer {
    bool confirmed;   /* all that was held when it began is on the disk */
    nr_supply supply; /* NAN: not looked at this time */
    int why; /* errno of what failed, 0: nothing did (another process had the notes' lock) */
} nr_disk_answer;

/* The files must live as long; nobody else flushes or syncs them. state_fd: of nr_state_lock.
 * Signals the caller has blocked stay blocked in the thread. Free with nr_disk_stop. */
nr_code nr_disk_start(nr_append *log, nr_append *readings, nr_notebook *notes, int state_fd,
                      nr_disk **out, nr_err *err);

/* Asks that what is held be handed to the files. Never waits. */
void nr_disk_flush(nr_disk *d);

/* Asks for a sync of what is held. Never waits; one that is under way is not joined, so ask again
 * while something waits. */
void nr_disk_sync(nr_disk *d);

/* Asks that the state be written. Never waits; the newest one counts. */
void nr_disk_state(nr_disk *d, const nr_state *state);

/* The answer of a sync that has ended since the last call; false: there is none. Never waits. */
bool nr_disk_answered(nr_disk *d, nr_disk_answer *out);

/* Syncs what is held now and the state, and waits for the answer. */
nr_disk_answer nr_disk_settle(nr_disk *d);

/* Waits for what was asked, then ends the thread. */
void nr_disk_stop(nr_disk *d);

#endif
