/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/tell/phrase.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <math.h>
#include <stdio.h>

/* A chance beyond this is as good as certain. */
#define CERTAIN 0.995

static char *shown(nr_shown what, nr_units units, double si, int digits, char text[NR_ROUNDED])
{
    return nr_plain_text(nr_display_value(what, units, si), digits, text);
}

void nr_tell_compare_day(char *text, size_t size, const nr_reference_day *day, nr_units units)
{
    char sun[NR_ROUNDED], air[NR_ROUNDED], water[NR_ROUNDED], from[NR_ROUNDED], end[NR_ROUNDED];
    char wind[NR_ROUNDED], windy[96] = "";
    const char *degrees = nr_display_of(NR_SHOWN_TEMPERATURE, units)->plain;
    if (isfinite(day->wind_m_s))
        (void)snprintf(windy, sizeof windy, ", wind %s %s",
                       shown(NR_SHOWN_SPEED, units, day->wind_m_s, 2, wind),
                       nr_display_of(NR_SHOWN_SPEED, units)->plain);
    (void)snprintf(text, size,
                   "The reference day%s: %s %s of sun, air at %s %s%s, %s %s of water from %s to "
                   "%s %s.",
                   day->stated ? ", as stated" : ", taken from the records",
                   shown(NR_SHOWN_IRRADIANCE, units, day->sun_W_m2, 3, sun),
                   nr_display_of(NR_SHOWN_IRRADIANCE, units)->plain,
                   shown(NR_SHOWN_TEMPERATURE, units, day->air_degC, 3, air), degrees, windy,
                   shown(NR_SHOWN_WATER, units, day->store_kg, 3, water),
                   nr_display_of(NR_SHOWN_WATER, units)->plain,
                   shown(NR_SHOWN_TEMPERATURE, units, day->from_degC, 3, from),
                   shown(NR_SHOWN_TEMPERATURE, units, day->to_degC, 3, end), degrees);
}

/* What more is known of a pair. */
static void say_more(nr_phrase *p, const nr_difference *d)
{
    if (d->crossing_known)
        NR_SAY(p, "; their curves cross {0 difference .1f} {1|above|below} the air",
               .number = {fabs(d->crossing_K), d->crossing_K < 0});
    if (d->crossing_known && d->crossing.known)
        NR_SAY(p, " (95 %: {0 difference .1f bare} to {1 difference .1f} over it)",
               .number = {d->crossing.lo95, d->crossing.hi95});
    if (isfinite(d->power))
        nr_phrase_say(
            p,
            d->power > CERTAIN
                ? "; a test like this shows a difference of 10 % in eta0 practically always"
                : "; a test like this shows a difference of 10 % in eta0 {0 number .0f} "
                  "times in 100",
            &(nr_blanks){.number = {100 * d->power}});
    NR_SAY(p, ".", .name = {NULL});
}

void nr_tell_compare_pair(char *text, size_t size, const nr_compare *c, const nr_difference *d,
                          nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    if (!isfinite(d->probability_better))
        return;
    /* Said of the build that probably is the faster one. */
    bool of = d->probability_better >= 0.5;
    double sure = of ? d->probability_better : 1 - d->probability_better;
    const char *faster = c->label[of ? d->of : d->against];
    const char *slower = c->label[of ? d->against : d->of];
    if (!c->heat_up[d->of].time_s.known && !c->heat_up[d->against].time_s.known)
        NR_SAY(&p, "Neither {a} nor {b} gets there",
               .name = {c->label[d->against], c->label[d->of]});
    else
        nr_phrase_say(&p,
                      sure > 0.999
                          ? "{a} heats up faster than {b} with a probability of more than 99.9 %"
                          : "{a} heats up faster than {b} with a probability of {0 percent .3g}",
                      &(nr_blanks){.name = {faster, slower}, .number = {sure}});
    say_more(&p, d);
}

void nr_tell_compare_all_pairs(char *text, size_t size, const nr_compare *c)
{
    nr_phrase p = nr_phrase_begin(text, size, NR_UNITS_SI);
    if (c->differences > 1 && isfinite(c->difference[0].confidence_adjusted))
        NR_SAY(&p,
               "With {0 number .0f} pairs looked at together, each difference was judged at the "
               "{1 percent .2f} level, so that all statements together hold at 95 %.",
               .number = {(double)c->differences, c->difference[0].confidence_adjusted});
}

static void say_exchanged(nr_phrase *p, const nr_compare *c)
{
    for (size_t i = 0; i < c->exchanged_count; i++)
        nr_phrase_say(p,
                      i == 0 ? " Sensors changed places between the records ({a}"
                      : i + 1 == c->exchanged_count ? " and {a}"
                                                    : ", {a}",
                      &(nr_blanks){.name = {c->exchanged[i]}});
    if (c->exchanged_count > 0)
        NR_SAY(p, "): what one of them gets wrong is in both builds alike, and cancels, too.",
               .name = {NULL});
}

