/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The record as a whole, and its channels one by one. */
#include "analyze/inspect/subjects.h"

#include <math.h>
#include <string.h>

#define SHORT_S 300.0    /* cannot be fitted */
#define BRIEF_S 1800.0   /* can, and tells little */
#define SLOW_S 60.0      /* between rows */
#define GAP_SHARE 0.02   /* of the record in gaps: more is a doubt */
#define GAP_LONG_S 120.0 /* so is one gap this long */
#define FREEZE_S 60.0    /* repeated rows: longer is a doubt */
#define REPEAT_SHARE 0.02
#define CLOCK_STEP_S 30.0 /* below it the sun's position does not care */
#define CLOCK_RATE 1e-3   /* worth a note */
#define CLOCK_RATE_BAD                                                                             \
    0.02                   /* no clock is that bad: the record was replayed or the adapter lies    \
                            */
#define MISSING_NOTE 0.005 /* empty cells of a channel */
#define MISSING_DOUBT 0.05
#define SPIKE_DOUBT 0.002 /* share of readings that are spikes */
#define STUCK_FAULT 0.2   /* share of readings stuck or saturated */
#define RANGE_FAULT 0.2
#define NOISY_K 0.3     /* standard deviation of fast changes of a thermometer */
#define NOISY_FLOW 0.15 /* of the usual flow */
#define COARSE_K 0.26   /* resolution; 1/4 K passes */
#define NEVER_CHANGES_S 900.0
#define AIR_MOVES_S 3600.0 /* within this the air does not stay at one value */
#define WATER_MOVED_K 3.0  /* another probe in the same water */

static void look_at_length(nr_inspection *inspection)
{
    double s = inspection->q->duration_s;
    if (s < SHORT_S)
        nr_find(inspection, NR_FIND_TOO_SHORT, NR_SEVERITY_FAULT, NR_ROLES, NAN, NAN, NR_SEEN(s));
    else if (s < BRIEF_S)
        nr_find(inspection, NR_FIND_BRIEF, NR_SEVERITY_NOTE, NR_ROLES, NAN, NAN, NR_SEEN(s));
    if (inspection->q->interval_s > SLOW_S)
        nr_find(inspection, NR_FIND_SLOW_SAMPLING, NR_SEVERITY_DOUBT, NR_ROLES, NAN, NAN,
                NR_SEEN(inspection->q->interval_s));
    if (inspection->run->readings->damaged > 0)
        nr_find(inspection, NR_FIND_DAMAGED_LINES, NR_SEVERITY_DOUBT, NR_ROLES, NAN, NAN,
                NR_SEEN((double)inspection->run->readings->damaged,
                        (double)inspection->run->readings->first_damaged));
    if (inspection->run->readings->torn)
        nr_find(inspection, NR_FIND_TORN_END, NR_SEVERITY_NOTE, NR_ROLES, NAN, NAN, NULL);
}

static void look_at_gaps(nr_inspection *inspection)
{
    const nr_quality *q = inspection->q;
    if (q->gaps == 0)
        return;
    nr_quality_event longest = q->gap[0];
    for (size_t i = 1; i < q->gaps && i < NR_QUALITY_EVENTS; i++)
        if (q->gap[i].length_s > longest.length_s)
            longest = q->gap[i];
    bool bad = q->gaps_s > GAP_SHARE * q->duration_s || longest.length_s > GAP_LONG_S;
    nr_find(inspection, q->gaps > 1 ? NR_FIND_GAPS : NR_FIND_GAP,
            bad ? NR_SEVERITY_DOUBT : NR_SEVERITY_NOTE, NR_ROLES, longest.at_s,
            longest.at_s + longest.length_s, NR_SEEN(longest.length_s, q->gaps_s, (double)q->gaps));
}

static void look_at_repeats(nr_inspection *inspection)
{
    const nr_quality *q = inspection->q;
    if (q->duplicates == 0)
        return;
    bool bad =
        q->longest_freeze_s >= FREEZE_S || (double)q->duplicates > REPEAT_SHARE * (double)q->rows;
    double to = q->freeze_from_s + q->longest_freeze_s;
    nr_find(inspection, NR_FIND_DUPLICATES, bad ? NR_SEVERITY_DOUBT : NR_SEVERITY_NOTE, NR_ROLES,
            q->freeze_from_s, to, NR_SEEN((double)q->duplicates, q->longest_freeze_s));
}

