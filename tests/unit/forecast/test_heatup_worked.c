/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A heat-up and its uncertainty worked out a second time: the collector's parameters, the weather
 * and the trace as heatup.h says them on drawn cases, slopes by another step of difference, the
 * band's own readings from a band made by hand. One short record, solved once a test. */
#include "analyze/fit/solved.h"
#include "analyze/forecast/heatup_spread.h"
#include "tests/unit/chance.h"
#include "tests/unit/fit/simulated.h"

#define STEPS NR_HEATUP_STEPS
#define GRID 12

static nr_virtual_run *record;
static nr_solved solved;
static double *x; /* parameters, off the best estimate, so that no term is nothing */

static double drawn(double low, double high)
{
    static uint64_t state = 7720;
    return low + (high - low) * chance_share(&state);
}

static void set_up(void)
{
    nr_virtual_params p = exact_glazed();
    nr_fit_options options = nr_fit_defaults();
    nr_err err = {.text = ""};
    p.duration_s = 2400;
    p.interval_s = 30;
    record = simulated(&p);
    const nr_run *one = &record->run;
    ck_assert_msg(nr_solve_runs(&one, 1, &options, &solved, &err) == NR_OK, "%s", err.text);
    size_t m = nr_joint_parameters(solved.joint);
    x = malloc(m * sizeof *x);
    for (size_t i = 0; i < m; i++)
        x[i] = nr_joint_x(solved.joint)[i] +
               0.05 * drawn(-1, 1) * nr_joint_parameter(solved.joint, i).scale;
}

static void tear_down(void)
{
    free(x);
    nr_solved_free(&solved);
    nr_virtual_run_free(record);
}

/* ---- drawn cases ---- */

static double sun[GRID], air[GRID], oblique[GRID], share[GRID];

static nr_heatup_case drawn_case(int n)
{
    for (int k = 0; k < GRID; k++) {
        sun[k] = drawn(300, 1000);
        air[k] = drawn(5, 25);
        oblique[k] = drawn(0, 0.6);
        share[k] = drawn(0.2, 1.5);
    }
    nr_heatup_case c = {.piece = solved.at.piece,
                        .water_kg = n % 3 ? drawn(15, 60) : NAN,
                        .true_water = n % 2,
                        .store_loss_W_K = n % 4 ? drawn(0, 8) : NAN,
                        .contained_W_K = n % 5 ? drawn(0, 2) : 0,
                        .flow_W_K = solved.at.conditions.flow_W_K,
                        .grow = n % 3 == 1 ? drawn(0.5, 2) : 0,
                        .same_meter = n % 4 < 2,
                        .from_degC = drawn(10, 30),
                        .limit_s = drawn(1800, 20000),
                        .steps = n % 3 == 2 ? (size_t)drawn(100, 600) : 0};
    c.to_degC = c.from_degC + drawn(1, 25);
    c.weather = (nr_forecast){.count = n % 6 ? GRID : 1,
                              .every_s = drawn(100, 2500),
                              .sun_W_m2 = sun,
                              .air_degC = air,
                              .obliquity = n % 2 ? oblique : NULL,
                              .flow_share = n % 5 ? share : NULL,
                              .from_s = n % 3 ? drawn(0, 3000) : 0,
                              .wind_above_mean_m_s = drawn(-1, 1)};
    return c;
}

/* ---- the same simulation ---- */

/* Sample k holds at k every_s; straight lines between; the first before and the last behind. */
static double weather_of(const nr_forecast *f, const double *v, double t)
{
    double last = f->every_s * (double)(f->count - 1), at = fmin(fmax(t + f->from_s, 0), last);
    for (size_t k = 0; k + 1 < f->count; k++) {
        double after = f->every_s * (double)(k + 1) - at;
        if (after > 0)
            return (v[k] * after + v[k + 1] * (f->every_s - after)) / f->every_s;
    }
    return v[f->count - 1];
}

static nr_loop_params params_of(const nr_heatup_case *c, const double *at)
{
    const nr_series *s = nr_joint_piece(solved.joint, c->piece).series;
    nr_loop_params p = nr_joint_device(solved.joint, c->piece, at);
    double scales = nr_joint_term(solved.joint, c->piece, NR_TERM_WATER, at);
    double water = s->water_kg * (c->true_water ? 1 + scales : 1);
    double times = c->grow > 0 ? c->grow : 1;
    if (!isnan(c->water_kg))
        p.store_J_K = p.store_J_K - water * s->cp_J_kgK + c->water_kg * s->cp_J_kgK;
    if (!isnan(c->store_loss_W_K)) {
        p.store_loss_W_K = c->store_loss_W_K - c->contained_W_K;
        p.opening_m2 = 0;
    }
    p.area_m2 *= times;
    p.fluid_J_K *= times;
    p.flow_factor *= times;
    p.sun_gain = c->same_meter ? p.sun_gain : 0;
    p.sun_offset_W_m2 = c->same_meter ? p.sun_offset_W_m2 : 0;
    p.t_store_degC = p.t_collector_degC = c->from_degC;
    /* What happened to the record or its sensors does not happen again. */
    p.air_offset_K = p.sun_on_air_K = p.sun_fade = p.loss_trend = p.lost_J_K = p.dew =
        p.humidity_offset = 0;
    return p;
}

