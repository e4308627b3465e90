/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the pump did. */
#include "analyze/answer/inspect_parts.h"

#include <math.h>

#define NEVER_RAN_S 60.0

static void look_at_stops(nr_look *look)
{
    const nr_quality *q = look->q;
    if (q->pump_stops == 0)
        return;
    nr_quality_event longest = q->pump_stop[0];
    for (size_t i = 1; i < q->pump_stops && i < NR_QUALITY_EVENTS; i++)
        if (q->pump_stop[i].length_s > longest.length_s)
            longest = q->pump_stop[i];
    nr_find(
        look, "pump-stops", NR_SEVERITY_NOTE, NR_ROLES, longest.at_s,
        longest.at_s + longest.length_s,
        "Inlet and outlet are left out while it stands and shortly after; a bigger panel starts "
        "earlier. A collector without flow gets very hot: mind the restart.",
        "The pump ran %.0f %% of the record and stopped %zu %s, for up to %.0f s.",
        100.0 * q->pump_on_s / (q->pump_on_s + q->pump_off_s), q->pump_stops,
        q->pump_stops == 1 ? "time" : "times", longest.length_s);
}

static void look_at_meter(nr_look *look)
{
    const nr_quality_channel *c = &look->q->channel[NR_ROLE_FLOW];
    const double *t = look->run->readings->elapsed_s;
    double from = NAN, to = NAN;
    for (size_t i = 0; i < look->q->rows; i++) {
        if (c->bad[i] != NR_BAD_STUCK)
            continue;
        from = isnan(from) ? t[i] : from;
        to = t[i];
    }
    nr_find(
        look, "flow-dead", NR_SEVERITY_FAULT, NR_ROLE_FLOW, from, to,
        "Look for dirt in the meter's wheel, a loose wire, or a wrong field in the rig file. "
        "The flow readings of that time are left out.",
        "The flow meter shows no flow while the container goes on warming in the sun. The water "
        "must have been moving.");
}

void nr_look_pump(nr_look *look)
{
    const nr_quality *q = look->q;
    if (q->flow_dead)
        look_at_meter(look);
    if (q->pump_source == NR_PUMP_FROM_NOTHING) {
        nr_find(look, "pump-unknown", NR_SEVERITY_NOTE, NR_ROLES, NAN, NAN,
                "Record the flow or the pump's supply voltage, or note it while it happens: "
                "`noonlog note RUN --pump off`.",
                "Nothing in the record says when the pump ran. A stop would be taken for a poor "
                "collector.");
        return;
    }
    if (q->pump_on_s < NEVER_RAN_S && !look->dark && !q->flow_dead) {
        nr_find(
            look, "pump-never-ran", NR_SEVERITY_DOUBT, NR_ROLES, NAN, NAN,
            "If this was meant as a cool-down or a stagnation test, all is well. Else check the "
            "pump's supply, air in the loop and the flow meter.",
            "The pump never ran, says the %s.",
            q->pump_source == NR_PUMP_FROM_FLOW     ? "flow meter"
            : q->pump_source == NR_PUMP_FROM_SUPPLY ? "pump's supply"
                                                    : "notes");
        return;
    }
    look_at_stops(look);
}
