/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What inspect says of a record as a whole and of its channels one by one, worked out a second time
 * on drawn records by the rules as the sources say them (their limits: common practice, no source;
 * numbers are drawn to both sides of each). */
#include "tests/unit/inspect/drawn.h"

/* Near a limit, to one side or the other, or far from it; never on it. */
static double about(double value)
{
    double far = chance(0.2) ? from_to(0.05, 4) : from_to(0.9, 1.1);
    return value * (fabs(far - 1) < 1e-3 ? 1.01 : far);
}

static size_t count_about(double value)
{
    return (size_t)about(value);
}

static void of_record(expected *e, nr_finding_code code, bool bad, double from_s, double to_s,
                      double n0, double n1, double n2)
{
    expect(e, code, bad ? NR_SEVERITY_DOUBT : NR_SEVERITY_NOTE, "", from_s, to_s, n0, n1, n2);
}

/* ---- the record as a whole ---- */

static void length_drawn(desk *d, expected *e)
{
    double s = d->q.duration_s = chance(0.5) ? about(300) : about(1800), every = about(60);
    d->q.interval_s = every;
    d->readings.damaged = chance(0.5) ? (size_t)from_to(1, 9) : 0;
    d->readings.first_damaged = (long)from_to(1, 1000);
    d->readings.torn = chance(0.5);
    if (s < 300)
        expect(e, NR_FIND_TOO_SHORT, NR_SEVERITY_FAULT, "", NAN, NAN, s, 0, 0);
    if (s >= 300 && s < 1800)
        of_record(e, NR_FIND_BRIEF, false, NAN, NAN, s, 0, 0);
    if (every > 60)
        of_record(e, NR_FIND_SLOW_SAMPLING, true, NAN, NAN, every, 0, 0);
    if (d->readings.damaged)
        of_record(e, NR_FIND_DAMAGED_LINES, true, NAN, NAN, (double)d->readings.damaged,
                  (double)d->readings.first_damaged, 0);
    if (d->readings.torn)
        of_record(e, NR_FIND_TORN_END, false, NAN, NAN, 0, 0, 0);
}

/* More gaps than are listed, too: then they are counted, and the longest is one of the list. */
static void gaps_drawn(desk *d, expected *e)
{
    static const size_t numbers[] = {0, 1, 2, 5, NR_QUALITY_EVENTS, NR_QUALITY_EVENTS + 9};
    size_t n = d->q.gaps = numbers[(int)from_to(0, 6)], listed = 0, longest = 0;
    for (; listed < n && listed < NR_QUALITY_EVENTS; listed++) {
        d->q.gap[listed] = (nr_quality_event){30 * (double)listed + draw(), from_to(10, 100)};
        if (d->q.gap[listed].length_s > d->q.gap[longest].length_s)
            longest = listed;
    }
    if (!n)
        return;
    nr_quality_event *g = &d->q.gap[longest];
    g->length_s += chance(0.5) ? about(120) - g->length_s + 100 : 0;
    d->q.gaps_s = chance(0.5) ? about(0.02 * d->q.duration_s) : 0.001 * d->q.duration_s;
    bool bad = g->length_s > 120 || 50 * d->q.gaps_s > d->q.duration_s;
    of_record(e, n == 1 ? NR_FIND_GAP : NR_FIND_GAPS, bad, g->at_s, g->at_s + g->length_s,
              g->length_s, d->q.gaps_s, (double)n);
}

static void repeats_drawn(desk *d, expected *e)
{
    double freeze = d->q.longest_freeze_s = chance(0.5) ? about(60) : from_to(1, 20);
    size_t n = d->q.duplicates = chance(0.3) ? 0 : count_about(20);
    d->q.freeze_from_s = from_to(0, 500);
    if (n)
        of_record(e, NR_FIND_DUPLICATES, freeze >= 60 || 50 * n > ROWS, d->q.freeze_from_s,
                  d->q.freeze_from_s + freeze, (double)n, freeze, 0);
}

