/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/model/loop.h"

#include "analyze/model/tangents.h"
#include "analyze/physics/evaporation.h"
#include "logger/base/wide.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

/* How long layers in the store take to form and to go, s: the heat of half a container of 20 to 60
 * L over the stream that stirs it, two to ten times what the loop carries. Common
 * practice, no source. */
#define LAYERS_S 150.0
/* Where a step has two stages, each solved by backward Euler: the first goes so far, the second
 * begins where that goes on to and ends with the step. 1 - 1/sqrt(2): second order, and stiff parts
 * come to rest (R. Alexander, SIAM J. Numer. Anal. 14 (1977) 1006-1021; from memory). */
#define STAGE (1 - M_SQRT1_2)
#define STAGE_ON ((1 - STAGE) / STAGE)
#define P NR_DYN_COUNT
#define N NR_SEGMENTS

/* Everything that moves: temperatures, and their derivatives by place. */
typedef struct state {
    nr_places of;
    nr_loop_stand now;
    nr_tube_tangents tube;
    double d_store[P];
    double d_sensor[NR_OUTS][P];
    double d_below[P], d_inlet[P]; /* what is drawn lies so far below the store's mean; is this */
    double sum[NR_OUTS][P];        /* of the block */
} state;

static bool acts(const nr_loop_input *in, const nr_loop_params *p, int which)
{
    switch (which) {
    case NR_DYN_LN_COVER:
        return p->cover_J_m2K > 0;
    case NR_DYN_WIND:
    case NR_DYN_WIND_GAIN:
        return in->wind_m_s != NULL;
    case NR_DYN_SKY:
    case NR_DYN_SKY_OFFSET:
        return in->sky_W_m2 != NULL;
    case NR_DYN_INLET_OFFSET:
    case NR_DYN_INLET_GAIN:
    case NR_DYN_INLET_DRIFT:
        return in->inlet_degC != NULL;
    case NR_DYN_OUTLET_OFFSET:
    case NR_DYN_OUTLET_GAIN:
    case NR_DYN_OUTLET_DRIFT:
        return in->outlet_degC != NULL;
    case NR_DYN_LAYERS:
        return in->inlet_degC == NULL;
    case NR_DYN_FLOW_EXPONENT:
        return in->drive != NULL;
    case NR_DYN_B0:
        return in->obliquity && !in->iam;
    case NR_DYN_OPENING:
    case NR_DYN_HUMIDITY:
        return in->humidity != NULL;
    case NR_DYN_DEW:
    case NR_DYN_LN_DRIES:
        return p->dew != 0;
    case NR_DYN_LN_BACK:
    case NR_DYN_LN_GAP:
        return p->back_J_m2K > 0;
    default:
        return true;
    }
}

/* Where the inlet drives, these reach the store and nothing else. */
static bool only_store(int which)
{
    static const int those[] = {NR_DYN_STORE_LOSS,    NR_DYN_LN_STORE,    NR_DYN_T_STORE,
                                NR_DYN_OUTLET_OFFSET, NR_DYN_OUTLET_GAIN, NR_DYN_PUMP,
                                NR_DYN_OPENING,       NR_DYN_HUMIDITY,    NR_DYN_LOST,
                                NR_DYN_OUTLET_DRIFT};
    for (size_t i = 0; i < sizeof those / sizeof those[0]; i++)
        if (those[i] == which)
            return true;
    return false;
}

static nr_places places_for(const nr_loop_input *in, const nr_loop_params *p)
{
    nr_places of = {.all = 0};
    for (int pass = 0; pass < 2; pass++) {
        for (int j = 0; j < NR_DYN_USED; j++) {
            bool late = in->inlet_degC && only_store(j);
            if (late == (pass == 1))
                of.at[j] = acts(in, p, j) ? of.all++ : NR_SPARE;
        }
        if (!pass)
            of.collector = (of.all + 3) / 4 * 4;
    }
    of.all = (of.all + 3) / 4 * 4;
    return of;
}

typedef struct powers {
    double absorbed, to_water, collector_loss, store_loss;
} powers;

