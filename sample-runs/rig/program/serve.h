/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `virtual-rig serve`: the adapter. */
#ifndef NR_VIRTUAL_SERVE_H
#define NR_VIRTUAL_SERVE_H

#include "sample-runs/rig/program/options.h"

/* Simulates the test, waits for a reader, speaks until the last row. NR_CANNOT when nobody came. A
 * signal ends it early and is no error. */
nr_code nr_rig_serve(const nr_rig_options *o, nr_err *err);

#endif