static void clock_drawn(desk *d, expected *e)
{
    size_t n = d->q.clock_steps = (size_t)from_to(0, 7);
    for (size_t i = 0; i < n; i++) {
        double step = about(30) * (chance(0.5) ? 1 : -1), when = 100 * (double)i + draw();
        d->q.clock_step[i] = (nr_quality_event){when, step};
        if (i < 4)
            of_record(e, NR_FIND_CLOCK_STEP, fabs(step) >= 30, when, when, fabs(step), step < 0,
                      i == 3 && n > 4);
    }
    if (chance(0.5)) {
        d->readings.jumps = (size_t)from_to(1, 5);
        d->readings.jump_at_s = from_to(0, 900);
        d->readings.jumped_s = from_to(1, 400) * 86400;
        of_record(e, NR_FIND_CLOCK_JUMP, false, d->readings.jump_at_s, d->readings.jump_at_s,
                  d->readings.jumped_s / 86400, (double)d->readings.jumps, 0);
    }
    double rate =
        chance(0.2) ? NAN : (chance(0.5) ? about(0.001) : about(0.02)) * (chance(0.5) ? 1 : -1);
    d->q.clock_rate = rate;
    if (fabs(rate) > 0.02)
        of_record(e, NR_FIND_CLOCK_RATE_ABSURD, true, NAN, NAN, fabs(rate), 0, 0);
    else if (fabs(rate) > 0.001)
        of_record(e, NR_FIND_CLOCK_RATE, false, NAN, NAN, fabs(rate), 0, 0);
}

START_TEST(records_in_full)
{
    drawn_state = 7701;
    for (int n = 0; n < 400; n++) {
        desk *d = sound();
        expected e = {0};
        length_drawn(d, &e);
        gaps_drawn(d, &e);
        repeats_drawn(d, &e);
        clock_drawn(d, &e);
        nr_inspect_record(&d->x);
        same_findings(n, &d->out, &e);
        free(d);
    }
}
END_TEST

/* ---- channels ---- */

static const nr_role all_roles[] = {NR_ROLE_STORE, NR_ROLE_INLET, NR_ROLE_OUTLET, NR_ROLE_AIR,
                                    NR_ROLE_SUN,   NR_ROLE_WIND,  NR_ROLE_FLOW};

static bool is_thermometer(nr_role role)
{
    return role == NR_ROLE_STORE || role == NR_ROLE_INLET || role == NR_ROLE_OUTLET ||
           role == NR_ROLE_AIR;
}

/* Sun, air and store are needed; the last not where inlet, outlet and flow have good readings. */
static bool is_needed(nr_role role)
{
    return role == NR_ROLE_STORE || role == NR_ROLE_AIR || role == NR_ROLE_SUN;
}

static void not_there(desk *d)
{
    for (size_t k = 0; k < 7; k++) {
        nr_quality_channel *c = &d->q.channel[all_roles[k]];
        if (chance(0.25))
            *c = (nr_quality_channel){.value = NULL};
        else if (chance(0.15))
            c->readings = c->good = 0;
        else if (chance(0.15))
            c->good = 0;
    }
}

static void presence(const desk *d, nr_role role, expected *e)
{
    const nr_quality_channel *c = &d->q.channel[role];
    bool loop = d->q.channel[NR_ROLE_INLET].good > 0 && d->q.channel[NR_ROLE_OUTLET].good > 0 &&
                d->q.channel[NR_ROLE_FLOW].good > 0;
    if (!c->value && is_needed(role) && !(role == NR_ROLE_STORE && loop))
        expect(e, NR_FIND_MISSING_CHANNEL, NR_SEVERITY_FAULT, nr_role_name(role), NAN, NAN, 0, 0,
               0);
    if (c->value && c->readings == 0)
        expect(e, NR_FIND_EMPTY_CHANNEL, is_needed(role) ? NR_SEVERITY_FAULT : NR_SEVERITY_DOUBT,
               nr_role_name(role), NAN, NAN, 0, 0, 0);
}

START_TEST(what_is_missing_in_full)
{
    drawn_state = 7702;
    for (int n = 0; n < 300; n++) {
        desk *d = sound();
        expected e = {0};
        channel_is(d, NR_ROLE_WIND, 0, 3);
        not_there(d);
        for (int role = 0; role < NR_ROLES; role++)
            presence(d, (nr_role)role, &e);
        nr_inspect_channels(&d->x);
        same_findings(n, &d->out, &e);
        free(d);
    }
}
END_TEST

/* Readings marked for this reason, so many; some of them in stretches; and what part of the record
 * that is: the longest stretch, the only reading, else none. */
