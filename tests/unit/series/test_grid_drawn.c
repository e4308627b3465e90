/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows on a grid of steps, what they weigh, holes, means of neighbours, lags and what drives a
 * pump, each by what inside.h says, step by step on drawn records. The limits are the project's own
 * (no source). */
#include "analyze/series/inside.h"
#include "tests/unit/quality/by_hand.h"

static by_hand hand;
static nr_run run;

/* When row i's readings are true, by the way the rig file says that rows are. */
static double time_of(size_t i)
{
    double before = i ? hand.t_s[i] - hand.t_s[i - 1] : hand.q.interval_s;
    bool mean = run.rig.rows == NR_ROWS_MEAN;
    return hand.t_s[i] - (mean ? fmin(before, 1.5 * hand.q.interval_s) / 2 : 0);
}

static bool same(double a, double b, double tolerance)
{
    return (isnan(a) && isnan(b)) || fabs(a - b) <= tolerance;
}

static void compare_means(const nr_grid *g, double step_s)
{
    for (int role = 0; role < NR_ROLES; role++) {
        bool any = hand.q.channel[role].value && hand.q.channel[role].good > 0;
        ck_assert_int_eq(g->value[role] != NULL, any);
        for (size_t k = 0; any && k < g->steps; k++) {
            double sum = 0, n = 0;
            for (size_t i = g->first; i < g->end; i++) {
                double v = nr_quality_value(&hand.q, (nr_role)role, i);
                if (isnan(v) || floor((time_of(i) - g->start_s) / step_s) != (double)k)
                    continue;
                sum += v;
                n++;
            }
            SURE(same(g->value[role][k], n > 0 ? sum / n : NAN, 1e-9), "step %zu: %g", k,
                 g->value[role][k]);
        }
    }
}

/* A step has the row that was before its end of old and those that came in it; one that is off is
 * enough for off. */
static void compare_pump(const nr_grid *g, double step_s)
{
    for (size_t k = 0; k < g->steps; k++) {
        double begin = g->start_s + step_s * (double)k, end = g->start_s + step_s * (double)(k + 1);
        size_t from = g->first, to = g->first;
        for (size_t i = g->first; i < g->end; i++) {
            from = k > 0 && hand.t_s[i] < begin ? i : from;
            to = hand.t_s[i] < end ? i : to;
        }
        double off = 0;
        int state = hand.pump[from];
        for (size_t i = from; i <= to; i++) {
            off += hand.pump[i] == NR_PUMP_IS_OFF;
            state = hand.pump[i] == NR_PUMP_IS_OFF ? NR_PUMP_IS_OFF : state;
        }
        SURE(g->pump[k] == state, "step %zu: pump %d", k, g->pump[k]);
        SURE(same(g->running[k], 1 - off / (double)(to - from + 1), 1e-12), "step %zu", k);
    }
}

/* Each reading's share of its block, at the two ends of each step; whole blocks sum to one. */
static void compare_weights(const nr_grid *g, double step_s, size_t per_block, size_t first)
{
    float(*w)[2] = NULL;
    static double expected[HAND_ROWS][2];
    size_t steps = (g->steps - first) / per_block * per_block;
    memset(expected, 0, sizeof expected);
    ck_assert(nr_grid_weights(&hand.q, &run, NR_ROLE_AIR, step_s, per_block, g, first, steps, &w));
    for (size_t i = g->first; i < g->end; i++) {
        double at = (time_of(i) - g->start_s) / step_s - (double)first;
        if (isnan(nr_quality_value(&hand.q, NR_ROLE_AIR, i)) || at < 0 || at >= (double)steps)
            continue;
        double half = (hand.t_s[i] - time_of(i)) / step_s;
        size_t k = (size_t)at, block = k - k % per_block;
        if (half == 0) {
            expected[k][0] += 1 - (at - (double)k);
            expected[k][1] += at - (double)k;
            continue;
        }
        for (k = block; k < block + per_block; k++)
            for (int e = 0; e < 2; e++)
                expected[k][e] +=
                    fmax(0, fmin(at + half, (double)(k + 1)) - fmax(at - half, (double)k)) / 2;
    }
    for (size_t b = 0; b < steps; b += per_block) {
        double sum = 0;
        for (size_t k = b; k < b + per_block; k++)
            sum += expected[k][0] + expected[k][1];
        for (size_t k = b; k < b + per_block; k++)
            for (int e = 0; e < 2; e++)
                SURE(same((double)w[k][e], sum > 0 ? expected[k][e] / sum : 0.5 / (double)per_block,
                          1e-5),
                     "weight %zu: %g", k, (double)w[k][e]);
    }
    free(w);
}