static void start(state *s, const nr_loop_input *in, const nr_loop_params *p, bool with)
{
    const double share = NR_COVER_SHARE, on_air = in->sun_W_m2[0] / 1000;
    const double air = in->air_degC[0] - p->air_offset_K - p->sun_on_air_K * on_air;
    for (int i = 0; i < N; i++) {
        s->now.absorber[i] = s->now.fluid[i] = s->now.back[i] = p->t_collector_degC;
        s->now.cover[i] = share * p->t_collector_degC + (1 - share) * air; /* between the two */
    }
    s->now.store = s->now.sensor[NR_OUT_STORE] = s->now.sensor[NR_OUT_INLET] = p->t_store_degC;
    s->now.sensor[NR_OUT_OUTLET] = p->t_collector_degC;
    s->now.below = 0;
    s->now.inlet = s->now.store;
    if (!with)
        return;
    s->of = places_for(in, p);
    const int *at = s->of.at;
    memset(&s->tube, 0, sizeof s->tube);
    memset(s->d_store, 0, sizeof s->d_store);
    memset(s->d_below, 0, sizeof s->d_below);
    memset(s->d_inlet, 0, sizeof s->d_inlet);
    memset(s->d_sensor, 0, sizeof s->d_sensor);
    for (int i = 0; i < N; i++) {
        s->tube.d[i].absorber[at[NR_DYN_T_COLLECTOR]] = 1;
        s->tube.d[i].fluid[at[NR_DYN_T_COLLECTOR]] = 1;
        s->tube.d[i].back[at[NR_DYN_T_COLLECTOR]] = 1;
        s->tube.d[i].cover[at[NR_DYN_T_COLLECTOR]] = share;
        s->tube.d[i].cover[at[NR_DYN_AIR_OFFSET]] = share - 1;
        s->tube.d[i].cover[at[NR_DYN_SUN_ON_AIR]] = (share - 1) * on_air;
    }
    s->d_store[at[NR_DYN_T_STORE]] = s->d_inlet[at[NR_DYN_T_STORE]] = 1;
    s->d_sensor[NR_OUT_STORE][at[NR_DYN_T_STORE]] = 1;
    s->d_sensor[NR_OUT_INLET][at[NR_DYN_T_STORE]] = 1;
    s->d_sensor[NR_OUT_OUTLET][at[NR_DYN_T_COLLECTOR]] = 1;
}

/* What all steps of a simulation have in common. */
typedef struct course {
    const nr_loop_input *in;
    const nr_loop_params *p;
    const nr_loop_output *out;
    nr_segment g;
    double by_steps, by_gain; /* 1 / steps, 1 / (1 + gain of the irradiance) */
    double take[NR_OUTS];     /* share of its way to the truth that a sensor goes in a step */
    bool with, collector, two_stages;
} course;

/* A reading of a probe that drives, put right. */
static double put_right(double reading, double offset, double gain)
{
    return (reading - offset) / (1 + gain);
}

/* -0.5 at the first step, 0.5 at the last. */
static double when_is(const course *c, size_t k)
{
    return ((double)k + 0.5) * c->by_steps - 0.5;
}

static nr_weather weather_at(const course *c, size_t k)
{
    const nr_loop_input *in = c->in;
    const nr_loop_params *p = c->p;
    nr_weather w;
    w.when = when_is(c, k);
    w.trend = 1 + p->loss_trend * w.when;
    w.on_air = in->sun_W_m2[k] / 1000;
    w.by_gain = c->by_gain;
    w.by_fade = p->sun_fade == 0 ? 1 : 1 / (1 + p->sun_fade * w.when);
    w.raw_sun = (in->sun_W_m2[k] - p->sun_offset_W_m2) * w.by_gain * w.by_fade;
    w.obliquity = in->obliquity ? in->obliquity[k] : 0;
    w.modifier = in->iam ? in->iam[k] : 1 - p->b0 * w.obliquity;
    w.sun = w.raw_sun * w.modifier;
    w.air = in->air_degC[k] - p->air_offset_K - p->sun_on_air_K * w.on_air;
    w.flow_W_K = in->flow_W_K[k] * p->flow_factor;
    w.drive = in->drive ? in->drive[k] : 0;
    if (w.drive != 0 && p->flow_exponent != 0)
        w.flow_W_K *= exp(p->flow_exponent * w.drive);
    w.wind = in->wind_m_s ? in->wind_m_s[k] : 0;
    w.windy = 1 - p->wind_gain_s_m * w.wind;
    w.has_sky = in->sky_W_m2 != NULL;
    w.sky = in->sky_W_m2 ? in->sky_W_m2[k] + p->sky_offset_W_m2 : 0;
    w.dried = p->dew != 0 ? ((double)k + 0.5) * in->step_s / p->dries_s : 0;
    w.wet = p->dew != 0 ? exp(-w.dried) : 0;
    w.dry = 1 - p->dew * w.wet;
    w.power = p->optical * w.sun * w.windy * w.dry + p->sky * w.sky;
    w.power -= p->aside_W_m2 * w.by_gain;
    return w;
}

