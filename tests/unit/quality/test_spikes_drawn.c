/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Spikes of drawn records, reading by reading, against the rule of the header of spikes.c gone
 * through on plain arrays: every start, every length. Values stand on a grid of binary fractions,
 * so that limits are met exactly as often as they are missed, and rounding decides nothing. The
 * limits are the project's own (no source). */
#include "tests/unit/quality/by_hand.h"

static by_hand hand;

typedef struct rule {
    double least; /* excursion */
    bool water, lively;
} rule;

/* What a channel must do at least, in its unit, at readings up to 3 s apart; whether more is asked
 * in proportion where they are farther apart, or another excursion, and the grid of the records. */
static const struct {
    nr_role role;
    double quick, slow, grid; /* slow NAN: in proportion */
} least_of[] = {
    {NR_ROLE_STORE, 0.5, NAN, 0.0625},      {NR_ROLE_AIR, 0.5, NAN, 0.0625},
    {NR_ROLE_BOX, 1.0, NAN, 0.125},         {NR_ROLE_INLET, 0.6, 10.0, 0.0625},
    {NR_ROLE_OUTLET, 0.6, 10.0, 0.0625},    {NR_ROLE_SUN, 100, INFINITY, 10},
    {NR_ROLE_FLOW, 0.1, INFINITY, 0.03125}, {NR_ROLE_WIND, INFINITY, INFINITY, 0.5},
    {NR_ROLE_PUMP, INFINITY, INFINITY, 1},  {NR_ROLE_SKY, INFINITY, INFINITY, 1},
};

static bool far_apart(void)
{
    return hand.q.interval_s > 3;
}

/* How many of the three neighbours on a side (-1, 1) lie near enough in time. */
static size_t neighbours(size_t at, int side)
{
    size_t n = 0;
    for (long k = 1; k <= 3; k++, n++) {
        long i = (long)at + side * k;
        if (i < 0 || i >= (long)hand.q.rows ||
            fabs(hand.t_s[i] - hand.t_s[at]) > 2.5 * hand.q.interval_s * (double)k)
            break;
    }
    return n;
}

/* The upper one of the middle. */
static double middle(const double *v, size_t n)
{
    double copy[16];
    memcpy(copy, v, n * sizeof *v);
    return n ? sorted(copy, n)[n / 2] : 0;
}

static bool pump_changed_before(size_t row)
{
    size_t reach = (size_t)(180 / hand.q.interval_s) + 1;
    if (row < reach)
        return true;
    for (size_t i = 0; i < reach; i++)
        if (hand.pump[row - i] != hand.pump[row - i - 1])
            return true;
    return false;
}

static double usual_change(const double *v, size_t from, size_t to)
{
    double change[16];
    size_t n = 0, first = from > 9 ? from - 9 : 0;
    for (size_t i = first; i + 1 < from; i++)
        change[n++] = fabs(v[i + 1] - v[i]);
    for (size_t i = to; i + 1 < hand.q.rows && i < to + 8; i++)
        change[n++] = fabs(v[i + 1] - v[i]);
    return middle(change, n);
}

static bool excursion(nr_role role, const rule *r, size_t from, size_t length)
{
    const double *v = hand.value[role];
    size_t to = from + length, left = neighbours(from, -1), right = neighbours(to - 1, 1);
    if (left < 2 || right < 2)
        return false;
    double l = middle(v + from - left, left), m = middle(v + to, right), base = (l + m) / 2;
    double low = INFINITY, high = -INFINITY;
    for (size_t i = from; i < to; i++) {
        low = v[i] - base < low ? v[i] - base : low;
        high = v[i] - base > high ? v[i] - base : high;
    }
    double smallest = low > 0 ? low : high < 0 ? -high : 0;
    if (smallest == 0 || smallest < r->least)
        return false;
    double apart[] = {l - m, v[from - 1] - base, v[to] - base};
    for (size_t i = 0; i < 3; i++)
        if (4 * fabs(apart[i]) > smallest)
            return false;
    double noise = hand.q.channel[role].noise;
    if (role == NR_ROLE_FLOW && (base <= 5 * noise || 2 * fabs(v[from] - base) <= base))
        return false;
    bool alone = length == 1 && hand.q.interval_s <= 1.5;
    if (r->water && (far_apart() || (smallest < 10 && !alone)) && pump_changed_before(from))
        return false;
    return smallest > 8 * usual_change(v, from, to);
}

