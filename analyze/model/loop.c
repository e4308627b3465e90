/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/model/loop.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

/* How long layers in the store take to form and to go, s: the heat of half a container of 20 to 60
 * L over the stream that stirs it, two to ten times what the loop carries. Common
 * practice, no source. */
#define LAYERS_S 150.0
#define P NR_DYN_COUNT
#define N NR_SEGMENTS
#define NEXT_TO_NOTHING_W_K 1e-9

/* Everything that moves: temperatures, and their derivatives to the P parameters. */
typedef struct state {
    double absorber[N], cover[N], fluid[N], store, below, inlet, sensor[NR_OUTS];
    double d_absorber[N][P], d_cover[N][P], d_fluid[N][P], d_store[P], d_sensor[NR_OUTS][P];
    double d_below[P], d_inlet[P]; /* what is drawn lies so far below the store's mean; is this */
} state;

/* One step's weather, corrected for the sensors' errors. */
typedef struct weather {
    double sun; /* true, times the incidence modifier */
    double air;
    double flow_W_K; /* true */
    double drive;    /* ln of what the flow follows */
    double wind;     /* above the mean */
    double modifier, raw_sun, obliquity;
    double windy; /* factor of the wind on the gain */
    double sky;   /* net long-wave exchange, W/m2 */
    bool has_sky;
    double power; /* on the absorber: of the sun and the sky, W/m2 */
} weather;

typedef struct powers {
    double absorbed, to_water, collector_loss, store_loss;
} powers;

static void start(state *s, const nr_loop_params *p, double air, bool tangents)
{
    const double share = NR_COVER_SHARE;
    for (int i = 0; i < N; i++) {
        s->absorber[i] = s->fluid[i] = p->t_collector_degC;
        s->cover[i] = share * p->t_collector_degC + (1 - share) * air; /* between the two */
    }
    s->store = s->sensor[NR_OUT_STORE] = s->sensor[NR_OUT_INLET] = p->t_store_degC;
    s->sensor[NR_OUT_OUTLET] = p->t_collector_degC;
    s->below = 0;
    s->inlet = s->store;
    if (!tangents)
        return;
    memset(s->d_absorber, 0, sizeof s->d_absorber);
    memset(s->d_cover, 0, sizeof s->d_cover);
    memset(s->d_fluid, 0, sizeof s->d_fluid);
    memset(s->d_store, 0, sizeof s->d_store);
    memset(s->d_below, 0, sizeof s->d_below);
    memset(s->d_inlet, 0, sizeof s->d_inlet);
    memset(s->d_sensor, 0, sizeof s->d_sensor);
    for (int i = 0; i < N; i++) {
        s->d_absorber[i][NR_DYN_T_COLLECTOR] = 1;
        s->d_fluid[i][NR_DYN_T_COLLECTOR] = 1;
        s->d_cover[i][NR_DYN_T_COLLECTOR] = share;
        s->d_cover[i][NR_DYN_AIR_OFFSET] = share - 1;
    }
    s->d_store[NR_DYN_T_STORE] = s->d_inlet[NR_DYN_T_STORE] = 1;
    s->d_sensor[NR_OUT_STORE][NR_DYN_T_STORE] = 1;
    s->d_sensor[NR_OUT_INLET][NR_DYN_T_STORE] = 1;
    s->d_sensor[NR_OUT_OUTLET][NR_DYN_T_COLLECTOR] = 1;
}

/* A reading of a probe that drives, put right. */
static double put_right(double reading, double offset, double gain)
{
    return (reading - offset) / (1 + gain);
}