static void mark(desk *d, nr_role role, nr_bad why, size_t n, double *from, double *to)
{
    nr_quality_channel *c = &d->q.channel[role];
    c->count[why] = n;
    *from = *to = NAN;
    size_t stretches = chance(0.5) ? (size_t)from_to(1, 4) : 0, longest = 0;
    for (size_t k = 0; k < stretches && n; k++) {
        size_t length = 3 + (size_t)from_to(0, 200), first = (size_t)from_to(0, 700);
        c->span[c->spans++] = (nr_quality_span){first, first + length, why};
        if (length > longest) {
            longest = length;
            *from = d->elapsed_s[first];
            *to = d->elapsed_s[first + length];
        }
    }
    if (n == 1) {
        size_t row = (size_t)from_to(0, ROWS);
        while (d->bad[role][row]) /* each reading has one reason */
            row = (row + 1) % ROWS;
        d->bad[role][row] = (unsigned char)why;
        if (!longest)
            *from = *to = d->elapsed_s[row];
    }
}

static size_t some(double value)
{
    return chance(0.3) ? 0 : chance(0.2) ? 1 : count_about(value);
}

static void marks_drawn(desk *d, nr_role role, expected *e)
{
    nr_quality_channel *c = &d->q.channel[role];
    const char *name = nr_role_name(role);
    double from, to;
    size_t n = some(200);
    c->readings = (size_t)from_to(0.996 * ROWS, ROWS + 1); /* so few are not said to be missing */
    c->low = from_to(-50, 0);
    c->high = from_to(100, 1500);
    c->range_stated = chance(0.5);
    bool explained = d->x.unit_wrong[role] = chance(0.2);
    mark(d, role, NR_BAD_RANGE, n, &from, &to);
    if (n && !explained)
        expect(e, c->range_stated ? NR_FIND_OUT_OF_RANGE_STATED : NR_FIND_OUT_OF_RANGE,
               5 * n > c->readings ? NR_SEVERITY_FAULT : NR_SEVERITY_DOUBT, name, from, to,
               (double)n, c->low, c->high);
    n = some(3);
    mark(d, role, NR_BAD_SPIKE, n, &from, &to);
    if (n)
        expect(e, NR_FIND_SPIKES, 500 * n > c->readings ? NR_SEVERITY_DOUBT : NR_SEVERITY_NOTE,
               name, from, to, (double)n, 0, 0);
    n = some(200);
    mark(d, role, NR_BAD_STUCK, n, &from, &to);
    bool dead = d->q.flow_dead = chance(0.3);
    if (n && !(role == NR_ROLE_FLOW && dead))
        expect(e, NR_FIND_STUCK, 5 * n > c->readings ? NR_SEVERITY_FAULT : NR_SEVERITY_DOUBT, name,
               from, to, (double)n * d->q.interval_s, 0, 0);
    n = some(200);
    mark(d, role, NR_BAD_SATURATED, n, &from, &to);
    if (n)
        expect(e, NR_FIND_SATURATED, 5 * n > c->readings ? NR_SEVERITY_FAULT : NR_SEVERITY_DOUBT,
               name, from, to, (double)n, 0, 0);
}

START_TEST(marks_in_full)
{
    drawn_state = 7703;
    for (int n = 0; n < 500; n++) {
        desk *d = sound();
        expected e = {0};
        channel_is(d, NR_ROLE_WIND, 0, 3);
        d->q.interval_s = from_to(5, 60);
        marks_drawn(d, all_roles[n % 7], &e);
        nr_inspect_channels(&d->x);
        same_findings(n, &d->out, &e);
        free(d);
    }
}
END_TEST

