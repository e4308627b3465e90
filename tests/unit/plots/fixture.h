/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Answers made up for the tests of show/ and plots/: the numbers of an invented wash-stand heater,
 * computed from a lumped heat balance, so that pictures look like real ones. No estimator is
 * involved. Everything lives in an arena; free it with fixture_done. */
#ifndef TESTS_FIXTURE_H
#define TESTS_FIXTURE_H

#include "analyze/compare/compare.h"
#include "analyze/compare/verdict.h"
#include "analyze/fit/fit.h"
#include "analyze/forecast/predict.h"
#include "analyze/forecast/size.h"
#include "analyze/inspect/inspect.h"
#include "analyze/plan/plan.h"
#include "analyze/pump/pump.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FIXTURE_BLOCKS 2048
typedef struct fixture {
    void *block[FIXTURE_BLOCKS];
    size_t count;
    unsigned long long seed;
} fixture;

static void *fixture_get(fixture *x, size_t count, size_t size)
{
    void *p = calloc(count, size);
    if (p == NULL || x->count == FIXTURE_BLOCKS)
        abort();
    x->block[x->count++] = p;
    return p;
}

static void fixture_done(fixture *x)
{
    for (size_t i = 0; i < x->count; i++)
        free(x->block[i]);
    x->count = 0;
}

static double *fixture_numbers(fixture *x, size_t count)
{
    double *p = fixture_get(x, count, sizeof *p);
    for (size_t i = 0; i < count; i++)
        p[i] = NAN;
    return p;
}

/* -1..1, the same on every machine. */
static double fixture_noise(fixture *x)
{
    x->seed = x->seed * 6364136223846793005ULL + 1442695040888963407ULL;
    return (double)(x->seed >> 40) / (double)(1ULL << 23) - 1.0;
}

static nr_quantity fixture_quantity(double value, double u_random, double u_systematic,
                                    nr_quantity_unit unit)
{
    double u = hypot(u_random, u_systematic);
    return (nr_quantity){true, value, u, u_random, u_systematic, value - 1.96 * u, value + 1.96 * u,
                         unit};
}

static nr_quantity fixture_unknown(nr_quantity_unit unit)
{
    return (nr_quantity){false, NAN, NAN, NAN, NAN, NAN, NAN, unit};
}

typedef struct fixture_build {
    const char *name, *folder, *title;
    double area_m2, eta0, a1, store_kg, start_degC, air_degC, minutes;
    bool loop;   /* inlet, outlet and flow recorded */
    bool clouds; /* passing clouds and one pump stop */
} fixture_build;

static void fixture_block(fixture *x, nr_fit_run *r, size_t i, const fixture_build *b, double *T)
{
    double t = ((double)i + 0.5) * r->block_s, minute = t / 60;
    double sun = 860 + 60 * sin(minute / 40) + 6 * fixture_noise(x);
    bool pump = true;
    if (b->clouds && fmod(minute, 23) > 18)
        sun *= 0.35;
    if (b->clouds && minute > 40 && minute < 47)
        pump = false;
    double air = b->air_degC + 1.5 * minute / 90 + 0.15 * fixture_noise(x);
    double rise = 7.0;
    double mean = *T + rise / 2;
    double to_water = pump ? b->area_m2 * (b->eta0 * sun - b->a1 * (mean - air)) : 0;
    double store_loss = 1.6 * (*T - air);
    *T += (to_water - store_loss) * r->block_s / (b->store_kg * 4186 + 2500);
    r->t_s[i] = t;
    r->sun_W_m2[i] = sun;
    r->air_degC[i] = air;
    r->pump_on[i] = pump;
    r->flow_L_min[i] = b->loop ? (pump ? 1.05 + 0.02 * fixture_noise(x) : 0) : NAN;
    r->absorbed_W[i] = b->area_m2 * b->eta0 * sun;
    r->collector_loss_W[i] = b->area_m2 * b->a1 * (mean - air);
    r->to_water_W[i] = to_water;
    r->store_loss_W[i] = store_loss;
    double modelled[3] = {*T, *T, *T + (pump ? fmax(0, to_water) / (1.05 / 60 * 4186) : 9)};
    for (size_t c = 0; c < r->channels; c++) {
        nr_fit_channel *k = &r->channel[c];
        bool used = c == 0 || pump;
        k->modelled[i] = modelled[c];
        k->measured[i] = modelled[c] + 0.05 * fixture_noise(x) + 0.03 * sin(minute / 9 + (double)c);
        k->residual[i] = used ? k->measured[i] - modelled[c] : NAN;
        k->used += used;
        k->left_out += !used;
    }
}

