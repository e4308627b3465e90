/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings that stay exactly equal, and readings pressed against the end of a sensor's scale.
 *
 * Equal readings alone prove nothing: a 1/16 K thermometer in still water repeats for minutes. One
 * of three kinds of evidence is needed:
 *  noise  the sensor's own noise, in its quieter times, would have moved it long ago;
 *  jump   when it moves again it leaps to where the trend before and after would have taken it;
 *  peer   another thermometer in the same water, which it had followed, went its way meanwhile.
 * Saturated: many readings at the very extreme and few close to it, although there is noise, or a
 * long equal stretch at the extreme that is entered and left smoothly. */
#include "analyze/quality/checks.h"

#include <math.h>

#define SAME 1e-9
#define HELD_FACTOR 8.0 /* jump and peer: the stretch is this much longer than usual ones */
#define RARE 1e-3       /* false alarms a record for the noise evidence */
#define LEAST_SAMPLES 12
#define LEAST_S 20.0 /* for the noise evidence */
#define SLOW_INTERVAL_S                                                                            \
    3.0                 /* between samples further apart water itself moves: what looks like ... */
#define SLOW_FACTOR 4.0 /* ... noise may be the loop, so it must be silent this much longer */
#define FLAT_S 60.0     /* shortest stretch for the other kinds of evidence */
#define FLAT_SAMPLES 20
#define LIKELY_STAY 0.3 /* where equal neighbours are this common ... */
#define USUAL_FLATS 4   /* ... and this many other stretches are a third as long, flat is usual; */
#define HELD_FLATS 12   /* with this many it is in any case: a sensor that answers now and then */
#define HELD_TIMES 6.0  /* as long as so many of them: equal answers in a row */
#define SHORT_FLAT 3    /* samples of a stretch that counts for this */
#define TREND_S 600.0   /* longest stretch whose trend is carried on */
#define JUMP_STEPS 4.0
#define JUMP_NOISES 6.0
#define JUMP_K 0.2
#define DWELLS 4.0 /* times the trend needs for one step */
#define PEER_K 1.0
#define PEER_STEPS 10.0
#define PILE_SAMPLES 20 /* readings at the extreme */
#define FAR_STEPS 3.0   /* from the extreme: none of those */
#define PILE_FACTOR 4.0 /* times those within one or two steps of it */

typedef struct flat {
    size_t from, to; /* in nr_dense, both included */
} flat;

typedef struct stuck_view {
    nr_quality *q;
    const nr_dense *d;
    nr_quality_channel *c;
    double stay;         /* chance that one reading equals the next, at most; 1: cannot tell */
    double noise_length; /* samples that noise allows; INFINITY: cannot tell */
    double longest[HELD_FLATS + 1]; /* s, descending */
    double lowest, highest;
    size_t longest_samples;
} stuck_view;

/* The next stretch of at least so many equal readings from `at` on; false at the end. */
static bool next_flat(const stuck_view *v, size_t least, size_t *at, flat *out)
{
    const nr_dense *d = v->d;
    double reach = 5.0 * v->q->interval_s;
    while (*at + 1 < d->count) {
        size_t from = *at, to = from;
        double value = nr_dense_value(d, from), next = nr_dense_value(d, from + 1);
        while (!(fabs(next - value) < SAME) && from + 2 < d->count) { /* as most of a lively one */
            value = next;
            next = nr_dense_value(d, ++from + 1);
        }
        to = from;
        while (to + 1 < d->count && fabs(nr_dense_value(d, to + 1) - value) < SAME &&
               nr_dense_t_s(d, to + 1) - nr_dense_t_s(d, to) < reach)
            to++;
        *at = to + 1;
        if (to - from + 1 >= least && !nr_at_rest(d->role, value)) {
            *out = (flat){from, to};
            return true;
        }
    }
    return false;
}

static double length_s(const nr_dense *d, flat f)
{
    return nr_dense_t_s(d, f.to) - nr_dense_t_s(d, f.from);
}

