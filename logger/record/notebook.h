/* SPDX-License-Identifier: GPL-3.0-or-later */
/* notes.csv while the run is being recorded: several processes write, the rows never mix.
 *
 * The recorder writes gaps and port events, `noonlog note` a person's words. Each takes the
 * notebook's lock (an flock on .noonlog/notes.lock, given back by the kernel when a process
 * dies), writes whole rows at the end, and takes back what it wrote if the disk could not take
 * all of it. The recorder keeps notes in bounded memory until they are written.
 *
 * Two threads may use it: one adds, one flushes. Adding never waits for the disk or the lock file.
 */
#ifndef NR_RECORD_NOTEBOOK_H
#define NR_RECORD_NOTEBOOK_H

#include "logger/record/files.h"
#include "logger/run/notes.h"

#include <pthread.h>
#include <stdbool.h>
#include <stddef.h>

/* Room for about a hundred notes while the disk is full. */
#define NR_NOTEBOOK_ROOM 16384

typedef struct nr_notebook {
    const nr_files *files;
    char path[NR_ERR_FILE];
    char lock_path[NR_ERR_FILE];
    int why;            /* errno of the last trouble, 0: none; the flushing side's */
    unsigned long lost; /* notes for which there was no room; the adding side's */
    pthread_mutex_t lock;
    size_t length; /* bytes waiting in rows; under the lock, as the rows are */
    char rows[NR_NOTEBOOK_ROOM];
} nr_notebook;

/* Of the run in folder. False: the path is too long. */
bool nr_notebook_init(nr_notebook *book, const nr_files *files, const char *folder);

/* Keeps a note for the next flush. False: no room. */
bool nr_notebook_add(nr_notebook *book, const nr_note *note);

/* Bytes not yet on the disk; either side. */
size_t nr_notebook_waiting(nr_notebook *book);

/* Writes what waits, and the header first when the file is new, and syncs. False: the lock is
 * busy (why is then EWOULDBLOCK) or the disk has trouble; try again later. */
bool nr_notebook_flush(nr_notebook *book);

#endif
