/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What happens to the board, and when: a text file of lines "SECONDS WHAT ...", in order of time.
 *
 *   0 probe 1 21.5       probe 1..16 feels 21.5 degC; the first time, it is plugged in
 *   0 feed wire          probes that are plugged in from here on are fed by the data wire (own: by
 * a supply of their own, as at first) 5 pull 1, 9 plug 1   unplugged, and back 5 damage 1 2 the
 * next two memories that it sends have a wrong bit 5 short, 9 open      the wire is shorted to
 * ground, and no longer 0 volt ntc1 2.5      at a pin: ntc1 ntc2 div1 div2 cell pump 0 supply 4.75
 * volts; reference 1.083: the internal reference's true volts 0 noise 0.7          of the
 * converter, steps; hum 0.02: amplitude of 50 Hz on the inputs, volts 0 pulses 1 133       Hz, on
 * meter 1 or 2 2 ask e5             a request over the serial line 9 brown-out          and hang:
 * the processor runs in a circle 0.005 preset clock_ms 4294900000   a variable of the firmware
 */
#ifndef NR_BOARD_SCENARIO_H
#define NR_BOARD_SCENARIO_H

#include "logger/base/err.h"
#include "sample-runs/rig/board/board.h"

#define NR_SCENARIO_EVENTS 400
#define NR_SCENARIO_WORDS 3

typedef struct nr_event {
    double at_s;
    char word[NR_SCENARIO_WORDS][32]; /* what, and what with */
    long line;
} nr_event;

typedef struct nr_scenario {
    size_t events, next;
    nr_event event[NR_SCENARIO_EVENTS];
    bool feed_by_wire;
} nr_scenario;

/* NR_BAD names file and line. */
nr_code nr_scenario_read(const char *path, nr_scenario *out, nr_err *err);

/* When the next event is; INFINITY: no more. */
double nr_scenario_next_s(const nr_scenario *scenario);

/* Does what is due. */
nr_code nr_scenario_do(nr_scenario *scenario, nr_board *board, const char *path, nr_err *err);

/* Plugs a probe in, or lets it feel something else. number 1..16. */
void nr_board_probe(nr_board *board, unsigned number, double degC, bool own_supply);

#endif
