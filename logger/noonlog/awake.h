/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The computer stays awake while it records, where there is a login manager that can be asked.
 *
 * `systemd-inhibit` is asked, as a child that lives as long as a pipe to it is open: so the
 * computer may sleep again however the recorder ends, kill -9 included, and no library for D-Bus is
 * needed.
 */
#ifndef NR_NOONLOG_AWAKE_H
#define NR_NOONLOG_AWAKE_H

#include "logger/record/state.h"

#include <stdbool.h>
#include <stddef.h>
#include <sys/types.h>

typedef struct nr_awake {
    pid_t child; /* 0: none */
    int pipe;    /* -1: none */
    bool lid;    /* asked for the lid as well */
    bool told;
    nr_awake_is is; /* once told */
    double from_s;  /* steady clock: when it was asked */
} nr_awake;

void nr_awake_start(nr_awake *a);

/* What came of it, once: a sentence; false: nothing (yet). Never waits. */
bool nr_awake_news(nr_awake *a, char *text, size_t size);

void nr_awake_end(nr_awake *a);

#endif