static void look_at_clock(nr_inspection *inspection)
{
    const nr_quality *q = inspection->q;
    for (size_t i = 0; i < q->clock_steps && i < 4; i++) {
        double step = q->clock_step[i].length_s, at = q->clock_step[i].at_s;
        nr_find(inspection, NR_FIND_CLOCK_STEP,
                fabs(step) >= CLOCK_STEP_S ? NR_SEVERITY_DOUBT : NR_SEVERITY_NOTE, NR_ROLES, at, at,
                NR_SEEN(fabs(step), !(step > 0.0), q->clock_steps > 4 && i == 3));
    }
    const nr_readings *r = inspection->run->readings;
    if (r->jumps > 0)
        nr_find(inspection, NR_FIND_CLOCK_JUMP, NR_SEVERITY_NOTE, NR_ROLES, r->jump_at_s,
                r->jump_at_s, NR_SEEN(r->jumped_s / 86400, (double)r->jumps));
    if (!(fabs(q->clock_rate) > CLOCK_RATE))
        return;
    bool bad = fabs(q->clock_rate) > CLOCK_RATE_BAD;
    nr_find(inspection, bad ? NR_FIND_CLOCK_RATE_ABSURD : NR_FIND_CLOCK_RATE,
            bad ? NR_SEVERITY_DOUBT : NR_SEVERITY_NOTE, NR_ROLES, NAN, NAN,
            NR_SEEN(fabs(q->clock_rate)));
}

void nr_inspect_record(nr_inspection *inspection)
{
    look_at_length(inspection);
    look_at_gaps(inspection);
    look_at_repeats(inspection);
    look_at_clock(inspection);
}

/* -- channels */

static bool needed(nr_role role)
{
    return role == NR_ROLE_AIR || role == NR_ROLE_SUN || role == NR_ROLE_STORE;
}

static bool loop_alone(const nr_inspection *inspection)
{
    return inspection->q->channel[NR_ROLE_INLET].good &&
           inspection->q->channel[NR_ROLE_OUTLET].good && inspection->q->channel[NR_ROLE_FLOW].good;
}

/* False when there is nothing to look at further. */
static bool look_at_presence(nr_inspection *inspection, nr_role role)
{
    const nr_quality_channel *c = &inspection->q->channel[role];
    if (!c->value) {
        if (!needed(role) || (role == NR_ROLE_STORE && loop_alone(inspection)))
            return false;
        nr_find(inspection, NR_FIND_MISSING_CHANNEL, NR_SEVERITY_FAULT, role, NAN, NAN, NULL);
        return false;
    }
    if (c->readings == 0) {
        nr_find(inspection, NR_FIND_EMPTY_CHANNEL,
                needed(role) ? NR_SEVERITY_FAULT : NR_SEVERITY_DOUBT, role, NAN, NAN, NULL);
        return false;
    }
    double missing = 1.0 - (double)c->readings / (double)inspection->q->rows;
    if (missing > MISSING_NOTE)
        nr_find(inspection, NR_FIND_MISSING_READINGS,
                missing > MISSING_DOUBT ? NR_SEVERITY_DOUBT : NR_SEVERITY_NOTE, role, NAN, NAN,
                NR_SEEN(missing));
    return true;
}

/* The part of the record a finding is about: the longest stretch of this kind; a single reading;
 * NAN for single readings here and there. */
static void marked_span(const nr_inspection *inspection, nr_role role, nr_bad why, double *from,
                        double *to)
{
    const nr_quality_channel *c = &inspection->q->channel[role];
    const nr_values *t = &inspection->q->elapsed_s;
    const nr_quality_span *longest = NULL;
    *from = *to = NAN;
    for (size_t k = 0; k < c->spans; k++)
        if (c->span[k].why == why &&
            (!longest || c->span[k].to - c->span[k].from > longest->to - longest->from))
            longest = &c->span[k];
    if (longest) {
        *from = nr_number(t, longest->from);
        *to = nr_number(t, longest->to);
        return;
    }
    for (size_t i = 0; c->count[why] == 1 && i < inspection->q->rows; i++)
        if (c->bad[i] == why)
            *from = *to = nr_number(t, i);
}

static void look_at_range(nr_inspection *inspection, nr_role role)
{
    const nr_quality_channel *c = &inspection->q->channel[role];
    size_t n = c->count[NR_BAD_RANGE];
    if (n == 0 || inspection->unit_wrong[role])
        return;
    double from, to;
    marked_span(inspection, role, NR_BAD_RANGE, &from, &to);
    bool fault = (double)n > RANGE_FAULT * (double)c->readings;
    nr_find(inspection, c->range_stated ? NR_FIND_OUT_OF_RANGE_STATED : NR_FIND_OUT_OF_RANGE,
            fault ? NR_SEVERITY_FAULT : NR_SEVERITY_DOUBT, role, from, to,
            NR_SEEN((double)n, c->low, c->high));
}

