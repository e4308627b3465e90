/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/compare/verdict.h"

#include <math.h>

/* Nobody does more tests than this to settle a difference. */
#define MOST_TESTS 20

/* The fastest build but one, which may be NR_BUILDS: of all; `but` when no other gets there. */
static size_t fastest(const nr_compare *c, size_t but)
{
    size_t best = but == 0 ? c->builds - 1 : 0;
    for (size_t b = 0; b < c->builds; b++) {
        const nr_quantity *t = &c->heat_up[b].time_s, *now = &c->heat_up[best].time_s;
        if (b != but && t->known && (!now->known || t->value < now->value))
            best = b;
    }
    return but < c->builds && !c->heat_up[best].time_s.known ? but : best;
}

static const nr_difference *pair(const nr_compare *c, size_t a, size_t b)
{
    for (size_t i = 0; i < c->differences; i++)
        if ((c->difference[i].of == a && c->difference[i].against == b) ||
            (c->difference[i].of == b && c->difference[i].against == a))
            return &c->difference[i];
    return NULL;
}

static nr_against judge_pair(const nr_compare *c, size_t best, size_t other)
{
    const nr_difference *d = pair(c, best, other);
    nr_against a = {NR_AGAINST_NOT_REACHED, NAN, NAN, NAN, c->heat_up[best].time_s.u};
    if (!c->heat_up[other].time_s.known || !d)
        return a;
    nr_quantity t = nr_difference_of_all(c, d, NR_BY_TIME);
    double sign = d->of == best ? -1 : 1; /* the gain: time(other) - time(best) */
    a.gain_s = sign * t.value;
    a.lo95_s = sign > 0 ? t.lo95 : -t.hi95;
    a.hi95_s = sign > 0 ? t.hi95 : -t.lo95;
    a.u_s = t.known ? t.u : a.u_s;
    a.outcome = a.lo95_s > 0 ? NR_AGAINST_SLOWER : NR_AGAINST_ALIKE;
    return a;
}

/* More tests of this kind that would make a difference of this size show; 0: no number would,
 * because the sensors and not the noise stand in the way. */
static double tests_to_settle(const nr_quantity *t, double k)
{
    double room = pow(t->value / k, 2) - pow(t->u_systematic, 2);
    double tests = room > 0 ? ceil(pow(t->u_random, 2) / room) : 0;
    return tests <= MOST_TESTS ? fmax(tests, room > 0) : 0;
}

/* What test would tell two builds apart that this one cannot. */
static void judge_settling(nr_compare *c, const nr_difference *d)
{
    const nr_quantity *t = &d->heat_up_s;
    if (!t->known || t->lo95 > 0 || t->hi95 < 0)
        return;
    double k = (t->hi95 - t->value) / t->u;
    double tests = tests_to_settle(t, k);
    double most = fmax(fabs(t->lo95), fabs(t->hi95));
    if (most < NR_SAME_ENOUGH * c->heat_up[d->against].time_s.value) {
        c->verdict.settle = NR_SETTLE_SAME_ENOUGH;
    } else if (tests > 1) {
        c->verdict.settle = NR_SETTLE_MORE_TESTS;
        c->verdict.tests = tests;
    } else {
        c->verdict.settle = NR_SETTLE_BETTER_SENSORS;
    }
}

/* The build with the smaller loss wins where it is hot. */
static void judge_crossing(nr_compare *c, const nr_difference *d)
{
    c->verdict.crossing = d->crossing_known;
    c->verdict.hot = d->a1.value < 0 ? d->of : d->against;
    c->verdict.cold = c->verdict.hot == d->of ? d->against : d->of;
}

void nr_verdict_judge(nr_compare *c)
{
    nr_verdict *v = &c->verdict;
    *v = (nr_verdict){.best = fastest(c, NR_BUILDS), .settle = NR_SETTLE_NOTHING};
    v->next = fastest(c, v->best);
    v->reached = c->heat_up[v->best].time_s.known;
    if (!v->reached)
        return;
    for (size_t other = 0; other < c->builds; other++)
        if (other != v->best)
            v->against[other] = judge_pair(c, v->best, other);
    if (c->differences == 1) {
        judge_settling(c, &c->difference[0]);
        judge_crossing(c, &c->difference[0]);
    }
}