/* Loops over the places. to = keep to + by (one - less): */
static NR_WIDE_LOOP void mix_loop(double *restrict to, const double *restrict one,
                                  const double *restrict less, double keep, double by, int n)
{
    for (int j = 0; j < n; j++)
        to[j] = keep * to[j] + by * (one[j] - less[j]);
}

NR_WIDE(mix,
        (double *restrict to, const double *restrict one, const double *restrict less, double keep,
         double by, int n),
        (to, one, less, keep, by, n))

static NR_WIDE_LOOP void follow_loop(double *restrict to, const double *restrict truth, double take,
                                     int n)
{
    for (int j = 0; j < n; j++)
        to[j] += take * (truth[j] - to[j]);
}

NR_WIDE(follow, (double *restrict to, const double *restrict truth, double take, int n),
        (to, truth, take, n))

static NR_WIDE_LOOP void add_up_loop(double *restrict to, const double *restrict of, double by,
                                     int n)
{
    for (int j = 0; j < n; j++)
        to[j] += by * of[j];
}

NR_WIDE(add_up, (double *restrict to, const double *restrict of, double by, int n), (to, of, by, n))

/* Solves along the tube; the fluid enters as the store's lower layers were before the step. */
static void solve_tube(state *s, const course *c, const nr_weather *w, double share, powers *power)
{
    nr_tube x;
    memcpy(x.a0, s->now.absorber, sizeof x.a0);
    memcpy(x.c0, s->now.cover, sizeof x.c0);
    memcpy(x.f0, s->now.fluid, sizeof x.f0);
    memcpy(x.b0, s->now.back, sizeof x.b0);
    nr_tube_solve(&x, &c->g, c->p, w, s->now.inlet);
    if (c->with)
        nr_tube_tangents_step(&s->tube, &s->of, &x, &c->g, c->p, w, s->d_inlet);
    memcpy(s->now.absorber, x.a, sizeof x.a);
    memcpy(s->now.cover, x.c, sizeof x.c);
    memcpy(s->now.fluid, x.f, sizeof x.f);
    memcpy(s->now.back, x.b, sizeof x.b);
    for (int i = 0; i < N; i++) {
        power->absorbed += share * c->g.area * w->power;
        power->collector_loss += share * x.out[i] * (x.c[i] - w->air);
    }
}

static inline void go_on(double *now, const double *before, int n)
{
    for (int i = 0; i < n; i++)
        now[i] = before[i] + STAGE_ON * (now[i] - before[i]);
}

static void tangents_go_on(nr_of_segment *now, const nr_of_segment *before, int n)
{
    go_on(now->absorber, before->absorber, n);
    go_on(now->cover, before->cover, n);
    go_on(now->fluid, before->fluid, n);
    go_on(now->back, before->back, n);
}

/* One step along the tube: one solution by backward Euler, or two on the way. */
static void sweep(state *s, const course *c, const nr_weather *w, powers *power)
{
    if (!c->two_stages) {
        solve_tube(s, c, w, 1, power);
        return;
    }
    nr_loop_stand before = s->now;
    nr_of_segment d[N];
    if (c->with)
        memcpy(d, s->tube.d, sizeof d);
    solve_tube(s, c, w, 1 - STAGE, power);
    go_on(s->now.absorber, before.absorber, N);
    go_on(s->now.cover, before.cover, N);
    go_on(s->now.fluid, before.fluid, N);
    go_on(s->now.back, before.back, N);
    for (int i = 0; c->with && i < N; i++)
        tangents_go_on(&s->tube.d[i], &d[i], s->of.collector);
    solve_tube(s, c, w, STAGE, power);
}

/* What the store is fed: the outlet of the simulation, or the outlet's reading. */
typedef struct feed {
    double outlet;
    const double *d_outlet; /* NULL: d holds the tangents of a reading */
    double d_offset, d_gain, d_drift;
} feed;