static void fixture_run(fixture *x, nr_fit_run *r, const fixture_build *b)
{
    static const char *const names[] = {"store", "inlet", "outlet"};
    (void)snprintf(r->folder, sizeof r->folder, "%s", b->folder);
    (void)snprintf(r->title, sizeof r->title, "%s", b->title);
    r->duration_s = 60 * b->minutes;
    r->used_s = r->duration_s - 300;
    r->rows = (size_t)r->duration_s;
    r->start_utc_s = 1777891353.0; /* 2026-05-04T10:42:33Z */
    r->latitude_deg = 51.87;
    r->longitude_deg = 0.63;
    r->block_s = 10;
    r->blocks = (size_t)(r->duration_s / r->block_s);
    r->t_s = fixture_numbers(x, r->blocks);
    r->sun_W_m2 = fixture_numbers(x, r->blocks);
    r->air_degC = fixture_numbers(x, r->blocks);
    r->flow_L_min = fixture_numbers(x, r->blocks);
    r->absorbed_W = fixture_numbers(x, r->blocks);
    r->to_water_W = fixture_numbers(x, r->blocks);
    r->collector_loss_W = fixture_numbers(x, r->blocks);
    r->store_loss_W = fixture_numbers(x, r->blocks);
    r->pump_on = fixture_get(x, r->blocks, sizeof *r->pump_on);
    r->channels = b->loop ? 3 : 1;
    for (size_t c = 0; c < r->channels; c++) {
        nr_fit_channel *k = &r->channel[c];
        (void)snprintf(k->name, sizeof k->name, "%s", names[c]);
        k->measured = fixture_numbers(x, r->blocks);
        k->modelled = fixture_numbers(x, r->blocks);
        k->residual = fixture_numbers(x, r->blocks);
        k->rms_K = 0.036;
        k->ar1 = 0.4;
    }
    double T = b->start_degC;
    for (size_t i = 0; i < r->blocks; i++)
        fixture_block(x, r, i, b, &T);
}

static void fixture_curve(fixture *x, nr_fit *f)
{
    f->curve_points = 41;
    f->curve = fixture_get(x, f->curve_points, sizeof *f->curve);
    for (size_t i = 0; i < f->curve_points; i++) {
        nr_curve_point *c = &f->curve[i];
        c->x = -0.01 + 0.0015 * (double)i;
        c->eta = f->eta0.value - f->a1.value * c->x;
        double far = fmax(0, fmax(f->x_range[0] - c->x, c->x - f->x_range[1]));
        double half = 1.96 * sqrt(f->eta0.u * f->eta0.u + pow(f->a1.u * c->x, 2)) + far;
        c->lo95 = c->eta - half;
        c->hi95 = c->eta + half;
        c->tested = c->x >= f->x_range[0] && c->x <= f->x_range[1];
    }
}

static void fixture_points(fixture *x, nr_fit *f)
{
    f->points = 18;
    f->point = fixture_get(x, f->points, sizeof *f->point);
    for (size_t i = 0; i < f->points; i++) {
        nr_point *p = &f->point[i];
        p->x = f->x_range[0] + (f->x_range[1] - f->x_range[0]) * (double)i / 17;
        p->eta = f->eta0.value - f->a1.value * p->x + 0.012 * fixture_noise(x);
        p->u = 0.024;
        p->t_s = 300 * (double)i + 150;
        p->steady = i > 4 && i % 3 != 0;
    }
}

static void fixture_item(nr_fit *f, const char *label, const char *channel, double u,
                         const char *unit, double eta0, double a1)
{
    nr_budget_item *b = &f->budget[f->budget_items++];
    (void)snprintf(b->label, sizeof b->label, "%s", label);
    (void)snprintf(b->channel, sizeof b->channel, "%s", channel);
    (void)snprintf(b->unit, sizeof b->unit, "%s", unit);
    b->stated_u = u;
    b->share[NR_SHARE_ETA0] = eta0;
    b->share[NR_SHARE_A1] = a1;
    b->share[NR_SHARE_RUN] = eta0;
}