/* The first reading or the last one, which has one side only. */
static bool at_an_end(nr_role role, const rule *r, bool first)
{
    const double *v = hand.value[role], *side = first ? v + 1 : v + hand.q.rows - 4;
    size_t at = first ? 0 : hand.q.rows - 1;
    if (neighbours(at, first ? 1 : -1) < 3 || r->lively || (r->water && far_apart()))
        return false;
    double away = fabs(v[at] - middle(side, 3));
    double most = fmax(fabs(side[1] - side[0]), fabs(side[2] - side[0]));
    return away > 3 * r->least && 4 * most < away;
}

static void expected(nr_role role, const rule *r, unsigned char *mark)
{
    size_t at[HAND_ROWS], n = 0, rows = hand.q.rows;
    memset(mark, 0, rows);
    if (isinf(r->least) || rows < 7)
        return;
    if (at_an_end(role, r, true))
        at[n++] = 0;
    for (size_t i = 1; i + 1 < rows; i++)
        for (size_t length = 1; length <= (r->lively ? 1 : 3) && i + length < rows; length++) {
            if (!excursion(role, r, i, length))
                continue;
            for (size_t k = 0; k < length; k++)
                at[n++] = i + k;
            i += length; /* what comes back begins no other */
            break;
        }
    if (at_an_end(role, r, false))
        at[n++] = rows - 1;
    for (size_t i = 0; i < n; i++) {
        int others = -1;
        for (size_t k = 0; k < n; k++)
            others += fabs(hand.t_s[at[k]] - hand.t_s[at[i]]) < 60;
        if (!r->lively || others < 3)
            mark[at[i]] = 1;
    }
}

/* Level, trend, jitter and some spikes of about the least that counts. */
static void draw(nr_role role, double least, double grid, unsigned long long *state)
{
    double *v = hand.value[role],
           level = (role == NR_ROLE_FLOW ? 1 : 20) * grid * (double)below(state, 40);
    double trend = below(state, 4) ? 0 : grid, jitter = below(state, 3) ? 0 : grid;
    size_t rows = hand.q.rows;
    double size = isinf(least) ? 40 * grid : least;
    for (size_t i = 0; i < rows; i++)
        v[i] = level + trend * (double)(i % 7 == 3 ? i - 1 : i) +
               jitter * ((double)below(state, 3) - 1);
    size_t spikes = 1 + below(state, nr_role_is_temperature(role) ? 4 : 9);
    for (size_t n = spikes; n > 0; n--) {
        size_t at = below(state, rows), length = 1 + below(state, 4);
        double high = grid * round(size * (0.8 + 0.2 * (double)below(state, 12)) / grid);
        high *= below(state, 4) ? 1 : 4;
        if (role == NR_ROLE_INLET && below(state, 3) == 0)
            high = 10 + grid * ((double)below(state, 5) - 2); /* about what a slug may be */
        high = below(state, 2) ? high : -high;
        for (size_t i = at; i < at + length && i < rows; i++)
            v[i] += high + grid * (double)below(state, 2);
        if (at + length < rows && below(state, 3) == 0) /* comes back less than all the way */
            v[at + length] += high / 4 + grid * ((double)below(state, 3) - 1);
        if (at > 0 && below(state, 4) == 0)
            v[at - 1] += high / 4 + grid * ((double)below(state, 3) - 1);
    }
    for (size_t i = 0, n = below(state, 3); i < n; i++) { /* times off their grid */
        size_t from = 1 + below(state, rows - 1);
        double more = hand.q.interval_s * (1 + 0.25 * (double)below(state, 12));
        for (size_t k = from; k < rows; k++)
            hand.t_s[k] += more;
    }
    if (below(state, 2)) {
        size_t turned = below(state, rows);
        memset(hand.pump, NR_PUMP_IS_OFF, turned);
    }
}