static void learn_noise(stuck_view *v)
{
    v->stay = nr_stay_chance(v->c);
    v->noise_length = INFINITY;
    if (v->stay >= 1.0)
        return;
    double length = log((double)v->d->count / RARE) / -log(v->stay);
    v->noise_length = fmax(fmax(length, LEAST_SAMPLES), LEAST_S / v->q->interval_s);
    if (v->q->interval_s <= SLOW_INTERVAL_S)
        return;
    nr_role role = v->d->role;
    bool lively = role == NR_ROLE_OUTLET || role == NR_ROLE_BOX || role == NR_ROLE_FLOW;
    v->noise_length = lively ? INFINITY : SLOW_FACTOR * v->noise_length;
}

static void learn_lengths(stuck_view *v)
{
    flat f;
    for (size_t at = 0; next_flat(v, SHORT_FLAT, &at, &f);) {
        double s = length_s(v->d, f);
        size_t samples = f.to - f.from + 1;
        v->longest_samples = samples > v->longest_samples ? samples : v->longest_samples;
        if (s > v->c->longest_flat_s) {
            v->c->longest_flat_s = s;
            v->c->flat_from_s = nr_dense_t_s(v->d, f.from);
        }
        for (size_t k = 0; k <= HELD_FLATS; k++) {
            if (s <= v->longest[k])
                continue;
            double moved = v->longest[k];
            v->longest[k] = s;
            s = moved;
        }
    }
}

static bool flat_is_usual(const stuck_view *v, flat f)
{
    double length = length_s(v->d, f);
    return HELD_TIMES * v->longest[HELD_FLATS] > length ||
           (v->stay > LIKELY_STAY && 3.0 * v->longest[USUAL_FLATS] > length);
}

/* Water that stands in a pipe may well be still. */
static bool pump_stood(const stuck_view *v, flat f)
{
    size_t off = 0, from = nr_dense_row(v->d, f.from), to = nr_dense_row(v->d, f.to);
    if (v->d->role != NR_ROLE_INLET && v->d->role != NR_ROLE_OUTLET)
        return false;
    for (size_t i = from; i <= to; i++)
        off += v->q->pump[i] == NR_PUMP_IS_OFF;
    return 2 * off > to - from;
}

static bool noise_says(const stuck_view *v, flat f)
{
    return !pump_stood(v, f) && (double)(f.to - f.from + 1) > v->noise_length &&
           !flat_is_usual(v, f);
}

/* Of three readings from one on. */
static double median3(const nr_dense *d, size_t from)
{
    double a = nr_dense_value(d, from), b = nr_dense_value(d, from + 1);
    return fmax(fmin(a, b), fmin(fmax(a, b), nr_dense_value(d, from + 2)));
}

/* Trend (per s) over up to `span` before index at (direction -1) or after it (1). */
static double trend(const nr_dense *d, size_t at, int direction, double span)
{
    size_t other = at;
    while (direction < 0 ? other > 0 : other + 1 < d->count) {
        size_t next = direction < 0 ? other - 1 : other + 1;
        if (fabs(nr_dense_t_s(d, next) - nr_dense_t_s(d, at)) > span)
            break;
        other = next;
    }
    double apart = nr_dense_t_s(d, other) - nr_dense_t_s(d, at);
    if (fabs(apart) < 0.25 * span || fabs(apart) < 20.0)
        return NAN;
    return (nr_dense_value(d, other) - nr_dense_value(d, at)) / apart;
}

static bool pump_ran(const nr_quality *q, size_t from, size_t to)
{
    for (size_t i = from; i <= to; i++)
        if (q->pump[i] != NR_PUMP_IS_ON)
            return false;
    return true;
}

