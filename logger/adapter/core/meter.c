/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/adapter/core/meter.h"

#define TICKS_S (1000u * (uint32_t)NR_FW_TICKS_MS)
#define STILL ((uint32_t)NR_FW_METER_STILL_MS * NR_FW_TICKS_MS)

/* pulses in so many ticks, in mHz; rounded. */
static uint32_t frequency(uint16_t pulses, uint32_t ticks)
{
    if (ticks == 0)
        return 0;
    uint64_t scaled = (uint64_t)pulses * TICKS_S * 1000u + ticks / 2;
    return (uint32_t)(scaled / ticks);
}

/* No edge since the last line: it turns no faster than one pulse in the time since. */
static void take_silence(nr_fw_meter *m, uint32_t now)
{
    uint32_t since = now - m->before.last;
    if (!m->turning)
        return;
    if (since >= STILL) {
        m->turning = false;
        m->millihertz = 0;
        return;
    }
    uint32_t most = frequency(1, since);
    if (most < m->millihertz)
        m->millihertz = most;
}

nr_fw_flow nr_fw_meter_take(nr_fw_meter *m, nr_fw_edges edges, uint32_t now)
{
    nr_fw_flow flow = {.pulses = (uint16_t)(edges.count - m->before.count)};
    if (flow.pulses == 0) {
        take_silence(m, now);
    } else {
        /* The first edge after a stop ends no period. */
        m->millihertz = m->turning ? frequency(flow.pulses, edges.last - m->before.last) : 0;
        m->before = edges;
        m->turning = true;
    }
    flow.millihertz = m->millihertz;
    return flow;
}