static weather weather_at(const nr_loop_input *in, const nr_loop_params *p, size_t k)
{
    weather w;
    w.raw_sun = (in->sun_W_m2[k] - p->sun_offset_W_m2) / (1 + p->sun_gain);
    w.obliquity = in->obliquity ? in->obliquity[k] : 0;
    w.modifier = in->iam ? in->iam[k] : 1 - p->b0 * w.obliquity;
    w.sun = w.raw_sun * w.modifier;
    w.air = in->air_degC[k] - p->air_offset_K;
    w.flow_W_K = in->flow_W_K[k] * p->flow_factor;
    w.drive = in->drive ? in->drive[k] : 0;
    if (w.drive != 0 && p->flow_exponent != 0)
        w.flow_W_K *= exp(p->flow_exponent * w.drive);
    w.wind = in->wind_m_s ? in->wind_m_s[k] : 0;
    w.windy = 1 - p->wind_gain_s_m * w.wind;
    w.has_sky = in->sky_W_m2 != NULL;
    w.sky = in->sky_W_m2 ? in->sky_W_m2[k] + p->sky_offset_W_m2 : 0;
    w.power = p->optical * w.sun * w.windy + p->sky * w.sky;
    return w;
}

/* The constants of one segment's system that do not change along the tube, W/K. */
typedef struct segment {
    double area; /* m2 */
    double c_dt; /* absorber capacity / step */
    double k_dt; /* cover capacity / step */
    double f_dt; /* fluid capacity / step */
    double exchange;
} segment;

static segment segment_of(const nr_loop_params *p, double step_s)
{
    segment g;
    g.area = p->area_m2 / N;
    g.c_dt = p->capacity_J_m2K * g.area / step_s;
    g.k_dt = p->cover_J_m2K * g.area / step_s;
    g.f_dt = p->fluid_J_K / N / step_s;
    g.exchange = p->exchange_W_m2K * g.area;
    return g;
}

/* One segment in one step: 0 before, without a digit after. The cover is eliminated first,
 * c = (k c0 + in a + out Ta) / sum, then the absorber, a = alpha/diag + share f, then the fluid. */
typedef struct cell {
    double a0, a, c0, c, f0, f, before;
    double loss, in, out, sum; /* of the way to the air, W/K */
    double diag, share, pivot;
} cell;

static void solve_cell(cell *x, const segment *g, const nr_loop_params *p, const weather *w)
{
    x->loss =
        g->area * (p->loss_W_m2K + p->loss2_W_m2K2 * (x->a0 - w->air) + p->wind_Ws_m3K * w->wind);
    if (x->loss == 0 && g->k_dt == 0)
        x->loss =
            NEXT_TO_NOTHING_W_K; /* a cover without heat and without a way out has no balance */
    x->in = x->loss / (1 - NR_COVER_SHARE);
    x->out = x->loss / NR_COVER_SHARE;
    x->sum = g->k_dt + x->in + x->out;
    double leak = x->in * (g->k_dt + x->out) / x->sum; /* W/K that leave the absorber ... */
    double back = x->in * (g->k_dt * x->c0 + x->out * w->air) / x->sum; /* ... and come back, W */
    x->diag = g->c_dt + leak + g->exchange;
    x->share = g->exchange / x->diag;
    double alpha = (g->c_dt * x->a0 + g->area * w->power + back) / x->diag;
    x->pivot = g->f_dt + w->flow_W_K + g->exchange * (1 - x->share);
    x->f = (g->f_dt * x->f0 + g->exchange * alpha + w->flow_W_K * x->before) / x->pivot;
    x->a = alpha + x->share * x->f;
    x->c = (g->k_dt * x->c0 + x->in * x->a + x->out * w->air) / x->sum;
}