/* One channel of one value, and how much of the water's other probes moved. */
static void flat_drawn(desk *d, nr_role role, expected *e)
{
    static const char *const names[] = {"store", "inlet", "outlet", "air"};
    nr_quality_channel *c = &d->q.channel[role];
    bool rests = chance(0.2), moved = false;
    double value = rests && !is_thermometer(role) ? 0 : from_to(20, 30);
    channel_is(d, role, value, value);
    for (size_t i = 0, first = chance(0.5) ? (size_t)from_to(0, 15) : 0; i < first; i++)
        d->value[role][i] = NAN;
    c->step = chance(0.8) ? NAN : 0.1;
    c->longest_flat_s = about(900);
    d->q.rows = chance(0.8) ? ROWS : (size_t)from_to(18, 24);
    for (size_t k = 0; k < 7; k++)
        d->q.channel[all_roles[k]].readings = d->q.rows;
    d->q.duration_s = about(3600);
    for (d->out.channels = 0; d->out.channels < 4; d->out.channels++) {
        nr_channel_summary *s = &d->out.channel[d->out.channels];
        strcpy(s->name, names[d->out.channels]);
        s->min = from_to(10, 20);
        s->max = s->min + (chance(0.4) ? about(3) : from_to(0, 1));
        moved = moved || (d->out.channels < 2 && s->max - s->min > 3);
    }
    bool constant = false;
    if (chance(0.3)) {
        nr_rig_channel *stated = &d->run.rig.channel[d->run.rig.channels++];
        snprintf(stated->name, sizeof stated->name, "%s", nr_role_name(role));
        constant = chance(0.5);
        stated->law = nr_law_find(constant ? "stated" : "none");
    }
    bool still = value == 0, should = role == NR_ROLE_SUN ||
                                      (role == NR_ROLE_AIR && d->q.duration_s >= 3600) ||
                                      (is_thermometer(role) && role != NR_ROLE_AIR && moved);
    if (isnan(c->step) && c->longest_flat_s >= 900 && c->readings > 20 && !still && !constant)
        expect(e, NR_FIND_NEVER_CHANGES, should ? NR_SEVERITY_DOUBT : NR_SEVERITY_NOTE,
               nr_role_name(role), NAN, NAN, 0, 0, 0);
}

START_TEST(flats_in_full)
{
    drawn_state = 7704;
    for (int n = 0; n < 400; n++) {
        desk *d = sound();
        expected e = {0};
        channel_is(d, NR_ROLE_WIND, 0, 3);
        flat_drawn(d, all_roles[n % 7], &e);
        nr_inspect_channels(&d->x);
        same_findings(n, &d->out, &e);
        free(d);
    }
}
END_TEST

static void noise_drawn(desk *d, nr_role role, expected *e)
{
    nr_quality_channel *c = &d->q.channel[role];
    bool thermometer = is_thermometer(role);
    c->quiet_noise = chance(0.2) ? NAN : about(0.3);
    c->step = chance(0.2) ? NAN : about(0.26);
    c->noise = about(0.26);
    d->q.interval_s = about(5);
    d->q.pump_typical = from_to(1, 3);
    if (thermometer && c->quiet_noise > 0.3 && d->q.interval_s < 5)
        expect(e, NR_FIND_NOISY, NR_SEVERITY_DOUBT, nr_role_name(role), NAN, NAN, c->quiet_noise, 0,
               0);
    if (role == NR_ROLE_FLOW && 20 * c->quiet_noise > 3 * d->q.pump_typical)
        expect(e, NR_FIND_NOISY_FLOW, NR_SEVERITY_NOTE, "flow", NAN, NAN, c->quiet_noise, 0, 0);
    if (thermometer && c->step > 0.26 && c->step > c->noise)
        expect(e, NR_FIND_COARSE, NR_SEVERITY_NOTE, nr_role_name(role), NAN, NAN, c->step, 0, 0);
    c->readings = chance(0.5) ? ROWS : ROWS - count_about(chance(0.5) ? 5 : 50);
    double missing = 1 - (double)c->readings / ROWS;
    if (missing > 0.005) { /* said first */
        expected after = *e;
        e->count = 0;
        expect(e, NR_FIND_MISSING_READINGS, missing > 0.05 ? NR_SEVERITY_DOUBT : NR_SEVERITY_NOTE,
               nr_role_name(role), NAN, NAN, missing, 0, 0);
        for (size_t i = 0; i < after.count; i++)
            e->one[e->count++] = after.one[i];
    }
}

START_TEST(noise_in_full)
{
    drawn_state = 7705;
    for (int n = 0; n < 400; n++) {
        desk *d = sound();
        expected e = {0};
        channel_is(d, NR_ROLE_WIND, 0, 3);
        noise_drawn(d, all_roles[n % 7], &e);
        nr_inspect_channels(&d->x);
        same_findings(n, &d->out, &e);
        free(d);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {records_in_full, what_is_missing_in_full, marks_in_full,
                                  flats_in_full,   noise_in_full,           NULL};
    return run_tests("record_worked", tests);
}
