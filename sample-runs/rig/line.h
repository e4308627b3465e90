/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The adapter's lines: one row of readings as `values` or `pairs`, with its milliseconds counter
 * and its checksum. */
#ifndef NR_VIRTUAL_LINE_H
#define NR_VIRTUAL_LINE_H

#include "sample-runs/rig/virtual.h"

#define NR_VIRTUAL_LINE 1500

/* Row `row` of the run as a line without its line end, the channels in the order of its rig file;
 * p: how the adapter speaks. Returns its length, or 0 when it does not fit.
 * counter_ms wraps at 2^32, as the adapter's does. */
size_t nr_virtual_line(const nr_virtual_params *p, const nr_run *run, size_t row,
                       unsigned long long counter_ms, char out[NR_VIRTUAL_LINE]);

#endif