/* Tangents of one segment: the same elimination, with each parameter's own right-hand side. */
static void cell_tangents(const cell *x, const segment *g, const nr_loop_params *p,
                          const weather *w, const double *d_before, double *d_a, double *d_c,
                          double *d_f)
{
    double alpha[P], rhs[P], cover[P];
    const double bend = g->area * p->loss2_W_m2K2; /* d(loss)/d(a0) */
    /* The cover's and the absorber's answers to the loss, at fixed a and c0. */
    const double c_loss =
        ((x->a - x->c) / (1 - NR_COVER_SHARE) + (w->air - x->c) / NR_COVER_SHARE) / x->sum;
    const double q_loss = (x->a - x->c) / (1 - NR_COVER_SHARE) - x->in * c_loss;
    const double from_cover = x->in * g->k_dt / x->sum, from_air = x->in * x->out / x->sum;
    const double to_a0 = g->c_dt - q_loss * bend;
    for (int j = 0; j < P; j++) {
        cover[j] = g->k_dt * d_c[j] + x->sum * c_loss * bend * d_a[j];
        alpha[j] = to_a0 * d_a[j] + from_cover * d_c[j];
    }
    const double d_loss[4] = {g->area, g->area * (x->a0 - w->air), g->area * w->wind, bend};
    static const int to_loss[4] = {NR_DYN_LOSS, NR_DYN_LOSS2, NR_DYN_WIND, NR_DYN_AIR_OFFSET};
    for (int k = 0; k < 4; k++) {
        alpha[to_loss[k]] -= q_loss * d_loss[k];
        cover[to_loss[k]] += x->sum * c_loss * d_loss[k];
    }
    alpha[NR_DYN_OPTICAL] += g->area * w->sun * w->windy;
    alpha[NR_DYN_WIND_GAIN] -= g->area * p->optical * w->sun * w->wind;
    alpha[NR_DYN_SKY] += g->area * w->sky;
    alpha[NR_DYN_SKY_OFFSET] += w->has_sky ? g->area * p->sky : 0;
    alpha[NR_DYN_LN_EXCHANGE] += g->exchange * (x->f - x->a);
    alpha[NR_DYN_LN_CAPACITY] += g->c_dt * (x->a0 - x->a);
    alpha[NR_DYN_LN_COVER] += x->in * g->k_dt * (x->c0 - x->c) / x->sum;
    cover[NR_DYN_LN_COVER] += g->k_dt * (x->c0 - x->c);
    alpha[NR_DYN_SUN_OFFSET] -= g->area * p->optical * w->modifier * w->windy / (1 + p->sun_gain);
    alpha[NR_DYN_AIR_OFFSET] -= from_air;
    cover[NR_DYN_AIR_OFFSET] -= x->out;
    alpha[NR_DYN_B0] -= g->area * p->optical * w->raw_sun * w->obliquity * w->windy;
    for (int j = 0; j < P; j++)
        rhs[j] = g->f_dt * d_f[j] + x->share * alpha[j] + w->flow_W_K * d_before[j];
    rhs[NR_DYN_LN_EXCHANGE] += g->exchange * (x->a - x->f);
    rhs[NR_DYN_LN_FLUID] += g->f_dt * (x->f0 - x->f);
    const double carried = w->flow_W_K * (x->before - x->f);
    rhs[NR_DYN_LN_FLOW] += carried;
    rhs[NR_DYN_FLOW_EXPONENT] += carried * w->drive;
    const double by_pivot = 1 / x->pivot, by_diag = 1 / x->diag, by_sum = 1 / x->sum;
    for (int j = 0; j < P; j++) {
        d_f[j] = rhs[j] * by_pivot;
        d_a[j] = alpha[j] * by_diag + x->share * d_f[j];
        d_c[j] = (cover[j] + x->in * d_a[j]) * by_sum;
    }
}

/* One step along the tube; the fluid enters as the store's lower layers were before the step. */
static void sweep(state *s, const segment *g, const nr_loop_params *p, const weather *w,
                  bool tangents, powers *power)
{
    double before = s->inlet;
    const double *d_before = s->d_inlet;
    for (int i = 0; i < N; i++) {
        cell x = {.a0 = s->absorber[i], .c0 = s->cover[i], .f0 = s->fluid[i], .before = before};
        solve_cell(&x, g, p, w);
        if (tangents)
            cell_tangents(&x, g, p, w, d_before, s->d_absorber[i], s->d_cover[i], s->d_fluid[i]);
        s->absorber[i] = x.a;
        s->cover[i] = x.c;
        s->fluid[i] = before = x.f;
        d_before = s->d_fluid[i];
        power->absorbed += g->area * w->power;
        power->collector_loss += x.out * (x.c - w->air);
    }
}

