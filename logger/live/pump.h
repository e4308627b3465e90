/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Does the pump run, since when, and why not? From the flow, else its supply, else the notes. */
#ifndef NR_LIVE_PUMP_H
#define NR_LIVE_PUMP_H

#include "logger/live/tail.h"

typedef enum nr_pump_state { NR_PUMP_UNKNOWN, NR_PUMP_RUNNING, NR_PUMP_STOPPED } nr_pump_state;

typedef struct nr_pump {
    nr_pump_state state;
    double since_s; /* run's time of the last change; NAN: as long as is known */
    bool cloud;     /* it stopped while the sun fell */
} nr_pump;

nr_pump nr_pump_of(const nr_tail *tail);

#endif