static void fixture_budget(nr_fit *f)
{
    fixture_item(f, "irradiance sensor, gain", "sun", 0.03, "", 0.91, 0.14);
    fixture_item(f, "random: noise, wind, mixing", "", NAN, "", 0.035, 0.42);
    fixture_item(f, "gross area", "", 0.005, "", 0.021, 0.01);
    fixture_item(f, "water in the store", "", 0.2, "kg", 0.019, 0.02);
    fixture_item(f, "store sensor, offset", "store", 0.15, "K", 0.008, 0.16);
    fixture_item(f, "air sensor, offset", "air", 0.3, "K", 0.005, 0.22);
    fixture_item(f, "flow sensor, gain", "flow", 0.02, "", 0.002, 0.03);
}

static void fixture_learned(nr_fit *f, const char *label, const char *unit, double stated,
                            double stated_u, double found, double found_u)
{
    nr_learned *l = &f->learned[f->learned_items++];
    (void)snprintf(l->label, sizeof l->label, "%s", label);
    (void)snprintf(l->unit, sizeof l->unit, "%s", unit);
    l->stated = stated;
    l->stated_u = stated_u;
    l->found = found;
    l->found_u = found_u;
}

/* One build, as many equal runs as wanted. */
static nr_fit *fixture_fit(fixture *x, const fixture_build *b, size_t runs)
{
    nr_fit *f = fixture_get(x, 1, sizeof *f);
    (void)snprintf(f->collector_name, sizeof f->collector_name, "%s", b->name);
    f->gross_area_m2 = b->area_m2;
    f->model = b->loop ? NR_MODEL_BOTH : NR_MODEL_STORE;
    f->reference = b->loop ? NR_REFERENCE_MEAN : NR_REFERENCE_INLET;
    f->loss_includes_store = !b->loop;
    f->eta0 = fixture_quantity(b->eta0, 0.004, 0.0221, NR_UNIT_ONE);
    f->eta0_normal = fixture_quantity(b->eta0 * 1.01, 0.004, 0.023, NR_UNIT_ONE);
    f->a1 = fixture_quantity(b->a1, 0.5, 0.4, NR_UNIT_W_M2K);
    f->a2 = fixture_unknown(NR_UNIT_W_M2K2);
    f->a5 = fixture_quantity(9800, 300, 1400, NR_UNIT_J_M2K);
    f->store_loss =
        b->loop ? fixture_quantity(1.6, 0.1, 0.2, NR_UNIT_W_K) : fixture_unknown(NR_UNIT_W_K);
    f->run_efficiency = fixture_quantity(b->eta0 * 0.86, 0.003, 0.018, NR_UNIT_ONE);
    f->stagnation_K = fixture_quantity(1000 * b->eta0 / b->a1, 4, 5, NR_UNIT_K);
    f->time_constant_s = fixture_quantity(214, 9, 20, NR_UNIT_S);
    f->x_range[0] = -0.0046;
    f->x_range[1] = 0.0158;
    f->dT_range[0] = -4.1;
    f->dT_range[1] = 13.2;
    f->sun_range[0] = 790;
    f->sun_range[1] = 925;
    f->mean_sun_W_m2 = 880;
    f->mean_air_degC = b->air_degC;
    f->mean_flow_L_min = b->loop ? 1.05 : NAN;
    f->mean_wind_m_s = NAN;
    f->sun_J = 880 * b->area_m2 * 60 * b->minutes;
    f->water_J = f->sun_J * f->run_efficiency.value;
    f->residual_rms_K = 0.036;
    f->classical.known = b->loop;
    f->classical.points = 9;
    f->classical.steady_only = true;
    f->classical.eta0 = fixture_quantity(b->eta0 - 0.008, 0.01, 0.024, NR_UNIT_ONE);
    f->classical.a1 = fixture_quantity(b->a1 - 0.4, 1.1, 0.5, NR_UNIT_W_M2K);
    f->incidence = (nr_incidence){true, 21, 12, 34, 0.1, 0.05, 0.993};
    fixture_curve(x, f);
    fixture_points(x, f);
    fixture_budget(f);
    fixture_learned(f, "store sensor, offset", "K", 0, 0.15, 0.04, 0.08);
    fixture_learned(f, "flow sensor, gain", "", 1, 0.02, 1.051, 0.008);
    fixture_learned(f, "gross area", "m2", 1.1, 0.0055, 1.1, 0.0055);
    f->runs = runs;
    f->run = fixture_get(x, runs, sizeof *f->run);
    for (size_t i = 0; i < runs; i++)
        fixture_run(x, &f->run[i], b);
    nr_warning_add(&f->warnings, NR_WARN_LOSS_UNCERTAIN, .number = {13});
    return f;
}

