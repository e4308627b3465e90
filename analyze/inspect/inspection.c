/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the subjects share: findings, and medians of a channel. */
#include "analyze/inspect/inspection.h"

#include "logger/base/text.h"

#include <math.h>
#include <string.h>

static const char *const names[NR_FIND_COUNT] = {
    [NR_FIND_TOO_SHORT] = "too-short",
    [NR_FIND_BRIEF] = "brief",
    [NR_FIND_SLOW_SAMPLING] = "slow-sampling",
    [NR_FIND_TORN_END] = "torn-end",
    [NR_FIND_DAMAGED_LINES] = "damaged-lines",
    [NR_FIND_GAP] = "gaps",
    [NR_FIND_GAPS] = "gaps",
    [NR_FIND_DUPLICATES] = "duplicates",
    [NR_FIND_CLOCK_STEP] = "clock-step",
    [NR_FIND_CLOCK_JUMP] = "clock-jump",
    [NR_FIND_CLOCK_RATE] = "clock-rate",
    [NR_FIND_CLOCK_RATE_ABSURD] = "clock-rate",
    [NR_FIND_MISSING_CHANNEL] = "missing-channel",
    [NR_FIND_EMPTY_CHANNEL] = "empty-channel",
    [NR_FIND_MISSING_READINGS] = "missing-readings",
    [NR_FIND_OUT_OF_RANGE] = "out-of-range",
    [NR_FIND_OUT_OF_RANGE_STATED] = "out-of-range",
    [NR_FIND_SPIKES] = "spikes",
    [NR_FIND_STUCK] = "stuck",
    [NR_FIND_SATURATED] = "saturated",
    [NR_FIND_NEVER_CHANGES] = "never-changes",
    [NR_FIND_NOISY] = "noisy",
    [NR_FIND_NOISY_FLOW] = "noisy",
    [NR_FIND_COARSE] = "coarse",
    [NR_FIND_SUN_BELOW_HORIZON] = "clock-or-site",
    [NR_FIND_SUN_BEHIND] = "clock-or-site",
    [NR_FIND_SUN_BEYOND_SKY] = "clock-or-site",
    [NR_FIND_SUN_TOO_HIGH] = "sun-too-high",
    [NR_FIND_OBLIQUE_SUN] = "oblique-sun",
    [NR_FIND_NO_SUN] = "no-sun",
    [NR_FIND_NO_SITE] = "no-site",
    [NR_FIND_SWAPPED_PROBES] = "swapped-probes",
    [NR_FIND_PROBES_DISAGREE] = "probes-disagree",
    [NR_FIND_HEAT_BALANCE_CLOSES] = "heat-balance",
    [NR_FIND_HEAT_BALANCE_OPEN] = "heat-balance",
    [NR_FIND_TOO_MUCH_HEAT] = "too-much-heat",
    [NR_FIND_LAG_COLLECTOR] = "lag",
    [NR_FIND_LAG_STORE] = "lag",
    [NR_FIND_LAG_INLET] = "lag",
    [NR_FIND_PUMP_STOPS] = "pump-stops",
    [NR_FIND_FLOW_DEAD] = "flow-dead",
    [NR_FIND_PUMP_UNKNOWN] = "pump-unknown",
    [NR_FIND_PUMP_NEVER_RAN] = "pump-never-ran",
    [NR_FIND_WRONG_UNIT_TEMPERATURE] = "wrong-unit",
    [NR_FIND_WRONG_UNIT_SUN] = "wrong-unit",
    [NR_FIND_WRONG_UNIT_FLOW] = "wrong-unit",
    [NR_FIND_WRONG_UNIT_SPEED] = "wrong-unit",
    [NR_FIND_SMALL_SPREAD] = "small-spread",
    [NR_FIND_AIR_SWINGS] = "air-swings",
    [NR_FIND_STEADY_STRICT] = "steady-windows",
    [NR_FIND_STEADY_FIELD] = "steady-windows",
    [NR_FIND_SUN_BROUGHT] = "sun-from-horizontal",
    [NR_FIND_SUN_MODEL] = "sun-not-measured",
    [NR_FIND_CLOUDS] = "clouds",
    [NR_FIND_CLOUDS_UNSEEN] = "clouds-unseen",
    [NR_FIND_NOT_STATED] = "not-stated",
    [NR_FIND_NO_LID] = "no-lid",
    [NR_FIND_SCALD] = "scald",
    [NR_FIND_LUKEWARM] = "lukewarm",
};

const char *nr_finding_name(nr_finding_code code)
{
    return (unsigned)code < NR_FIND_COUNT ? names[code] : "";
}

static nr_finding *room_for(nr_inspect *x, nr_severity severity)
{
    if (x->findings < NR_FINDINGS)
        return &x->finding[x->findings++];
    for (size_t i = NR_FINDINGS; i-- > 0;)
        if (x->finding[i].severity < severity)
            return &x->finding[i];
    return NULL;
}

static nr_dimension dimension_of(nr_role role)
{
    if (role >= NR_ROLES)
        return NR_DIM_NONE;
    return nr_role_is_temperature(role) ? NR_DIM_TEMPERATURE
           : role == NR_ROLE_SUN        ? NR_DIM_IRRADIANCE
           : role == NR_ROLE_FLOW       ? NR_DIM_FLOW
                                        : NR_DIM_SPEED;
}

void nr_find(nr_inspection *inspection, nr_finding_code code, nr_severity severity, nr_role role,
             double from_s, double to_s, const double number[NR_FINDING_NUMBERS])
{
    nr_finding *f = room_for(inspection->out, severity);
    if (!f)
        return;
    *f = (nr_finding){.code = code,
                      .severity = severity,
                      .from_s = from_s,
                      .to_s = to_s,
                      .dimension = dimension_of(role)};
    nr_copy(f->channel, sizeof f->channel, role < NR_ROLES ? nr_role_name(role) : "");
    if (number)
        memcpy(f->number, number, sizeof f->number);
}

const double *nr_inspect_raw(const nr_inspection *inspection, nr_role role)
{
    const nr_quality_channel *c = &inspection->q->channel[role];
    return c->readings ? c->value : NULL;
}

double nr_inspect_median(const nr_inspection *inspection, nr_role role, nr_role other,
                         nr_pump_state pump, double from_s, double to_s)
{
    const double *t = inspection->run->readings->elapsed_s;
    size_t n = 0;
    for (size_t i = 0; i < inspection->q->rows; i++) {
        if (t[i] < from_s || t[i] > to_s)
            continue;
        if (pump != NR_PUMP_IS_UNKNOWN && inspection->q->pump[i] != pump)
            continue;
        double v = nr_quality_value(inspection->q, role, i);
        if (other < NR_ROLES)
            v -= nr_quality_value(inspection->q, other, i);
        if (!isnan(v))
            inspection->scratch[n++] = v;
    }
    return n < 10 ? NAN : nr_median(inspection->scratch, n);
}

double nr_inspect_offset_u(const nr_inspection *inspection, nr_role role)
{
    const nr_rig_channel *c = nr_rig_channel_find(&inspection->run->rig, nr_role_name(role));
    return c && !isnan(c->u_offset) ? c->u_offset : NR_UNSTATED_OFFSET_K;
}

double nr_inspect_gain_u(const nr_inspection *inspection, nr_role role, double otherwise)
{
    const nr_rig_channel *c = nr_rig_channel_find(&inspection->run->rig, nr_role_name(role));
    return c && !isnan(c->u_gain) ? c->u_gain : otherwise;
}