static void look_at_spikes(nr_inspection *inspection, nr_role role)
{
    const nr_quality_channel *c = &inspection->q->channel[role];
    size_t n = c->count[NR_BAD_SPIKE];
    if (n == 0)
        return;
    double from, to;
    marked_span(inspection, role, NR_BAD_SPIKE, &from, &to);
    bool bad = (double)n > SPIKE_DOUBT * (double)c->readings;
    nr_find(inspection, NR_FIND_SPIKES, bad ? NR_SEVERITY_DOUBT : NR_SEVERITY_NOTE, role, from, to,
            NR_SEEN((double)n));
}

static double first_reading(const nr_quality_channel *c)
{
    size_t i = 0;
    nr_cursor value;
    nr_cursor_begin(&value, c->value);
    while (isnan(nr_at(&value, i))) /* there is one: look_at_presence saw it */
        i++;
    return nr_at(&value, i);
}

/* A constant channel is suspicious when the others say it should have moved. */
static bool should_have_moved(const nr_inspection *inspection, nr_role role)
{
    if (role == NR_ROLE_SUN)
        return true;
    if (role == NR_ROLE_AIR)
        return inspection->q->duration_s >= AIR_MOVES_S;
    if (!nr_role_is_temperature(role))
        return false; /* a steady pump behind a coarse meter */
    for (size_t i = 0; i < inspection->out->channels; i++) {
        const nr_channel_summary *s = &inspection->out->channel[i];
        bool water = strcmp(s->name, "store") == 0 || strcmp(s->name, "inlet") == 0;
        if (water && s->max - s->min > WATER_MOVED_K)
            return true;
    }
    return false;
}

static void look_at_flats(nr_inspection *inspection, nr_role role)
{
    const nr_quality_channel *c = &inspection->q->channel[role];
    double from, to, n = (double)c->count[NR_BAD_STUCK];
    bool meter = role == NR_ROLE_FLOW && inspection->q->flow_dead; /* told with the pump */
    if (n > 0.0 && !meter) {
        marked_span(inspection, role, NR_BAD_STUCK, &from, &to);
        nr_find(inspection, NR_FIND_STUCK,
                n > STUCK_FAULT * (double)c->readings ? NR_SEVERITY_FAULT : NR_SEVERITY_DOUBT, role,
                from, to, NR_SEEN(n * inspection->q->interval_s));
    }
    n = (double)c->count[NR_BAD_SATURATED];
    if (n > 0.0) {
        marked_span(inspection, role, NR_BAD_SATURATED, &from, &to);
        nr_find(inspection, NR_FIND_SATURATED,
                n > STUCK_FAULT * (double)c->readings ? NR_SEVERITY_FAULT : NR_SEVERITY_DOUBT, role,
                from, to, NR_SEEN(n));
    }
    const nr_rig_channel *channel = nr_rig_channel_find(&inspection->run->rig, nr_role_name(role));
    bool stated = channel && channel->law->stated; /* a constant of the rig file, no sensor */
    if (!stated && isnan(c->step) && c->longest_flat_s >= NEVER_CHANGES_S &&
        !nr_at_rest(role, first_reading(c)) && c->readings > 20)
        nr_find(inspection, NR_FIND_NEVER_CHANGES,
                should_have_moved(inspection, role) ? NR_SEVERITY_DOUBT : NR_SEVERITY_NOTE, role,
                NAN, NAN, NULL);
}

static void look_at_noise(nr_inspection *inspection, nr_role role)
{
    const nr_quality_channel *c = &inspection->q->channel[role];
    if (nr_role_is_temperature(role) && c->quiet_noise > NOISY_K && inspection->q->interval_s < 5.0)
        nr_find(inspection, NR_FIND_NOISY, NR_SEVERITY_DOUBT, role, NAN, NAN,
                NR_SEEN(c->quiet_noise));
    if (role == NR_ROLE_FLOW && c->quiet_noise > NOISY_FLOW * inspection->q->pump_typical)
        nr_find(inspection, NR_FIND_NOISY_FLOW, NR_SEVERITY_NOTE, role, NAN, NAN,
                NR_SEEN(c->quiet_noise));
    if (nr_role_is_temperature(role) && c->step > COARSE_K && !isnan(c->step) && c->noise < c->step)
        nr_find(inspection, NR_FIND_COARSE, NR_SEVERITY_NOTE, role, NAN, NAN, NR_SEEN(c->step));
}

void nr_inspect_channels(nr_inspection *inspection)
{
    for (int role = 0; role < NR_ROLES; role++) {
        if (!look_at_presence(inspection, (nr_role)role))
            continue;
        look_at_range(inspection, (nr_role)role);
        look_at_spikes(inspection, (nr_role)role);
        look_at_flats(inspection, (nr_role)role);
        look_at_noise(inspection, (nr_role)role);
    }
}
