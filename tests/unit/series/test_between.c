/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The time between rows that is a record's way, by looking at every pause with every other; and
 * what a record's sun may have done between its readings, added up again interval by interval: the
 * uncertainty of one total and of a line's slope (weighted least squares, by deviations from the
 * mean). Limits are the project's own (between.c, no source); what one interval misses is
 * test_unseen_drawn's. */
#include "analyze/series/inside.h"
#include "analyze/series/unseen.h"
#include "tests/unit/quality/by_hand.h"

/* -- pauses */

/* The longest that is one of three and more of like length (up to 3.5 times), which together take
 * a fifth of the time of all that are no longer; at least the usual interval. */
static double usual_by_hand(const double *pause, size_t n, double interval_s)
{
    double usual = interval_s;
    for (size_t i = 0; i < n; i++) {
        double all = 0, like = 0;
        int count = 0;
        for (size_t k = 0; k < n; k++) {
            bool shorter = pause[k] <= pause[i], alike = shorter && pause[k] * 3.5 >= pause[i];
            all += shorter ? pause[k] : 0;
            like += alike ? pause[k] : 0;
            count += alike;
        }
        if (count >= 3 && like > 0.2 * all)
            usual = fmax(usual, pause[i]);
    }
    return usual;
}

/* Two or three kinds of pause, all different by a little. */
static size_t draw_pauses(double *pause, unsigned long long *seed)
{
    static const double long_s[] = {12, 33, 36, 60, 300, 3600};
    size_t n = (size_t)(40 * chance(seed)), kinds = 1 + (size_t)(3 * chance(seed));
    double seldom = chance(seed) < 0.5 ? 0.1 : 0.3, other[3] = {10, 0, 0};
    for (size_t k = 1; k < 3; k++)
        other[k] = long_s[(size_t)(6 * chance(seed))];
    for (size_t i = 0; i < n; i++) {
        size_t kind = chance(seed) < seldom ? (size_t)((double)kinds * chance(seed)) : 0;
        pause[i] = other[kind] * (1 + 0.02 * chance(seed));
    }
    return n;
}

START_TEST(pauses_that_are_usual)
{
    static by_hand h;
    unsigned long long seed = 8203;
    int longer = 0, gaps = 0;
    for (int k = 0; k < 400; k++) {
        double pause[64], most = 0;
        size_t n = draw_pauses(pause, &seed);
        hand_begin(&h, n + 1, k % 3 ? 10 : 11);
        for (size_t i = 0; i < n; i++) {
            h.t_s[i + 1] = h.t_s[i] + pause[i];
            pause[i] = h.t_s[i + 1] - h.t_s[i];
            most = fmax(most, pause[i]);
        }
        double expected = usual_by_hand(pause, n, h.q.interval_s);
        ck_assert_msg(nr_series_usual_s(&h.q) == expected, "record %d: %g, expected %g", k,
                      nr_series_usual_s(&h.q), expected);
        longer += expected > 12;
        gaps += expected < most;
    }
    ck_assert_msg(longer > 40 && gaps > 40, "%d and %d", longer, gaps);
    hand_begin(&h, 0, 7); /* no row, no pause */
    ck_assert(nr_series_usual_s(&h.q) == 7);
}
END_TEST

/* -- the sun */

typedef struct kind {
    const char *name;
    double interval_s, wander; /* relative */
    unsigned channels;
    double from, to, by;     /* shares of the rows without sun; of them one in `by` is there */
    bool gap, no_air, below; /* a part cut out; air missing now and then; irradiance below 0 */
} kind;

#define NO(channel) NR_VC_BIT(NR_VC_##channel)
static const kind kinds[] = {
    {.name = "each minute", .interval_s = 60, .wander = 0.4},
    {.name = "five minutes, a gap", .interval_s = 300, .wander = 0.4, .gap = true},
    {.name = "holes", .interval_s = 60, .wander = 0.3, .from = 0.2, .to = 0.6, .by = 3},
    {.name = "no air", .interval_s = 120, .wander = 0.5, .no_air = true, .below = true},
    {.name = "loop", .interval_s = 60, .wander = 0.4, .channels = NO(STORE)},
    {.name = "a quarter of an hour", .interval_s = 900, .wander = 0.3},
    {.name = "calm", .interval_s = 30, .wander = 0.01},
    {.name = "dense", .interval_s = 2, .wander = 0.01},
    {.name = "less", .interval_s = 30, .wander = 0.03},
    {.name = "some", .interval_s = 30, .wander = 0.04},
    {.name = "more", .interval_s = 30, .wander = 0.05},
};
enum { KINDS = sizeof kinds / sizeof *kinds };

static nr_virtual_run *run;
static nr_series *s;

static void build(const kind *k)
{
    nr_virtual_params p = nr_virtual_glazed();
    nr_err err = {0};
    unsigned long long seed = 8204;
    p.interval_s = k->interval_s;
    p.duration_s = fmin(fmax(70 * k->interval_s, 4000), 20000);
    p.channels = ((1u << NR_VC_COUNT) - 1) & ~k->channels;
    run = simulate(&p);
    nr_readings *r = run->run.readings;
    double *sun = column(run, "sun"), *air = column(run, "air"), x = 0;
    for (size_t i = 0; i < r->rows; i++) {
        double at = (double)i / (double)r->rows;
        x = 0.6 * x + 0.8 * normal(&seed);
        sun[i] *= fmax(1 + k->wander * x, 0.05);
        bool hole = at >= k->from && at < k->to && i % (size_t)fmax(k->by, 1) != 0;
        sun[i] = hole ? NAN : k->below && i % 20 > 16 ? -2 : sun[i];
        if (k->no_air && i % 9 == 4)
            air[i] = NAN;
    }
    if (k->gap)
        cut_rows(run, r->rows / 2, r->rows / 2 + 6);
    ck_assert_msg(nr_series_build(&run->run, &s, &err) == NR_OK, "%s: %s", k->name, err.text);
}

