/* notes.csv while the run is being recorded: several processes write, the rows never mix.
 *
 * The recorder writes gaps and port events, `noonlog note` a person's words. Each takes the
 * notebook's lock (an flock on .noonlog/notes.lock, given back by the kernel when a process
 * dies), writes whole rows at the end, and takes back what it wrote if the disk could not take
 * all of it. The recorder keeps notes in bounded memory until they are written.
 */
#ifndef NR_RECORD_NOTEBOOK_H
#define NR_RECORD_NOTEBOOK_H

#include "logger/record/files.h"
#include "logger/run/notes.h"

#include <stdbool.h>
#include <stddef.h>

/* Room for about a hundred notes while the disk is full. */
#define NR_NOTEBOOK_ROOM 16384

typedef struct nr_notebook {
    const nr_files *files;
    char path[NR_ERR_FILE];
    char lock_path[NR_ERR_FILE];
    size_t length;      /* bytes waiting in rows */
    unsigned long lost; /* notes for which there was no room */
    int why;            /* errno of the last trouble, 0: none */
    char rows[NR_NOTEBOOK_ROOM];
} nr_notebook;

/* Of the run in folder. False: the path is too long. */
bool nr_notebook_init(nr_notebook *book, const nr_files *files, const char *folder);

/* Keeps a note for the next flush. False: no room. */
bool nr_notebook_add(nr_notebook *book, const nr_note *note);

/* Writes what waits, and the header first when the file is new, and syncs. False: the lock is
 * busy (why is then EWOULDBLOCK) or the disk has trouble; try again later. */
bool nr_notebook_flush(nr_notebook *book);

#endif
