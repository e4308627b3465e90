/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The numbers of a comparison worked out a second time: three builds side by side, solved once more
 * by the same estimate; differences by gradients taken here, heat-ups by simulations of our own,
 * crossings by what Fieller's limits mean. */
#include "analyze/compare/compare.h"
#include "analyze/fit/derive.h"
#include "analyze/forecast/heatup.h"
#include "analyze/forecast/heatup_spread.h"
#include "analyze/physics/evaporation.h"
#include "tests/unit/quality/records.h"

enum { BUILDS = 3, FINE = 2400 };

typedef struct beside {
    nr_virtual_run *run[BUILDS];
    nr_series *series[BUILDS];
    nr_joint *whole, *part[BUILDS];
    nr_compare *c;
    nr_curve_at at[BUILDS];
} beside;

static void set_up(beside *s, size_t builds, const nr_reference_day *on)
{
    static const size_t build_of[] = {0, 1, 2};
    static const size_t counts[] = {1, 1, 1};
    const nr_run *one[BUILDS];
    const nr_run *const *groups[BUILDS];
    nr_fit_options options = nr_fit_defaults();
    nr_err err = {.text = ""};
    options.plain = true;
    memset(s, 0, sizeof *s);
    for (size_t b = 0; b < builds; b++) {
        nr_virtual_params p = b == 1 ? nr_virtual_bare() : nr_virtual_glazed();
        p.rig_seed = 5 + b;
        p.day_seed = 4;
        p.interval_s = 10;
        p.duration_s = 3000;
        p.store_above_air_K = b == 2 ? 8 : 4;
        p.flow_L_min *= b == 2 ? 1.3 : 1;
        p.channels |= NR_VC_BIT(NR_VC_WIND);
        p.stated.iam_b0 = 0.1;
        snprintf(p.build, sizeof p.build, b < 2 ? "build %zu" : "last", b);
        snprintf(p.sensor[NR_VC_SUN].identity, sizeof p.sensor[0].identity, "one for all");
        s->run[b] = simulate(&p);
        one[b] = &s->run[b]->run;
        groups[b] = &one[b];
        ck_assert(nr_series_build(one[b], &s->series[b], &err) == NR_OK);
    }
    nr_code code = nr_compare_builds(groups, counts, builds, on, &options, &s->c, &err);
    ck_assert_msg(code == NR_OK, "%s", err.text);
    ck_assert(nr_fit_joint(s->series, build_of, builds, builds, &options, &s->whole, &err) ==
              NR_OK);
    double sun = 0, air = 0, oblique = 0;
    for (size_t b = 0; b < builds; b++) {
        ck_assert(nr_joint_part(s->whole, b, &s->part[b], &err) == NR_OK);
        s->at[b] = nr_derive_conditions(s->part[b], 0, true);
        sun += s->at[b].conditions.sun_W_m2;
        air += s->at[b].conditions.air_degC;
        oblique += s->at[b].conditions.obliquity;
    }
    for (size_t b = 0; b < builds; b++) { /* one mean for all */
        s->at[b].conditions.sun_W_m2 = sun / (double)builds;
        s->at[b].conditions.air_degC = air / (double)builds;
        s->at[b].conditions.obliquity = oblique / (double)builds;
        s->at[b].bend = s->c->build[b]->a2.known;
        s->at[b].span = nr_derive_span(s->c->build[b]);
    }
}

static void tear_down(beside *s)
{
    nr_compare_free(s->c);
    for (size_t b = 0; b < BUILDS; b++)
        nr_joint_free(s->part[b]);
    nr_joint_free(s->whole);
    for (size_t b = 0; b < BUILDS && s->run[b]; b++) {
        nr_series_free(s->series[b]);
        nr_virtual_run_free(s->run[b]);
    }
}

