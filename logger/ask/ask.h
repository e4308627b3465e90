/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Asks noonfit about a run, now and then, without ever waiting for it.
 *
 * One child at a time (`noonfit inspect --json`, then `noonfit fit --json`), at low priority, with
 * a limit on its time and on what it may say; the next round waits many times as long as the last
 * one took, so that the recorder on the same small computer keeps its processor. noonfit is the one
 * beside noonlog, else the one in PATH. The child dies with us.
 */
#ifndef NR_ASK_ASK_H
#define NR_ASK_ASK_H

#include "logger/ask/interim.h"

#include <sys/types.h>

typedef enum nr_ask_turn { NR_ASK_REST, NR_ASK_INSPECT, NR_ASK_FIT } nr_ask_turn;

typedef struct nr_ask {
    char program[NR_ERR_FILE]; /* path, or "noonfit" for PATH */
    char folder[NR_ERR_FILE];
    double limit_s; /* of one child */
    nr_ask_turn turn;
    pid_t pid;
    int poll_fd; /* readable when nr_ask_step has something to do; -1: none */
    int out_fd, err_fd, pid_fd;
    double began_s, due_s; /* this child; the next round */
    double round_began_s;
    unsigned long rows; /* that the last round was about */
    char *out;          /* what the child said */
    size_t out_length, out_room;
    char err[1200];
    size_t err_length;
    bool too_long; /* it said more than it may, or took too long, and was killed */
    bool answered; /* interim is of a round that ended */
    nr_interim interim;
} nr_ask;

/* program NULL: found as above. False: the path is too long or there are no descriptors. */
bool nr_ask_open(nr_ask *ask, const char *folder, const char *program);

/* Starts a child when it is time and there are new rows, takes what it says, ends it when it is
 * over its limit. now_s: any steady clock. True: interim has changed. */
bool nr_ask_step(nr_ask *ask, unsigned long rows, double now_s);

/* Kills what still runs and waits for it. */
void nr_ask_close(nr_ask *ask);

#endif