static const fixture_build fixture_glazed = {"Glazed wash stand",
                                             "sample-runs/wash-stand-glazed",
                                             "Wash stand behind the seedling tunnel",
                                             1.10,
                                             0.712,
                                             8.1,
                                             40,
                                             16.2,
                                             19.5,
                                             90,
                                             true,
                                             false};
static const fixture_build fixture_bare = {"Bare wash stand",
                                           "sample-runs/wash-stand-bare",
                                           "The same coil without glass",
                                           1.10,
                                           0.802,
                                           17.4,
                                           40,
                                           16.2,
                                           19.5,
                                           90,
                                           true,
                                           false};

static void fixture_heat_up(fixture *x, nr_heat_up *h, const fixture_build *b,
                            const nr_reference_day *day)
{
    h->count = 145;
    h->t_s = fixture_numbers(x, h->count);
    h->store_degC = fixture_numbers(x, h->count);
    h->lo95 = fixture_numbers(x, h->count);
    h->hi95 = fixture_numbers(x, h->count);
    double T = day->from_degC, reached = NAN;
    for (size_t i = 0; i < h->count; i++) {
        h->t_s[i] = 60 * (double)i;
        h->store_degC[i] = T;
        h->lo95[i] = T - 0.04 * (T - day->from_degC);
        h->hi95[i] = T + 0.04 * (T - day->from_degC);
        if (isnan(reached) && T >= day->to_degC)
            reached = h->t_s[i];
        T += 60 * b->area_m2 * (b->eta0 * day->sun_W_m2 - b->a1 * (T + 3 - day->air_degC)) /
             (day->store_kg * 4186);
    }
    h->time_s =
        isnan(reached) ? fixture_unknown(NR_UNIT_S) : fixture_quantity(reached, 60, 140, NR_UNIT_S);
    h->probability_reached = isnan(reached) ? 0.02 : 0.998;
}

static void fixture_difference(nr_compare *c, size_t of, size_t against)
{
    nr_difference *d = &c->difference[c->differences++];
    const nr_fit *a = c->build[of], *b = c->build[against];
    d->of = of;
    d->against = against;
    d->eta0 = fixture_quantity(a->eta0.value - b->eta0.value, 0.006, 0.004, NR_UNIT_ONE);
    d->a1 = fixture_quantity(a->a1.value - b->a1.value, 0.7, 0.3, NR_UNIT_W_M2K);
    const nr_quantity *ta = &c->heat_up[of].time_s, *tb = &c->heat_up[against].time_s;
    d->heat_up_s = ta->known && tb->known
                       ? fixture_quantity(ta->value - tb->value, 80, 90, NR_UNIT_S)
                       : fixture_unknown(NR_UNIT_S);
    d->probability_better = d->heat_up_s.value < 0 ? 0.997 : 0.02;
    d->confidence_adjusted = 1 - 0.05 / (double)(c->builds * (c->builds - 1) / 2);
    double slope = a->a1.value - b->a1.value;
    d->crossing_known = fabs(slope) > 1;
    d->crossing_K = d->crossing_known ? c->day.sun_W_m2 * d->eta0.value / slope : NAN;
    d->power = 0.93;
}

/* By time, the others last; every build a letter of its own. */
static void fixture_ranks(nr_compare *c)
{
    for (size_t i = 0; i < c->builds; i++) {
        size_t k = i;
        const nr_quantity *t = &c->heat_up[i].time_s;
        for (; k > 0; k--) {
            const nr_quantity *before = &c->heat_up[c->rank[k - 1].build].time_s;
            if (!t->known || (before->known && before->value <= t->value))
                break;
            c->rank[k] = c->rank[k - 1];
        }
        c->rank[k] = (nr_rank){.build = i, .lo95 = 1, .hi95 = c->builds};
    }
    for (size_t i = 0; i < c->builds; i++)
        c->rank[i].letters[0] = c->heat_up[c->rank[i].build].time_s.known ? (char)('a' + i) : '\0';
}