/* Of a build's result to the parameters of all; central differences of fourth order. */
static double slopes(const beside *s, size_t b, nr_result_fn fn, const void *context, double *whole)
{
    const nr_joint *j = s->part[b];
    size_t m = nr_joint_parameters(j);
    double *x = malloc(m * sizeof *x), *g = malloc(m * sizeof *g);
    memcpy(x, nr_joint_x(j), m * sizeof *x);
    for (size_t i = 0; i < m; i++) {
        static const double where[4] = {-2, -1, 1, 2};
        double h = 3e-3 * nr_joint_parameter(j, i).scale, at = x[i], f[4];
        for (int k = 0; k < 4; k++) {
            x[i] = at + where[k] * h;
            f[k] = fn(j, x, context);
        }
        x[i] = at;
        g[i] = (f[0] - 8 * f[1] + 8 * f[2] - f[3]) / (12 * h);
    }
    nr_joint_embed(j, g, whole);
    double value = fn(j, x, context);
    free(x);
    free(g);
    return value;
}

/* ---- a heat-up of our own ---- */

/* Constant weather, in short steps: the time at which the store's mean passes the target. */
static double heat_up(const beside *s, size_t b, double to_degC, double limit_s, double *trace)
{
    static double sun[FINE], air[FINE], flow[FINE], wind[FINE], oblique[FINE], humidity[FINE],
        store[FINE];
    const nr_reference_day *on = &s->c->day;
    nr_loop_params p = nr_joint_device(s->part[b], 0, nr_joint_x(s->part[b]));
    const nr_series *series = s->series[b];
    double weighed = series->water_kg *
                     (1 + nr_joint_term(s->part[b], 0, NR_TERM_WATER, nr_joint_x(s->part[b])));
    p.store_J_K += (on->store_kg - weighed) * series->cp_J_kgK;
    p.t_store_degC = p.t_collector_degC = on->from_degC;
    p.air_offset_K = p.sun_on_air_K = p.sun_fade = p.loss_trend = p.lost_J_K = p.dew = 0;
    p.humidity_offset = p.sun_offset_W_m2 = p.sun_gain = 0;
    double step = limit_s / FINE, sky[FINE], when = NAN, before = on->from_degC, then = 0;
    for (int i = 0; i < FINE; i++) {
        sun[i] = on->sun_W_m2;
        air[i] = on->air_degC;
        flow[i] = s->at[b].conditions.flow_W_K;
        wind[i] = isnan(series->wind_zero_m_s) ? 0 : on->wind_m_s - series->wind_zero_m_s;
        oblique[i] = s->at[b].conditions.obliquity;
        humidity[i] = NR_USUAL_HUMIDITY;
        sky[i] = series->mean_sky_W_m2;
    }
    nr_loop_input in = {.blocks = FINE,
                        .steps_per_block = 1,
                        .step_s = step,
                        .sun_W_m2 = sun,
                        .air_degC = air,
                        .flow_W_K = flow,
                        .wind_m_s = wind,
                        .obliquity = oblique,
                        .sky_W_m2 =
                            series->mean_sky_W_m2 > 0 || series->mean_sky_W_m2 < 0 ? sky : NULL,
                        .humidity = humidity};
    nr_loop_output out = {.reading = {store, NULL, NULL}};
    nr_loop_run(&in, &p, &out);
    for (int i = 0; i < FINE && isnan(when); i++) {
        double now = step * (i + 0.5);
        if (store[i] >= to_degC)
            when = then + (now - then) * (to_degC - before) / (store[i] - before);
        before = store[i];
        then = now;
    }
    if (trace)
        memcpy(trace, store, sizeof store);
    return when;
}

static nr_heatup_case asked_of(const beside *s, size_t b)
{
    const nr_reference_day *on = &s->c->day;
    double wind = s->series[b]->wind_zero_m_s;
    return (nr_heatup_case){
        .weather = {.count = 1,
                    .every_s = 43200,
                    .sun_W_m2 = &on->sun_W_m2,
                    .air_degC = &on->air_degC,
                    .obliquity = &s->at[b].conditions.obliquity,
                    .wind_above_mean_m_s = isnan(wind) ? 0 : on->wind_m_s - wind},
        .water_kg = on->store_kg,
        .true_water = true,
        .store_loss_W_K = NAN,
        .flow_W_K = s->at[b].conditions.flow_W_K,
        .from_degC = on->from_degC,
        .to_degC = on->to_degC,
        .limit_s = 43200};
}

