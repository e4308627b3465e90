/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rate, time to the target and what lies ahead, worked out a second time: the readings that count
 * by their rule, the exponential approach by bisection, the losses by their table; the store as a
 * calorimeter; and each limit from both sides. */
#include "logger/watch/heat.h"
#include "logger/watch/trend.h"
#include "tests/unit/near.h"

#define MOST 500

static double time_s[MOST], value[MOST];
static unsigned seed = 760103;

static double drawn(double lo, double hi)
{
    return lo + (hi - lo) * (double)(rand_r(&seed) % 100000) / 99999;
}

/* The last five minutes, the oldest excluded; gaps left out. */
static void same_line(size_t count)
{
    double t[MOST], y[MOST], left[MOST], u;
    size_t n = 0;
    for (size_t i = 0; i < count; i++)
        if (time_s[count - 1] - time_s[i] < 300 && !isnan(value[i])) {
            t[n] = time_s[i];
            y[n++] = value[i];
        }
    nr_straight_line line;
    nr_trend trend = nr_trend_of(time_s, value, count);
    bool enough = n >= 20 && t[n - 1] - t[0] >= 20;
    ck_assert_int_eq(trend.known, enough);
    if (!enough)
        return;
    ck_assert(nr_straight_line_through(t, y, n, left, &line));
    NEAR(trend.at_s, t[n - 1], 0);
    NEAR_RELATIVE(trend.now, nr_straight_line_at(&line, t[n - 1], &u), 1e-12);
    NEAR_RELATIVE(trend.u_now, u, 1e-12);
    NEAR_RELATIVE(trend.rate_s, line.slope, 1e-12);
    NEAR_RELATIVE(trend.u_rate_s, line.u_slope, 1e-12);
    double sum = 0; /* the window's middle is so old */
    for (size_t i = 0; i < n; i++)
        sum += t[n - 1] - t[i];
    NEAR_RELATIVE(trend.age_s, sum / (double)n, 1e-9);
}

START_TEST(drawn_readings)
{
    for (int k = 0; k < 60; k++) {
        double step_s = drawn(0.3, 12), gaps = k % 3 == 0 ? 0 : drawn(0, 0.9);
        size_t count = 1 + (size_t)rand_r(&seed) % (MOST - 1);
        for (size_t i = 0; i < count; i++) {
            time_s[i] = (i ? time_s[i - 1] : 50) + step_s * drawn(0.5, 1.5);
            value[i] = drawn(0, 1) < gaps ? NAN : 30 + 0.01 * time_s[i] + drawn(-0.1, 0.1);
        }
        same_line(count);
    }
}
END_TEST