static feed feed_of(const state *s, const nr_loop_input *in, const nr_loop_params *p,
                    const nr_weather *w, size_t k)
{
    if (!in->outlet_degC)
        return (feed){.outlet = s->now.fluid[N - 1], .d_outlet = s->tube.d[N - 1].fluid};
    double offset = p->outlet_offset_K + p->outlet_drift_K * w->when;
    double t = put_right(in->outlet_degC[k], offset, p->outlet_gain);
    double by = -1 / (1 + p->outlet_gain);
    return (feed){.outlet = t, .d_offset = by, .d_gain = by * t, .d_drift = by * w->when};
}

/* What open water loses at the temperature before the step, W; its slopes. Slow against the
 * container's heat, so that the step need not solve for it. */
typedef struct vapour {
    double power, each, by_store, by_air, by_humidity; /* each: W/m2 */
} vapour;

static vapour vapour_of(const nr_loop_input *in, const nr_loop_params *p, const nr_weather *w,
                        double store, size_t k)
{
    vapour v = {.power = 0};
    if (!in->humidity || p->opening_m2 == 0)
        return v;
    double humidity = in->humidity[k] + p->humidity_offset;
    double each = p->opening_m2 * NR_EVAPORATION_W_M2KPA;
    v.each = nr_evaporation_W_m2(store, w->air, humidity);
    v.power = p->opening_m2 * v.each;
    v.by_store = each * nr_vapour_slope_kPa_K(store);
    v.by_air = -each * humidity * nr_vapour_slope_kPa_K(w->air);
    v.by_humidity = -each * nr_vapour_pressure_kPa(w->air);
    return v;
}

/* One step of the store: diag now = c_dt old + what comes in. */
typedef struct balance {
    double c_dt, diag, old, now, gain, gone; /* gone: share of lost_J_K so far */
    vapour vapour;
} balance;

static void store_tangents(state *s, const balance *b, const feed *from, const nr_loop_params *p,
                           const nr_weather *w)
{
    const int *at = s->of.at, n = s->of.all;
    double *d = s->d_store, by_diag = 1 / b->diag;
    const double keeps = b->c_dt - b->vapour.by_store;
    static const double nothing[P];
    mix(d, from->d_outlet ? from->d_outlet : nothing, s->d_inlet, keeps * by_diag,
        w->flow_W_K * by_diag, n);
    const struct {
        int to;
        double by;
    } more[] = {{NR_DYN_OUTLET_OFFSET, w->flow_W_K * from->d_offset},
                {NR_DYN_OUTLET_GAIN, w->flow_W_K * from->d_gain},
                {NR_DYN_OUTLET_DRIFT, w->flow_W_K * from->d_drift},
                {NR_DYN_STORE_LOSS, w->air - b->now},
                {NR_DYN_LN_STORE, p->store_J_K / (p->store_J_K - b->gone * p->lost_J_K) * b->c_dt *
                                      (b->old - b->now)},
                {NR_DYN_LOST,
                 -b->gone / (p->store_J_K - b->gone * p->lost_J_K) * b->c_dt * (b->old - b->now)},
                {NR_DYN_AIR_OFFSET, b->vapour.by_air - p->store_loss_W_K},
                {NR_DYN_SUN_ON_AIR, (b->vapour.by_air - p->store_loss_W_K) * w->on_air},
                {NR_DYN_LN_FLOW, b->gain},
                {NR_DYN_FLOW_EXPONENT, b->gain * w->drive},
                {NR_DYN_PUMP, w->flow_W_K > 0},
                {NR_DYN_OPENING, -b->vapour.each},
                {NR_DYN_HUMIDITY, -b->vapour.by_humidity}};
    d[NR_SPARE] = 0;
    for (size_t i = 0; i < sizeof more / sizeof more[0]; i++)
        d[at[more[i].to]] += more[i].by * by_diag;
}

static void store_step(state *s, const nr_loop_input *in, const nr_loop_params *p,
                       const nr_weather *w, size_t k, bool with, powers *power)
{
    feed from = feed_of(s, in, p, w, k);
    balance b = {.old = s->now.store, .gone = w->when + 0.5};
    b.vapour = vapour_of(in, p, w, b.old, k);
    b.c_dt = (p->store_J_K - b.gone * p->lost_J_K) / in->step_s;
    b.diag = b.c_dt + p->store_loss_W_K;
    b.gain = w->flow_W_K * (from.outlet - s->now.inlet);
    double more = (w->flow_W_K > 0 ? p->pump_W : 0) - b.vapour.power;
    b.now = (b.c_dt * b.old + b.gain + more + p->store_loss_W_K * w->air) / b.diag;
    if (with)
        store_tangents(s, &b, &from, p, w);
    s->now.store = b.now;
    power->to_water += w->flow_W_K * (s->now.fluid[N - 1] - s->now.inlet);
    power->store_loss += p->store_loss_W_K * (b.now - w->air);
}