static void heat_ups(const beside *s, size_t builds)
{
    static double trace[FINE];
    size_t m = nr_joint_parameters(s->whole);
    double *g = calloc(m, sizeof *g), longest = 0;
    for (size_t b = 0; b < builds; b++)
        longest = fmax(longest, s->c->heat_up[b].time_s.hi95);
    for (size_t b = 0; b < builds; b++) {
        const nr_heat_up *h = &s->c->heat_up[b];
        nr_heatup_case on = asked_of(s, b);
        ck_assert(h->time_s.known && h->probability_reached >= 1);
        double value = slopes(s, b, nr_result_heat_up_s, &on, g),
               u = sqrt(nr_joint_covariance(s->whole, g, g));
        NEAR_RELATIVE(h->time_s.value, value, 1e-9);
        NEAR_RELATIVE(h->time_s.u, u, 1e-3);
        NEAR_RELATIVE(h->time_s.hi95, value * exp(1.959964 * u / value), 1e-4);
        NEAR_RELATIVE(h->time_s.lo95, value * exp(-1.959964 * u / value), 1e-4);
        /* In steps a quarter as long, over just the time it takes: a thousandth (heatup.h). */
        NEAR_RELATIVE(value, heat_up(s, b, on.to_degC, 1.2 * value, NULL), 2e-3);
        ck_assert_uint_eq(h->count, 81);
        NEAR(h->t_s[80], 1.25 * longest, 1e-6);
        NEAR(h->store_degC[0], on.from_degC, 1e-9);
        heat_up(s, b, INFINITY, h->t_s[80], trace);
        for (size_t i = 0; i < 81; i++) {
            double at = h->t_s[i] / h->t_s[80] * FINE - 0.5;
            size_t k = at > 0 ? (size_t)at : 0;
            NEAR(h->t_s[i], h->t_s[80] * (double)i / 80, 1e-6);
            if (i > 0 && k + 1 < FINE)
                NEAR(h->store_degC[i], trace[k] + (at - (double)k) * (trace[k + 1] - trace[k]),
                     0.05);
            NEAR((h->hi95[i] + h->lo95[i]) / 2, h->store_degC[i], 1e-9);
        }
        /* The band where the target is passed is the time's, by the slope (JCGM 100, 5.1.2). */
        for (size_t i = 1; i < 80; i++) {
            double before = h->store_degC[i - 1], now = h->store_degC[i];
            if (before >= on.to_degC || now < on.to_degC)
                continue;
            double share = (on.to_degC - before) / (now - before);
            double half = ((1 - share) * (h->hi95[i - 1] - h->lo95[i - 1]) +
                           share * (h->hi95[i] - h->lo95[i])) /
                          2;
            double rate = (now - before) / (h->t_s[i] - h->t_s[i - 1]);
            NEAR_RELATIVE(half / 1.959964 / rate, u, 0.03);
        }
    }
    free(g);
}

/* ---- differences ---- */

static double below(double z)
{
    return erfc(-z / M_SQRT2) / 2;
}