static double store[STEPS];

static void simulate(const nr_heatup_case *c, const double *at, double seconds, size_t n)
{
    static double in[7][STEPS];
    const nr_forecast *f = &c->weather;
    nr_loop_params p = params_of(c, at);
    double dt = seconds / (double)n;
    for (size_t k = 0; k < n; k++) {
        double t = dt * ((double)k + 0.5);
        in[0][k] = weather_of(f, f->sun_W_m2, t);
        in[1][k] = weather_of(f, f->air_degC, t);
        in[2][k] = f->obliquity ? weather_of(f, f->obliquity, t) : 0;
        in[3][k] = c->flow_W_K * (f->flow_share ? weather_of(f, f->flow_share, t) : 1);
        in[4][k] = f->wind_above_mean_m_s;
        in[5][k] = nr_joint_piece(solved.joint, c->piece).series->mean_sky_W_m2;
        in[6][k] = 0.5; /* a usual day's humidity */
    }
    nr_loop_input all = {.blocks = n,
                         .steps_per_block = 1,
                         .step_s = dt,
                         .sun_W_m2 = in[0],
                         .air_degC = in[1],
                         .obliquity = in[2],
                         .flow_W_K = in[3],
                         .wind_m_s = in[4],
                         .sky_W_m2 = in[5],
                         .humidity = in[6]};
    nr_loop_output out = {.reading = {store, NULL, NULL}};
    nr_loop_run(&all, &p, &out);
}

/* At a time from start to end: between the middles of steps; the start itself; the last two middles
 * drawn on. */
static double store_at(double t, double seconds, size_t n, double from)
{
    double dt = seconds / (double)n, middle = t / dt - 0.5;
    if (middle < 0)
        return from + (store[0] - from) * 2 * (middle + 0.5);
    size_t k = middle < (double)n - 2 ? (size_t)middle : n - 2;
    return store[k] + (middle - (double)k) * (store[k + 1] - store[k]);
}

START_TEST(traces)
{
    double trace[37];
    for (int n = 0; n < 60; n++) {
        nr_heatup_case c = drawn_case(n);
        size_t steps = c.steps ? c.steps : STEPS;
        ck_assert(nr_heatup_trace(solved.joint, x, &c, 37, trace));
        simulate(&c, x, c.limit_s, steps);
        for (int i = 0; i < 37; i++)
            NEAR(trace[i], store_at(c.limit_s * i / 36, c.limit_s, steps, c.from_degC), 1e-7);
    }
}
END_TEST

/* When the target is passed, or NAN. */
static double passed(double seconds, size_t n, double from, double to)
{
    double dt = seconds / (double)n, last = from, last_t = 0;
    for (size_t k = 0; k < n; k++) {
        double t = dt * ((double)k + 0.5);
        if (store[k] >= to)
            return last_t + (t - last_t) / (store[k] - last) * (to - last);
        last = store[k];
        last_t = t;
    }
    return NAN;
}

/* Steps as fine as it says: half a step of what is simulated is what a time may be off (heatup.h).
 */
START_TEST(times_to_a_target)
{
    int reached = 0, never = 0;
    for (int n = 0; n < 120; n++) {
        nr_heatup_case c = drawn_case(n);
        size_t steps = c.steps ? c.steps : STEPS;
        double got = nr_result_heat_up_s(solved.joint, x, &c);
        simulate(&c, x, c.limit_s, steps);
        double rough = passed(c.limit_s, steps, c.from_degC, c.to_degC);
        ck_assert(isnan(rough) == isnan(got));
        if (isnan(rough)) {
            never++;
            continue;
        }
        double span = fmin(rough + 2 * c.limit_s / (double)steps, c.limit_s);
        simulate(&c, x, span, STEPS);
        double fine = passed(span, STEPS, c.from_degC, c.to_degC);
        NEAR(got, isnan(fine) ? rough : fine,
             1.0 * (1.3 * rough + c.limit_s / (double)steps) / (double)steps);
        reached++;
        c.to_degC = c.from_degC;
        ck_assert(nr_result_heat_up_s(solved.joint, x, &c) == 0);
    }
    ck_assert_int_gt(reached, 50);
    ck_assert_int_gt(never, 5);
}
END_TEST

/* ---- its uncertainty ---- */

#define POINTS NR_HEATUP_SPREAD_POINTS
static double above[POINTS], below[POINTS];