/* The water that enters, where its reading drives. */
static void drive_inlet(state *s, const course *c, size_t k)
{
    const nr_loop_input *in = c->in;
    const nr_loop_params *p = c->p;
    double when = when_is(c, k);
    double offset = p->inlet_offset_K + p->inlet_drift_K * when, by = -1 / (1 + p->inlet_gain);
    s->now.inlet = put_right(in->inlet_degC[k], offset, p->inlet_gain);
    if (!c->with)
        return;
    memset(s->d_inlet, 0, sizeof s->d_inlet);
    s->d_inlet[s->of.at[NR_DYN_INLET_OFFSET]] = by;
    s->d_inlet[s->of.at[NR_DYN_INLET_GAIN]] = by * s->now.inlet;
    s->d_inlet[s->of.at[NR_DYN_INLET_DRIFT]] = by * when;
}

/* The lower layers after a step, from the store and the outlet after it. */
static void layers_step(state *s, const nr_loop_params *p, const nr_weather *w, double step_s,
                        bool with)
{
    bool runs = w->flow_W_K > 0;
    double take = step_s / (step_s + LAYERS_S);
    double rise = runs ? s->now.fluid[N - 1] - s->now.store : 0;
    s->now.below += take * (p->layers * rise - s->now.below);
    s->now.inlet = s->now.store - s->now.below;
    if (!with)
        return;
    double by_rise = runs ? take * p->layers : 0;
    const int n = s->of.all;
    for (int j = 0; j < n; j++)
        s->d_below[j] +=
            by_rise * (s->tube.d[N - 1].fluid[j] - s->d_store[j]) - take * s->d_below[j];
    s->d_below[s->of.at[NR_DYN_LAYERS]] += take * rise;
    for (int j = 0; j < n; j++)
        s->d_inlet[j] = s->d_store[j] - s->d_below[j];
}

static void sensor_step(state *s, const course *c, int which, double truth, const double *d_truth)
{
    s->now.sensor[which] += c->take[which] * (truth - s->now.sensor[which]);
    if (c->with)
        follow(s->d_sensor[which], d_truth, c->take[which], s->of.all);
}

static void clear_block(state *s, const nr_loop_output *out, size_t b, bool with)
{
    for (int c = 0; c < NR_OUTS; c++)
        if (out->reading[c])
            out->reading[c][b] = 0;
    if (with)
        memset(s->sum, 0, sizeof s->sum);
}

/* The tangents of a block, from their places to their parameters. */
static void put_tangents(const state *s, const nr_loop_output *out, size_t b)
{
    for (int c = 0; c < NR_OUTS; c++) {
        if (!out->tangent[c])
            continue;
        double *to = out->tangent[c] + b * P;
        for (int j = 0; j < P; j++)
            to[j] = j < NR_DYN_USED && s->of.at[j] != NR_SPARE ? s->sum[c][s->of.at[j]] : 0;
    }
}

/* Weights of the state in the mean of a block, by channel. */
typedef struct shares {
    double of[NR_OUTS];
} shares;

static void add_to_block(state *s, const nr_loop_output *out, size_t b, const shares *part,
                         bool with)
{
    for (int c = 0; c < NR_OUTS; c++) {
        double share = part->of[c];
        if (share == 0)
            continue;
        if (out->reading[c])
            out->reading[c][b] += share * s->now.sensor[c];
        if (with && out->tangent[c])
            add_up(s->sum[c], s->d_sensor[c], share, s->of.all);
    }
}

/* The trapezoidal mean over the block, as a dense logger's samples have it, or the readings' own
 * times. `end`: of the state after step k, which is before step k + 1 unless that is another
 * block's. */