/* What the store is fed: the outlet of the simulation, or the outlet's reading. */
typedef struct feed {
    double outlet;
    const double *d_outlet; /* NULL: d holds the two tangents of a reading */
    double d_offset, d_gain;
} feed;

static feed feed_of(const state *s, const nr_loop_input *in, const nr_loop_params *p, size_t k)
{
    if (!in->outlet_degC)
        return (feed){.outlet = s->fluid[N - 1], .d_outlet = s->d_fluid[N - 1]};
    double t = put_right(in->outlet_degC[k], p->outlet_offset_K, p->outlet_gain);
    return (feed){
        .outlet = t, .d_offset = -1 / (1 + p->outlet_gain), .d_gain = -t / (1 + p->outlet_gain)};
}

static void store_step(state *s, const feed *from, const nr_loop_params *p, const weather *w,
                       double step_s, bool tangents, powers *power)
{
    double c_dt = p->store_J_K / step_s;
    double diag = c_dt + p->store_loss_W_K;
    double old = s->store, out = from->outlet;
    double gain = w->flow_W_K * (out - s->inlet);
    double now = (c_dt * old + gain + p->store_loss_W_K * w->air) / diag;
    if (tangents) {
        for (int j = 0; j < P; j++) {
            double d_out = from->d_outlet ? from->d_outlet[j] : 0;
            s->d_store[j] = (c_dt * s->d_store[j] + w->flow_W_K * (d_out - s->d_inlet[j])) / diag;
        }
        s->d_store[NR_DYN_OUTLET_OFFSET] += w->flow_W_K * from->d_offset / diag;
        s->d_store[NR_DYN_OUTLET_GAIN] += w->flow_W_K * from->d_gain / diag;
        s->d_store[NR_DYN_STORE_LOSS] += (w->air - now) / diag;
        s->d_store[NR_DYN_LN_STORE] += c_dt * (old - now) / diag;
        s->d_store[NR_DYN_AIR_OFFSET] -= p->store_loss_W_K / diag;
        s->d_store[NR_DYN_LN_FLOW] += gain / diag;
        s->d_store[NR_DYN_FLOW_EXPONENT] += gain * w->drive / diag;
    }
    s->store = now;
    power->to_water += w->flow_W_K * (s->fluid[N - 1] - s->inlet);
    power->store_loss += p->store_loss_W_K * (now - w->air);
}

/* The water that enters, where its reading drives. */
static void drive_inlet(state *s, const nr_loop_input *in, const nr_loop_params *p, size_t k,
                        bool tangents)
{
    s->inlet = put_right(in->inlet_degC[k], p->inlet_offset_K, p->inlet_gain);
    if (!tangents)
        return;
    memset(s->d_inlet, 0, sizeof s->d_inlet);
    s->d_inlet[NR_DYN_INLET_OFFSET] = -1 / (1 + p->inlet_gain);
    s->d_inlet[NR_DYN_INLET_GAIN] = -s->inlet / (1 + p->inlet_gain);
}

/* The lower layers after a step, from the store and the outlet after it. */
static void layers_step(state *s, const nr_loop_params *p, const weather *w, double step_s,
                        bool tangents)
{
    bool runs = w->flow_W_K > 0;
    double take = step_s / (step_s + LAYERS_S);
    double rise = runs ? s->fluid[N - 1] - s->store : 0;
    s->below += take * (p->layers * rise - s->below);
    s->inlet = s->store - s->below;
    if (!tangents)
        return;
    double by_rise = runs ? take * p->layers : 0;
    for (int j = 0; j < P; j++)
        s->d_below[j] += by_rise * (s->d_fluid[N - 1][j] - s->d_store[j]) - take * s->d_below[j];
    s->d_below[NR_DYN_LAYERS] += take * rise;
    for (int j = 0; j < P; j++)
        s->d_inlet[j] = s->d_store[j] - s->d_below[j];
}

