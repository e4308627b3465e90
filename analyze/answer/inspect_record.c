/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The record as a whole, and its channels one by one. */
#include "analyze/answer/figure.h"
#include "analyze/answer/inspect_parts.h"

#include <math.h>
#include <stdio.h>
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

static void look_at_length(nr_look *look)
{
    double s = look->q->duration_s;
    if (s < SHORT_S)
        nr_find(look, "too-short", NR_SEVERITY_FAULT, NR_ROLES, NAN, NAN,
                "Let the next test run for at least half an hour; an hour and a half is better.",
                "The record is only %.0f s long. A fit needs five minutes at the very least.", s);
    else if (s < BRIEF_S)
        nr_find(look, "brief", NR_SEVERITY_NOTE, NR_ROLES, NAN, NAN,
                "Expect wide intervals. An hour and a half narrows them a lot.",
                "The record is only %.0f minutes long.", s / 60.0);
    if (look->q->interval_s > SLOW_S)
        nr_find(look, "slow-sampling", NR_SEVERITY_DOUBT, NR_ROLES, NAN, NAN,
                "Set the adapter to one line a second; the files stay small.",
                "There is one row every %.0f s. Clouds and pump stops in between go unseen.",
                look->q->interval_s);
    if (look->run->readings->damaged > 0)
        nr_find(look, "damaged-lines", NR_SEVERITY_DOUBT, NR_ROLES, NAN, NAN,
                "`noonlog rebuild` makes the readings anew from the adapter's own lines.",
                "%zu lines of the readings hold bytes that were never written (a power cut); they "
                "were left out, the first is line %ld.",
                look->run->readings->damaged, look->run->readings->first_damaged);
    if (look->run->readings->torn)
        nr_find(
            look, "torn-end", NR_SEVERITY_NOTE, NR_ROLES, NAN, NAN,
            "Nothing to do; the adapter log may hold a few seconds more.",
            "The last line of the readings was incomplete (a crash or a full disk) and was left "
            "out.");
}

static void look_at_gaps(nr_look *look)
{
    const nr_quality *q = look->q;
    if (q->gaps == 0)
        return;
    nr_quality_event longest = q->gap[0];
    for (size_t i = 1; i < q->gaps && i < NR_QUALITY_EVENTS; i++)
        if (q->gap[i].length_s > longest.length_s)
            longest = q->gap[i];
    bool bad = q->gaps_s > GAP_SHARE * q->duration_s || longest.length_s > GAP_LONG_S;
    char more[80] = "";
    if (q->gaps > 1)
        snprintf(more, sizeof more, " at a stretch, %.0f s in all of %zu gaps", q->gaps_s, q->gaps);
    nr_find(look, "gaps", bad ? NR_SEVERITY_DOUBT : NR_SEVERITY_NOTE, NR_ROLES, longest.at_s,
            longest.at_s + longest.length_s,
            "Look for a loose cable or a computer that went to sleep; short gaps are bridged, long "
            "ones are left out.",
            "No readings came for %.0f s%s.", longest.length_s, more);
}

static void look_at_repeats(nr_look *look)
{
    const nr_quality *q = look->q;
    if (q->duplicates == 0)
        return;
    bool bad =
        q->longest_freeze_s >= FREEZE_S || (double)q->duplicates > REPEAT_SHARE * (double)q->rows;
    double to = q->freeze_from_s + q->longest_freeze_s;
    nr_find(look, "duplicates", bad ? NR_SEVERITY_DOUBT : NR_SEVERITY_NOTE, NR_ROLES,
            q->freeze_from_s, to,
            "The adapter or a program before it sends old lines again: make it send only fresh "
            "readings. Long stretches of repeats are left out.",
            "%zu rows repeat the row before them in every channel, for up to %.0f s on end.",
            q->duplicates, q->longest_freeze_s);
}

static void look_at_clock(nr_look *look)
{
    const nr_quality *q = look->q;
    for (size_t i = 0; i < q->clock_steps && i < 4; i++) {
        double step = q->clock_step[i].length_s, at = q->clock_step[i].at_s;
        nr_find(look, "clock-step",
                fabs(step) >= CLOCK_STEP_S ? NR_SEVERITY_DOUBT : NR_SEVERITY_NOTE, NR_ROLES, at, at,
                "Time differences are safe, they come from elapsed_s. Say in the notes which time "
                "of day is right: the sun's angle is computed from it.",
                "The computer's clock was set %s by %.1f s during the record%s.",
                step > 0.0 ? "forward" : "back", fabs(step),
                q->clock_steps > 4 && i == 3 ? " (and again later)" : "");
    }
    if (!(fabs(q->clock_rate) > CLOCK_RATE))
        return;
    bool bad = fabs(q->clock_rate) > CLOCK_RATE_BAD;
    nr_find(
        look, "clock-rate", bad ? NR_SEVERITY_DOUBT : NR_SEVERITY_NOTE, NR_ROLES, NAN, NAN,
        bad ? "One of the two is no clock. Check the adapter's milliseconds counter, or record "
              "with clock = host."
            : "An adapter's counter is often off by this much; if it matters, record with clock "
              "= host.",
        "elapsed_s and time_utc run at different speeds: %.2f %% apart.",
        100.0 * fabs(q->clock_rate));
}