static nr_compare *fixture_compare(fixture *x, const fixture_build *builds, size_t count)
{
    nr_compare *c = fixture_get(x, 1, sizeof *c);
    c->builds = count;
    c->day = (nr_reference_day){900, 22, NAN, 40, 15, 40, true};
    for (size_t i = 0; i < count; i++) {
        c->build[i] = fixture_fit(x, &builds[i], 1);
        (void)snprintf(c->label[i], sizeof c->label[i], "%s", builds[i].name);
        fixture_heat_up(x, &c->heat_up[i], &builds[i], &c->day);
    }
    for (size_t i = 0; i < count; i++)
        for (size_t j = i + 1; j < count; j++)
            fixture_difference(c, i, j);
    fixture_ranks(c);
    nr_verdict_judge(c);
    nr_warning_add(&c->warnings, NR_WARN_LOSS_INCLUDES_STORE_FOR_ALL);
    return c;
}

static nr_predict *fixture_predict(fixture *x, bool reached, bool clear_sky)
{
    nr_predict *p = fixture_get(x, 1, sizeof *p);
    p->fit = fixture_fit(x, &fixture_glazed, 1);
    p->day = (nr_day){.clear_sky = clear_sky,
                      .sun_W_m2 = reached ? 900 : 450,
                      .air_degC = 22,
                      .wind_m_s = NAN,
                      .date_s = 1781827200.0,
                      .start_s = 9 * 3600,
                      .latitude_deg = 51.87,
                      .longitude_deg = 0.63,
                      .elevation_m = 40,
                      .tilt_deg = 40,
                      .azimuth_deg = 180,
                      .water_kg = 40,
                      .store_loss_W_K = 1.6,
                      .from_degC = 15,
                      .to_degC = 43};
    p->count = 241;
    p->trace = fixture_get(x, p->count, sizeof *p->trace);
    double T = 15, when = NAN;
    for (size_t i = 0; i < p->count; i++) {
        nr_trace_point *t = &p->trace[i];
        t->t_s = 60 * (double)i;
        t->sun_W_m2 = clear_sky ? 500 + 450 * sin(3.1416 * (double)i / 260) : p->day.sun_W_m2;
        t->store_degC = T;
        t->lo95 = T - 0.07 * (T - 15);
        t->hi95 = T + 0.07 * (T - 15);
        if (isnan(when) && T >= p->day.to_degC)
            when = t->t_s;
        T += 60 * (1.10 * (0.712 * t->sun_W_m2 - 8.1 * (T + 3 - 22)) - 1.6 * (T - 22)) /
             (40 * 4186.0);
    }
    p->reached = !isnan(when);
    p->probability_reached = p->reached ? 0.97 : 0.04;
    p->time_s =
        p->reached ? fixture_quantity(when, 240, 420, NR_UNIT_S) : fixture_unknown(NR_UNIT_S);
    p->final_degC = fixture_quantity(T, 0.5, 1.2, NR_UNIT_DEGC);
    p->u_parameter = p->reached ? 420 : 1.1;
    p->u_model = p->reached ? 180 : 0.4;
    p->u_weather = p->reached ? 150 : 0.5;
    p->outside_tested = true;
    if (!p->reached)
        p->remedy = (nr_remedy){NR_REMEDY_WAYS, NAN, 20, 2.1, 1.1, NAN};
    nr_warning_add(&p->cautions, NR_WARN_SCALD, .number = {49, 300, 1});
    return p;
}

static nr_pump_row fixture_pump_row(double times)
{
    double flow = 1.05 * times, fr = 0.94 - 0.08 / times;
    bool laminar = flow < 0.5, uncertain = !laminar && flow < 0.65;
    double drop = laminar ? 18e3 * flow : 55e3 * pow(flow, 1.75);
    return (nr_pump_row){
        .times = times,
        .flow_L_min = flow,
        .reynolds = 4700 * flow,
        .drop_Pa = {laminar     ? NR_FLOW_LAMINAR
                    : uncertain ? NR_FLOW_UNCERTAIN
                                : NR_FLOW_TURBULENT,
                    uncertain ? 18e3 * flow : drop, drop},
        .removal = fr,
        .gain_W = 650 * fr,
        .outlet_degC = 20.5 + 650 * fr / (flow / 60 * 4180),
        .change = fixture_quantity(fr / 0.86 - 1, 0.03 * fabs(fr / 0.86 - 1), 0, NR_UNIT_ONE)};
}