/* Twenty readings, twenty seconds; 300 s back is too old. */
START_TEST(limits_of_the_window)
{
    static const struct {
        size_t count;
        double step_s;
        bool known;
    } of[] = {{19, 2, false}, {20, 2, true},   {21, 1, true},
              {20, 1, false}, {41, 0.5, true}, {40, 0.5, false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        for (size_t k = 0; k < of[i].count; k++) {
            time_s[k] = of[i].step_s * (double)k;
            value[k] = 20 + drawn(0, 1);
        }
        ck_assert_int_eq(nr_trend_of(time_s, value, of[i].count).known, of[i].known);
        same_line(of[i].count);
    }
    for (size_t k = 0; k < 31; k++) /* the first is 300 s before the last */
        time_s[k] = 10 * (double)k, value[k] = k ? 20 : 99;
    nr_trend trend = nr_trend_of(time_s, value, 31);
    NEAR(trend.rate_s, 0, 1e-12);
    time_s[0] = 0.1;
    ck_assert(fabs(nr_trend_of(time_s, value, 31).rate_s) > 0.01);
    trend = nr_trend_of(time_s, value, 19);
    ck_assert(!trend.known && isnan(trend.now) && isnan(trend.rate_s) && isnan(trend.u_rate_s) &&
              isnan(trend.u_now));
}
END_TEST

/* W/(m2 K): low, usual, high, as the module states them. */
START_TEST(losses)
{
    static const double of[][3] = {[NR_GLAZING_UNKNOWN] = {3.5, 9, 25},
                                   [NR_GLAZING_NONE] = {12, 18, 25},
                                   [NR_GLAZING_SINGLE] = {3.5, 7, 10},
                                   [NR_GLAZING_DOUBLE] = {3, 4.5, 7}};
    for (int g = 0; g < 4; g++) {
        nr_slowing s = nr_slowing_of((nr_glazing)g, 1.6, 160000);
        NEAR_RELATIVE(s.lo_1_s, of[g][0] / 1e5, 1e-12);
        NEAR_RELATIVE(s.mid_1_s, of[g][1] / 1e5, 1e-12);
        NEAR_RELATIVE(s.hi_1_s, of[g][2] / 1e5, 1e-12);
        const double none[][2] = {{0, 1e5}, {NAN, 1e5}, {1, 0}, {1, NAN}, {-1, 1e5}};
        for (int i = 0; i < 5; i++) {
            s = nr_slowing_of((nr_glazing)g, none[i][0], none[i][1]);
            ck_assert(s.lo_1_s == 0 && s.mid_1_s == 0 && s.hi_1_s == 0);
        }
    }
}
END_TEST

/* So much warmer after some time, at a rate that was measured age_s ago and falls by k of the rise
 * for each second: added up in small steps (Simpson's rule on the rate). */
static double risen(double seconds, double rate, double age_s, double k)
{
    double sum = 0;
    int n = 200;
    for (int i = 0; i <= n; i++)
        sum += (i == 0 || i == n ? 1 : i % 2 ? 4 : 2) * exp(-k * (age_s + seconds * (double)i / n));
    return rate * sum * seconds / n / 3;
}

/* When it has risen so much; INFINITY: never. */
static double seconds_for(double rise, double rate, double age_s, double k)
{
    if (rate <= 0 || (k > 0 && rise >= rate * exp(-k * age_s) / k))
        return INFINITY;
    double lo = 0, hi = 1;
    while (risen(hi, rate, age_s, k) < rise)
        hi *= 2;
    for (int i = 0; i < 60; i++) {
        double mid = (lo + hi) / 2;
        *(risen(mid, rate, age_s, k) < rise ? &lo : &hi) = mid;
    }
    return lo;
}

static void near_or_never(double found, double expected)
{
    if (isinf(expected))
        ck_assert(isinf(found) && found > 0);
    else
        NEAR(found, expected, 1e-6 * (1 + expected));
}

START_TEST(time_to_and_ahead)
{
    int never = 0;
    for (int run = 0; run < 120; run++) {
        double k = run % 5 ? pow(10, drawn(-6, -3.3)) : 0;
        nr_slowing s = {k * 0.5, k, k * 1.7};
        nr_trend t = {.known = true,
                      .now = drawn(15, 40),
                      .u_now = drawn(0.001, 0.2),
                      .rate_s = drawn(0.002, 0.02),
                      .u_rate_s = drawn(1e-5, 6e-4),
                      .age_s = drawn(10, 150)};
        double rise = drawn(0.5, 25), lo95, hi95, after = drawn(60, 7200);
        double spread = 1.96 * t.u_rate_s, more = 1.96 * t.u_now;
        nr_time_to eta = nr_trend_time_to(&t, t.now + rise, s);
        ck_assert_int_eq(eta.kind, NR_TIME_TO_COMING);
        near_or_never(eta.seconds, seconds_for(rise, t.rate_s, t.age_s, s.mid_1_s));
        near_or_never(eta.lo95_s,
                      rise > more ? seconds_for(rise - more, t.rate_s + spread, t.age_s, s.lo_1_s)
                                  : 0);
        near_or_never(eta.hi95_s, seconds_for(rise + more, t.rate_s - spread, t.age_s, s.hi_1_s));
        never += isinf(eta.hi95_s) != 0;
        NEAR_RELATIVE(nr_trend_ahead(&t, s, after, &lo95, &hi95),
                      t.now + risen(after, t.rate_s, t.age_s, s.mid_1_s), 1e-7);
        NEAR_RELATIVE(lo95, t.now - more + risen(after, t.rate_s - spread, t.age_s, s.hi_1_s),
                      1e-7);
        NEAR_RELATIVE(hi95, t.now + more + risen(after, t.rate_s + spread, t.age_s, s.lo_1_s),
                      1e-7);
    }
    ck_assert_int_ge(never, 3);
    /* Cooling: the band still lies around the middle. */
    nr_trend t = {.known = true, .now = 30, .u_now = 0.01, .rate_s = -0.01, .u_rate_s = 1e-3};
    double lo95, hi95, mid = nr_trend_ahead(&t, (nr_slowing){1e-6, 5e-4, 1e-3}, 3000, &lo95, &hi95);
    ck_assert(lo95 < mid && mid < hi95);
    NEAR_RELATIVE(lo95, 30 - 0.0196 + risen(3000, -0.01 + 1.96e-3, 0, 1e-6), 1e-7);
    NEAR_RELATIVE(hi95, 30 + 0.0196 + risen(3000, -0.01 - 1.96e-3, 0, 1e-3), 1e-7);
}
END_TEST

/* There already; not told from standing still, within three of its uncertainties; the other way. */
START_TEST(kinds)
{
    static const struct {
        double rate_s, target;
        nr_time_to_kind kind;
    } of[] = {{0.01, 30, NR_TIME_TO_REACHED},   {0.01, 30.001, NR_TIME_TO_COMING},
              {0.01, 29, NR_TIME_TO_REACHED},   {0.00299, 40, NR_TIME_TO_UNKNOWN},
              {0.00301, 40, NR_TIME_TO_COMING}, {-0.00299, 40, NR_TIME_TO_UNKNOWN},
              {-0.00301, 40, NR_TIME_TO_AWAY},  {-0.01, 30, NR_TIME_TO_REACHED},
              {0.01, NAN, NR_TIME_TO_UNKNOWN}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_trend t = {.known = true, .now = 30, .rate_s = of[i].rate_s, .u_rate_s = 0.001};
        nr_time_to eta = nr_trend_time_to(&t, of[i].target, (nr_slowing){0});
        ck_assert_int_eq(eta.kind, of[i].kind);
        ck_assert_int_eq(isnan(eta.seconds), of[i].kind != NR_TIME_TO_COMING);
        t.known = false;
        ck_assert_int_eq(nr_trend_time_to(&t, 20, (nr_slowing){0}).kind, NR_TIME_TO_UNKNOWN);
    }
    nr_trend still = {.known = true, .now = 30};
    ck_assert_int_eq(nr_trend_time_to(&still, 40, (nr_slowing){0}).kind, NR_TIME_TO_AWAY);
}
END_TEST

/* 4181 J/(kg K): water at 40 degC, IAPWS. */
START_TEST(the_store)
{
    static nr_rig rig;
    nr_trend t = {.known = true, .rate_s = 0.01, .u_rate_s = 2e-4};
    ck_assert(isnan(nr_heat_capacity(&rig).value) && isnan(nr_heat_capacity(&rig).u));
    ck_assert(isnan(nr_heat_rate(&t, nr_heat_capacity(&rig)).value));
    rig.store.water_kg = (nr_value){.given = true, .value = 40, .u = 2};
    NEAR(nr_heat_capacity(&rig).value, 167240, 1e-6);
    NEAR(nr_heat_capacity(&rig).u, 0, 0);
    rig.store.water_kg.u_given = true;
    rig.store.dry_heat_capacity_J_K = (nr_value){.value = 5000, .u_given = true, .u = 900};
    NEAR(nr_heat_capacity(&rig).value, 167240, 1e-6);
    NEAR(nr_heat_capacity(&rig).u, 8362, 1e-6);
    rig.store.dry_heat_capacity_J_K.given = true;
    nr_heat_value capacity = nr_heat_capacity(&rig);
    NEAR(capacity.value, 172240, 1e-6);
    NEAR(capacity.u, sqrt(8362.0 * 8362 + 900 * 900), 1e-6);
    nr_heat_value heat = nr_heat_rate(&t, capacity);
    NEAR(heat.value, 1722.4, 1e-9);
    NEAR(heat.u, sqrt(pow(2e-4 * 172240, 2) + pow(0.01 * capacity.u, 2)), 1e-9);
    t.known = false;
    ck_assert(isnan(nr_heat_rate(&t, capacity).value) && isnan(nr_heat_rate(&t, capacity).u));
    nr_slowing s = nr_heat_slowing(NULL);
    ck_assert(s.lo_1_s == 0 && s.mid_1_s == 0 && s.hi_1_s == 0);
    rig.collector.glazing = NR_GLAZING_DOUBLE;
    ck_assert(nr_heat_slowing(&rig).mid_1_s == 0); /* no area */
    rig.collector.gross_area_m2 = (nr_value){.given = true, .value = 2};
    NEAR_RELATIVE(nr_heat_slowing(&rig).mid_1_s, 4.5 * 2 / 172240, 1e-12);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        drawn_readings, limits_of_the_window, losses, time_to_and_ahead, kinds, the_store, NULL};
    return run_tests("trend worked out", tests);
}
