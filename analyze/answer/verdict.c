/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/answer/verdict.h"

#include "analyze/answer/figure.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* An interval inside this part of the heat-up time, to both sides, settles it: nobody's day
 * changes. */
#define SAME_ENOUGH 0.05
/* Nobody does more tests than this to settle a difference. */
#define MOST_TESTS 20

__attribute__((format(printf, 2, 3))) static void say(nr_compare *c, const char *format, ...)
{
    size_t used = strlen(c->verdict);
    va_list args;
    va_start(args, format);
    vsnprintf(c->verdict + used, sizeof c->verdict - used, format, args);
    va_end(args);
}

static void say_use(nr_compare *c)
{
    say(c, "For heating %s kg from %s to %s degC at %s W/m2 and %s degC air, ",
        NR_FIGURE("%.0f", c->day.store_kg), NR_FIGURE("%.0f", c->day.from_degC),
        NR_FIGURE("%.0f", c->day.to_degC), NR_FIGURE("%.0f", c->day.sun_W_m2),
        NR_FIGURE("%.0f", c->day.air_degC));
}

/* The fastest build, or builds when none is. */
static size_t fastest(const nr_compare *c)
{
    size_t best = 0;
    for (size_t b = 1; b < c->builds; b++) {
        const nr_quantity *t = &c->heat_up[b].time_s, *now = &c->heat_up[best].time_s;
        if (t->known && (!now->known || t->value < now->value))
            best = b;
    }
    return best;
}

static const nr_difference *pair(const nr_compare *c, size_t a, size_t b)
{
    for (size_t i = 0; i < c->differences; i++)
        if ((c->difference[i].of == a && c->difference[i].against == b) ||
            (c->difference[i].of == b && c->difference[i].against == a))
            return &c->difference[i];
    return NULL;
}

/* Minutes as text, to two digits of the standard uncertainty u: "67.6"; "68" when u is ten minutes
 * and more. Returns text. */
#define MINUTES 32
static char *minutes(double seconds, double u_s, char text[MINUTES])
{
    double unit = u_s < 600 ? 10 : 1, value = round(seconds / 60 * unit) / unit;
    snprintf(text, MINUTES, "%.*f", unit > 1 ? 1 : 0, value == 0 ? 0 : value); /* no -0 */
    return text;
}

static void say_pair(nr_compare *c, size_t best, size_t other)
{
    const nr_difference *d = pair(c, best, other);
    const nr_quantity *t = &d->heat_up_s;
    double sign = d->of == best ? -1 : 1; /* the gain: time(other) - time(best) */
    double low = sign > 0 ? t->lo95 : -t->hi95, high = sign > 0 ? t->hi95 : -t->lo95;
    char mine[MINUTES], theirs[MINUTES], gain[MINUTES], from[MINUTES], to[MINUTES];
    double u = t->known ? t->u : c->heat_up[best].time_s.u;
    minutes(c->heat_up[best].time_s.value, u, mine);
    minutes(c->heat_up[other].time_s.value, u, theirs);
    minutes(sign * t->value, u, gain);
    minutes(low, u, from);
    minutes(high, u, to);
    if (!c->heat_up[other].time_s.known) {
        say(c, "%s gets there in %s minutes, %s does not within twelve hours. ", c->label[best],
            mine, c->label[other]);
        return;
    }
    if (low > 0)
        say(c, "%s beats %s: %s minutes against %s, a gain of %s (95 %%: %s to %s). ",
            c->label[best], c->label[other], mine, theirs, gain, from, to);
    else
        say(c,
            "%s and %s cannot be told apart: %s minutes against %s, a difference of %s "
            "(95 %%: %s to %s). ",
            c->label[best], c->label[other], mine, theirs, gain, from, to);
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
static void say_settle(nr_compare *c, const nr_difference *d)
{
    const nr_quantity *t = &d->heat_up_s;
    if (!t->known || t->lo95 > 0 || t->hi95 < 0)
        return;
    double k = (t->hi95 - t->value) / t->u;
    double tests = tests_to_settle(t, k);
    double most = fmax(fabs(t->lo95), fabs(t->hi95));
    if (most < SAME_ENOUGH * c->heat_up[d->against].time_s.value)
        say(c, "Whatever the difference is, it is below %.0f %% of the time. ", 100 * SAME_ENOUGH);
    else if (tests > 1)
        say(c, "About %.0f tests like these, fitted together, would settle it. ", tests);
    else
        say(c,
            "More of the same would not settle it: sensors shared by both builds, or better ones, "
            "and a test that ends hotter would. ");
}

static void say_crossing(nr_compare *c)
{
    if (c->differences != 1 || !c->difference[0].crossing_known)
        return;
    const nr_difference *d = &c->difference[0];
    /* The build with the smaller loss wins where it is hot. */
    size_t hot = d->a1.value < 0 ? d->of : d->against;
    size_t cold = hot == d->of ? d->against : d->of;
    say(c, "Below %s K over the air %s gathers more, above it %s.",
        NR_FIGURE("%.1f", d->crossing_K), c->label[cold], c->label[hot]);
}

void nr_verdict_write(nr_compare *c)
{
    c->verdict[0] = 0;
    size_t best = fastest(c);
    say_use(c);
    if (!c->heat_up[best].time_s.known) {
        say(c, "no build gets there within twelve hours.");
        return;
    }
    for (size_t other = 0; other < c->builds; other++)
        if (other != best)
            say_pair(c, best, other);
    if (c->differences == 1)
        say_settle(c, &c->difference[0]);
    say_crossing(c);
}
