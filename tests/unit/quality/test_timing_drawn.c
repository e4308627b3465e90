/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Interval, gaps, busy time, the wall clock's rate and its steps of drawn records, by what the
 * header of timing.c says, on plain arrays; rows that repeat the one before likewise (header of
 * duplicates.c). The limits are the project's own (no source). */
#include "tests/unit/quality/by_hand.h"

static by_hand hand;
static double utc_s[HAND_ROWS], scratch[HAND_ROWS], list[HAND_ROWS];

/* The upper one of the middle. */
static double middle(double *v, size_t n)
{
    return n ? sorted(v, n)[n / 2] : NAN;
}

/* -- rows in time */

static double clocks_apart(size_t from)
{
    double v[5];
    for (size_t i = 0; i < 5; i++)
        v[i] = utc_s[from + i] - hand.t_s[from + i];
    return middle(v, 5);
}

static double expected_rate(size_t rows)
{
    size_t part = rows / 40;
    for (size_t k = 0; k < 40 && part >= 10; k++) {
        size_t from = k * part, to = (k + 1) * part - 5;
        list[k] = (clocks_apart(to) - clocks_apart(from)) / (hand.t_s[to] - hand.t_s[from]);
    }
    return part >= 10 ? middle(list, 40) : NAN;
}

/* Where it leapt by more than a second, drift left out, and half of that at least lasted. */
static size_t expected_steps(size_t rows, double rate, nr_quality_event *step)
{
    size_t n = 0;
    for (size_t i = 5; i + 5 <= rows; i++) {
        double passed = hand.t_s[i] - hand.t_s[i - 1];
        double leap = utc_s[i] - utc_s[i - 1] - (1 + rate) * passed;
        double stayed =
            clocks_apart(i) - clocks_apart(i - 5) - rate * (hand.t_s[i + 2] - hand.t_s[i - 3]);
        if (fabs(leap) <= 1 || stayed / leap < 0.5)
            continue;
        if (n < NR_QUALITY_EVENTS)
            step[n] = (nr_quality_event){hand.t_s[i], stayed};
        n++;
        i += 4;
    }
    return n;
}

static void compare_events(const char *what, const nr_quality_event *is, size_t n,
                           const nr_quality_event *expected)
{
    for (size_t i = 0; i < n && i < NR_QUALITY_EVENTS; i++) {
        NEAR_AT(what, is[i].at_s, expected[i].at_s, 0);
        NEAR_AT(what, is[i].length_s, expected[i].length_s, 1e-6);
    }
}

static void compare_gaps(size_t rows)
{
    static nr_quality_event gap[HAND_ROWS];
    size_t n = 0, gaps = 0;
    double lost = 0, busy = 0;
    for (size_t i = 1; i < rows; i++)
        list[n++] = hand.t_s[i] - hand.t_s[i - 1];
    double interval = middle(list, n), most = fmax(1800, 50 * interval);
    for (size_t i = 1; i < rows; i++) {
        double pause = hand.t_s[i] - hand.t_s[i - 1];
        if (pause <= 2.5 * interval)
            continue;
        gap[gaps++] = (nr_quality_event){hand.t_s[i - 1], pause};
        lost += pause;
    }
    ck_assert(hand.q.interval_s == interval || (rows == 1 && isnan(hand.q.interval_s)));
    ck_assert_uint_eq(hand.q.gaps, gaps);
    NEAR(hand.q.gaps_s, lost, 1e-6);
    NEAR(hand.q.duration_s, hand.t_s[rows - 1] - hand.t_s[0], 0);
    compare_events("gap", hand.q.gap, gaps, gap);
    static double from_s[HAND_ROWS / NR_VALUES_BLOCK + 1];
    hand.q.busy_from_s = from_s;
    nr_count_busy(&hand.q);
    NEAR(hand.q.pause_most_s, rows == 1 ? 1800 : most, 0);
    for (size_t i = 0; i < rows; i++) {
        busy += i ? fmin(hand.t_s[i] - hand.t_s[i - 1], hand.q.pause_most_s) : 0;
        NEAR(nr_number(&hand.q.busy_s, i), busy, 1e-6);
    }
}

