/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pulses of a flow meter: how many, and how often.
 *
 * The count alone is too coarse (at 8 pulses a second one pulse is 12 %): the frequency is taken
 * from edge to edge, the pulses of a line over the time between their last edge and the last edge
 * before. A tick is half a microsecond, and ticks wrap after 36 minutes.
 */
#ifndef NR_ADAPTER_CORE_METER_H
#define NR_ADAPTER_CORE_METER_H

#include <stdbool.h>
#include <stdint.h>

#define NR_FW_TICKS_MS 2000u       /* ticks in a millisecond */
#define NR_FW_METER_STILL_MS 5000u /* without an edge for so long: it stands still */

/* What the interrupt keeps. */
typedef struct nr_fw_edges {
    uint16_t count; /* since the start, wrapping */
    uint32_t last;  /* tick of the last one */
} nr_fw_edges;

/* Zero to begin with. */
typedef struct nr_fw_meter {
    nr_fw_edges before;
    bool turning; /* before.last is a recent edge: the next one gives a period */
    uint32_t millihertz;
} nr_fw_meter;

typedef struct nr_fw_flow {
    uint16_t pulses;     /* since the last line */
    uint32_t millihertz; /* 0: stands still, or not known yet */
} nr_fw_flow;

/* edges and now are of the same moment. To be called at least every 15 minutes. */
nr_fw_flow nr_fw_meter_take(nr_fw_meter *meter, nr_fw_edges edges, uint32_t now);

#endif
