/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/model/sweep.h"

#define N NR_SEGMENTS
#define NEXT_TO_NOTHING_W_K 1e-9

nr_segment nr_segment_of(const nr_loop_params *p, double step_s)
{
    nr_segment g;
    g.area = p->area_m2 / N;
    g.c_dt = p->capacity_J_m2K * g.area / step_s;
    g.k_dt = p->cover_J_m2K * g.area / step_s;
    g.f_dt = p->fluid_J_K / N / step_s;
    g.exchange = p->exchange_W_m2K * g.area;
    g.back = g.b_dt = g.behind = g.gap_to_back = g.gap_to_heat = g.by_back = 0;
    if (p->back_J_m2K > 0) {
        double inside = p->back_gap_W_m2K / (p->back_gap_W_m2K + NR_BACK_OUTSIDE_W_M2K);
        g.back = p->back_gap_W_m2K * inside * g.area;
        g.b_dt = p->back_J_m2K * inside * inside * g.area / step_s;
        g.by_back = 1 / (g.back + g.b_dt);
        g.behind = g.back * g.b_dt * g.by_back;
        g.gap_to_back = 2 - inside;
        g.gap_to_heat = 2 * (1 - inside);
    }
    return g;
}

static void ways_to_the_air(nr_tube *restrict x, const nr_segment *g, const nr_loop_params *p,
                            const nr_weather *w)
{
    /* a cover without heat and without a way out has no balance */
    const double least = g->k_dt == 0 ? NEXT_TO_NOTHING_W_K : 0;
    const double area = g->area, k_dt = g->k_dt, air = w->air;
    const double steady = p->loss_W_m2K * w->trend, bend = p->loss2_W_m2K2;
    const double windy = p->wind_Ws_m3K * w->wind;
    for (int i = 0; i < N; i++) {
        double loss = area * (steady + bend * (x->a0[i] - air) + windy);
        x->loss[i] = loss == 0 ? least : loss;
        x->in[i] = x->loss[i] * NR_BY_INSIDE;
        x->out[i] = x->loss[i] * NR_BY_OUTSIDE;
        x->sum[i] = k_dt + x->in[i] + x->out[i];
        x->by_sum[i] = 1 / x->sum[i];
    }
}

void nr_tube_solve(nr_tube *restrict x, const nr_segment *g, const nr_loop_params *p,
                   const nr_weather *w, double inlet)
{
    const double k_dt = g->k_dt, c_dt = g->c_dt, f_dt = g->f_dt, exchange = g->exchange;
    const double behind = g->behind, air = w->air, flow = w->flow_W_K, sun = g->area * w->power;
    ways_to_the_air(x, g, p, w);
    for (int i = 0; i < N; i++) {
        double share = x->in[i] * x->by_sum[i], out = x->out[i];
        double leak = share * (k_dt + out);                  /* W/K that leave the absorber ... */
        double back = share * (k_dt * x->c0[i] + out * air); /* ... and come back, W */
        x->by_diag[i] = 1 / (c_dt + leak + exchange + behind);
        x->share[i] = exchange * x->by_diag[i];
        x->alpha[i] = (c_dt * x->a0[i] + sun + back + behind * x->b0[i]) * x->by_diag[i];
        x->by_pivot[i] = 1 / (f_dt + flow + exchange * (1 - x->share[i]));
    }
    for (int i = 0; i < N; i++) {
        x->before[i] = i ? x->f[i - 1] : inlet;
        x->f[i] = (f_dt * x->f0[i] + exchange * x->alpha[i] + flow * x->before[i]) * x->by_pivot[i];
    }
    for (int i = 0; i < N; i++) {
        x->a[i] = x->alpha[i] + x->share[i] * x->f[i];
        x->c[i] = (k_dt * x->c0[i] + x->in[i] * x->a[i] + x->out[i] * air) * x->by_sum[i];
    }
    const double b_dt = g->b_dt, gap = g->back, by_back = g->by_back;
    for (int i = 0; i < N; i++)
        x->b[i] = behind > 0 ? (b_dt * x->b0[i] + gap * x->a[i]) * by_back : x->a[i];
}
