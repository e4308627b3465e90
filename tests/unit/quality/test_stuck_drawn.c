/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Held and saturated readings of drawn records, reading by reading, against the three kinds of
 * evidence and the pile of the header of stuck.c gone through on plain arrays. Noise, step and the
 * pump's state are stated. The limits are the project's own (no source). */
#include "tests/unit/quality/by_hand.h"

static by_hand hand;

typedef struct run {
    size_t from, to;
    double s; /* how long */
} run;

/* The record without its holes, and what is expected of it. */
static struct {
    nr_role role;
    size_t n, row[HAND_ROWS];
    double t[HAND_ROWS], v[HAND_ROWS];
    unsigned char bad[HAND_ROWS]; /* by row */
    size_t spans;
    nr_quality_span span[HAND_ROWS];
    double fifth_s, thirteenth_s, longest_s, longest_from_s;
    double stay, noise_samples, step, noise, top, bottom;
} of;

static void gather(nr_role role)
{
    of.role = role;
    of.n = of.spans = 0;
    memset(of.bad, 0, sizeof of.bad);
    of.top = -INFINITY;
    of.bottom = INFINITY;
    for (size_t i = 0; i < hand.q.rows; i++) {
        double v = hand.value[role][i];
        if (isnan(v))
            continue;
        of.row[of.n] = i;
        of.t[of.n] = hand.t_s[i];
        of.v[of.n++] = v;
        of.top = fmax(of.top, v);
        of.bottom = fmin(of.bottom, v);
    }
}

/* The run of equal readings that begins at i; one reading is a run, too. */
static run run_from(size_t i)
{
    size_t to = i;
    while (to + 1 < of.n && of.v[to + 1] == of.v[i] &&
           of.t[to + 1] - of.t[to] < 5 * hand.q.interval_s)
        to++;
    return (run){i, to, of.t[to] - of.t[i]};
}

static void measure(void)
{
    static double s[HAND_ROWS];
    size_t n = 0;
    of.longest_s = 0;
    of.longest_from_s = NAN;
    for (size_t i = 0; i < of.n; i = run_from(i).to + 1) {
        run r = run_from(i);
        if (r.to - r.from < 2 || nr_at_rest(of.role, of.v[i]))
            continue;
        s[n++] = r.s;
        of.longest_from_s = r.s > of.longest_s ? of.t[i] : of.longest_from_s;
        of.longest_s = fmax(of.longest_s, r.s);
    }
    sorted(s, n);
    of.fifth_s = n >= 5 ? s[n - 5] : 0;
    of.thirteenth_s = n >= 13 ? s[n - 13] : 0;
    double interval = hand.q.interval_s;
    bool lively = of.role == NR_ROLE_OUTLET || of.role == NR_ROLE_BOX || of.role == NR_ROLE_FLOW;
    of.noise_samples = of.stay < 1 ? log((double)of.n * 1000) / -log(of.stay) : INFINITY;
    of.noise_samples = fmax(of.noise_samples, fmax(12, 20 / interval));
    if (interval > 3)
        of.noise_samples = lively ? INFINITY : 4 * of.noise_samples;
}

static bool pump_is(run r, int state, double share)
{
    size_t n = 0, from = of.row[r.from], to = of.row[r.to];
    for (size_t i = from; i <= to; i++)
        n += hand.pump[i] == state;
    return (double)n > share * (double)(to - from);
}

static bool too_long_for_noise(run r)
{
    bool pipe = of.role == NR_ROLE_INLET || of.role == NR_ROLE_OUTLET;
    if ((pipe && pump_is(r, NR_PUMP_IS_OFF, 0.5)) ||
        (double)(r.to - r.from + 1) <= of.noise_samples || r.s < 6 * of.thirteenth_s)
        return false;
    return of.stay <= 0.3 || r.s >= 3 * of.fifth_s;
}

