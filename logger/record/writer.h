/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The three growing files of a run and its state, and what is said when a disk fails.
 *
 * Nothing here but nr_writer_settle waits for the disk, unless memory is full (see disk.h for who
 * does the waiting).
 */
#ifndef NR_RECORD_WRITER_H
#define NR_RECORD_WRITER_H

#include "logger/record/files.h"
#include "logger/record/sampler.h"
#include "logger/record/state.h"
#include "logger/run/notes.h"
#include "logger/run/rig.h"
#include "logger/wire/lines.h"

typedef struct nr_writer nr_writer;

/* The folder must have been begun (begin.h), state_fd is its lock. rig, files and sink must live as
 * long. */
nr_code nr_writer_open(const char *folder, int state_fd, const nr_rig *rig, const nr_files *files,
                       const nr_sink *say, nr_writer **out, nr_err *err);

/* Each keeps its row in memory; when there is no room it is counted as lost. */
void nr_writer_line(nr_writer *w, double utc_s, double elapsed_s, const char *adapter,
                    const nr_wire_line *line);
void nr_writer_row(nr_writer *w, const nr_sample *row);
void nr_writer_note(nr_writer *w, double utc_s, double elapsed_s, nr_note_kind kind,
                    const char *text);
void nr_writer_mark_resume(nr_writer *w);

/* The newest state for .noonlog/state. */
void nr_writer_state(nr_writer *w, const nr_state *state);

/* Asks that what is new be handed to the files, so that it survives the end of this process. */
void nr_writer_flush(nr_writer *w);

/* Asks the disk to confirm everything; ask again while nr_writer_waiting. */
void nr_writer_sync(nr_writer *w);
bool nr_writer_waiting(nr_writer *w);

/* Looks at what came of it: when trouble begins or ends it is said, and its end is noted (at the
 * given time) with what was lost. */
void nr_writer_look(nr_writer *w, double utc_s, double elapsed_s);

/* Both, waiting for the disk. True: everything is on the disk. */
bool nr_writer_settle(nr_writer *w, double utc_s, double elapsed_s);

/* "" or the present trouble in words. */
const char *nr_writer_trouble(const nr_writer *w);

/* Rows of readings.csv that the disk has confirmed since the start. */
unsigned long nr_writer_confirmed(const nr_writer *w);

/* Rows, lines and notes lost since the start. */
unsigned long nr_writer_lost(const nr_writer *w);

/* What was asked for is still done; does not sync. */
void nr_writer_close(nr_writer *w);

#endif