static void compare(nr_role role, const rule *r, int number)
{
    static unsigned char mark[HAND_ROWS];
    expected(role, r, mark);
    nr_check_spikes(&hand.q, hand_dense(&hand, role));
    for (size_t i = 0; i < hand.q.rows; i++)
        SURE(hand.bad[role][i] == (mark[i] ? NR_BAD_SPIKE : 0),
             "%s, record %d of %zu rows: reading %zu is %d, expected %d", nr_role_name(role),
             number, hand.q.rows, i, hand.bad[role][i], mark[i]);
}

START_TEST(each_reading)
{
    static const double interval[] = {1, 1.5, 2, 3, 6, 12};
    size_t i = (size_t)_i;
    unsigned long long state = 31 + i;
    nr_role role = least_of[i].role;
    rule r = {.water = role == NR_ROLE_INLET || role == NR_ROLE_OUTLET,
              .lively = !nr_role_is_temperature(role)};
    for (int number = 0; number < 240; number++) {
        double interval_s = interval[below(&state, r.lively && number % 8 ? 4 : 6)];
        size_t rows = below(&state, 20) ? 14 + below(&state, 16) : 5 + below(&state, 5);
        if (r.water) /* the record's own beginning counts as a start of the pump */
            rows += below(&state, 3) ? (size_t)(180 / interval_s) + below(&state, 6) : 0;
        hand_begin(&hand, rows, interval_s);
        double slow =
            isnan(least_of[i].slow) ? least_of[i].quick * interval_s / 3 : least_of[i].slow;
        double least = interval_s > 3 ? slow : least_of[i].quick;
        draw(role, least, least_of[i].grid, &state);
        nr_quality_channel *c = hand_channel(&hand, role);
        c->noise = least_of[i].grid * (double)below(&state, 5) / 2;
        c->step = below(&state, 2) ? NAN : least_of[i].grid * (double)below(&state, 8);
        r.least = fmax(least, 8 * c->noise);
        r.least = isnan(c->step) ? r.least : fmax(r.least, 3 * c->step);
        compare(role, &r, number);
    }
}
END_TEST

/* Nothing is known of the noise: nothing is a spike. */
START_TEST(of_unknown_noise)
{
    hand_begin(&hand, 30, 1);
    for (size_t i = 0; i < 30; i++)
        hand.value[NR_ROLE_STORE][i] = i == 15 ? 90 : 20;
    hand_channel(&hand, NR_ROLE_STORE);
    nr_check_spikes(&hand.q, hand_dense(&hand, NR_ROLE_STORE));
    ck_assert_uint_eq(hand.q.channel[NR_ROLE_STORE].count[NR_BAD_SPIKE], 0);
    hand.q.channel[NR_ROLE_STORE].noise = 0;
    nr_check_spikes(&hand.q, hand_dense(&hand, NR_ROLE_STORE));
    ck_assert_uint_eq(hand.q.channel[NR_ROLE_STORE].count[NR_BAD_SPIKE], 1);
}
END_TEST

/* However many there are, all are marked: of a temperature, two of every ten of 4000. */
START_TEST(very_many)
{
    hand_begin(&hand, 4000, 1);
    for (size_t i = 0; i < 4000; i++)
        hand.value[NR_ROLE_STORE][i] = i % 10 == 5 || i % 10 == 6 ? 30 : 20;
    nr_quality_channel *c = hand_channel(&hand, NR_ROLE_STORE);
    c->noise = 0;
    nr_check_spikes(&hand.q, hand_dense(&hand, NR_ROLE_STORE));
    for (size_t i = 0; i < 4000; i++)
        ck_assert_int_eq(c->bad[i], i % 10 == 5 || i % 10 == 6 ? NR_BAD_SPIKE : 0);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("quality: spikes of drawn records");
    TCase *drawn = case_of(suite, "each_reading");
    tcase_add_loop_test(drawn, each_reading, 0, (int)(sizeof least_of / sizeof *least_of));
    tcase_add_test(case_of(suite, "of_unknown_noise"), of_unknown_noise);
    tcase_add_test(case_of(suite, "very_many"), very_many);
    return run_suite(suite);
}