static void tear_down(void)
{
    nr_series_free(s);
    nr_virtual_run_free(run);
}

#define MOST 3000
typedef struct intervals {
    size_t n;
    double length[MOST], sun[MOST], over[MOST], unseen[MOST];
} intervals;

static double over_at(size_t row, double before)
{
    nr_role water = s->quality->channel[NR_ROLE_STORE].good > 0 ? NR_ROLE_STORE : NR_ROLE_INLET;
    double d =
        nr_quality_value(s->quality, water, row) - nr_quality_value(s->quality, NR_ROLE_AIR, row);
    return isnan(d) ? before : d;
}

/* Of one part: between one reading of the sun and the next, asked at the power of two seconds that
 * is nearest (by its logarithm). */
static void take_part(const nr_part *p, intervals *to)
{
    static double t[MOST], sun[MOST], over[MOST];
    double last = 0;
    size_t n = 0;
    nr_cursor at;
    nr_cursor_begin(&at, &s->quality->elapsed_s);
    for (size_t row = 0; row < s->quality->rows; row++) {
        double elapsed = nr_at(&at, row);
        if (elapsed > p->start_s + s->step_s * (double)p->steps)
            break;
        last = over_at(row, last);
        t[n] = elapsed;
        sun[n] = nr_quality_value(s->quality, NR_ROLE_SUN, row);
        over[n] = last;
        n += elapsed >= p->start_s && !isnan(sun[n]);
        ck_assert_uint_lt(n, MOST);
    }
    for (size_t i = 1; i < n; i++) {
        double length = t[i] - t[i - 1], like = pow(2, round(log(length) / log(2)));
        nr_unseen u = nr_unseen_of(t, sun, n, like);
        ck_assert_uint_lt(to->n, MOST);
        to->length[to->n] = length;
        to->sun[to->n] = fmax((sun[i] + sun[i - 1]) / 2, 0);
        to->over[to->n] = (over[i] + over[i - 1]) / 2;
        to->unseen[to->n++] = nr_unseen_integral(&u, length);
    }
}

/* Of the total, relative; and of the slope of a line through the intervals' means, each of which
 * counts by its length. */
static void by_intervals(const intervals *x, double *gain, double *slope)
{
    double length = 0, energy = 0, unseen = 0, mean = 0, squares = 0, about = 0;
    for (size_t i = 0; i < x->n; i++) {
        length += x->length[i];
        energy += x->length[i] * x->sun[i];
        unseen += x->unseen[i];
        mean += x->length[i] * x->over[i];
    }
    mean /= length;
    for (size_t i = 0; i < x->n; i++) {
        double off = x->over[i] - mean;
        squares += x->length[i] * off * off;
        about += off * off * x->unseen[i];
    }
    *gain = sqrt(unseen) / energy;
    *slope = sqrt(about) / squares;
}

/* Nothing is worth a term below 0.2 %. */
START_TEST(between_the_readings)
{
    static intervals x;
    int told = 0;
    for (size_t k = 0; k < KINDS; k++) {
        double gain, slope;
        build(&kinds[k]);
        x.n = 0;
        for (size_t i = 0; i < s->parts; i++)
            take_part(&s->part[i], &x);
        by_intervals(&x, &gain, &slope);
        bool counts = gain > 0.002;
        NEAR_AT(kinds[k].name, s->unseen_gain, counts ? gain : 0, 1e-7 * gain);
        NEAR_AT(kinds[k].name, s->unseen_slope_W_m2K, counts ? slope : 0, 1e-6 * slope);
        told += counts;
        tear_down();
    }
    ck_assert_msg(told >= 6 && told < KINDS, "%d", told);
}
END_TEST

/* What was not read, or is a mean, has missed nothing; by night there is nothing to be missed. */
START_TEST(nothing_to_be_missed)
{
    nr_err err = {0};
    build(&kinds[0]);
    nr_series before = *s;
    ck_assert(s->unseen_gain > 0);
    for (int way = 0; way < 4; way++) {
        *s = before;
        s->unseen_gain = s->unseen_slope_W_m2K = 0;
        run->run.rig.rows = way == 1 ? NR_ROWS_MEAN : before.run->rig.rows;
        s->sun_modelled = way == 0;
        s->max_sun_W_m2 = way == 2 ? 99 : way == 3 ? 101 : before.max_sun_W_m2;
        ck_assert_int_eq(nr_series_unseen(s, &err), NR_OK);
        NEAR(s->unseen_gain, way == 3 ? before.unseen_gain : 0, 1e-12);
        ck_assert_int_eq(isinf(s->unseen_slope_W_m2K) != 0, way == 2);
        ck_assert_int_eq(s->unseen_slope_W_m2K > 0, way >= 2);
        run->run.rig.rows = NR_ROWS_INSTANT;
    }
    *s = before;
    tear_down();
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {pauses_that_are_usual, between_the_readings, nothing_to_be_missed,
                                  NULL};
    return run_tests("between", tests);
}