/* Slope of the straight line from reading i to the farthest one within so many seconds. */
static double slope_beside(size_t i, int side, double s)
{
    size_t far = i;
    for (size_t k = 0; k < of.n; k++) {
        double away = (of.t[k] - of.t[i]) * side;
        if (away > 0 && away <= s && fabs(of.t[k] - of.t[i]) > fabs(of.t[far] - of.t[i]))
            far = k;
    }
    double away = of.t[far] - of.t[i];
    return fabs(away) < fmax(s / 4, 20) ? NAN : (of.v[far] - of.v[i]) / away;
}

static bool leaps_to_the_trend(run r)
{
    bool pumped = of.role == NR_ROLE_INLET || of.role == NR_ROLE_OUTLET || of.role == NR_ROLE_BOX;
    if (!nr_role_is_temperature(of.role) || r.to + 4 >= of.n ||
        (pumped && !pump_is(r, NR_PUMP_IS_ON, 1)))
        return false;
    double s = r.s < 60 ? 60 : r.s > 600 ? 600 : r.s, next[3];
    double before = slope_beside(r.from, -1, s), after = slope_beside(r.to + 1, 1, s);
    before = isnan(before) ? after : before;
    after = isnan(after) ? before : after;
    memcpy(next, of.v + r.to + 1, sizeof next);
    double leap = sorted(next, 3)[1] - of.v[r.to], slope = (before + after) / 2;
    if (isnan(slope) || before * after < 0 || fabs(leap) < 4 * of.step ||
        fabs(leap) < 6 * of.noise || fabs(leap) < 0.2)
        return false;
    double due = slope * r.s;
    return leap / due > 0.3 && leap / due < 3 && r.s * fabs(slope) > 4 * of.step;
}

static double near_row(nr_role role, size_t row)
{
    for (size_t k = 0; k < 5; k++) {
        if (row + k < hand.q.rows && !isnan(hand.value[role][row + k]))
            return hand.value[role][row + k];
        if (row >= k && !isnan(hand.value[role][row - k]))
            return hand.value[role][row - k];
    }
    return NAN;
}

static bool moved_alike(nr_role peer, size_t a, size_t b)
{
    double other = near_row(peer, of.row[b]) - near_row(peer, of.row[a]), own = of.v[b] - of.v[a];
    return fabs(other) >= 1 && own / other > 0.5 && own / other < 2;
}

static bool peer_went_on(run r)
{
    nr_role peer = of.role == NR_ROLE_INLET ? NR_ROLE_STORE : NR_ROLE_INLET;
    if ((of.role != NR_ROLE_STORE && of.role != NR_ROLE_INLET && of.role != NR_ROLE_OUTLET) ||
        !hand.q.channel[peer].value || !pump_is(r, NR_PUMP_IS_ON, 1))
        return false;
    double moved = fabs(near_row(peer, of.row[r.to]) - near_row(peer, of.row[r.from]));
    if (!(moved > 1 && moved > 10 * of.step))
        return false;
    return moved_alike(peer, 0, r.from) ||
           (r.to + 1 < of.n && moved_alike(peer, r.to + 1, of.n - 1));
}

static bool pressed(run r)
{
    double near = 5 * of.noise + 2 * of.step, v = of.v[r.from];
    bool extreme = v == of.top || (v == of.bottom && nr_role_is_temperature(of.role));
    return extreme && r.from > 0 && r.to + 1 < of.n && fabs(of.v[r.from - 1] - v) < near &&
           fabs(of.v[r.to + 1] - v) < near;
}

static void expect_bad(size_t from, size_t to, nr_bad why, double only)
{
    for (size_t i = from; i <= to; i++)
        if (!of.bad[of.row[i]] && (isnan(only) || of.v[i] == only))
            of.bad[of.row[i]] = (unsigned char)why;
    if (of.spans < NR_QUALITY_SPANS)
        of.span[of.spans++] = (nr_quality_span){of.row[from], of.row[to], why};
}