static void differences(const beside *s, size_t builds)
{
    size_t m = nr_joint_parameters(s->whole), n = 0;
    double *g[BUILDS][3], v[BUILDS][3], *between = calloc(m, sizeof *between),
                                        *other = calloc(m, sizeof *other);
    for (size_t b = 0; b < builds; b++) {
        nr_heatup_case on = asked_of(s, b);
        for (int k = 0; k < 3; k++)
            g[b][k] = calloc(m, sizeof(double));
        v[b][0] = slopes(s, b, nr_result_efficiency, &s->at[b], g[b][0]);
        v[b][1] = slopes(s, b, nr_result_a1, &s->at[b], g[b][1]);
        v[b][2] = slopes(s, b, nr_result_heat_up_s, &on, g[b][2]);
    }
    ck_assert_uint_eq(s->c->differences, builds * (builds - 1) / 2);
    for (size_t against = 0; against < builds; against++)
        for (size_t of = against + 1; of < builds; of++) {
            const nr_difference *d = &s->c->difference[n++];
            double u[3], by[3];
            ck_assert(d->of == of && d->against == against);
            for (int k = 0; k < 3; k++) {
                const nr_quantity *q = nr_difference_by(d, (nr_compared)k);
                for (size_t i = 0; i < m; i++)
                    between[i] = g[of][k][i] - g[against][k][i];
                u[k] = sqrt(nr_joint_covariance(s->whole, between, between));
                by[k] = v[of][k] - v[against][k];
                NEAR(q->value, by[k], 1e-6 * u[k]);
                NEAR_RELATIVE(q->u, u[k], 1e-3);
                NEAR_RELATIVE(hypot(q->u_random, q->u_systematic), q->u, 1e-9);
                NEAR(q->hi95 - q->value, 1.959964 * u[k], 2e-3 * u[k]);
                nr_quantity all = nr_difference_of_all(s->c, d, (nr_compared)k);
                NEAR_RELATIVE(all.hi95 - all.lo95, 2 * s->c->all_k[k] * q->u, 1e-6);
                ck_assert(builds == 2 ? fabs(s->c->all_k[k] - 1.959964) < 1e-6
                                      : s->c->all_k[k] > 1.97 && s->c->all_k[k] < 2.4);
            }
            NEAR(d->probability_better, below(-by[2] / u[2]), 1e-3);
            NEAR(d->confidence_adjusted, 1 - 2 * below(-s->c->all_k[2]), 1e-9);
            double effect = 0.1 * fabs(s->c->build[against]->eta0.value);
            NEAR(d->power, below(effect / u[0] - s->c->all_k[0]), 1e-3);
            double at = by[0] / by[1] * s->at[0].conditions.sun_W_m2;
            bool meets = fabs(by[1]) > 1.959964 * u[1] && at > -10 && at < 80;
            ck_assert(d->crossing_known == meets && d->crossing.known == meets);
            if (!meets)
                continue;
            NEAR_RELATIVE(d->crossing_K, at, 1e-6);
            NEAR_RELATIVE(d->crossing.value, at, 1e-6);
            /* At either limit r the difference a - r b is just 1.96 of its own u from nothing. */
            for (int high = 0; high < 2; high++) {
                double r =
                    (high ? d->crossing.hi95 : d->crossing.lo95) / s->at[0].conditions.sun_W_m2;
                for (size_t i = 0; i < m; i++)
                    other[i] =
                        g[of][0][i] - g[against][0][i] - r * (g[of][1][i] - g[against][1][i]);
                double away = fabs(by[0] - r * by[1]);
                NEAR_RELATIVE(away, 1.959964 * sqrt(nr_joint_covariance(s->whole, other, other)),
                              5e-3);
            }
            double r = by[0] / by[1];
            for (size_t i = 0; i < m; i++)
                other[i] =
                    (g[of][0][i] - g[against][0][i] - r * (g[of][1][i] - g[against][1][i])) / by[1];
            NEAR_RELATIVE(d->crossing.u,
                          s->at[0].conditions.sun_W_m2 *
                              sqrt(nr_joint_covariance(s->whole, other, other)),
                          5e-3);
        }
    for (size_t b = 0; b < builds; b++)
        for (int k = 0; k < 3; k++)
            free(g[b][k]);
    free(between);
    free(other);
}