/* Gradient of each point by twice the step of difference that the source takes. */
static double *gradient(const nr_heatup_case *c, size_t points, bool (*moves)(nr_term, bool))
{
    size_t m = nr_joint_parameters(solved.joint);
    double *g = calloc(points * m, sizeof *g), *at = malloc(m * sizeof *at);
    memcpy(at, nr_joint_x(solved.joint), m * sizeof *at);
    for (size_t i = 0; i < m; i++) {
        nr_parameter_view p = nr_joint_parameter(solved.joint, i);
        if (!moves(p.term, c->same_meter))
            continue;
        double best = at[i], h = 2e-3 * p.scale;
        at[i] = best + h;
        ck_assert(nr_heatup_trace(solved.joint, at, c, points, above));
        at[i] = best - h;
        ck_assert(nr_heatup_trace(solved.joint, at, c, points, below));
        at[i] = best;
        for (size_t k = 0; k < points; k++)
            g[k * m + i] = (above[k] - below[k]) / h / 2;
    }
    free(at);
    return g;
}

/* A meter that is read again has its errors again. */
static bool for_a_day(nr_term term, bool same_meter)
{
    bool meter = term == NR_TERM_SUN_GAIN || term == NR_TERM_SUN_OFFSET;
    return nr_term_lasts(term) || (meter && same_meter);
}

static bool for_the_record(nr_term term, bool same_meter)
{
    (void)same_meter;
    return nr_term_lasts(term) || term == NR_TERM_SKY_OFFSET;
}

static nr_heatup_case bound_case(int n)
{
    nr_heatup_case c = drawn_case(n);
    c.steps = 0;
    c.limit_s = 9000;
    c.u_contained_W_K = n % 2 ? c.contained_W_K : 0;
    return c;
}

/* Half of what the trace moves when something is so much more and so much less. */
static void add_half(const nr_heatup_case *more, const nr_heatup_case *less, double square[POINTS])
{
    const double *best = nr_joint_x(solved.joint);
    ck_assert(nr_heatup_trace(solved.joint, best, more, POINTS, above));
    ck_assert(nr_heatup_trace(solved.joint, best, less, POINTS, below));
    for (size_t k = 0; k < POINTS; k++)
        square[k] += pow((above[k] - below[k]) / 2, 2);
}

static void weather_moves(const nr_heatup_case *c, const nr_weather_u *u, double square[POINTS])
{
    double bright[GRID], dim[GRID], warm[GRID], cold[GRID];
    nr_heatup_case more = *c, less = *c;
    for (int k = 0; k < GRID; k++) {
        bright[k] = sun[k] * (1 + u->sun), dim[k] = sun[k] * (1 - u->sun);
        warm[k] = air[k] + u->air_K, cold[k] = air[k] - u->air_K;
    }
    more.weather.sun_W_m2 = bright, less.weather.sun_W_m2 = dim;
    add_half(&more, &less, square);
    more.weather.sun_W_m2 = less.weather.sun_W_m2 = sun;
    more.weather.air_degC = warm, less.weather.air_degC = cold;
    add_half(&more, &less, square);
}

static void container_moves(const nr_heatup_case *c, double square[POINTS])
{
    nr_heatup_case more = *c, less = *c;
    more.contained_W_K += c->u_contained_W_K;
    less.contained_W_K -= c->u_contained_W_K;
    add_half(&more, &less, square);
}

/* Differences go in coarser steps than the trace: 150 of them, and none of more than 120 s. */
static nr_heatup_case coarse(const nr_heatup_case *c)
{
    nr_heatup_case o = *c;
    size_t few = c->limit_s > 150 * 120 ? (size_t)ceil(c->limit_s / 120) : 150;
    o.steps = c->steps && c->steps < few ? c->steps : few;
    return o;
}

static void spread_is(const nr_heatup_case *c, const nr_weather_u *u)
{
    static nr_heatup_spread got;
    static double weather2[POINTS], container2[POINTS];
    size_t m = nr_joint_parameters(solved.joint);
    nr_heatup_case few = coarse(c);
    double *shares = malloc((m + 1) * sizeof *shares), *g = gradient(&few, POINTS, for_a_day);
    memset(weather2, 0, sizeof weather2);
    memset(container2, 0, sizeof container2);
    weather_moves(&few, u, weather2);
    container_moves(&few, container2);
    ck_assert(nr_heatup_spread_make(solved.joint, c, u, &got));
    ck_assert(got.span_s == c->limit_s);
    ck_assert(nr_heatup_trace(solved.joint, nr_joint_x(solved.joint), c, POINTS, above));
    for (size_t k = 0; k < POINTS; k++) {
        double random, model2 = 0,
                       all2 = nr_joint_variance(solved.joint, g + k * m, &random, NULL, shares);
        for (size_t i = 0; i < m; i++)
            model2 += nr_term_is_model(nr_joint_parameter(solved.joint, i).term) ? shares[i] : 0;
        double parameter = sqrt(all2 - model2 + container2[k]);
        double whole = sqrt(all2 + container2[k] + weather2[k]);
        NEAR(got.store_degC[k], above[k], 1e-9);
        double near = 1e-3 * whole + 1e-9; /* by another step of difference */
        NEAR(got.u_random[k], random, near);
        NEAR(got.u_model[k], sqrt(model2), near);
        NEAR(got.u_parameter[k], parameter, near);
        NEAR(got.u_weather[k], sqrt(weather2[k]), near);
        NEAR(got.u[k], hypot(hypot(got.u_parameter[k], got.u_model[k]), got.u_weather[k]), 1e-12);
    }
    free(shares);
    free(g);
}

