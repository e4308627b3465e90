/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Spikes: one to three samples that leave and come straight back.
 *
 * A real quantity seen through a sensor with a time constant of some seconds fades back; a bad
 * contact does not. So an excursion is a spike when the samples before and after agree with each
 * other far better than with it, and when it is large against the noise, the resolution and what
 * the channel does around it. Where the quantity itself can jump for a sample (irradiance, flow)
 * more is asked, and several close together are taken for the weather. */
#include "analyze/quality/checks.h"

#include <math.h>

#define LONGEST 3      /* samples in a spike */
#define SIDE 3         /* samples on each side that say where the channel was */
#define AROUND 8       /* samples on each side that say how lively it is */
#define BACK 0.25      /* the two sides agree within this share of the excursion */
#define NOISES 8.0     /* excursion over the noise */
#define ACTIVITIES 8.0 /* excursion over the typical change around it */
#define STEPS 3.0
#define EDGE_FACTOR 3.0 /* more is asked of the first and last sample: one side only */
#define CROWD 3         /* spikes of a lively quantity ... */
#define CROWD_S 60.0    /* ... in this time are no spikes */
#define SLUG_S 180.0    /* after the pump's state changes, water probes may see a slug pass */
#define SLUG_K 10.0     /* ... and only this much is a spike */
#define CLOSE_INTERVAL_S 1.5
#define SLOW_INTERVAL_S 3.0 /* between samples further apart a slug may come and go */

static bool samples_are_far_apart(const nr_quality *q)
{
    return q->interval_s > SLOW_INTERVAL_S;
}

/* Smallest excursion called a spike, at samples a few seconds apart or less. */
static double floor_of(const nr_quality *q, nr_role role)
{
    double slow = samples_are_far_apart(q) ? q->interval_s / SLOW_INTERVAL_S : 1.0;
    switch (role) {
    case NR_ROLE_STORE:
    case NR_ROLE_AIR:
        return 0.5 * slow;
    case NR_ROLE_BOX:
        return 1.0 * slow;
    case NR_ROLE_INLET:
    case NR_ROLE_OUTLET:
        return slow > 1.0 ? SLUG_K : 0.6;
    case NR_ROLE_SUN: /* a bird, a hand: real, but not the sky; at long intervals a cloud */
        return samples_are_far_apart(q) ? INFINITY : 100.0;
    case NR_ROLE_FLOW:
        return samples_are_far_apart(q) ? INFINITY : 0.1;
    default: /* gusts and a pump's supply may do anything */
        return INFINITY;
    }
}

/* Of so many readings from one on. */
static double median_from(const nr_dense *d, size_t from, size_t count)
{
    double copy[2 * AROUND];
    for (size_t i = 0; i < count; i++)
        copy[i] = nr_dense_value(d, from + i);
    return nr_quantile(copy, count, 0.5);
}

/* Median change between neighbours around the samples from..to-1, which are left out. */
static double activity(const nr_dense *d, size_t from, size_t to)
{
    double change[2 * AROUND];
    size_t n = 0;
    for (size_t k = 1; k <= AROUND; k++) {
        if (from >= k + 1)
            change[n++] = fabs(nr_dense_value(d, from - k) - nr_dense_value(d, from - k - 1));
        if (to + k < d->count)
            change[n++] = fabs(nr_dense_value(d, to + k) - nr_dense_value(d, to + k - 1));
    }
    return n ? nr_quantile(change, n, 0.5) : 0.0;
}

/* Half the samples on each side, no further than a short time away. Zero when a gap is near. */
static size_t side(const nr_dense *d, size_t at, int direction, double reach_s)
{
    size_t n = 0;
    while (n < SIDE) {
        if (direction < 0 ? at < n + 1 : at + n + 1 >= d->count)
            break;
        size_t i = direction < 0 ? at - n - 1 : at + n + 1;
        if (fabs(nr_dense_t_s(d, i) - nr_dense_t_s(d, at)) > reach_s * (double)(n + 1))
            break;
        n++;
    }
    return n;
}

static bool slug_near(const nr_quality *q, size_t row)
{
    size_t reach = (size_t)(SLUG_S / q->interval_s) + 1;
    if (row < reach)
        return true; /* the record may begin when the pump does */
    size_t from = row - reach;
    for (size_t i = from + 1; i <= row; i++)
        if (q->pump[i] != q->pump[i - 1])
            return true;
    return false;
}

typedef struct spike_rule {
    double least, reach_s;
    bool water, lively, far;
    bool close;     /* samples so close that no slug fits between two */
    size_t longest; /* samples */
} spike_rule;

/* A pump that starts for a second looks like a spike up from rest and is none. */
static bool flow_may(double noise, double base, double peak)
{
    return base > 5.0 * noise && fabs(peak - base) > 0.5 * base;
}

