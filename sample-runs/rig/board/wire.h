/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The wire between the microcontroller and the probes: edges and times.
 *
 * The probes stand at the corners of the data sheet's limits: every other one samples as early as
 * it may and lets go as early as it may, the rest as late. Whatever the master does outside the
 * limits is counted.
 */
#ifndef NR_BOARD_WIRE_H
#define NR_BOARD_WIRE_H

#include "sample-runs/rig/board/probe.h"

#include <stdbool.h>

#define NR_WIRE_PROBES 16

typedef struct nr_wire_faults {
    unsigned long pulses; /* low for a time that is neither a slot nor a reset */
    unsigned long slots;  /* too close to the one before */
    unsigned long feeds;  /* current came too late, or ended too early */
} nr_wire_faults;

typedef struct nr_wire {
    nr_probe probe[NR_WIRE_PROBES]; /* by their number, from 1; those not plugged in are quiet */
    bool shorted;
    bool driven_low, driven_high;    /* by the master */
    double fell_us, rose_us, fed_us; /* last edges; since when it is driven high */
    bool was_reset;                  /* the last low pulse was one */
    double low_from_us[NR_WIRE_PROBES], low_until_us[NR_WIRE_PROBES]; /* by the probes */
    nr_wire_faults faults;
} nr_wire;

/* Zero to begin with: an idle wire. */

/* The master's side changes. */
void nr_wire_drive(nr_wire *wire, bool low, bool high, double now_us);

/* What the wire is now, and when that will change by itself (INFINITY: not). */
bool nr_wire_level(nr_wire *wire, double now_us, double *until_us);

#endif