static shares share_of(const nr_loop_input *in, size_t k, bool begins, bool ends)
{
    double part = 1.0 / (double)in->steps_per_block;
    shares s;
    for (int c = 0; c < NR_OUTS; c++) {
        const float(*w)[2] = in->weight[c];
        if (!w)
            s.of[c] = begins || ends ? part / 2 : part;
        else
            s.of[c] = begins ? (double)w[k][0] : (double)w[k][1] + (ends ? 0 : (double)w[k + 1][0]);
    }
    return s;
}

static void put_powers(const nr_loop_output *out, size_t b, double part, const powers *power)
{
    if (out->absorbed_W)
        out->absorbed_W[b] = part * power->absorbed;
    if (out->to_water_W)
        out->to_water_W[b] = part * power->to_water;
    if (out->collector_loss_W)
        out->collector_loss_W[b] = part * power->collector_loss;
    if (out->store_loss_W)
        out->store_loss_W[b] = part * power->store_loss;
}

/* Where readings of inlet and outlet drive, the container knows nothing of the collector. */
static bool wants_collector(const nr_loop_input *in, const nr_loop_output *out)
{
    return !in->inlet_degC || !in->outlet_degC || out->reading[NR_OUT_OUTLET] ||
           out->tangent[NR_OUT_OUTLET] || out->absorbed_W || out->to_water_W ||
           out->collector_loss_W || out->stand;
}

static course course_of(const nr_loop_input *in, const nr_loop_params *p, const nr_loop_output *out)
{
    bool two = in->two_stages && in->inlet_degC;
    course c = {.in = in,
                .p = p,
                .out = out,
                .g = nr_segment_of(p, (two ? STAGE : 1) * in->step_s),
                .two_stages = two,
                .by_steps = 1 / (double)(in->blocks * in->steps_per_block),
                .by_gain = 1 / (1 + p->sun_gain),
                .with = out->tangent[0] || out->tangent[1] || out->tangent[2],
                .collector = wants_collector(in, out)};
    for (int k = 0; k < NR_OUTS; k++)
        c.take[k] = in->step_s / (in->step_s + in->lag_s[k]);
    return c;
}

static void one_step(state *s, const course *c, size_t k, powers *power)
{
    const nr_loop_input *in = c->in;
    nr_weather w = weather_at(c, k);
    if (in->inlet_degC)
        drive_inlet(s, c, k);
    if (c->collector)
        sweep(s, c, &w, power);
    store_step(s, in, c->p, &w, k, c->with, power);
    if (!in->inlet_degC)
        layers_step(s, c->p, &w, in->step_s, c->with);
    sensor_step(s, c, NR_OUT_OUTLET, s->now.fluid[N - 1], s->tube.d[N - 1].fluid);
    sensor_step(s, c, NR_OUT_STORE, s->now.store, s->d_store);
    sensor_step(s, c, NR_OUT_INLET, s->now.inlet, s->d_inlet);
}

static void run_block(state *s, const course *c, size_t b)
{
    size_t per = c->in->steps_per_block, k = b * per;
    powers power = {0};
    if (c->out->stand)
        c->out->stand[b] = s->now;
    clear_block(s, c->out, b, c->with);
    shares first = share_of(c->in, k, true, false);
    add_to_block(s, c->out, b, &first, c->with);
    for (size_t i = 0; i < per; i++, k++) {
        one_step(s, c, k, &power);
        shares now = share_of(c->in, k, false, i + 1 == per);
        add_to_block(s, c->out, b, &now, c->with);
    }
    if (c->with)
        put_tangents(s, c->out, b);
    put_powers(c->out, b, 1.0 / (double)per, &power);
}

void nr_loop_run(const nr_loop_input *in, const nr_loop_params *p, const nr_loop_output *out)
{
    course c = course_of(in, p, out);
    state s;
    start(&s, in, p, c.with);
    if (in->inlet_degC) {
        drive_inlet(&s, &c, 0);
        s.now.sensor[NR_OUT_INLET] = s.now.inlet;
        if (c.with)
            memcpy(s.d_sensor[NR_OUT_INLET], s.d_inlet, sizeof s.d_inlet);
    }
    for (size_t b = 0; b < in->blocks; b++)
        run_block(&s, &c, b);
}

void nr_loop_run_from(const nr_loop_input *in, const nr_loop_params *p, const nr_loop_output *out,
                      size_t from, const nr_loop_stand *stand)
{
    course c = course_of(in, p, out);
    c.with = false;
    state s;
    s.now = stand[from];
    for (size_t b = from; b < in->blocks; b++)
        run_block(&s, &c, b);
}
