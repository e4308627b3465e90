/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A note into a run from outside the recorder: `note`, a target reached, a tap on a telephone. */
#ifndef NR_RECORD_STAMP_H
#define NR_RECORD_STAMP_H

#include "logger/base/err.h"
#include "logger/run/notes.h"

/* When it is: at_s of the run, or now (NAN), on the run's axis and by the wall clock. NR_CANNOT for
 * now when nobody records. */
nr_code nr_stamp_place(const char *folder, double at_s, nr_note *note, nr_err *err);

/* Adds it to notes.csv; waits a little while the recorder writes one of its own. */
nr_code nr_stamp_write(const char *folder, const nr_note *note, nr_err *err);

#endif
