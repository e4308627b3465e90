/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whether the pump ran, row by row, on drawn records: by the rule of the header of pump.c gone
 * through on plain arrays. The limits are the project's own (no source). */
#include "tests/unit/quality/by_hand.h"

static by_hand hand;
static double scratch[HAND_ROWS];
static nr_note note[8];
static nr_notes notes = {.note = note};

/* What is expected. */
static unsigned char state[HAND_ROWS], stuck[HAND_ROWS];
static double typical;
static bool dead;
static size_t spans;
static nr_quality_span span[HAND_ROWS];

static double good_at(nr_role role, size_t i)
{
    return hand.q.channel[role].value && !hand.bad[role][i] ? hand.value[role][i] : NAN;
}

/* The reading below which this share lies, of those above a floor. */
static double share_of(nr_role role, double floor, double share)
{
    static double v[HAND_ROWS];
    size_t n = 0;
    for (size_t i = 0; i < hand.q.rows; i++)
        if (good_at(role, i) > floor)
            v[n++] = good_at(role, i);
    return n ? sorted(v, n)[lround(floor == -INFINITY ? share * (double)(n - 1) : (double)(n / 2))]
             : NAN;
}

static double usual_of(nr_role role)
{
    return share_of(role, share_of(role, -INFINITY, 0.995) / 2, 0.5);
}

/* States by two thresholds: what is seen counts from where it was first seen, once it has lasted
 * two readings and three seconds. */
static void expect_states(nr_role role, double on, double off)
{
    size_t since = 0;
    double last_s = hand.t_s[0], patience_s = fmax(60, 2.5 * hand.q.interval_s);
    int now = NR_PUMP_IS_UNKNOWN, seen = NR_PUMP_IS_UNKNOWN;
    for (size_t i = 0; i < hand.q.rows; i++) {
        double v = good_at(role, i);
        if (isnan(v)) {
            if (hand.t_s[i] > last_s + patience_s)
                now = seen = NR_PUMP_IS_UNKNOWN;
            state[i] = (unsigned char)now;
            continue;
        }
        last_s = hand.t_s[i];
        int before = seen;
        seen = v > on ? NR_PUMP_IS_ON : v < off || seen != NR_PUMP_IS_ON ? NR_PUMP_IS_OFF : seen;
        since = seen == before ? since : i;
        bool lasted = i > since && hand.t_s[i] - hand.t_s[since] >= 3;
        if (lasted || hand.q.interval_s >= 3 || now == NR_PUMP_IS_UNKNOWN) {
            if (now != seen)
                memset(state + since, seen, i - since + 1);
            now = seen;
        }
        state[i] = (unsigned char)now;
    }
}

static bool mostly(nr_role role)
{
    return 2 * hand.q.channel[role].good >= hand.q.rows;
}

typedef struct course {
    double rise_K_s, sun, length_s;
} course;

/* Straight line through the store's readings about their mean, and the mean sun. */
static course course_of(size_t from, size_t to)
{
    double n = 0, t = 0, v = 0, up = 0, down = 0, sun = 0, suns = 0;
    const double *store = hand.value[NR_ROLE_STORE];
    for (size_t i = from; i < to; i++) {
        double g = good_at(NR_ROLE_SUN, i);
        sun += isnan(g) ? 0 : g;
        suns += isnan(g) ? 0 : 1;
        if (isnan(store[i]))
            continue;
        n++;
        t += hand.t_s[i];
        v += store[i];
    }
    for (size_t i = from; i < to; i++) {
        if (isnan(store[i]))
            continue;
        double x = hand.t_s[i] - t / n;
        up += x * (store[i] - v / n);
        down += x * x;
    }
    return (course){n > 1 ? up / down : NAN, sun / suns, hand.t_s[to - 1] - hand.t_s[from]};
}

/* A meter that shows nothing for five minutes while the store goes on at six tenths of its rate
 * (or, where it never showed any, gains 3 K). */
