/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Local stamps of a table to UTC, autumn's double hour by the order of the rows. */
#ifndef NR_IMPORT_TIMES_ZONE_H
#define NR_IMPORT_TIMES_ZONE_H

#include "logger/import/said.h"
#include "logger/import/table.h"
#include "logger/import/zone.h"

/* open[i]: row i has a local time to be brought to UTC; the others are left alone. Arrays are
 * [table->rows]. NR_BAD: a time that the zone's clocks never showed, or one they showed twice where
 * no neighbour tells which. */
nr_code nr_times_to_utc(const nr_table *table, const nr_zone *zone, bool backwards,
                        const double *local_s, const bool *open, double *utc_s,
                        nr_import_said *said, nr_err *err);

#endif
