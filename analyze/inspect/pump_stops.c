/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the pump did. */
#include "analyze/inspect/subjects.h"

#include <math.h>

#define NEVER_RAN_S 60.0
#define NEVER_SHARE 0.1 /* of the time it stood */

static void look_at_stops(nr_inspection *inspection)
{
    const nr_quality *q = inspection->q;
    if (q->pump_stops == 0)
        return;
    nr_quality_event longest = q->pump_stop[0];
    for (size_t i = 1; i < q->pump_stops && i < NR_QUALITY_EVENTS; i++)
        if (q->pump_stop[i].length_s > longest.length_s)
            longest = q->pump_stop[i];
    nr_find(inspection, NR_FIND_PUMP_STOPS, NR_SEVERITY_NOTE, NR_ROLES, longest.at_s,
            longest.at_s + longest.length_s,
            NR_SEEN(q->pump_on_s / (q->pump_on_s + q->pump_off_s), (double)q->pump_stops,
                    longest.length_s));
}

static void look_at_meter(nr_inspection *inspection)
{
    const nr_quality_channel *c = &inspection->q->channel[NR_ROLE_FLOW];
    nr_cursor t;
    nr_cursor_begin(&t, &inspection->q->elapsed_s);
    double from = NAN, to = NAN;
    for (size_t i = 0; i < inspection->q->rows; i++) {
        if (c->bad[i] != NR_BAD_STUCK)
            continue;
        to = nr_at(&t, i);
        from = isnan(from) ? to : from;
    }
    nr_find(inspection, NR_FIND_FLOW_DEAD, NR_SEVERITY_FAULT, NR_ROLE_FLOW, from, to, NULL);
}

void nr_inspect_pump(nr_inspection *inspection)
{
    const nr_quality *q = inspection->q;
    if (q->flow_dead)
        look_at_meter(inspection);
    if (q->pump_source == NR_PUMP_FROM_NOTHING) {
        nr_find(inspection, NR_FIND_PUMP_UNKNOWN, NR_SEVERITY_NOTE, NR_ROLES, NAN, NAN, NULL);
        return;
    }
    /* A record of a minute may have been pumped all the time. */
    bool hardly = q->pump_on_s < NEVER_RAN_S && q->pump_on_s < NEVER_SHARE * q->pump_off_s;
    bool never = !(q->pump_on_s > 0) || hardly;
    if (never && !inspection->dark && !q->flow_dead) {
        nr_find(inspection, NR_FIND_PUMP_NEVER_RAN, NR_SEVERITY_DOUBT, NR_ROLES, NAN, NAN,
                NR_SEEN(q->pump_source == NR_PUMP_FROM_FLOW     ? 0
                        : q->pump_source == NR_PUMP_FROM_SUPPLY ? 1
                                                                : 2));
        return;
    }
    look_at_stops(inspection);
}