static void expect_dead(void)
{
    if (!hand.q.channel[NR_ROLE_STORE].value || !hand.q.channel[NR_ROLE_SUN].value)
        return;
    double sum = 0, weight = 0;
    for (size_t i = 0, to; i < hand.q.rows; i = to) {
        for (to = i; to < hand.q.rows && state[to] == state[i]; to++)
            ;
        course c = course_of(i, to);
        if (state[i] != NR_PUMP_IS_ON || c.length_s < 300 || !(c.sun > 200) || !(c.rise_K_s > 0))
            continue;
        sum += c.length_s * c.rise_K_s / c.sun;
        weight += c.length_s;
    }
    for (size_t i = 0, to; i < hand.q.rows; i = to) {
        for (to = i; to < hand.q.rows && state[to] == state[i]; to++)
            ;
        if (state[i] != NR_PUMP_IS_OFF || hand.t_s[to - 1] - hand.t_s[i] < 300)
            continue;
        size_t from = i;
        while (hand.t_s[from] < hand.t_s[i] + 60)
            from++;
        course c = course_of(from, to);
        double gained = c.rise_K_s * c.length_s, due = sum / weight * c.sun * c.length_s;
        if (!(c.sun > 200) || !(weight > 0 ? due > 1 && gained > 0.6 * due : gained > 3))
            continue;
        dead = true;
        for (size_t k = i; k < to; k++)
            stuck[k] = !isnan(good_at(NR_ROLE_FLOW, k)) || hand.bad[NR_ROLE_FLOW][k];
        span[spans++] = (nr_quality_span){i, to - 1, NR_BAD_STUCK};
        memset(state + i, NR_PUMP_IS_UNKNOWN, to - i);
    }
}

static bool expect_by_flow(void)
{
    if (!mostly(NR_ROLE_FLOW))
        return false;
    typical = usual_of(NR_ROLE_FLOW);
    bool alive = typical > 0.02 && share_of(NR_ROLE_FLOW, -INFINITY, 0.03) > -0.3 * typical;
    typical = alive ? typical : NAN;
    expect_states(NR_ROLE_FLOW, alive ? 0.15 * typical : INFINITY,
                  alive ? 0.08 * typical : INFINITY);
    expect_dead();
    return alive || !dead;
}

static bool expect_by_supply(void)
{
    if (!mostly(NR_ROLE_PUMP))
        return false;
    double supply = usual_of(NR_ROLE_PUMP);
    if (!(supply > 0))
        return false;
    typical = supply;
    expect_states(NR_ROLE_PUMP, 0.5 * typical, 0.3 * typical);
    return true;
}

/* The last note so far; before the first, the other state. */
static bool expect_by_notes(void)
{
    bool any = false;
    for (size_t i = 0; i < hand.q.rows; i++) {
        int now = NR_PUMP_IS_UNKNOWN;
        for (size_t k = 0; k < notes.count; k++) {
            bool on = strchr("nN", note[k].text[1]) != NULL,
                 past = note[k].elapsed_s <= hand.t_s[i];
            if (notes.note[k].kind != NR_NOTE_PUMP || strchr("oO", note[k].text[0]) == NULL)
                continue;
            any = true;
            if (past || now == NR_PUMP_IS_UNKNOWN)
                now = on == past ? NR_PUMP_IS_ON : NR_PUMP_IS_OFF;
        }
        state[i] = (unsigned char)now;
    }
    return any;
}

static nr_pump_source expect(void)
{
    typical = NAN;
    dead = false;
    spans = 0;
    memset(stuck, 0, sizeof stuck);
    if (expect_by_flow())
        return NR_PUMP_FROM_FLOW;
    if (expect_by_supply())
        return NR_PUMP_FROM_SUPPLY;
    return expect_by_notes() ? NR_PUMP_FROM_NOTES : NR_PUMP_FROM_NOTHING;
}