void nr_look_record(nr_look *look)
{
    look_at_length(look);
    look_at_gaps(look);
    look_at_repeats(look);
    look_at_clock(look);
}

/* -- channels */

static bool needed(nr_role role)
{
    return role == NR_ROLE_AIR || role == NR_ROLE_SUN || role == NR_ROLE_STORE;
}

static bool loop_alone(const nr_look *look)
{
    return look->q->channel[NR_ROLE_INLET].good && look->q->channel[NR_ROLE_OUTLET].good &&
           look->q->channel[NR_ROLE_FLOW].good;
}

/* False when there is nothing to look at further. */
static bool look_at_presence(nr_look *look, nr_role role)
{
    const nr_quality_channel *c = &look->q->channel[role];
    const char *name = nr_role_name(role);
    if (!c->value) {
        if (!needed(role) || (role == NR_ROLE_STORE && loop_alone(look)))
            return false;
        nr_find(look, "missing-channel", NR_SEVERITY_FAULT, role, NAN, NAN,
                "Add this channel to the rig file and record again; without it there is no heat "
                "balance.",
                "There is no %s column in the readings. A fit needs it.", name);
        return false;
    }
    if (c->readings == 0) {
        nr_find(look, "empty-channel", needed(role) ? NR_SEVERITY_FAULT : NR_SEVERITY_DOUBT, role,
                NAN, NAN,
                "Check this sensor's wire, and its field in the rig file; `noonlog listen` shows "
                "what arrives.",
                "The %s column holds no reading at all.", name);
        return false;
    }
    double missing = 1.0 - (double)c->readings / (double)look->q->rows;
    if (missing > MISSING_NOTE)
        nr_find(look, "missing-readings",
                missing > MISSING_DOUBT ? NR_SEVERITY_DOUBT : NR_SEVERITY_NOTE, role, NAN, NAN,
                "Look for a loose contact at this sensor.",
                "%.1f %% of the %s readings are missing.", 100.0 * missing, name);
    return true;
}

/* The part of the record a finding is about: the longest stretch of this kind; a single reading;
 * NAN for single readings here and there. */
static void marked_span(const nr_look *look, nr_role role, nr_bad why, double *from, double *to)
{
    const nr_quality_channel *c = &look->q->channel[role];
    const double *t = look->run->readings->elapsed_s;
    const nr_quality_span *longest = NULL;
    *from = *to = NAN;
    for (size_t k = 0; k < c->spans; k++)
        if (c->span[k].why == why &&
            (!longest || c->span[k].to - c->span[k].from > longest->to - longest->from))
            longest = &c->span[k];
    if (longest) {
        *from = t[longest->from];
        *to = t[longest->to];
        return;
    }
    for (size_t i = 0; c->count[why] == 1 && i < look->q->rows; i++)
        if (c->bad[i] == why)
            *from = *to = t[i];
}

static const char *unit_of(nr_role role)
{
    if (nr_role_is_temperature(role))
        return "degC";
    return role == NR_ROLE_SUN ? "W/m2" : role == NR_ROLE_FLOW ? "L/min" : "m/s";
}

static void look_at_range(nr_look *look, nr_role role)
{
    const nr_quality_channel *c = &look->q->channel[role];
    size_t n = c->count[NR_BAD_RANGE];
    if (n == 0 || look->unit_wrong[role])
        return;
    double from, to;
    marked_span(look, role, NR_BAD_RANGE, &from, &to);
    bool fault = (double)n > RANGE_FAULT * (double)c->readings;
    nr_find(look, "out-of-range", fault ? NR_SEVERITY_FAULT : NR_SEVERITY_DOUBT, role, from, to,
            c->range_stated ? "If these readings can be true, widen low and high in the rig file; "
                              "else look at the sensor and its wire. They are left out."
                            : "Look at the sensor, its wire and its conversion in the rig file. "
                              "These readings are left out.",
            "%zu readings of %s are outside %s to %s %s, %s.", n, nr_role_name(role),
            NR_FIGURE("%.0f", c->low), NR_FIGURE("%.0f", c->high), unit_of(role),
            c->range_stated ? "the range in the rig file" : "what it can be at all");
}

static void look_at_spikes(nr_look *look, nr_role role)
{
    const nr_quality_channel *c = &look->q->channel[role];
    size_t n = c->count[NR_BAD_SPIKE];
    if (n == 0)
        return;
    double from, to;
    marked_span(look, role, NR_BAD_SPIKE, &from, &to);
    bool bad = (double)n > SPIKE_DOUBT * (double)c->readings;
    nr_find(
        look, "spikes", bad ? NR_SEVERITY_DOUBT : NR_SEVERITY_NOTE, role, from, to,
        "A few are harmless and left out. Many mean a bad contact, a wire beside the pump's, or "
        "a missing checksum.",
        "%zu %s of %s %s away and straight back.", n, n == 1 ? "reading" : "readings",
        nr_role_name(role), n == 1 ? "jumps" : "jump");
}