void nr_tell_compare_basis(char *text, size_t size, const nr_compare *c)
{
    nr_phrase p = nr_phrase_begin(text, size, NR_UNITS_SI);
    if (c->builds == 0)
        return;
    NR_SAY(&p,
           "All on gross area and the {0|inlet|mean fluid} temperature of the collector. What "
           "builds share (the same sensors{1||; of one kind, tested together, most of the model's "
           "own error and half of what nobody stated of them}) cancels in their differences.",
           .number = {c->build[0]->reference == NR_REFERENCE_MEAN, c->like});
    say_exchanged(&p, c);
    if (c->skies > 1)
        NR_SAY(&p,
               " The records were taken under {0 number .0f} different skies: wind and clouds that "
               "nobody measured are in the differences.",
               .number = {(double)c->skies});
}

/* -- the ranking */

void nr_tell_ranking(char *text, size_t size, const nr_compare *c)
{
    nr_phrase p = nr_phrase_begin(text, size, NR_UNITS_SI);
    if (c->builds > 2)
        NR_SAY(&p,
               "Fastest first, values with their 95 % intervals. Rank: its 95 % range over "
               "{0 number .0f} draws of all that is uncertain. Group: builds without a letter in "
               "common are told apart, all pairs together at 95 %.",
               .number = {NR_RANK_DRAWS});
}

void nr_tell_rank(char *text, size_t size, const nr_rank *rank)
{
    if (rank->lo95 == rank->hi95)
        (void)snprintf(text, size, "%zu", rank->lo95);
    else
        (void)snprintf(text, size, "%zu to %zu", rank->lo95, rank->hi95);
}

/* -- the verdict */

static void say_against(nr_phrase *p, const nr_compare *c, size_t other)
{
    const nr_verdict *v = &c->verdict;
    const nr_against *a = &v->against[other];
    nr_blanks b = {.name = {c->label[v->best], c->label[other]},
                   .number = {c->heat_up[v->best].time_s.value, c->heat_up[other].time_s.value,
                              a->gain_s, a->lo95_s, a->hi95_s, a->u_s}};
    switch (a->outcome) {
    case NR_AGAINST_NOT_REACHED:
        nr_phrase_say(
            p, "{a} gets there in {0 minutes u5 bare} minutes, {b} does not within twelve hours. ",
            &b);
        return;
    case NR_AGAINST_SLOWER:
        nr_phrase_say(
            p,
            "{a} beats {b}: {0 minutes u5 bare} minutes against {1 minutes u5 bare}, a gain of "
            "{2 minutes u5 bare} (95 %: {3 minutes u5 bare} to {4 minutes u5 bare}). ",
            &b);
        return;
    case NR_AGAINST_ALIKE:
        nr_phrase_say(
            p,
            "{a} and {b} cannot be told apart: {0 minutes u5 bare} minutes against "
            "{1 minutes u5 bare}, a difference of {2 minutes u5 bare} (95 %: {3 minutes u5 bare} "
            "to {4 minutes u5 bare}). ",
            &b);
        return;
    }
}

static void say_settle(nr_phrase *p, const nr_compare *c)
{
    const nr_verdict *v = &c->verdict;
    nr_blanks b = {.number = {v->settle == NR_SETTLE_SAME_ENOUGH ? NR_SAME_ENOUGH : v->tests,
                              c->exchanged_count > 0}};
    switch (v->settle) {
    case NR_SETTLE_NOTHING:
        return;
    case NR_SETTLE_SAME_ENOUGH:
        nr_phrase_say(p, "Whatever the difference is, it is below {0 percent .0f} of the time. ",
                      &b);
        return;
    case NR_SETTLE_MORE_TESTS:
        nr_phrase_say(
            p, "About {0 number .0f} tests like these, fitted together, would settle it. ", &b);
        return;
    case NR_SETTLE_BETTER_SENSORS:
        nr_phrase_say(
            p,
            "More of the same would not settle it: sensors shared by both builds"
            "{1| (or second records with all sensors exchanged)|}, or better ones, and a test that "
            "ends hotter would. ",
            &b);
        return;
    }
}

/* Of many builds the names of so many are said. */
#define NAMES 5

/* Those with an outcome, by rank; returns how many there are. */
static size_t with_outcome(const nr_compare *c, nr_against_outcome outcome, size_t *of)
{
    size_t count = 0;
    for (size_t i = 0; i < c->builds; i++) {
        size_t b = c->rank[i].build;
        if (b != c->verdict.best && c->verdict.against[b].outcome == outcome)
            of[count++] = b;
    }
    return count;
}