/* Seconds in each state, at most three intervals a row; a stop is a row of off after some on. */
static void compare_sums(int number)
{
    double sum[3] = {0};
    size_t stops = 0, rows = hand.q.rows;
    bool ran = false;
    for (size_t i = 0; i + 1 < rows; i++)
        sum[state[i]] += fmin(hand.t_s[i + 1] - hand.t_s[i], 3 * hand.q.interval_s);
    NEAR(hand.q.pump_on_s, sum[NR_PUMP_IS_ON], 1e-6);
    NEAR(hand.q.pump_off_s, sum[NR_PUMP_IS_OFF], 1e-6);
    for (size_t i = 0, to; i < rows; i = to) {
        for (to = i; to < rows && state[to] == state[i]; to++)
            ;
        ran = ran || state[i] == NR_PUMP_IS_ON;
        if (!ran || state[i] != NR_PUMP_IS_OFF)
            continue;
        if (stops < NR_QUALITY_EVENTS) {
            NEAR(hand.q.pump_stop[stops].at_s, hand.t_s[i], 0);
            double end_s =
                hand.t_s[to < rows ? to : rows - 1]; /* when it was over, or at the end */
            NEAR(hand.q.pump_stop[stops].length_s, end_s - hand.t_s[i], 1e-9);
        }
        stops++;
    }
    SURE(hand.q.pump_stops == stops, "record %d: %zu stops, expected %zu", number,
         hand.q.pump_stops, stops);
}

static void compare(int number)
{
    nr_pump_source source = expect();
    nr_quality_source about = {.rows = hand.q.rows, .notes = notes.count ? &notes : NULL};
    size_t good = hand.q.channel[NR_ROLE_FLOW].good;
    nr_check_pump(&hand.q, &about, scratch);
    SURE(hand.q.pump_source == source, "record %d: source %d, expected %d", number,
         hand.q.pump_source, source);
    SURE(hand.q.pump_typical == typical || (isnan(typical) && isnan(hand.q.pump_typical)),
         "record %d: usually %g, expected %g", number, hand.q.pump_typical, typical);
    SURE(hand.q.flow_dead == dead, "record %d: dead %d", number, hand.q.flow_dead);
    size_t lost = 0;
    for (size_t i = 0; i < hand.q.rows; i++) {
        SURE(hand.q.pump[i] == state[i], "record %d of %zu, row %zu: %d, expected %d", number,
             hand.q.rows, i, hand.q.pump[i], state[i]);
        bool marked = hand.bad[NR_ROLE_FLOW][i] == NR_BAD_STUCK;
        SURE(!marked || stuck[i], "record %d: flow of row %zu", number, i);
        lost += marked;
        SURE(marked || !stuck[i] || hand.bad[NR_ROLE_FLOW][i] == NR_BAD_RANGE,
             "record %d: flow of row %zu", number, i);
    }
    const nr_quality_channel *flow = &hand.q.channel[NR_ROLE_FLOW];
    ck_assert_uint_eq(flow->spans, spans < NR_QUALITY_SPANS ? spans : NR_QUALITY_SPANS);
    for (size_t k = 0; k < spans && spans < NR_QUALITY_SPANS; k++)
        ck_assert(flow->span[k].from == span[k].from && flow->span[k].to == span[k].to &&
                  flow->span[k].why == NR_BAD_STUCK);
    if (good)
        ck_assert_uint_eq(hand.q.channel[NR_ROLE_FLOW].good, good - lost);
    compare_sums(number);
}

/* A pump that starts and stops, hesitates and is not read; its meter dies, perhaps. */
static void draw(unsigned long long *s, size_t rows)
{
    static const double interval[] = {0.5, 1, 2, 3, 10};
    hand_begin(&hand, rows, interval[below(s, 5)]);
    double full = below(s, 8) ? 0.1 * (double)(1 + below(s, 30)) : 0.02, *t = hand.t_s;
    double *flow = hand.value[NR_ROLE_FLOW], *supply = hand.value[NR_ROLE_PUMP];
    double *store = hand.value[NR_ROLE_STORE], *sun = hand.value[NR_ROLE_SUN];
    double rate = 1e-3 * (1 + 4 * chance(s)), slow = 0.3 + 0.7 * chance(s),
           g = 150 + 500 * chance(s);
    double water = 20, share = 1, noise = below(s, 3) ? 0 : full * 0.4 * chance(s);
    bool dies = below(s, 2), on = below(s, 2), silent = false;
    for (size_t i = 0, left = 0; i < rows; i++, left--) {
        if (left == 0) {
            static const double part[] = {0, 0, 1, 1, 1, 0.1, 0.16, 0.14, 0.09, 0.07, 0.4, 0.55};
            left = 1 + (below(s, 3) ? below(s, 5) : below(s, rows));
            share = part[below(s, sizeof part / sizeof *part)];
            silent = below(s, 5) == 0;
            on = dies && below(s, 2);
        }
        double pause = i > 0 && below(s, 40) == 0 ? (double)below(s, 200) : 0;
        for (size_t k = i; pause > 0 && k < rows; k++)
            t[k] += hand.q.interval_s * pause;
        flow[i] = silent ? NAN : full * share * (1 + 0.02 * chance(s)) + noise * normal(s);
        supply[i] = silent ? NAN : 12 * share;
        water += i ? (on || share > 0.15 ? rate * (on ? slow : 1) : 0) * (t[i] - t[i - 1]) : 0;
        store[i] = below(s, 50) ? water : NAN;
        sun[i] = g;
    }
}

