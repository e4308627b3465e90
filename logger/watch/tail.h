/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A run that may be growing, followed from its files: what `watch` sees.
 *
 * Only reads. Works the same on a run that another process records, on a finished one, and on one
 * that was made again by `rebuild` in the meantime (it then begins anew).
 */
#ifndef NR_WATCH_TAIL_H
#define NR_WATCH_TAIL_H

#include "logger/record/state.h"
#include "logger/run/notes.h"
#include "logger/run/readings.h"
#include "logger/watch/history.h"

#include <sys/types.h>

/* Rows kept; older ones only live on in low, high and the history. Two hours at one a second. */
#define NR_TAIL_ROWS 7200

typedef struct nr_tail_channel {
    char name[NR_NAME];
    const nr_unit *unit;        /* of value; NULL: not in the table */
    char label[NR_NAME];        /* its unit as in the file, cleaned */
    double value[NR_TAIL_ROWS]; /* NAN: no reading */
    double low, high;           /* over the whole run */
    double last, last_s;        /* newest reading and its time; NAN: none yet */
    double changed_s;           /* when it last differed from the reading before */
} nr_tail_channel;

typedef struct nr_tail {
    char folder[NR_ERR_FILE - 64];
    nr_rig file;                 /* the rig file as it is, all collectors */
    nr_rig rig;                  /* the view of the one that is looked at (rig.h) */
    size_t build;                /* which that is */
    double target_degC;          /* what `reached` is about (target.h) */
    bool reached[NR_RIG_BUILDS]; /* by each collector's store, and told */
    bool has_rig;
    size_t rows; /* kept */
    unsigned long all_rows;
    double time_s[NR_TAIL_ROWS], utc_s[NR_TAIL_ROWS];
    size_t channels;
    nr_tail_channel channel[NR_RIG_CHANNELS];
    nr_history history; /* the whole run, thinned */
    nr_notes *notes;    /* may be NULL */
    nr_state state;
    bool has_state;
    bool recording;
    double state_age_s;        /* since the recorder last wrote its state; recording only */
    char trouble[NR_ERR_TEXT]; /* what could not be read, clean; "" */
    /* where reading goes on */
    off_t offset;
    size_t refused_bytes; /* from there on, that could not be taken; 0: none */
    ino_t inode;
    char *header;
} nr_tail;

/* Large: allocates. NR_BAD when there is no run; NR_OK although nothing was recorded yet. */
nr_code nr_tail_open(const char *folder, nr_tail **out, nr_err *err);

/* Takes what is new. Trouble goes to tail->trouble and the next call tries again. */
void nr_tail_update(nr_tail *tail);

void nr_tail_free(nr_tail *tail);

/* Looks at another collector (below file.builds): rig and what nr_tail_find gives are then its own.
 */
void nr_tail_choose(nr_tail *tail, size_t build);

/* The channel that has this role for the collector looked at, or else this name; NULL when there is
 * none. */
const nr_tail_channel *nr_tail_find(const nr_tail *tail, const char *name);

/* The run's time now: of the last row, or what the recorder's state says. */
double nr_tail_now_s(const nr_tail *tail);

#endif