static double first_reading(const nr_quality_channel *c)
{
    size_t i = 0;
    while (isnan(c->value[i])) /* there is one: look_at_presence saw it */
        i++;
    return c->value[i];
}

/* A constant channel is suspicious when the others say it should have moved. */
static bool should_have_moved(const nr_look *look, nr_role role)
{
    if (role == NR_ROLE_SUN)
        return true;
    if (role == NR_ROLE_AIR)
        return look->q->duration_s >= AIR_MOVES_S;
    if (!nr_role_is_temperature(role))
        return false; /* a steady pump behind a coarse meter */
    for (size_t i = 0; i < look->out->channels; i++) {
        const nr_channel_summary *s = &look->out->channel[i];
        bool water = strcmp(s->name, "store") == 0 || strcmp(s->name, "inlet") == 0;
        if (water && s->max - s->min > WATER_MOVED_K)
            return true;
    }
    return false;
}

static void look_at_flats(nr_look *look, nr_role role)
{
    const nr_quality_channel *c = &look->q->channel[role];
    double from, to, n = (double)c->count[NR_BAD_STUCK];
    bool meter = role == NR_ROLE_FLOW && look->q->flow_dead; /* worded with the pump */
    if (n > 0.0 && !meter) {
        marked_span(look, role, NR_BAD_STUCK, &from, &to);
        nr_find(
            look, "stuck",
            n > STUCK_FAULT * (double)c->readings ? NR_SEVERITY_FAULT : NR_SEVERITY_DOUBT, role,
            from, to,
            "The adapter may repeat its last value when the sensor does not answer: let it send "
            "an empty field instead. These readings are left out.",
            "%s did not move at all for %.0f s although it should have.", nr_role_name(role),
            n * look->q->interval_s);
    }
    n = (double)c->count[NR_BAD_SATURATED];
    if (n > 0.0) {
        marked_span(look, role, NR_BAD_SATURATED, &from, &to);
        nr_find(look, "saturated",
                n > STUCK_FAULT * (double)c->readings ? NR_SEVERITY_FAULT : NR_SEVERITY_DOUBT, role,
                from, to,
                "The true value was beyond it. Give the sensor's input a wider range (a smaller "
                "shunt, another divider). These readings are left out.",
                "%s is pressed against the end of its scale in %.0f readings.", nr_role_name(role),
                n);
    }
    if (isnan(c->step) && c->longest_flat_s >= NEVER_CHANGES_S &&
        !nr_at_rest(role, first_reading(c)) && c->readings > 20)
        nr_find(look, "never-changes",
                should_have_moved(look, role) ? NR_SEVERITY_DOUBT : NR_SEVERITY_NOTE, role, NAN,
                NAN,
                "Warm the sensor with a hand, or shade it, and watch with `noonlog listen` whether "
                "the number moves.",
                "%s has the same value in every row.", nr_role_name(role));
}

static void look_at_noise(nr_look *look, nr_role role)
{
    const nr_quality_channel *c = &look->q->channel[role];
    if (nr_role_is_temperature(role) && c->quiet_noise > NOISY_K && look->q->interval_s < 5.0)
        nr_find(
            look, "noisy", NR_SEVERITY_DOUBT, role, NAN, NAN,
            "Use a shielded or twisted wire away from the pump's, a steadier supply, or let the "
            "adapter average.",
            "%s jumps about by %s K from reading to reading.", nr_role_name(role),
            NR_FIGURE("%.2f", c->quiet_noise));
    if (role == NR_ROLE_FLOW && c->quiet_noise > NOISY_FLOW * look->q->pump_typical)
        nr_find(
            look, "noisy", NR_SEVERITY_NOTE, role, NAN, NAN,
            "Air in the loop or few pulses a second do this; let the adapter count pulses over a "
            "longer time.",
            "The flow jumps about by %s L/min from reading to reading.",
            NR_FIGURE("%.2f", c->quiet_noise));
    if (nr_role_is_temperature(role) && c->step > COARSE_K && !isnan(c->step) && c->noise < c->step)
        nr_find(look, "coarse", NR_SEVERITY_NOTE, role, NAN, NAN,
                "Many sensors can be set to a finer resolution; 1/16 K is plenty.",
                "%s moves in steps of %s K.", nr_role_name(role), NR_FIGURE("%.2f", c->step));
}

void nr_look_channels(nr_look *look)
{
    for (int role = 0; role < NR_ROLES; role++) {
        if (!look_at_presence(look, (nr_role)role))
            continue;
        look_at_range(look, (nr_role)role);
        look_at_spikes(look, (nr_role)role);
        look_at_flats(look, (nr_role)role);
        look_at_noise(look, (nr_role)role);
    }
}