/* Pumped for a while, then a meter that shows nothing while the store gains some share of before.
 */
static void draw_dead(unsigned long long *s)
{
    hand_begin(&hand, 140 + below(s, 160), 5);
    double rate = 5e-4 * pow(20, chance(s)), share = below(s, 3) ? chance(s) : 0, water = 20;
    double g = 150 + 300 * chance(s);
    size_t on = below(s, 4) ? 55 + below(s, 60) : 0;
    for (size_t i = 0; i < hand.q.rows; i++) {
        water += 5 * rate * (i < on ? 1 : share);
        hand.value[NR_ROLE_FLOW][i] = i < on ? 2 + 0.01 * chance(s) : 0;
        hand.value[NR_ROLE_PUMP][i] = below(s, 2) ? 12 : 0;
        hand.value[NR_ROLE_STORE][i] = water + 0.01 * normal(s);
        hand.value[NR_ROLE_SUN][i] = i < on ? g : g * 1.2;
    }
}

static void draw_channels(unsigned long long *s)
{
    static const char *const words[] = {"on", "off", "ON again", "Off: a cloud", "works"};
    if (below(s, 3))
        hand_channel(&hand, NR_ROLE_FLOW);
    if (below(s, 3))
        hand_channel(&hand, NR_ROLE_PUMP);
    if (below(s, 8))
        hand_channel(&hand, NR_ROLE_STORE);
    if (below(s, 8))
        hand_channel(&hand, NR_ROLE_SUN);
    for (int role = 0; role < NR_ROLES; role++) {
        nr_quality_channel *c = &hand.q.channel[role];
        for (size_t i = 0; c->value && i < hand.q.rows; i++)
            if (below(s, 60) == 0 && !isnan(hand.value[role][i])) {
                hand.bad[role][i] = NR_BAD_RANGE;
                hand.value[role][i] *= 20;
                c->good--;
                c->count[NR_BAD_RANGE]++;
            }
    }
    notes.count = below(s, 8);
    double at = hand.t_s[0];
    for (size_t k = 0; k < notes.count; k++) {
        at += floor(chance(s) * hand.t_s[hand.q.rows - 1] / 4);
        note[k] = (nr_note){.elapsed_s = at, .kind = below(s, 4) ? NR_NOTE_PUMP : NR_NOTE_NOTE};
        snprintf(note[k].text, sizeof note[k].text, "%s", words[below(s, 5)]);
    }
}

START_TEST(each_row)
{
    unsigned long long s = 77;
    for (int number = 0; number < 600; number++) {
        if (number % 3 == 0)
            draw_dead(&s);
        else
            draw(&s, 2 + below(&s, number % 4 ? 400 : 12));
        draw_channels(&s);
        compare(number);
    }
}
END_TEST

/* More stops than are listed are counted all the same. */
START_TEST(more_stops_than_are_kept)
{
    notes.count = 0;
    for (size_t many = 2 * NR_QUALITY_EVENTS - 1; many <= 2 * NR_QUALITY_EVENTS + 5; many++) {
        hand_begin(&hand, 12 * many, 1);
        for (size_t i = 0; i < 12 * many; i++)
            hand.value[NR_ROLE_FLOW][i] = i / 12 % 2 ? 0 : 2;
        hand_channel(&hand, NR_ROLE_FLOW);
        compare((int)many);
        ck_assert_uint_eq(hand.q.pump_stops, many / 2);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {each_row, more_stops_than_are_kept, NULL};
    return run_tests("quality: the pump's state of drawn records", tests);
}
