/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The temperature somebody waits for: is it reached, and the note that says so. */
#ifndef NR_WATCH_TARGET_H
#define NR_WATCH_TARGET_H

#include "logger/watch/tail.h"

/* The last readings of the store are all at or over it (one alone may be noise). */
bool nr_target_reached(const nr_tail *tail, double target_degC);

/* True when a collector's store has reached it since the last look: time to ring. A recording gets
 * one note each, however many watch; a run that has ended is not written to. *known: all have.
 * target_degC NAN: never. */
bool nr_target_look(nr_tail *tail, double target_degC, bool *known);

#endif