static void sensor_step(state *s, const nr_loop_input *in, int which, double truth,
                        const double *d_truth, bool tangents)
{
    double take = in->step_s / (in->step_s + in->lag_s[which]);
    s->sensor[which] += take * (truth - s->sensor[which]);
    if (!tangents)
        return;
    double *d = s->d_sensor[which];
    for (int j = 0; j < P; j++)
        d[j] += take * (d_truth[j] - d[j]);
}

static void clear_block(const nr_loop_output *out, size_t b, bool tangents)
{
    for (int c = 0; c < NR_OUTS; c++) {
        if (out->reading[c])
            out->reading[c][b] = 0;
        if (tangents && out->tangent[c])
            memset(out->tangent[c] + b * P, 0, P * sizeof(double));
    }
}

/* Weights of the state in the mean of a block, by channel. */
typedef struct shares {
    double of[NR_OUTS];
} shares;

static void add_to_block(const state *s, const nr_loop_output *out, size_t b, const shares *part,
                         bool tangents)
{
    for (int c = 0; c < NR_OUTS; c++) {
        double share = part->of[c];
        if (share == 0)
            continue;
        if (out->reading[c])
            out->reading[c][b] += share * s->sensor[c];
        if (tangents && out->tangent[c])
            for (int j = 0; j < P; j++)
                out->tangent[c][b * P + (size_t)j] += share * s->d_sensor[c][j];
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

static void one_step(state *s, const segment *g, const nr_loop_input *in, const nr_loop_params *p,
                     size_t k, bool tangents, powers *power)
{
    weather w = weather_at(in, p, k);
    if (in->inlet_degC)
        drive_inlet(s, in, p, k, tangents);
    sweep(s, g, p, &w, tangents, power);
    feed from = feed_of(s, in, p, k);
    store_step(s, &from, p, &w, in->step_s, tangents, power);
    if (!in->inlet_degC)
        layers_step(s, p, &w, in->step_s, tangents);
    sensor_step(s, in, NR_OUT_OUTLET, s->fluid[N - 1], s->d_fluid[N - 1], tangents);
    sensor_step(s, in, NR_OUT_STORE, s->store, s->d_store, tangents);
    sensor_step(s, in, NR_OUT_INLET, s->inlet, s->d_inlet, tangents);
}

void nr_loop_run(const nr_loop_input *in, const nr_loop_params *p, const nr_loop_output *out)
{
    bool tangents = out->tangent[0] || out->tangent[1] || out->tangent[2];
    state s;
    start(&s, p, in->air_degC[0] - p->air_offset_K, tangents);
    if (in->inlet_degC) {
        drive_inlet(&s, in, p, 0, tangents);
        s.sensor[NR_OUT_INLET] = s.inlet;
        if (tangents)
            memcpy(s.d_sensor[NR_OUT_INLET], s.d_inlet, sizeof s.d_inlet);
    }
    segment g = segment_of(p, in->step_s);
    double part = 1.0 / (double)in->steps_per_block;
    size_t k = 0;
    for (size_t b = 0; b < in->blocks; b++) {
        powers power = {0};
        clear_block(out, b, tangents);
        shares first = share_of(in, k, true, false);
        add_to_block(&s, out, b, &first, tangents);
        for (size_t i = 0; i < in->steps_per_block; i++, k++) {
            one_step(&s, &g, in, p, k, tangents, &power);
            shares now = share_of(in, k, false, i + 1 == in->steps_per_block);
            add_to_block(&s, out, b, &now, tangents);
        }
        put_powers(out, b, part, &power);
    }
}