START_TEST(spreads)
{
    static const nr_weather_u u[] = {{0.05, 0}, {0, 2}, {0.1, 1}};
    static const double spans[] = {9000, 24000, 5000};
    for (int n = 1; n < 4; n++) {
        nr_heatup_case c = bound_case(n);
        c.limit_s = spans[n - 1];
        c.steps = n == 3 ? 100 : 0;
        spread_is(&c, &u[n - 1]);
    }
}
END_TEST

START_TEST(bands_of_a_record)
{
    double trace[41], u[41];
    size_t m = nr_joint_parameters(solved.joint);
    for (int n = 1; n < 4; n++) {
        nr_heatup_case c = bound_case(n);
        double *g = gradient(&c, 41, for_the_record);
        ck_assert(nr_heatup_band(solved.joint, &c, 41, trace, u));
        ck_assert(nr_heatup_trace(solved.joint, nr_joint_x(solved.joint), &c, 41, above));
        for (size_t k = 0; k < 41; k++) {
            NEAR(trace[k], above[k], 1e-9);
            NEAR(u[k], sqrt(nr_joint_variance(solved.joint, g + k * m, NULL, NULL, NULL)),
                 0.005 * u[k] + 1e-6);
        }
        free(g);
    }
}
END_TEST

/* ---- read off a band ---- */

static nr_heatup_spread hand;

/* The first of many times at which the line between the points is there. */
static double looked_for(double target, double k)
{
    for (int i = 0; i < (POINTS - 1) * 200; i++) {
        double t = hand.span_s * i / ((POINTS - 1) * 200.0), p = i / 200.0;
        size_t a = (size_t)p;
        double before = hand.store_degC[a] + k * hand.u[a];
        double after = hand.store_degC[a + 1] + k * hand.u[a + 1];
        if (before + (p - (double)a) * (after - before) >= target)
            return t;
    }
    return NAN;
}

START_TEST(read_off)
{
    hand.span_s = 7200;
    for (size_t i = 0; i < POINTS; i++) {
        hand.store_degC[i] = 15 + 30 * sin((double)i / 400) + drawn(-0.01, 0.01);
        hand.u[i] = 0.2 + (double)i / 900;
    }
    static const double k[] = {0, 1.96, -1.96};
    for (int n = 0; n < 60; n++) {
        double target = drawn(14, 47), want = looked_for(target, k[n % 3]),
               got = nr_heatup_spread_time_s(&hand, target, k[n % 3]);
        ck_assert(isnan(want) == isnan(got));
        if (!isnan(want))
            NEAR(got, want, 7200.0 / 600 / 200 + 1e-6);
        double t = drawn(0, 7200), p = t / 12;
        size_t a = (size_t)p;
        NEAR(nr_heatup_spread_at(&hand, hand.u, t),
             hand.u[a] * ((double)a + 1 - p) + hand.u[a + 1] * (p - (double)a), 1e-9);
        size_t middle = a < 1 ? 1 : a > 599 ? 599 : a;
        NEAR(nr_heatup_spread_slope(&hand, t),
             (hand.store_degC[middle + 1] - hand.store_degC[middle - 1]) / 24, 1e-12);
    }
    NEAR(nr_heatup_spread_at(&hand, hand.u, -5), hand.u[0], 0);
    NEAR(nr_heatup_spread_at(&hand, hand.u, 7300), hand.u[600], 0);
    NEAR(nr_heatup_spread_slope(&hand, 1), (hand.store_degC[2] - hand.store_degC[0]) / 24, 1e-12);
    NEAR(nr_heatup_spread_slope(&hand, 7200), (hand.store_degC[600] - hand.store_degC[598]) / 24,
         1e-12);
    ck_assert(nr_heatup_spread_time_s(&hand, hand.store_degC[0], 0) == 0);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {traces, times_to_a_target, spreads, bands_of_a_record, read_off,
                                  NULL};
    return run_tests_in("heatup_worked", tests, set_up, tear_down);
}
