/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which column is which channel of the rig: by words of several languages, by units, by the user.
 *
 * Every pair of column and channel gets points for words of the channel's role and name, and none
 * where the units cannot belong together. The best pair wins if it is the only best; two columns
 * that are as good are an error that says how to settle it, unless their readings are the same.
 */
#ifndef NR_IMPORT_MATCH_H
#define NR_IMPORT_MATCH_H

#include "logger/import/said.h"
#include "logger/import/table.h"
#include "logger/import/times.h"
#include "logger/run/rig.h"

#include <stdint.h>

#define NR_MAPS 64
#define NR_NO_COLUMN SIZE_MAX

/* --map "Tank (F)=store", "3=air degF", "Logger temp=" (left out). */
typedef struct nr_map {
    size_t column;
    int channel; /* -1: left out */
    nr_stated_unit unit;
} nr_map;

typedef struct nr_matched {
    size_t column;       /* NR_NO_COLUMN: no column has this channel */
    nr_stated_unit unit; /* of the numbers; NR_MEASURE_NONE: the channel's own */
    bool by_law;         /* the channel's `convert` applies: numbers are not in its unit yet */
    char why[120];
} nr_matched;

typedef struct nr_match {
    nr_matched of[NR_RIG_CHANNELS]; /* in the order of the rig's channels */
} nr_match;

/* maps: the texts of --map. The time columns of the plan are nobody's channel. */
nr_code nr_match_columns(const nr_table *table, const nr_time_plan *plan, const nr_rig *rig,
                         const char *const *maps, size_t map_count, nr_match *out,
                         nr_import_said *said, nr_err *err);

/* What the words and the unit of a head make of a column, for a rig that is not there yet: a
 * meaning's name ("store", "sun"), or NULL. */
const char *nr_match_role(const nr_table_column *column);

/* The role of a channel: what the analyzer takes it for. */
const char *nr_match_channel_role(const nr_rig_channel *channel);

#endif
