/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The virtual rig's physics at the pins of the board: what its sensors feel becomes probe
 * temperatures, the cell's voltage behind its amplifier, pulses of flow meter and anemometer. */
#ifndef NR_BOARD_DRIVE_H
#define NR_BOARD_DRIVE_H

#include "sample-runs/rig/board/board.h"
#include "sample-runs/rig/virtual.h"

#include <stdio.h>

typedef struct nr_drive nr_drive;

/* build: glazed or bare. The sensors keep their errors, lag and noise; their steps are the
 * board's business. */
nr_code nr_drive_new(const char *build, double duration_s, const char *port, double interval_s,
                     nr_drive **out, nr_err *err);
void nr_drive_free(nr_drive *drive);

/* Everything at the pins as it is at t_s of the test. False: the test is over. */
bool nr_drive_apply(nr_drive *drive, nr_board *board, double t_s);

/* The rig file for a recording through the board. */
nr_code nr_drive_rig(const nr_drive *drive, FILE *to, nr_err *err);

#endif