/* A day inside what every build was tested at, in round numbers. */
static void day_of(const beside *s, size_t builds)
{
    double low = -1e9, high = 1e9, kg = 0, wind = 0;
    for (size_t b = 0; b < builds; b++) {
        const nr_fit_run *r = &s->c->build[b]->run[0];
        double least = 1e9, most = -1e9;
        for (size_t k = 0; k < r->blocks; k++) {
            least = fmin(least, r->channel[0].modelled[k]);
            most = fmax(most, r->channel[0].modelled[k]);
        }
        low = fmax(low, least);
        high = fmin(high, most);
        kg += s->run[b]->run.rig.store.water_kg.value / (double)builds;
        wind += s->series[b]->mean_wind_m_s / (double)builds;
    }
    const nr_reference_day *on = &s->c->day;
    ck_assert(!on->stated);
    NEAR(on->sun_W_m2, 50 * floor(s->at[0].conditions.sun_W_m2 / 50 + 0.5), 1e-9);
    NEAR(on->air_degC, floor(s->at[0].conditions.air_degC + 0.5), 1e-9);
    NEAR(on->store_kg, kg, 1e-9);
    NEAR(on->wind_m_s, wind, 1e-9);
    NEAR(on->from_degC, ceil(low), 1e-9);
    NEAR(on->to_degC, floor(high) - ceil(low) < 5 ? ceil(low) + 5 : floor(high), 1e-9);
}

START_TEST(three_side_by_side)
{
    static beside s;
    set_up(&s, 3, NULL);
    day_of(&s, 3);
    heat_ups(&s, 3);
    differences(&s, 3);
    ck_assert_str_eq(s.c->label[0], "build 0");
    ck_assert_str_eq(s.c->label[2], "last");
    size_t places = 0;
    for (size_t i = 0; i < 3; i++) {
        const nr_quantity *mine = &s.c->heat_up[s.c->rank[i].build].time_s;
        places |= (size_t)1 << s.c->rank[i].build;
        if (i > 0)
            ck_assert(mine->value >= s.c->heat_up[s.c->rank[i - 1].build].time_s.value);
    }
    ck_assert_uint_eq(places, 7);
    ck_assert_uint_eq(s.c->verdict.best, s.c->rank[0].build);
    tear_down(&s);
}
END_TEST

START_TEST(two_on_a_stated_day)
{
    static beside s;
    nr_reference_day on = {850, 22, 2, 35, 24, 31, false};
    set_up(&s, 2, &on);
    ck_assert(s.c->day.stated);
    NEAR(s.c->day.sun_W_m2 + s.c->day.air_degC + s.c->day.wind_m_s, 874, 1e-9);
    NEAR(s.c->day.store_kg + s.c->day.from_degC + s.c->day.to_degC, 90, 1e-9);
    heat_ups(&s, 2);
    differences(&s, 2);
    tear_down(&s);
}
END_TEST

