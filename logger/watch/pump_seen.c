/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/watch/pump_seen.h"

#include <math.h>
#include <string.h>

/* Below this share of the highest value seen, flow or supply counts as none... */
#define NOTHING_FLOW 0.05
#define NOTHING_SUPPLY 0.20
/* ...and below this in any case: a meter at rest shows its noise, a panel at dawn some volts'
 * tenth. */
static double floor_of(const nr_unit *unit)
{
    switch (unit ? unit->dimension : NR_DIM_NONE) {
    case NR_DIM_FLOW:
        return 0.03;
    case NR_DIM_VOLTAGE:
        return 1.0;
    case NR_DIM_CURRENT:
        return 0.02;
    case NR_DIM_POWER:
        return 0.2;
    default:
        return 0.0;
    }
}

/* A stop counts as a cloud's when the sun then was below this share of what it had been shortly
 * before. */
#define CLOUD_SHARE 0.7
#define BEFORE_S 300.0
#define AROUND_S 30.0

static nr_pump_seen by_channel(const nr_tail *t, const nr_tail_channel *c, double share)
{
    nr_pump_seen pump = {NR_PUMP_UNKNOWN, NAN, false};
    double limit = fmax(share * c->high, floor_of(c->unit));
    size_t row = t->rows;
    while (row > 0 && isnan(c->value[row - 1]))
        row--;
    if (row == 0)
        return pump;
    bool running = c->value[row - 1] > limit;
    pump.state = running ? NR_PUMP_RUNNING : NR_PUMP_STOPPED;
    for (size_t i = row; i-- > 0;) {
        if (isnan(c->value[i]))
            continue;
        if ((c->value[i] > limit) != running) {
            pump.since_s = t->time_s[i];
            break;
        }
    }
    return pump;
}

static nr_pump_seen by_notes(const nr_tail *t)
{
    nr_pump_seen pump = {NR_PUMP_UNKNOWN, NAN, false};
    for (size_t i = 0; t->notes && i < t->notes->count; i++) {
        const nr_note *note = &t->notes->note[i];
        if (note->kind != NR_NOTE_PUMP)
            continue;
        if (strncmp(note->text, "on", 2) == 0)
            pump.state = NR_PUMP_RUNNING;
        else if (strncmp(note->text, "off", 3) == 0)
            pump.state = NR_PUMP_STOPPED;
        pump.since_s = note->elapsed_s;
    }
    return pump;
}

static bool sun_fell(const nr_tail *t, double at_s)
{
    const nr_tail_channel *sun = nr_tail_find(t, "sun");
    double before = 0.0, then = INFINITY;
    for (size_t i = 0; sun && i < t->rows; i++) {
        double ago = at_s - t->time_s[i];
        if (isnan(sun->value[i]) || ago > BEFORE_S || ago < -AROUND_S)
            continue;
        before = fmax(before, sun->value[i]);
        if (fabs(ago) <= AROUND_S)
            then = fmin(then, sun->value[i]);
    }
    return then < CLOUD_SHARE * before;
}

nr_pump_seen nr_pump_seen_in(const nr_tail *t)
{
    const nr_tail_channel *flow = nr_tail_find(t, "flow"), *supply = nr_tail_find(t, "pump");
    nr_pump_seen pump = {NR_PUMP_UNKNOWN, NAN, false};
    if (flow)
        pump = by_channel(t, flow, NOTHING_FLOW);
    if (supply && pump.state == NR_PUMP_UNKNOWN)
        pump = by_channel(t, supply, NOTHING_SUPPLY);
    if (pump.state == NR_PUMP_UNKNOWN)
        pump = by_notes(t);
    pump.cloud = pump.state == NR_PUMP_STOPPED && !isnan(pump.since_s) && sun_fell(t, pump.since_s);
    return pump;
}
