/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The simulated board: the compiled firmware in an instruction-level simulator (libsimavr), with
 * probes on its wire, voltages at its converter, pulses at its interrupts, and its serial line.
 *
 * Pins as logger/adapter/avr/board.h. The processor's sleep costs no time: the clock skips to
 * the next event.
 */
#ifndef NR_BOARD_BOARD_H
#define NR_BOARD_BOARD_H

#include "logger/base/err.h"
#include "sample-runs/rig/board/analogue.h"
#include "sample-runs/rig/board/wire.h"

#include <stddef.h>
#include <stdint.h>

#define NR_BOARD_METERS 2

typedef struct nr_board nr_board;

typedef enum nr_board_reset { NR_BOARD_POWER_ON, NR_BOARD_BROWN_OUT } nr_board_reset;

typedef struct nr_board_report {
    double seconds;  /* simulated */
    double awake;    /* share of the time the processor did not sleep */
    unsigned resets; /* of any cause, the first one not counted */
    nr_wire_faults faults;
} nr_board_report;

/* firmware: an ELF file. said: called with every byte on the serial line. */
nr_code nr_board_new(const char *firmware, void (*said)(void *context, char c), void *context,
                     nr_board **out, nr_err *err);
void nr_board_free(nr_board *board);

/* To be changed at will between runs. */
nr_wire *nr_board_wire(nr_board *board);
nr_analogue *nr_board_analogue(nr_board *board);
void nr_board_meter(nr_board *board, unsigned meter, double hertz); /* meter 0 or 1; starts anew */
void nr_board_meter_rate(nr_board *board, unsigned meter, double hertz); /* from its next edge on */

/* Runs until this simulated time. NR_BAD: the processor stopped or crashed. */
nr_code nr_board_run(nr_board *board, double until_s, nr_err *err);
double nr_board_now_s(const nr_board *board);

/* Bytes to the serial line, as fast as it takes them; kept until it does. */
void nr_board_tell(nr_board *board, const char *text, size_t length);

/* A dip of the supply. Probes lose their memory too. */
void nr_board_brown_out(nr_board *board);

/* The processor runs in a circle with interrupts off: only the watchdog helps. */
void nr_board_hang(nr_board *board);

/* Sets four bytes of a variable of the firmware. False: it has no such variable. */
bool nr_board_preset(nr_board *board, const char *variable, uint32_t value);

nr_board_report nr_board_reported(const nr_board *board);

#endif