/* The spread of a heat-up: parts in squares, and what is read off between its points. */
START_TEST(spread_of_a_heat_up)
{
    static beside s;
    static nr_heatup_spread o, warm;
    static double band[NR_HEATUP_SPREAD_POINTS], u[NR_HEATUP_SPREAD_POINTS];
    set_up(&s, 2, NULL);
    nr_heatup_case on = asked_of(&s, 0);
    on.limit_s = 5400;
    nr_weather_u weather = {.sun = 0.05, .air_K = 1.5};
    ck_assert(nr_heatup_spread_make(s.part[0], &on, &weather, &o));
    ck_assert(nr_heatup_band(s.part[0], &on, NR_HEATUP_SPREAD_POINTS, band, u));
    double sun = on.weather.sun_W_m2[0], air = on.weather.air_degC[0],
           high[NR_HEATUP_SPREAD_POINTS], by[2][NR_HEATUP_SPREAD_POINTS];
    for (int k = 0; k < 2; k++) {
        double moved = k ? air + 1.5 : sun * 1.05;
        nr_heatup_case other = on;
        *(k ? &other.weather.air_degC : &other.weather.sun_W_m2) = &moved;
        ck_assert(nr_heatup_trace(s.part[0], nr_joint_x(s.part[0]), &other, NR_HEATUP_SPREAD_POINTS,
                                  high));
        for (size_t i = 0; i < NR_HEATUP_SPREAD_POINTS; i++)
            by[k][i] = high[i] - band[i];
    }
    NEAR(o.span_s, 5400, 0);
    for (size_t i = 0; i < NR_HEATUP_SPREAD_POINTS; i++) {
        NEAR(o.store_degC[i], band[i], 1e-9);
        double whole = o.u[i], of_model = o.u_model[i], of_fit = o.u_parameter[i];
        NEAR_RELATIVE(whole * whole,
                      of_model * of_model + of_fit * of_fit + o.u_weather[i] * o.u_weather[i],
                      1e-9);
        if (i < NR_HEATUP_SPREAD_POINTS / 8)
            continue; /* longer steps are late at first */
        NEAR(hypot(of_fit, of_model), u[i], 0.02 * u[i]);
        NEAR(o.u_weather[i], hypot(by[0][i], by[1][i]), 0.03 * o.u_weather[i]);
    }
    ck_assert(o.u_model[NR_HEATUP_SPREAD_POINTS - 1] > 0);
    /* Straight lines between its points. */
    double step = o.span_s / (NR_HEATUP_SPREAD_POINTS - 1);
    NEAR(nr_heatup_spread_at(&o, band, 2.25 * step), 0.75 * band[2] + 0.25 * band[3], 1e-9);
    NEAR(nr_heatup_spread_at(&o, band, -5), band[0], 1e-9);
    NEAR(nr_heatup_spread_at(&o, band, 1e6), band[NR_HEATUP_SPREAD_POINTS - 1], 1e-9);
    NEAR(nr_heatup_spread_slope(&o, 3.5 * step), (band[4] - band[2]) / (2 * step), 1e-12);
    NEAR(nr_heatup_spread_slope(&o, 0), (band[2] - band[0]) / (2 * step), 1e-12);
    NEAR(nr_heatup_spread_slope(&o, 1e6),
         (band[NR_HEATUP_SPREAD_POINTS - 1] - band[NR_HEATUP_SPREAD_POINTS - 3]) / (2 * step),
         1e-12);
    for (int k = -1; k <= 1; k++) {
        double target = (o.store_degC[5] + k * o.u[5]) * 0.4 + (o.store_degC[6] + k * o.u[6]) * 0.6;
        NEAR(nr_heatup_spread_time_s(&o, target, k), 5.6 * step, 1e-6);
    }
    NEAR(nr_heatup_spread_time_s(&o, on.from_degC - 1, 0), 0, 0);
    ck_assert(isnan(nr_heatup_spread_time_s(&o, 99, 0)));
    /* A container's loss that may be contained adds its part, both ways. */
    nr_heatup_case held = on;
    held.store_loss_W_K = 3;
    held.contained_W_K = 2;
    nr_weather_u none = {.sun = 0};
    ck_assert(nr_heatup_spread_make(s.part[0], &held, &none, &o));
    held.u_contained_W_K = 1;
    ck_assert(nr_heatup_spread_make(s.part[0], &held, &none, &warm));
    double shift[2][NR_HEATUP_SPREAD_POINTS];
    held.u_contained_W_K = 0;
    for (int k = 0; k < 2; k++) {
        held.contained_W_K = k ? 3 : 1;
        ck_assert(nr_heatup_trace(s.part[0], nr_joint_x(s.part[0]), &held, NR_HEATUP_SPREAD_POINTS,
                                  shift[k]));
    }
    for (size_t i = 0; i < NR_HEATUP_SPREAD_POINTS; i++)
        NEAR(warm.u[i], hypot(o.u[i], (shift[1][i] - shift[0][i]) / 2), 0.02 * warm.u[i] + 1e-4);
    tear_down(&s);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {three_side_by_side, two_on_a_stated_day, spread_of_a_heat_up,
                                  NULL};
    return run_tests("compare, parts", tests);
}