START_TEST(rows_on_steps)
{
    static const double interval[] = {0.5, 1, 2, 4, 16}, step[] = {2.5, 5, 8};
    unsigned long long s = 12;
    for (int number = 0; number < 100; number++) {
        hand_begin(&hand, 20 + below(&s, 60), interval[below(&s, 5)]);
        run.rig.rows = below(&s, 2) ? NR_ROWS_MEAN : NR_ROWS_INSTANT;
        for (size_t i = 0; i < hand.q.rows; i++) {
            double more = below(&s, 12) ? 0 : 0.25 * (double)below(&s, 100);
            for (size_t k = i; more > 0 && k < hand.q.rows; k++)
                hand.t_s[k] += more;
            hand.pump[i] = (unsigned char)(below(&s, 4) ? NR_PUMP_IS_ON : below(&s, 3));
            for (int role = 0; role < NR_ROLES; role++)
                hand.value[role][i] = below(&s, 6) ? 20 + normal(&s) : NAN;
        }
        hand_channel(&hand, NR_ROLE_AIR);
        hand_channel(&hand, NR_ROLE_FLOW)->good = below(&s, 3) ? 9 : 0;
        for (size_t n = 0; n < 5; n++)
            hand.bad[NR_ROLE_AIR][below(&s, hand.q.rows)] = NR_BAD_SPIKE;
        size_t first = below(&s, 8), end = hand.q.rows - below(&s, 6);
        double step_s = step[below(&s, 3)];
        nr_grid g;
        ck_assert_int_eq(nr_grid_build(&hand.q, &run, step_s, first, end, &g, NULL), NR_OK);
        NEAR(g.start_s, time_of(first) - hand.q.interval_s / 2, 1e-9);
        double span = time_of(end - 1) + hand.q.interval_s / 2 - g.start_s;
        ck_assert_uint_eq(g.steps, (size_t)floor(span / step_s + 1e-9));
        compare_means(&g, step_s);
        compare_pump(&g, step_s);
        size_t per_block = 1 + below(&s, 4);
        if (g.steps > per_block + 3)
            compare_weights(&g, step_s, per_block, below(&s, 3));
        nr_grid_free(&g);
    }
}
END_TEST

enum { MOST = 60 };

static size_t draw_values(unsigned long long *s, double *v, double grid)
{
    size_t n = 1 + below(s, MOST - 1), hole = 2 + below(s, 8);
    double level = below(s, 2) ? 10 : -10;
    for (size_t i = 0; i < n;) {
        level += below(s, 4) ? 0 : grid * ((double)below(s, 9) - 4);
        v[i++] = below(s, 10) ? level + grid * (double)below(s, 2) : 0;
        for (size_t k = below(s, hole) ? 0 : 1 + below(s, 9); k > 0 && i < n; k--)
            v[i++] = NAN;
    }
    if (below(s, 8) == 0)
        v[0] = NAN;
    return n;
}

/* Each hole by its two sides: short enough, or long but between like ones. */
START_TEST(holes)
{
    unsigned long long s = 9;
    for (int number = 0; number < 2000; number++) {
        double v[2 * MOST], was[2 * MOST], step_s = 2.5 * (double)(1 + below(&s, 2));
        size_t n = draw_values(&s, v, 0.5), filled = 0;
        double limit = step_s * (double)below(&s, 6), far = step_s * (double)below(&s, 12);
        double alike = below(&s, 2) ? 0 : 0.1;
        memcpy(was, v, sizeof was);
        size_t said = nr_grid_bridge(v, n, step_s, limit, far, alike);
        for (size_t i = 0; i < n; i++) {
            if (!isnan(was[i])) {
                SURE(v[i] == was[i], "%d, %zu: %g", number, i, v[i]);
                continue;
            }
            size_t left = i + 1, right = i; /* left is one more, so that 0 is none */
            while (left > 0 && isnan(was[left - 1]))
                left--;
            while (right < n && isnan(was[right]))
                right++;
            double a = left > 0 ? was[left - 1] : NAN, b = right < n ? was[right] : NAN;
            double hole_s = step_s * (double)(right - left);
            bool like = fabs(a - b) <= alike * fmax(fabs(a), fabs(b));
            double expected = NAN;
            if (hole_s <= limit || (like && hole_s <= far)) {
                double way = (double)(i + 1 - left) / (double)(right - left + 1);
                expected = isnan(a) ? b : isnan(b) ? a : a + way * (b - a);
            }
            SURE(same(v[i], expected, 1e-12), "%d, %zu: %g, expected %g", number, i, v[i],
                 expected);
            filled += isnan(expected) ? 0u : 1u;
        }
        ck_assert_uint_eq(said, filled);
    }
}
END_TEST

/* All from k in one direction up to `reach` away, as far as they keep within four noises. */
static double sum_aside(const double *v, size_t n, size_t k, int side, double band, size_t reach,
                        double *count)
{
    double sum = 0;
    for (long i = (long)k + side; i >= 0 && i < (long)n && labs(i - (long)k) <= (long)reach;
         i += side) {
        if (!(fabs(v[i] - v[k]) < band))
            break;
        sum += v[i];
        *count += 1;
    }
    return sum;
}