/* A pump of 1.05 L/min; on its own panel or not, its tube known or not. */
static nr_pump *fixture_pump(fixture *x, bool panel, bool tube)
{
    static const double times[NR_PUMP_ROWS] = {0.25, 0.5, 0.75, 1, 1.5, 2, 4};
    nr_pump *p = fixture_get(x, 1, sizeof *p);
    p->fit = fixture_fit(x, &fixture_glazed, 1);
    p->flow_measured = true;
    p->flow_L_min = fixture_quantity(1.05, 0.005, 0.012, NR_UNIT_L_MIN);
    p->tube_known = tube;
    p->tube = (nr_tube){0.0048, 16, NAN};
    p->water_degC = 20.5;
    p->sun_W_m2 = 880;
    p->air_degC = 19.5;
    p->removal = fixture_quantity(0.86, 0.004, 0.006, NR_UNIT_ONE);
    p->rows = NR_PUMP_ROWS;
    for (size_t i = 0; i < NR_PUMP_ROWS; i++)
        p->row[i] = fixture_pump_row(times[i]);
    for (int i = 0; i < NR_PUMP_CURVE; i++)
        p->curve[i] = fixture_pump_row(exp2((i - NR_PUMP_CURVE / 2) / 16.0));
    const nr_bounds unknown = {NR_FLOW_UNKNOWN, NAN, NAN};
    for (size_t i = 0; !tube && i < NR_PUMP_ROWS; i++)
        p->row[i].drop_Pa = unknown;
    for (int i = 0; !tube && i < NR_PUMP_CURVE; i++)
        p->curve[i].drop_Pa = unknown;
    /* Power is flow times pressure drop. */
    p->power_at_twice[0] = 2 * p->row[5].drop_Pa.low / p->row[3].drop_Pa.high;
    p->power_at_twice[1] = 2 * p->row[5].drop_Pa.high / p->row[3].drop_Pa.low;
    p->panel.driven = panel;
    p->panel.stall.W_m2 = p->panel.start.W_m2 = fixture_unknown(NR_UNIT_W_M2);
    if (panel) {
        p->panel.stall = (nr_pump_threshold){3, fixture_quantity(262, 20, 0, NR_UNIT_W_M2)};
        p->panel.start = (nr_pump_threshold){1, fixture_quantity(381, 22, 0, NR_UNIT_W_M2)};
    }
    return p;
}

static nr_quantity fixture_warmest(double area_m2, double kg)
{
    double T = 15 + 60 * area_m2 / (area_m2 + 0.02 * kg);
    return fixture_quantity(T, 0.3, 0.05 * (T - 15), NR_UNIT_DEGC);
}

/* 43 degC for 40 kg: on a clear day (by 15:00 on a clock two hours ahead of UTC) or in 2 hours of
 * steady sun; reached or not. */
static nr_size *fixture_size(fixture *x, bool clear, bool reached)
{
    nr_size *z = fixture_get(x, 1, sizeof *z);
    z->fit = fixture_fit(x, &fixture_glazed, 1);
    z->asked.day = fixture_predict(x, true, clear)->day;
    z->asked.day.to_degC = reached ? 43 : 80;
    z->asked.day.limit_s = 7200;
    z->asked.day.clock_given = clear;
    z->asked.day.clock_ahead_s = 7200 - 0.63 * 240;
    z->asked.by_s = 15 * 3600 - z->asked.day.clock_ahead_s;
    z->asked.tap_degC = z->asked.use_degC = z->asked.use_L = NAN;
    z->best_start = true;
    z->asked.day.start_s = z->warmest_start_s = 5 * 3600;
    z->warmest_degC = fixture_warmest(1.1, 40);
    z->probability = reached ? 0.99 : 0.01;
    double part = (43.0 - 15) / 60, grow = part / (1 - part);
    z->area_m2 = z->water_kg = z->latest_s = (nr_size_bound){NAN, NAN};
    if (reached) {
        z->area_m2 = (nr_size_bound){0.02 * 40 * grow, 0.02 * 40 * grow * 1.15};
        z->water_kg = (nr_size_bound){1.1 / 0.02 / grow, 1.1 / 0.02 / grow / 1.15};
        z->latest_s = (nr_size_bound){z->asked.by_s - 7200, z->asked.by_s - 9000};
    }
    for (int i = 0; i < NR_SIZE_MAP; i++) {
        double area = 0.05 + 0.4 * i, kg = area / 0.02 / grow;
        z->map[i] = (nr_size_border){area, {NAN, NAN}};
        if (reached)
            z->map[i].water_kg = (nr_size_bound){kg, kg / 1.15};
    }
    for (int i = 0; i < NR_SIZE_CURVE; i++) {
        z->by_area[i].x = 0.05 + 0.07 * i;
        z->by_area[i].warmest_degC = fixture_warmest(z->by_area[i].x, 40);
        z->by_water[i].x = 1 + 4.0 * i;
        z->by_water[i].warmest_degC = fixture_warmest(1.1, z->by_water[i].x);
    }
    return z;
}

