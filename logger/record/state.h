/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who records a run, and how it goes: .noonlog/state in the run folder.
 *
 * The recorder holds a lock on the file for as long as it lives; the kernel gives it back when
 * the process ends, however it ends, so a stale file never looks like a living recorder. The
 * content is for `status`, `stop`, `note` and `watch`, and tells a resumed recording where the
 * run's time began. The file is for its owner only: whoever may read a file may also hold a lock on
 * it that looks like a recorder's.
 */
#ifndef NR_RECORD_STATE_H
#define NR_RECORD_STATE_H

#include "logger/base/err.h"
#include "logger/record/supply.h"

#include <stdbool.h>
#include <sys/types.h>

#define NR_STATE_FOLDER ".noonlog"
#define NR_STATE_FILE ".noonlog/state"
#define NR_STATE_STOP ".noonlog/stop" /* there: the recorder is asked to end */

/* Whether the computer may go to sleep while it records. */
typedef enum nr_awake_is {
    NR_AWAKE_UNKNOWN, /* not heard yet; or of a recorder that did not say */
    NR_AWAKE_LID,     /* kept awake, also with its lid closed */
    NR_AWAKE_KEPT,    /* kept awake unless the lid is closed */
    NR_AWAKE_NOT,     /* nobody would keep it awake */
    NR_AWAKE_LET      /* --let-sleep */
} nr_awake_is;

typedef struct nr_state {
    long pid;
    char boot_id[64];     /* of the kernel that counts steady_s */
    double zero_steady_s; /* CLOCK_BOOTTIME at elapsed 0 */
    double zero_utc_s;    /* wall clock at elapsed 0 */
    double elapsed_s;     /* of the series when this was written */
    double at_steady_s;   /* CLOCK_BOOTTIME when this was written */
    double last_row_s;    /* elapsed_s of the last row; -1: none yet */
    unsigned long rows, lines, rejected;
    unsigned long on_disk; /* rows that the disk has confirmed */
    unsigned long lost;    /* rows, lines and notes that could not be kept */
    bool closes;           /* read: written by a recorder that gives a closing word (not 1.0) */
    bool ended;            /* the recorder's closing word: nothing more will be written */
    int status;            /* then: its exit status */
    bool waiting;          /* for a port */
    nr_supply supply;      /* what it lives on, as last seen */
    nr_awake_is awake;
    char trouble[200]; /* "" or what keeps data from the disk; clean text */
} nr_state;

/* Takes the lock, creating .noonlog/ and the file when needed. NR_BAD when another process
 * records, with its pid. *fd keeps the lock until it is closed. */
nr_code nr_state_lock(const char *folder, int *fd, nr_err *err);

/* Writes the content at the lock's file. False: errno. */
bool nr_state_write(int fd, const nr_state *state);

/* Reads what is there. NR_CANNOT when there is no state file. */
nr_code nr_state_read(const char *folder, nr_state *out, nr_err *err);

/* What nr_state_holder says when the lock is held by what is no process of ours: through an
 * open-file description (the kernel then names no process), or from another process namespace. */
#define NR_STATE_STRANGER ((pid_t)-1)

/* The pid of the process that holds the lock (above 1), 0 when nobody does, NR_STATE_STRANGER. It
 * is the kernel's word, not the file's; but only nr_state_signal looks whether it is a recorder. */
pid_t nr_state_holder(const char *folder);

/* Sends a signal to the recorder of the run: to the process that holds the lock, if the state names
 * the same one and it runs the same program as the caller. NR_CANNOT when nobody records, NR_BAD
 * when the holder is not a recorder (it gets no signal). *pid: who got it. */
nr_code nr_state_signal(const char *folder, int signal, pid_t *pid, nr_err *err);

/* Where that is refused because the kernel does not show the recorder's program (it runs under an
 * emulator of another processor, or in another process namespace), the recorder can be asked: the
 * empty file NR_STATE_STOP, which it takes away within a second or two. What is no recorder lets it
 * lie. nr_state_ask: false with errno when the file cannot be made (another's run, a full disk). */
bool nr_state_ask(const char *folder);

/* Whether a request still lies there. */
bool nr_state_is_asked(const char *folder);

/* Takes a request away: by the recorder, which then ends, or by who asked and waited in vain. False
 * when there was none. */
bool nr_state_take_request(const char *folder);

/* "lid", "kept", "not", "let"; "" where not known: the word in the file and in JSON. */
const char *nr_awake_word(nr_awake_is awake);

/* A sentence for people; "" where not known. */
const char *nr_awake_text(nr_awake_is awake);

/* This kernel's boot id; "" when it cannot be read. */
void nr_boot_id(char *out, size_t size);

#endif