static void say_names(nr_phrase *p, const nr_compare *c, const size_t *of, size_t count)
{
    size_t said = count > NAMES + 1 ? NAMES : count;
    for (size_t i = 0; i < said; i++) {
        nr_phrase_say(p,
                      i == 0           ? "{a}"
                      : i + 1 == count ? " and {a}"
                                       : ", {a}",
                      &(nr_blanks){.name = {c->label[of[i]]}});
    }
    if (said < count)
        NR_SAY(p, " and {0 number .0f} more", .number = {(double)(count - said)});
}

static void say_slower(nr_phrase *p, const nr_compare *c, const size_t *of, size_t count)
{
    size_t said = count > NAMES + 1 ? NAMES : count;
    NR_SAY(p, "Slower for certain (95 %, all pairs together): ", .name = {NULL});
    for (size_t i = 0; i < said; i++) {
        const nr_against *a = &c->verdict.against[of[i]];
        nr_phrase_say(p,
                      "{a} by {0 minutes u3 bare} minutes ({1 minutes u3 bare} to "
                      "{2 minutes u3 bare})",
                      &(nr_blanks){.name = {c->label[of[i]]},
                                   .number = {a->gain_s, a->lo95_s, a->hi95_s, a->u_s}});
        nr_phrase_say(p, i + 1 < said ? ", " : "", &(nr_blanks){.name = {NULL}});
    }
    if (said < count)
        NR_SAY(p, " and {0 number .0f} more", .number = {(double)(count - said)});
    NR_SAY(p, ". ", .name = {NULL});
}

/* The best group, and who is clearly worse. */
static void say_many(nr_phrase *p, const nr_compare *c)
{
    size_t of[NR_BUILDS], count = with_outcome(c, NR_AGAINST_ALIKE, of);
    const nr_quantity *t = &c->heat_up[c->verdict.best].time_s;
    NR_SAY(p,
           "{a} heats up first of {4 number .0f}: {0 minutes u3 bare} minutes (95 %: "
           "{1 minutes u3 bare} to {2 minutes u3 bare}). ",
           .name = {c->label[c->verdict.best]},
           .number = {t->value, t->lo95, t->hi95, t->u, (double)c->builds});
    if (count > 0) {
        say_names(p, c, of, count);
        NR_SAY(p, " cannot be told apart from it. ", .name = {NULL});
    }
    count = with_outcome(c, NR_AGAINST_SLOWER, of);
    if (count > 0)
        say_slower(p, c, of, count);
    count = with_outcome(c, NR_AGAINST_NOT_REACHED, of);
    if (count > 0) {
        say_names(p, c, of, count);
        NR_SAY(p, " {0#does|do} not get there within twelve hours.", .number = {(double)count});
    }
}

void nr_tell_compare_verdict(char *text, size_t size, const nr_compare *c, nr_units units)
{
    const nr_verdict *v = &c->verdict;
    const nr_reference_day *d = &c->day;
    nr_phrase p = nr_phrase_begin(text, size, units);
    NR_SAY(&p,
           "For heating {0 water .0f} from {1 temperature .0f bare} to {2 temperature .0f} at "
           "{3 irradiance .0f} and {4 temperature .0f} air, ",
           .number = {d->store_kg, d->from_degC, d->to_degC, d->sun_W_m2, d->air_degC});
    if (!v->reached) {
        NR_SAY(&p, "no build gets there within twelve hours.", .name = {NULL});
        return;
    }
    if (c->builds > 2)
        say_many(&p, c);
    else
        say_against(&p, c, 1 - v->best);
    say_settle(&p, c);
    if (v->crossing)
        NR_SAY(&p, "Below {0 difference .1f} over the air {a} gathers more, above it {b}.",
               .name = {c->label[v->cold], c->label[v->hot]},
               .number = {c->difference[0].crossing_K});
}

void nr_tell_compare_title(char *text, size_t size, const nr_compare *c)
{
    nr_phrase p = nr_phrase_begin(text, size, NR_UNITS_SI);
    if (c->builds == 2)
        NR_SAY(&p, "{a} against {b}", .name = {c->label[0], c->label[1]});
    else
        NR_SAY(&p, "{0 number .0f} solar collectors compared", .number = {(double)c->builds});
}

void nr_tell_heat_up_title(char *text, size_t size, const nr_compare *c, size_t build)
{
    nr_phrase p = nr_phrase_begin(text, size, NR_UNITS_SI);
    NR_SAY(&p, "{a}: heat-up on the reference day", .name = {c->label[build]});
}