/* Chances by month; a negative one: the sun does not rise. */
static void fixture_months(nr_size *z, const double chance[NR_MONTHS])
{
    z->asked.months = true;
    z->months = NR_MONTHS;
    for (int m = 0; m < NR_MONTHS; m++) {
        double T = 43 + 30 * (chance[m] - 0.5);
        bool sun = chance[m] >= 0, reached = chance[m] >= 0.5;
        z->month[m] = (nr_size_month){.date_s = 1781827200.0,
                                      .air_degC = 5 + m,
                                      .from_degC = 8,
                                      .sun = sun,
                                      .start_s = 6 * 3600,
                                      .warmest_degC = sun ? fixture_quantity(T, 1, 3, NR_UNIT_DEGC)
                                                          : fixture_unknown(NR_UNIT_DEGC),
                                      .probability = fmax(chance[m], 0),
                                      .latest_s = reached ? z->asked.by_s - 3600 - 60 * m : NAN,
                                      .water_kg = sun ? 40 + T : NAN,
                                      .uses = isnan(z->asked.tap_degC) || !sun ? NAN : T / 4};
    }
}

static void fixture_step(nr_plan *p, nr_plan_action action, nr_plan_cost cost, double u_eta0,
                         double u_a1, bool separates)
{
    nr_plan_step *s = &p->step[p->steps++];
    s->action = action;
    s->cost = cost;
    s->u_eta0 = u_eta0;
    s->u_a1 = u_a1;
    s->separates = separates;
}

/* 90 minutes in steady sun or under a clear sky; a store-only rig whose loss is one. */
static nr_plan *fixture_plan(fixture *x, bool clear)
{
    nr_plan *p = fixture_get(x, 1, sizeof *p);
    fixture_build b = fixture_glazed;
    b.loop = false;
    p->fit = fixture_fit(x, &b, 1);
    p->loss_includes_store = p->fit->loss_includes_store;
    p->test.day = fixture_predict(x, true, clear)->day;
    p->test.duration_s = 5400;
    fixture_step(p, NR_PLAN_COLDER_START, NR_COST_NOTHING, 0.0226, 0.48, false);
    fixture_step(p, NR_PLAN_COOL_DOWN, NR_COST_AN_EVENING, 0.0225, 0.75, true);
    fixture_step(p, NR_PLAN_BETTER_SUN, NR_COST_MONEY, 0.0112, 0.64, false);
    return p;
}

/* A record with channels of several dimensions, a gap and findings; readings go to *run. */
typedef struct fixture_channel {
    const char *name, *unit;
    double base, slope, noise;
} fixture_channel;

static const fixture_channel fixture_channels[] = {
    {"store", "degC", 16, 0.25, 0.05},    {"inlet", "degC", 16.3, 0.25, 0.05},
    {"outlet", "degC", 21.8, 0.24, 0.08}, {"air", "degC", 19.5, 0.02, 0.2},
    {"box", "degC", 32, 0.3, 0.8},        {"sun", "W_m2", 870, 0.4, 9},
    {"flow", "L_min", 1.05, 0, 0.03},     {"wind", "m_s", 1.6, 0, 0.9},
    {"pump", "V", 12.1, 0.01, 0.1},
};