static bool jump_says(const stuck_view *v, flat f)
{
    const nr_dense *d = v->d;
    if (!nr_role_is_temperature(d->role) || f.to + 4 >= d->count)
        return false;
    bool water = d->role == NR_ROLE_INLET || d->role == NR_ROLE_OUTLET || d->role == NR_ROLE_BOX;
    if (water && !pump_ran(v->q, nr_dense_row(d, f.from), nr_dense_row(d, f.to)))
        return false;
    double span = fmin(fmax(length_s(d, f), FLAT_S), TREND_S);
    double before = trend(d, f.from, -1, span), after = trend(d, f.to + 1, 1, span);
    if (isnan(before))
        before = after;
    if (isnan(after))
        after = before;
    double slope = 0.5 * (before + after), expected = slope * length_s(d, f);
    double jump = median3(d, f.to + 1) - nr_dense_value(d, f.to);
    double least = fmax(fmax(JUMP_STEPS * v->c->step, JUMP_NOISES * v->c->noise), JUMP_K);
    if (isnan(slope) || fabs(jump) < least || before * after < 0.0)
        return false;
    double ratio = jump / expected;
    return ratio > 0.3 && ratio < 3.0 && length_s(d, f) > DWELLS * v->c->step / fabs(slope);
}

static double peer_near(const stuck_view *v, nr_role peer, size_t row)
{
    const nr_values *p = v->q->channel[peer].value;
    for (size_t k = 0; p && k < 5; k++) {
        double after = row + k < v->q->rows ? nr_number(p, row + k) : NAN;
        if (!isnan(after))
            return after;
        double before = row >= k ? nr_number(p, row - k) : NAN;
        if (!isnan(before))
            return before;
    }
    return NAN;
}

/* Had it followed the peer over dense indices a..b, by at least PEER_K? */
static bool had_followed(const stuck_view *v, nr_role peer, size_t a, size_t b)
{
    double own = nr_dense_value(v->d, b) - nr_dense_value(v->d, a);
    double other =
        peer_near(v, peer, nr_dense_row(v->d, b)) - peer_near(v, peer, nr_dense_row(v->d, a));
    return fabs(other) >= PEER_K && own / other > 0.5 && own / other < 2.0;
}

static bool peer_says(const stuck_view *v, flat f)
{
    const nr_dense *d = v->d;
    nr_role peer;
    if (d->role == NR_ROLE_STORE || d->role == NR_ROLE_OUTLET)
        peer = NR_ROLE_INLET;
    else if (d->role == NR_ROLE_INLET)
        peer = NR_ROLE_STORE;
    else
        return false;
    if (!pump_ran(v->q, nr_dense_row(d, f.from), nr_dense_row(d, f.to)))
        return false;
    double moved =
        peer_near(v, peer, nr_dense_row(d, f.to)) - peer_near(v, peer, nr_dense_row(d, f.from));
    if (!(fabs(moved) > fmax(PEER_K, PEER_STEPS * v->c->step)))
        return false;
    return had_followed(v, peer, 0, f.from) ||
           (f.to + 1 < d->count && had_followed(v, peer, f.to + 1, d->count - 1));
}

/* Entered and left without a leap, at the highest or lowest value of the record. */
static bool at_the_end_of_scale(const stuck_view *v, flat f)
{
    const nr_dense *d = v->d;
    double value = nr_dense_value(d, f.from), near = 5.0 * v->c->noise + 2.0 * v->c->step;
    bool top = fabs(value - v->highest) < SAME, bottom = fabs(value - v->lowest) < SAME;
    if (!top && !(bottom && nr_role_is_temperature(d->role)))
        return false;
    return f.from > 0 && f.to + 1 < d->count &&
           fabs(nr_dense_value(d, f.from - 1) - value) < near &&
           fabs(nr_dense_value(d, f.to + 1) - value) < near;
}

