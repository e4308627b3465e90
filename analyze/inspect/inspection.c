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

const nr_values *nr_inspect_raw(const nr_inspection *inspection, nr_role role)
{
    const nr_quality_channel *c = &inspection->q->channel[role];
    return c->readings ? c->value : NULL;
}

typedef struct looking {
    const nr_looked_at *what;
    nr_good_rows rows;
    size_t from, end; /* rows */
    size_t every;     /* chunks: passes.h */
} looking;

/* Marked readings left out (raw: not) by NAN. */
static inline double value_of(looking *l, nr_role role, size_t row)
{
    const unsigned char *bad = l->what->raw ? NULL : l->rows.quality->channel[role].bad;
    return bad && bad[row] ? NAN : nr_at(&l->rows.cursor[role], row);
}

static bool wanted(looking *l, size_t row)
{
    const nr_looked_at *w = l->what;
    return (w->pump == NR_PUMP_IS_UNKNOWN || l->rows.quality->pump[row] == w->pump) &&
           (isinf(w->least_sun_W_m2) || value_of(l, NR_ROLE_SUN, row) > w->least_sun_W_m2);
}

/* nr_passes' */
static size_t look(void *context, size_t chunk, double *out)
{
    looking *l = context;
    nr_role role = l->what->role, other = l->what->other;
    bool all = l->what->pump == NR_PUMP_IS_UNKNOWN && isinf(l->what->least_sun_W_m2);
    size_t n = 0, from = l->from + chunk * l->every * NR_VALUES_BLOCK;
    for (size_t i = from; i < from + NR_VALUES_BLOCK && i < l->end; i++) {
        double v = value_of(l, role, i);
        if (other < NR_ROLES)
            v -= value_of(l, other, i);
        if (!isnan(v) && (all || wanted(l, i)))
            out[n++] = v;
    }
    return n;
}

static bool is_recorded(const nr_quality *q, nr_role role)
{
    return role >= NR_ROLES || q->channel[role].value;
}

/* The first row of elapsed time, since then, of at_s or more; or: of more. */
static size_t row_after(const nr_quality *q, double since_s, double at_s, bool or_at)
{
    size_t low = 0, high = q->rows;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        double t_s = nr_number(&q->elapsed_s, middle) - since_s;
        if (or_at ? t_s < at_s : t_s <= at_s)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

double nr_inspect_ranked(const nr_inspection *inspection, const nr_looked_at *what,
                         nr_passes_rank *rank, size_t *count)
{
    const nr_quality *q = inspection->q;
    looking l = {.what = what};
    *count = 0;
    if (!is_recorded(q, what->role) || !is_recorded(q, what->other) ||
        (!isinf(what->least_sun_W_m2) && !is_recorded(q, NR_ROLE_SUN)))
        return NAN;
    nr_good_begin(&l.rows, q);
    l.from = row_after(q, what->since_s, what->from_s, true);
    l.end = row_after(q, what->since_s, what->to_s, false);
    size_t rows = l.end > l.from ? l.end - l.from : 0;
    l.every = nr_passes_every(rows);
    nr_passes stream = {.chunks = nr_passes_chunks(rows), .fill = look, .context = &l};
    return rank ? nr_passes_smallest(&stream, rank, inspection->scratch, count)
                : nr_passes_median(&stream, inspection->scratch, count);
}

double nr_inspect_median(const nr_inspection *inspection, nr_role role, nr_role other,
                         nr_pump_state pump, double from_s, double to_s)
{
    const nr_looked_at what = {.role = role,
                               .other = other,
                               .pump = pump,
                               .from_s = from_s,
                               .to_s = to_s,
                               .least_sun_W_m2 = -INFINITY};
    size_t n;
    double median = nr_inspect_ranked(inspection, &what, NULL, &n);
    return n < 10 ? NAN : median;
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