static void fixture_column(fixture *x, nr_readings *r, size_t k, const fixture_channel *c,
                           nr_channel_summary *s)
{
    nr_column *column = &r->column[k];
    (void)snprintf(column->channel, sizeof column->channel, "%s", c->name);
    (void)snprintf(column->unit, sizeof column->unit, "%s", c->unit);
    column->value = fixture_numbers(x, r->rows);
    *s = (nr_channel_summary){.min = NAN, .max = NAN, .mean = c->base, .noise = c->noise};
    (void)snprintf(s->name, sizeof s->name, "%s", c->name);
    (void)snprintf(s->unit, sizeof s->unit, "%s", c->unit);
    for (size_t i = 0; i < r->rows; i++) {
        double minute = r->elapsed_s[i] / 60, v;
        bool gap = minute > 52 && minute < 57;
        v = gap ? NAN : c->base + c->slope * minute + c->noise * fixture_noise(x);
        if (strcmp(c->name, "outlet") == 0 && i == 1500)
            v += 40; /* a jump of one reading */
        if (strcmp(c->name, "air") == 0 && minute > 70 && minute < 80)
            v = 20.5; /* stuck */
        column->value[i] = v;
        s->valid += isfinite(v) != 0;
        if (isfinite(v) && !(v >= s->min))
            s->min = v;
        if (isfinite(v) && !(v <= s->max))
            s->max = v;
    }
}

static void fixture_finding(nr_inspect *i, nr_finding_code code, nr_severity severity,
                            const char *channel, double from_s, double to_s, double number)
{
    nr_finding *f = &i->finding[i->findings++];
    *f = (nr_finding){
        .code = code, .severity = severity, .from_s = from_s, .to_s = to_s, .number = {number}};
    (void)snprintf(f->channel, sizeof f->channel, "%s", channel);
}

static nr_inspect *fixture_inspect(fixture *x, size_t channels, nr_run **run)
{
    nr_inspect *i = fixture_get(x, 1, sizeof *i);
    *run = fixture_get(x, 1, sizeof **run);
    nr_readings *r = (*run)->readings = fixture_get(x, 1, sizeof *r);
    (*run)->notes = fixture_get(x, 1, sizeof *(*run)->notes);
    static const nr_note noted[] = {{1777891354.0, 1, NR_NOTE_START, "recording starts"},
                                    {1777892553.0, 1200, NR_NOTE_NOTE, "lid off"},
                                    {1777893753.0, 2400, NR_NOTE_PUMP, "off: shade"}};
    (*run)->notes->count = 3;
    (*run)->notes->note = fixture_get(x, 3, sizeof *noted);
    memcpy((*run)->notes->note, noted, sizeof noted);
    (void)snprintf((*run)->folder, sizeof(*run)->folder, "sample-runs/wash-stand-glazed");
    r->rows = 5400;
    r->elapsed_s = fixture_numbers(x, r->rows);
    r->utc_s = fixture_numbers(x, r->rows);
    for (size_t k = 0; k < r->rows; k++) {
        r->elapsed_s[k] = (double)k;
        r->utc_s[k] = 1777891353.0 + (double)k;
    }
    r->columns = i->channels = channels;
    r->column = fixture_get(x, channels, sizeof *r->column);
    for (size_t k = 0; k < channels; k++)
        fixture_column(x, r, k, &fixture_channels[k], &i->channel[k]);
    (void)snprintf(i->folder, sizeof i->folder, "sample-runs/wash-stand-glazed");
    (void)snprintf(i->title, sizeof i->title, "Wash stand behind the seedling tunnel");
    i->rows = r->rows;
    i->duration_s = 5400;
    i->interval_s = 1;
    i->start_utc_s = 1777891353.0;
    i->gaps = 1;
    i->gap[0] = (nr_gap){3120, 300};
    i->usable_for_store = true;
    i->usable_for_loop = channels > 2;
    i->steady_windows = 4;
    i->incidence_lo_deg = 12;
    i->incidence_hi_deg = 34;
    fixture_finding(i, NR_FIND_GAP, NR_SEVERITY_DOUBT, "", 3120, 3420, 300);
    if (channels > 3)
        fixture_finding(i, NR_FIND_STUCK, NR_SEVERITY_FAULT, "air", 4200, 4800, 600);
    if (channels > 2)
        fixture_finding(i, NR_FIND_SPIKES, NR_SEVERITY_NOTE, "outlet", 1500, 1501, 1);
    i->verdict = NR_RECORD_DOUBTFUL;
    i->doubts = channels > 3 ? 2 : 1;
    return i;
}

/* Not every test uses every part. */
static inline void fixture_all_used(void)
{
    (void)fixture_compare;
    (void)fixture_predict;
    (void)fixture_pump;
    (void)fixture_size;
    (void)fixture_months;
    (void)fixture_plan;
    (void)fixture_inspect;
    (void)fixture_fit;
    (void)fixture_bare;
    (void)fixture_glazed;
    (void)fixture_done;
}

#endif