/* Whether the samples from..to-1, all displaced to the same side, are a spike. */
static bool is_spike(const nr_quality *q, const nr_dense *d, size_t from, size_t to,
                     const spike_rule *rule)
{
    size_t before = side(d, from, -1, rule->reach_s), after = side(d, to - 1, 1, rule->reach_s);
    if (before < 2 || after < 2)
        return false;
    double left = median_from(d, from - before, before);
    double right = median_from(d, to, after);
    double base = 0.5 * (left + right), smallest = INFINITY;
    for (size_t i = from; i < to; i++) {
        double e = nr_dense_value(d, i) - base;
        if (e * (nr_dense_value(d, from) - base) < 0.0)
            return false;
        smallest = fmin(smallest, fabs(e));
    }
    /* The nearest neighbours, too, must be back: a fading slug is not. */
    double near_left = fabs(nr_dense_value(d, from - 1) - base),
           near_right = fabs(nr_dense_value(d, to) - base);
    double disagree = fmax(fabs(left - right), fmax(near_left, near_right));
    if (disagree > BACK * smallest || smallest < rule->least)
        return false;
    if (d->role == NR_ROLE_FLOW &&
        !flow_may(q->channel[d->role].noise, base, nr_dense_value(d, from)))
        return false;
    bool slug = rule->far || (smallest < SLUG_K && !(to - from == 1 && rule->close));
    if (rule->water && slug && slug_near(q, nr_dense_row(d, from)))
        return false;
    return smallest > ACTIVITIES * activity(d, from, to);
}

static bool is_edge_spike(const nr_dense *d, size_t at, const spike_rule *rule)
{
    bool first = at == 0;
    size_t n = side(d, at, first ? 1 : -1, rule->reach_s);
    if (n < SIDE || rule->lively || (rule->water && rule->far))
        return false;
    size_t near = first ? 1 : at - n;
    double e = fabs(nr_dense_value(d, at) - median_from(d, near, n)), spread = 0.0;
    for (size_t i = 1; i < n; i++)
        spread = fmax(spread, fabs(nr_dense_value(d, near + i) - nr_dense_value(d, near)));
    return e > EDGE_FACTOR * rule->least && spread < BACK * e;
}

/* Marks; for a lively quantity only where it is not crowded. */
static void settle(nr_quality *q, const nr_dense *d, const size_t *at, size_t count, bool lively)
{
    for (size_t i = 0; i < count; i++) {
        size_t near = 0;
        for (size_t k = i;
             lively && k-- > 0 && nr_dense_t_s(d, at[i]) - nr_dense_t_s(d, at[k]) < CROWD_S;)
            near++;
        for (size_t k = i + 1;
             lively && k < count && nr_dense_t_s(d, at[k]) - nr_dense_t_s(d, at[i]) < CROWD_S; k++)
            near++;
        if (near < CROWD)
            nr_quality_mark(q, d->role, nr_dense_row(d, at[i]), NR_BAD_SPIKE);
    }
}

#define BATCH 256

void nr_check_spikes(nr_quality *q, const nr_dense *d)
{
    const nr_quality_channel *c = &q->channel[d->role];
    bool lively = !nr_role_is_temperature(d->role);
    spike_rule rule = {.least = floor_of(q, d->role),
                       .reach_s = 2.5 * q->interval_s,
                       .water = d->role == NR_ROLE_INLET || d->role == NR_ROLE_OUTLET,
                       .lively = lively,
                       .far = samples_are_far_apart(q),
                       .close = q->interval_s <= CLOSE_INTERVAL_S,
                       .longest = lively ? 1 : LONGEST};
    if (isinf(rule.least) || isnan(c->noise) || d->count < 2 * SIDE + 1)
        return;
    rule.least = fmax(rule.least, NOISES * c->noise);
    if (!isnan(c->step))
        rule.least = fmax(rule.least, STEPS * c->step);
    size_t at[BATCH], count = 0;
    if (is_edge_spike(d, 0, &rule))
        at[count++] = 0;
    double small = (1.0 - BACK) * rule.least, last = nr_dense_value(d, 0);
    for (size_t i = 1; i + 1 < d->count; i++) {
        double before = last;
        last = nr_dense_value(d, i);
        if (fabs(last - before) < small)
            continue;
        for (size_t length = 1; length <= rule.longest && i + length < d->count; length++) {
            if (!is_spike(q, d, i, i + length, &rule))
                continue;
            if (count + length > BATCH) {
                settle(q, d, at, count, lively);
                count = 0;
            }
            for (size_t k = 0; k < length; k++)
                at[count++] = i + k;
            i += length;
            last = nr_dense_value(d, i);
            break;
        }
    }
    if (is_edge_spike(d, d->count - 1, &rule) && count < BATCH)
        at[count++] = d->count - 1;
    settle(q, d, at, count, lively);
}
