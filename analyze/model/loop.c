#include "analyze/model/loop.h"

#include <stdbool.h>
#include <string.h>

#define P NR_DYN_COUNT
#define N NR_SEGMENTS

/* Everything that moves: temperatures, and their derivatives to the P parameters. */
typedef struct state {
    double absorber[N], fluid[N], store, sensor[NR_OUTS];
    double d_absorber[N][P], d_fluid[N][P], d_store[P], d_sensor[NR_OUTS][P];
} state;

/* One step's weather, corrected for the sensors' errors. */
typedef struct weather {
    double sun;      /* true, times the incidence modifier */
    double air;
    double flow_W_K; /* true */
    double wind;     /* above the mean */
    double modifier, raw_sun, obliquity;
} weather;

typedef struct powers {
    double absorbed, to_water, collector_loss, store_loss;
} powers;

static void start(state *s, const nr_loop_params *p, bool tangents)
{
    for (int i = 0; i < N; i++) {
        s->absorber[i] = p->t_absorber_degC;
        s->fluid[i] = p->t_fluid_degC;
    }
    s->store = s->sensor[NR_OUT_STORE] = s->sensor[NR_OUT_INLET] = p->t_store_degC;
    s->sensor[NR_OUT_OUTLET] = p->t_fluid_degC;
    if (!tangents)
        return;
    memset(s->d_absorber, 0, sizeof s->d_absorber);
    memset(s->d_fluid, 0, sizeof s->d_fluid);
    memset(s->d_store, 0, sizeof s->d_store);
    memset(s->d_sensor, 0, sizeof s->d_sensor);
    for (int i = 0; i < N; i++) {
        s->d_absorber[i][NR_DYN_T_ABSORBER] = 1;
        s->d_fluid[i][NR_DYN_T_FLUID] = 1;
    }
    s->d_store[NR_DYN_T_STORE] = 1;
    s->d_sensor[NR_OUT_STORE][NR_DYN_T_STORE] = 1;
    s->d_sensor[NR_OUT_INLET][NR_DYN_T_STORE] = 1;
    s->d_sensor[NR_OUT_OUTLET][NR_DYN_T_FLUID] = 1;
}

static weather weather_at(const nr_loop_input *in, const nr_loop_params *p, size_t k)
{
    weather w;
    w.raw_sun = (in->sun_W_m2[k] - p->sun_offset_W_m2) / (1 + p->sun_gain);
    w.obliquity = in->obliquity ? in->obliquity[k] : 0;
    w.modifier = 1 - p->b0 * w.obliquity;
    w.sun = w.raw_sun * w.modifier;
    w.air = in->air_degC[k] - p->air_offset_K;
    w.flow_W_K = in->flow_W_K[k] * p->flow_factor;
    w.wind = in->wind_m_s ? in->wind_m_s[k] : 0;
    return w;
}

/* The constants of one segment's 2 x 2 system that do not change along the tube. */
typedef struct segment {
    double area;    /* m2 */
    double c_dt;    /* absorber capacity / step, W/K */
    double f_dt;    /* fluid capacity / step, W/K */
    double exchange;/* W/K */
} segment;

static segment segment_of(const nr_loop_params *p, double step_s)
{
    segment g;
    g.area = p->area_m2 / N;
    g.c_dt = p->capacity_J_m2K * g.area / step_s;
    g.f_dt = p->fluid_J_K / N / step_s;
    g.exchange = p->exchange_W_m2K * g.area;
    return g;
}

/* Tangents of one segment: the same elimination as for the temperatures, with each parameter's
 * own right-hand side. a0, f0 are the temperatures before the step, a, f after it. */
static void segment_tangents(const segment *g, const nr_loop_params *p, const weather *w,
                             double loss, double diag, double pivot, double a0, double a,
                             double f0, double f, double before, const double *d_before,
                             double *d_a, double *d_f)
{
    double alpha[P], rhs[P];
    double bend = -g->area * (a - w->air) * p->loss2_W_m2K2; /* d(loss)/d(a0), at a */
    for (int j = 0; j < P; j++)
        alpha[j] = (g->c_dt + bend) * d_a[j];
    double to_air = w->air - a;
    alpha[NR_DYN_OPTICAL] += g->area * w->sun;
    alpha[NR_DYN_LOSS] += g->area * to_air;
    alpha[NR_DYN_LOSS2] += g->area * to_air * (a0 - w->air);
    alpha[NR_DYN_WIND] += g->area * to_air * w->wind;
    alpha[NR_DYN_LN_EXCHANGE] += g->exchange * (f - a);
    alpha[NR_DYN_LN_CAPACITY] += g->c_dt * (a0 - a);
    alpha[NR_DYN_SUN_OFFSET] -= g->area * p->optical * w->modifier / (1 + p->sun_gain);
    alpha[NR_DYN_AIR_OFFSET] -= g->area * loss - bend;
    alpha[NR_DYN_B0] -= g->area * p->optical * w->raw_sun * w->obliquity;
    double share = g->exchange / diag;
    for (int j = 0; j < P; j++)
        rhs[j] = g->f_dt * d_f[j] + share * alpha[j] + w->flow_W_K * d_before[j];
    rhs[NR_DYN_LN_EXCHANGE] += g->exchange * (a - f);
    rhs[NR_DYN_LN_FLUID] += g->f_dt * (f0 - f);
    rhs[NR_DYN_LN_FLOW] += w->flow_W_K * (before - f);
    for (int j = 0; j < P; j++) {
        d_f[j] = rhs[j] / pivot;
        d_a[j] = alpha[j] / diag + share * d_f[j];
    }
}