/* Many readings at an extreme, few one or two steps from it; the longest visit does not count. */
static void expect_pile(double extreme)
{
    double at = 0, one = 0, two = 0, longest = 0, visit = 0;
    size_t first = of.n, last = 0;
    for (size_t i = 0; i < of.n; i++) {
        long steps = lround(fabs(of.v[i] - extreme) / of.step); /* whole ones, in these records */
        visit = steps == 0 ? visit + 1 : 0;
        longest = fmax(longest, visit);
        at += steps == 0;
        one += steps == 1;
        two += steps == 2;
        if (steps == 0) {
            first = i < first ? i : first;
            last = i;
        }
    }
    if (isinf(of.noise_samples) || nr_at_rest(of.role, extreme) || at - longest < 20 ||
        at - longest <= 4 * fmax(one, two))
        return;
    expect_bad(first, last, NR_BAD_SATURATED, extreme);
}

static void expect(nr_role role)
{
    gather(role);
    if (of.n < 24 || role == NR_ROLE_PUMP)
        return;
    measure();
    expect_pile(of.top);
    if (nr_role_is_temperature(role))
        expect_pile(of.bottom);
    for (size_t i = 0; i < of.n; i = run_from(i).to + 1) {
        run r = run_from(i);
        size_t samples = r.to - r.from + 1;
        if (samples < 12 || nr_at_rest(role, of.v[i]))
            continue;
        bool by_others = samples >= 20 && r.s >= fmax(60, 8 * of.thirteenth_s) &&
                         (leaps_to_the_trend(r) || peer_went_on(r));
        if (too_long_for_noise(r) || by_others) {
            bool end = pressed(r);
            expect_bad(end ? r.from : r.from + 1, r.to, end ? NR_BAD_SATURATED : NR_BAD_STUCK, NAN);
        }
    }
}

/* Water that warms with two probes in it, of which one holds now and then, or has its scale end. */
static void draw(nr_role role, nr_role peer, unsigned long long *s)
{
    static const double interval[] = {0.5, 1, 3, 5, 30};
    hand_begin(&hand, 20 + below(s, 500), interval[below(s, 5)]);
    double step = 0.0625 * (double)(1 + below(s, 4)), noise = step * 2 * chance(s) * chance(s);
    double rate = 0.02 * normal(s) * chance(s), v = 10 + 20 * chance(s), peers = v;
    double cap = below(s, 3) ? INFINITY : v + 3 * chance(s), held = NAN;
    double floor = below(s, 3) ? -INFINITY : v - 3 * chance(s);
    double usual = below(s, 2) ? 0.01 : 0.1;
    size_t left = 0;
    double *own = hand.value[role], *other = hand.value[peer];
    if (role == NR_ROLE_SUN)
        v = 5 * chance(s);
    for (size_t i = 0; i < hand.q.rows; i++) {
        if (i > 0 && below(s, 150) == 0)
            for (size_t k = i, more = 1 + below(s, 9); k < hand.q.rows; k++)
                hand.t_s[k] += hand.q.interval_s * (double)more;
        v += rate * hand.q.interval_s + (below(s, 300) ? 0 : normal(s));
        peers += 0.9 * rate * hand.q.interval_s;
        double reads = stepped(fmax(floor, fmin(v + noise * normal(s), cap)), step);
        if (left == 0 && chance(s) < usual / 4) {
            left = below(s, 3) ? below(s, 30) : below(s, 200);
            held = i > 0 && !isnan(own[i - 1]) ? own[i - 1] : reads;
        } else if (left > 0) {
            reads = held;
            left--;
        }
        own[i] = below(s, 80) ? reads : NAN;
        other[i] = below(s, 20) ? stepped(peers, 0.0625) : NAN;
    }
    for (size_t n = below(s, 3); n > 0; n--)
        memset(hand.pump, (int)below(s, 3), below(s, hand.q.rows));
    nr_quality_channel *c = hand_channel(&hand, role);
    c->step = of.step = step;
    c->noise = of.noise = hypot(noise, step / 4) * (below(s, 2) ? 1 : 0.5);
    c->quiet_noise = step * (0.2 + 1.5 * chance(s));
    of.stay = nr_stay_chance(c);
    if (below(s, 4))
        hand_channel(&hand, peer);
}

