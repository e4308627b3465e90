/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Does the pump run, since when, and why not? From the flow, else its supply, else the notes. */
#ifndef NR_WATCH_PUMP_SEEN_H
#define NR_WATCH_PUMP_SEEN_H

#include "logger/watch/tail.h"

typedef enum nr_pump_motion { NR_PUMP_UNKNOWN, NR_PUMP_RUNNING, NR_PUMP_STOPPED } nr_pump_motion;

typedef struct nr_pump_seen {
    nr_pump_motion state;
    double since_s; /* run's time of the last change; NAN: as long as is known */
    bool cloud;     /* it stopped while the sun fell */
} nr_pump_seen;

nr_pump_seen nr_pump_seen_in(const nr_tail *tail);

#endif