static void draw_times(unsigned long long *s, size_t rows, size_t leaps)
{
    static const double interval[] = {1, 10, 60};
    double each = interval[below(s, 3)], at = 100 * chance(s), ahead = 1e9, late, step;
    double rate = below(s, 2) ? 0 : 0.05 * normal(s);
    hand_begin(&hand, rows, each);
    for (size_t i = 0; i < rows; i++) {
        double size = below(s, 2) ? 3 * each : below(s, 2) ? 200 * each : 4000;
        at += each * (0.9 + 0.2 * chance(s)) + (below(s, 25) ? 0 : size * chance(s));
        hand.t_s[i] = at;
        step = below(s, leaps) ? 0 : 1.6 * normal(s);
        late = below(s, 20) ? 0 : 4 * chance(s);
        ahead += step;
        utc_s[i] = at * (1 + rate) + ahead + late + 0.1 * chance(s);
    }
}

START_TEST(rows_in_time)
{
    unsigned long long s = 21;
    for (int number = 0; number < 80; number++) {
        size_t rows = 1 + below(&s, number % 3 ? 30 : 900);
        draw_times(&s, rows, number % 2 ? 40 : 8);
        nr_quality_source source = {.rows = rows, .elapsed_s = hand.q.elapsed_s};
        if (number % 5)
            source.utc_s = (nr_values){.plain = utc_s};
        nr_check_timing(&hand.q, &source, scratch);
        compare_gaps(rows);
        if (number % 5 == 0) {
            ck_assert(isnan(hand.q.clock_rate) && hand.q.clock_steps == 0);
            continue;
        }
        double rate = expected_rate(rows);
        ck_assert((isnan(rate) && isnan(hand.q.clock_rate)) ||
                  fabs(rate - hand.q.clock_rate) <= 1e-9);
        static nr_quality_event step[NR_QUALITY_EVENTS];
        size_t steps = expected_steps(rows, isnan(rate) ? 0 : rate, step);
        ck_assert_msg(hand.q.clock_steps == steps, "record %d of %zu: %zu steps, expected %zu",
                      number, rows, hand.q.clock_steps, steps);
        compare_events("step", hand.q.clock_step, steps, step);
    }
}
END_TEST

/* Four hundred rows tell a rate, one fewer does not. */
START_TEST(rows_for_a_rate)
{
    for (size_t rows = 399; rows <= 400; rows++) {
        hand_begin(&hand, rows, 1);
        for (size_t i = 0; i < rows; i++)
            utc_s[i] = 1e9 + 1.001 * hand.t_s[i];
        nr_quality_source source = {
            .rows = rows, .elapsed_s = hand.q.elapsed_s, .utc_s = {.plain = utc_s}};
        nr_check_timing(&hand.q, &source, scratch);
        if (rows == 400)
            NEAR(hand.q.clock_rate, 0.001, 1e-6);
        ck_assert_int_eq(isnan(hand.q.clock_rate), rows < 400);
    }
}
END_TEST

/* -- rows that repeat */

static bool there(nr_role role, size_t i)
{
    return hand.q.channel[role].value && !isnan(hand.value[role][i]);
}

static bool repeats(size_t i)
{
    size_t equal = 0;
    for (int role = 0; role < NR_ROLES; role++) {
        if (!hand.q.channel[role].value)
            continue;
        bool now = there((nr_role)role, i), before = there((nr_role)role, i - 1);
        if (now != before || (now && hand.value[role][i] != hand.value[role][i - 1]))
            return false;
        equal += now;
    }
    return equal >= 3;
}

/* Chance that all channels of a row stay at once, each by its noise or by how often it does. */
static double chance_at(size_t row)
{
    double product = 1;
    for (int r = 0; r < NR_ROLES; r++) {
        nr_role role = (nr_role)r;
        if (!there(role, row) || nr_at_rest(role, hand.value[r][row]))
            continue;
        double stayed = 1, pairs = 1;
        for (size_t i = 1; i < hand.q.rows; i++) {
            if (repeats(i) || !there(role, i) || !there(role, i - 1) ||
                nr_at_rest(role, hand.value[r][i]))
                continue;
            pairs++;
            stayed += hand.value[r][i] == hand.value[r][i - 1];
        }
        product *= fmin(1, fmax(nr_stay_chance(&hand.q.channel[r]), stayed / pairs));
    }
    return product;
}

