/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One channel: the number on the wire to the reading.
 *
 * raw (a register's number: divided by its scale) -> law -> canonical unit -> plus the offset found
 * by a bath -> believable?
 */
#ifndef NR_RECORD_READING_H
#define NR_RECORD_READING_H

#include "logger/run/rig.h"

/* The reading in the channel's canonical unit. NAN when the law has no answer or the result is
 * beyond the channel's low..high. cold_degC: of the reference junction, for laws that want one. */
double nr_reading_convert(const nr_rig_channel *channel, double raw, double cold_degC);

/* The same for a number that came with a unit (NULL: none), which need not be the channel's: 68.2F
 * in a channel in degC. NAN also where the unit is of another quantity. A law's numbers have none.
 */
double nr_reading_with_unit(const nr_rig_channel *channel, double raw, const nr_unit *unit,
                            double cold_degC);

/* The same for a number that no register's scale is meant for: of a table, or typed. */
double nr_reading_by_law(const nr_rig_channel *channel, double raw, double cold_degC);

/* The last two steps alone, for a reading that is in the canonical unit already. */
double nr_reading_accept(const nr_rig_channel *channel, double canonical);

/* The value of the law's key cold_degC, NAN when it has none. */
double nr_reading_cold_key(const nr_rig_channel *channel);

#endif