/* Readings at an end of the scale, some just short of it, most far from it. */
static void draw_pile(nr_role role, unsigned long long *s)
{
    hand_begin(&hand, 60 + below(s, 300), below(s, 2) ? 1 : 5);
    double at = 0.05 + 0.4 * chance(s), beside = at / 4 * (0.5 + chance(s)), *v = hand.value[role];
    bool top = below(s, 4);
    size_t near = 1 + below(s, 2), visits = 1 + below(s, 12);
    for (size_t i = 0; i < hand.q.rows;) {
        double c = chance(s) * (double)visits, steps = 3 + (double)below(s, 30);
        size_t n = c < at ? 1 + below(s, 2 * visits) : 1;
        if (c < at + beside * (double)visits)
            steps = c < at ? 0 : below(s, 3) ? (double)near : (double)(3 - near);
        for (; n > 0 && i < hand.q.rows; n--)
            v[i++] = 0.125 * (top ? 400 - steps : 200 + steps);
    }
    nr_quality_channel *c = hand_channel(&hand, role);
    c->step = of.step = 0.125;
    c->noise = of.noise = 0.25;
    c->quiet_noise = below(s, 8) ? 0.25 : 0.03;
    of.stay = nr_stay_chance(c);
}

static void compare(nr_role role, int number)
{
    const nr_quality_channel *c = &hand.q.channel[role];
    expect(role);
    nr_check_stuck(&hand.q, hand_dense(&hand, role));
    for (size_t i = 0; i < hand.q.rows; i++)
        SURE(c->bad[i] == of.bad[i], "%s, record %d of %zu: reading %zu is %d, not %d",
             nr_role_name(role), number, hand.q.rows, i, c->bad[i], of.bad[i]);
    if (of.n < 24 || role == NR_ROLE_PUMP)
        return;
    ck_assert_uint_eq(c->spans, of.spans);
    for (size_t i = 0; i < of.spans; i++)
        SURE(c->span[i].from == of.span[i].from && c->span[i].to == of.span[i].to &&
                 c->span[i].why == of.span[i].why,
             "%s, record %d: span %zu", nr_role_name(role), number, i);
    NEAR(c->longest_flat_s, of.longest_s, 0);
    ck_assert(c->flat_from_s == of.longest_from_s || isnan(of.longest_from_s));
}

static const nr_role drawn[][2] = {
    {NR_ROLE_STORE, NR_ROLE_INLET}, {NR_ROLE_INLET, NR_ROLE_STORE}, {NR_ROLE_OUTLET, NR_ROLE_INLET},
    {NR_ROLE_AIR, NR_ROLE_INLET},   {NR_ROLE_BOX, NR_ROLE_STORE},   {NR_ROLE_SUN, NR_ROLE_STORE},
    {NR_ROLE_PUMP, NR_ROLE_INLET},  {NR_ROLE_SKY, NR_ROLE_INLET},
};

START_TEST(each_reading)
{
    unsigned long long state = 1000 + (unsigned long long)_i;
    nr_role role = drawn[_i][0];
    for (int number = 0; number < 160; number++) {
        if (number % 4)
            draw(role, drawn[_i][1], &state);
        else
            draw_pile(role, &state);
        compare(role, number);
    }
}
END_TEST

/* Never moved: the whole record is one flat, and nothing is marked. */
START_TEST(never_moved)
{
    hand_begin(&hand, 100, 2);
    for (size_t i = 0; i < 100; i++) {
        hand.value[NR_ROLE_STORE][i] = i < 3 ? NAN : 20;
        hand.t_s[i] += 7;
    }
    const nr_quality_channel *c = hand_channel(&hand, NR_ROLE_STORE);
    nr_check_stuck(&hand.q, hand_dense(&hand, NR_ROLE_STORE));
    NEAR(c->longest_flat_s, 2 * 96, 0);
    NEAR(c->flat_from_s, 7 + 6, 0);
    ck_assert_uint_eq(nr_quality_marked(&hand.q, NR_ROLE_STORE), 0);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("quality: held readings of drawn records");
    TCase *each = case_of(suite, "each_reading");
    tcase_add_loop_test(each, each_reading, 0, (int)(sizeof drawn / sizeof *drawn));
    tcase_add_test(case_of(suite, "never_moved"), never_moved);
    return run_suite(suite);
}