START_TEST(neighbours_and_lags)
{
    unsigned long long s = 14;
    for (int number = 0; number < 1000; number++) {
        double v[2 * MOST], was[2 * MOST], step_s = 2.5 * (double)(1 + below(&s, 4));
        size_t n = draw_values(&s, v, 0.5), reach = below(&s, 8);
        double noise = below(&s, 6) ? 0.125 * (double)below(&s, 5) : INFINITY;
        memcpy(was, v, sizeof was);
        ck_assert(nr_grid_smooth(v, n, noise, reach));
        for (size_t k = 0; k < n; k++) {
            double count = 1, sum = was[k] + sum_aside(was, n, k, 1, 4 * noise, reach, &count);
            sum += sum_aside(was, n, k, -1, 4 * noise, reach, &count);
            bool stays = was[k] == 0 && !isinf(noise);
            SURE(same(v[k], stays ? 0 : sum / count, 1e-12), "%d: mean %zu", number, k);
        }
        memcpy(v, was, sizeof was);
        double lag_s = below(&s, 5) ? 5 * (double)below(&s, 20) : 0;
        ck_assert(nr_grid_unlag(v, n, step_s, lag_s));
        size_t half = (size_t)ceil((lag_s > 20 ? lag_s : 20) / (2 * step_s));
        for (size_t k = 0; k < n; k++) {
            size_t a = k < half ? 0 : k - half, b = k + half >= n ? n - 1 : k + half;
            double slope = (was[b] - was[a]) / (step_s * (double)(b - a));
            double expected = was[k] + (isnan(slope) || isinf(slope) ? 0 : lag_s * slope);
            SURE(same(v[k], expected, 1e-9), "%d: without lag %zu", number, k);
        }
    }
}
END_TEST

/* The logarithm of a drive over its mean in pumped steps of good sun, between a fifth and twice. */
static void compare_drive(const nr_series *series, const nr_grid *g, const double *drive)
{
    const double *from = g->value[series->drive], *sun = g->value[NR_ROLE_SUN];
    double most = 0, n = 0, sum = 0, squares = 0, expected[MOST];
    for (size_t k = 0; k < g->steps; k++)
        most = sun[k] > most ? sun[k] : most;
    for (size_t k = 0; k < g->steps; k++)
        if (g->pump[k] != NR_PUMP_IS_OFF && sun[k] >= 0.4 * most && from[k] > 0) {
            n++;
            sum += log(from[k]);
        }
    for (size_t k = 0; k < g->steps; k++) {
        static const int beside[] = {0, -1, 1}; /* itself, the one before, the one behind */
        double now = NAN;
        for (int i = 2; i >= 0; i--) {
            size_t at = k + (size_t)beside[i];
            if (at < g->steps && g->pump[at] != NR_PUMP_IS_OFF)
                now = from[at];
        }
        expected[k] = isnan(now) || !(g->running[k] > 0) ? 0
                      : now > 0                          ? log(now) - sum / n
                                                         : -INFINITY;
        expected[k] = fmin(fmax(expected[k], log(0.2)), log(2));
        squares += expected[k] * expected[k];
    }
    bool moves = n > 0 && sqrt(squares / n) > 0.02;
    ck_assert_int_eq(drive != NULL, moves);
    for (size_t k = 0; moves && k < g->steps; k++)
        SURE(same(drive[k], expected[k], 1e-12), "drive %zu: %g", k, drive[k]);
}

START_TEST(drives)
{
    unsigned long long s = 33;
    for (int number = 0; number < 1000; number++) {
        static double sun[MOST], supply[MOST], running[MOST];
        static unsigned char pump[MOST];
        static nr_series series;
        nr_grid g = {.steps = 2 + below(&s, MOST - 2), .pump = pump, .running = running};
        double spread = below(&s, 3) ? 0.5 : 0.015 + 0.01 * chance(&s);
        for (size_t k = 0; k < g.steps; k++) {
            sun[k] = below(&s, 30) ? 500 * exp(spread * normal(&s)) : below(&s, 2) ? 0 : NAN;
            supply[k] = below(&s, 30) ? 12 * exp(spread * normal(&s)) : below(&s, 2) ? 0 : NAN;
            pump[k] = (unsigned char)(below(&s, 3) ? NR_PUMP_IS_ON : below(&s, 3));
            running[k] = pump[k] != NR_PUMP_IS_OFF ? 1 : 0.5 * (double)below(&s, 2);
        }
        g.value[NR_ROLE_SUN] = sun;
        g.value[NR_ROLE_PUMP] = below(&s, 3) ? supply : NULL;
        hand.q.pump_source = below(&s, 2) ? NR_PUMP_FROM_SUPPLY : NR_PUMP_FROM_NOTES;
        series.quality = &hand.q;
        double *drive = nr_grid_drive(&series, &g);
        bool by_supply = g.value[NR_ROLE_PUMP] && hand.q.pump_source == NR_PUMP_FROM_SUPPLY;
        ck_assert_int_eq(series.drive, by_supply ? NR_ROLE_PUMP : NR_ROLE_SUN);
        compare_drive(&series, &g, drive);
        free(drive);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {rows_on_steps, holes, neighbours_and_lags, drives, NULL};
    return run_tests("series: grids of drawn records", tests);
}