static void draw_rows(unsigned long long *s)
{
    static const nr_role role[] = {NR_ROLE_STORE, NR_ROLE_AIR, NR_ROLE_SUN, NR_ROLE_WIND};
    hand_begin(&hand, 20 + below(s, 150), below(s, 2) ? 1 : 6);
    size_t channels = 2 + below(s, 3);
    for (size_t k = 0; k < channels; k++) {
        double *v = hand.value[role[k]], coarse = below(s, 2) ? 0.001 : 1;
        for (size_t i = 0; i < hand.q.rows; i++) {
            v[i] = stepped((k == 2 ? 6 : 20) + normal(s), coarse);
            if (k == 3 && below(s, 2))
                v[i] = 0;
            if (below(s, 25) == 0)
                v[i] = NAN;
        }
    }
    size_t often = 4 + below(s, 40);
    for (size_t i = 1; i < hand.q.rows; i++)
        for (size_t n = below(s, often) ? 0 : 1 + below(s, 20); n > 0 && i < hand.q.rows; n--, i++)
            for (size_t k = 0; k < channels; k++)
                hand.value[role[k]][i] = hand.value[role[k]][i - 1];
    for (size_t k = 0; k < channels; k++) {
        nr_quality_channel *c = hand_channel(&hand, role[k]);
        c->step = 1;
        c->quiet_noise = below(s, 4) ? 0.3 + 2 * chance(s) : NAN;
    }
}

static void compare_repeats(int number)
{
    static unsigned char equal[HAND_ROWS], mark[HAND_ROWS];
    memset(equal, 0, sizeof equal);
    memset(mark, 0, sizeof mark);
    nr_quality_work work = {.equal = equal};
    nr_check_duplicates(&hand.q, &work);
    size_t rows = hand.q.rows, seen = 0, counted = 0;
    double sum = 0, longest = 0, from_s = NAN;
    for (size_t i = 1; i < rows; i++) {
        ck_assert_int_eq(equal[i], repeats(i));
        seen += repeats(i);
        sum += repeats(i) ? chance_at(i) : 0;
    }
    bool all = seen >= 10 && (double)seen > 10 * sum / (double)seen * (double)rows;
    for (size_t i = 0, to; i + 1 < rows; i = to + (to == i)) {
        for (to = i; to + 1 < rows && repeats(to + 1); to++)
            ;
        double chance = chance_at(i), n = (double)(to - i), frozen = hand.t_s[to] - hand.t_s[i];
        if (to == i || !(all ? chance < 1 : (double)rows * pow(chance, n) < 1e-3))
            continue;
        counted += to - i;
        from_s = frozen > longest ? hand.t_s[i] : from_s;
        longest = fmax(longest, frozen);
        memset(mark + i + 1, frozen > 10 && frozen > 2.5 * hand.q.interval_s, to - i);
    }
    ck_assert_msg(hand.q.duplicates == counted, "record %d: %zu, expected %zu", number,
                  hand.q.duplicates, counted);
    NEAR(hand.q.longest_freeze_s, longest, 0);
    ck_assert(longest > 0 ? hand.q.freeze_from_s == from_s : isnan(hand.q.freeze_from_s));
    for (int role = 0; role < NR_ROLES; role++)
        for (size_t i = 0; i < rows; i++)
            ck_assert_int_eq(hand.bad[role][i],
                             there((nr_role)role, i) && mark[i] ? NR_BAD_DUPLICATE : 0);
}

START_TEST(rows_that_repeat)
{
    unsigned long long s = 4;
    for (int number = 0; number < 60; number++) {
        draw_rows(&s);
        compare_repeats(number);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {rows_in_time, rows_for_a_rate, rows_that_repeat, NULL};
    return run_tests("quality: rows in time and rows that repeat", tests);
}