static void mark_flat(const stuck_view *v, flat f, nr_bad why)
{
    size_t first = why == NR_BAD_STUCK ? f.from + 1 : f.from; /* the first reading was real */
    for (size_t i = first; i <= f.to; i++)
        nr_quality_mark(v->q, v->d->role, nr_dense_row(v->d, i), why);
    nr_quality_add_span(v->c, nr_dense_row(v->d, first), nr_dense_row(v->d, f.to), why);
}

/* Readings at the extreme against those just short of it. sign 1: the top. */
static bool piled_up(const stuck_view *v, double extreme, double sign)
{
    double q = v->c->step;
    size_t at = 0, one = 0, two = 0, visit = 0, longest = 0;
    for (size_t i = 0; i < v->d->count; i++) {
        double away = sign * (extreme - nr_dense_value(v->d, i));
        if (away > FAR_STEPS * q) { /* as most are */
            visit = 0;
            continue;
        }
        double below = away / q;
        bool now = below < 0.5;
        visit = now ? visit + 1 : 0;
        longest = visit > longest ? visit : longest;
        at += now;
        one += below >= 0.5 && below < 1.5;
        two += below >= 1.5 && below < 2.5;
    }
    size_t more = one > two ? one : two;
    at -= longest; /* one long visit may be a stuck sensor; it does not count */
    return at >= PILE_SAMPLES && (double)at > PILE_FACTOR * (double)more;
}

static void check_pile(const stuck_view *v, double extreme, double sign)
{
    const nr_dense *d = v->d;
    if (isinf(v->noise_length) || nr_at_rest(d->role, extreme) || !piled_up(v, extreme, sign))
        return;
    size_t first = d->count, last = 0;
    for (size_t i = 0; i < d->count; i++) {
        if (fabs(nr_dense_value(d, i) - extreme) > SAME)
            continue;
        nr_quality_mark(v->q, d->role, nr_dense_row(d, i), NR_BAD_SATURATED);
        first = i < first ? i : first;
        last = i;
    }
    nr_quality_add_span(v->c, nr_dense_row(d, first), nr_dense_row(d, last), NR_BAD_SATURATED);
}

void nr_check_stuck(nr_quality *q, const nr_dense *d)
{
    if (d->role == NR_ROLE_PUMP || d->count < 2 * (size_t)LEAST_SAMPLES)
        return;
    stuck_view v = {.q = q, .d = d, .c = &q->channel[d->role]};
    if (isnan(v.c->step)) { /* never moved: no life before or after; `inspect` says so */
        v.c->longest_flat_s = nr_dense_t_s(d, d->count - 1) - nr_dense_t_s(d, 0);
        v.c->flat_from_s = nr_dense_t_s(d, 0);
        return;
    }
    double lowest = nr_dense_value(d, 0), highest = lowest;
    for (size_t i = 1; i < d->count; i++) {
        lowest = nr_dense_value(d, i) < lowest ? nr_dense_value(d, i) : lowest;
        highest = nr_dense_value(d, i) > highest ? nr_dense_value(d, i) : highest;
    }
    v.lowest = lowest;
    v.highest = highest;
    learn_noise(&v);
    learn_lengths(&v);
    check_pile(&v, v.highest, 1.0);
    if (nr_role_is_temperature(d->role))
        check_pile(&v, v.lowest, -1.0);
    if (v.longest[0] < FLAT_S && (double)v.longest_samples <= v.noise_length)
        return; /* none is long enough for any kind of evidence */
    flat f;
    for (size_t at = 0; next_flat(&v, LEAST_SAMPLES, &at, &f);) {
        bool by_noise = noise_says(&v, f);
        double least = fmax(FLAT_S, HELD_FACTOR * v.longest[HELD_FLATS]);
        bool long_enough = length_s(d, f) >= least && f.to - f.from + 1 >= FLAT_SAMPLES;
        if (!by_noise && !(long_enough && (jump_says(&v, f) || peer_says(&v, f))))
            continue;
        mark_flat(&v, f, at_the_end_of_scale(&v, f) ? NR_BAD_SATURATED : NR_BAD_STUCK);
    }
}