/* One step along the tube. `inlet` is the store's temperature before the step. */
static void sweep(state *s, const segment *g, const nr_loop_params *p, const weather *w,
                  bool tangents, powers *power)
{
    double before = s->store;
    const double *d_before = s->d_store;
    for (int i = 0; i < N; i++) {
        double a0 = s->absorber[i], f0 = s->fluid[i];
        double loss = p->loss_W_m2K + p->loss2_W_m2K2 * (a0 - w->air) + p->wind_Ws_m3K * w->wind;
        double diag = g->c_dt + g->area * loss + g->exchange;
        double share = g->exchange / diag;
        double alpha =
            (g->c_dt * a0 + g->area * (p->optical * w->sun + loss * w->air)) / diag;
        double pivot = g->f_dt + w->flow_W_K + g->exchange * (1 - share);
        double f = (g->f_dt * f0 + g->exchange * alpha + w->flow_W_K * before) / pivot;
        double a = alpha + share * f;
        if (tangents)
            segment_tangents(g, p, w, loss, diag, pivot, a0, a, f0, f, before, d_before,
                             s->d_absorber[i], s->d_fluid[i]);
        s->absorber[i] = a;
        s->fluid[i] = f;
        before = f;
        d_before = s->d_fluid[i];
        power->absorbed += g->area * p->optical * w->sun;
        power->collector_loss += g->area * loss * (a - w->air);
    }
}

static void store_step(state *s, const nr_loop_params *p, const weather *w, double step_s,
                       bool tangents, powers *power)
{
    double c_dt = p->store_J_K / step_s;
    double diag = c_dt + p->store_loss_W_K;
    double old = s->store, out = s->fluid[N - 1];
    double gain = w->flow_W_K * (out - old);
    double now = (c_dt * old + gain + p->store_loss_W_K * w->air) / diag;
    if (tangents) {
        const double *d_out = s->d_fluid[N - 1];
        for (int j = 0; j < P; j++)
            s->d_store[j] =
                ((c_dt - w->flow_W_K) * s->d_store[j] + w->flow_W_K * d_out[j]) / diag;
        s->d_store[NR_DYN_STORE_LOSS] += (w->air - now) / diag;
        s->d_store[NR_DYN_LN_STORE] += c_dt * (old - now) / diag;
        s->d_store[NR_DYN_AIR_OFFSET] -= p->store_loss_W_K / diag;
        s->d_store[NR_DYN_LN_FLOW] += gain / diag;
    }
    s->store = now;
    power->to_water += gain;
    power->store_loss += p->store_loss_W_K * (now - w->air);
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

static void add_to_block(const state *s, const nr_loop_output *out, size_t b, double part,
                         bool tangents)
{
    for (int c = 0; c < NR_OUTS; c++) {
        if (out->reading[c])
            out->reading[c][b] += part * s->sensor[c];
        if (tangents && out->tangent[c])
            for (int j = 0; j < P; j++)
                out->tangent[c][b * P + (size_t)j] += part * s->d_sensor[c][j];
    }
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

void nr_loop_run(const nr_loop_input *in, const nr_loop_params *p, const nr_loop_output *out)
{
    bool tangents = out->tangent[0] || out->tangent[1] || out->tangent[2];
    state s;
    start(&s, p, tangents);
    segment g = segment_of(p, in->step_s);
    double part = 1.0 / (double)in->steps_per_block;
    size_t k = 0;
    for (size_t b = 0; b < in->blocks; b++) {
        powers power = {0};
        clear_block(out, b, tangents);
        /* The trapezoidal mean over the block, as a logger's samples have it. */
        add_to_block(&s, out, b, part / 2, tangents);
        for (size_t i = 0; i < in->steps_per_block; i++, k++) {
            weather w = weather_at(in, p, k);
            sweep(&s, &g, p, &w, tangents, &power);
            store_step(&s, p, &w, in->step_s, tangents, &power);
            sensor_step(&s, in, NR_OUT_OUTLET, s.fluid[N - 1], s.d_fluid[N - 1], tangents);
            sensor_step(&s, in, NR_OUT_STORE, s.store, s.d_store, tangents);
            sensor_step(&s, in, NR_OUT_INLET, s.store, s.d_store, tangents);
            bool last = i + 1 == in->steps_per_block;
            add_to_block(&s, out, b, last ? part / 2 : part, tangents);
        }
        put_powers(out, b, part, &power);
    }
}
