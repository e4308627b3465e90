/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/model/tangents.h"

#include "logger/base/wide.h"

#define N NR_SEGMENTS

/* What the loop over the places needs of one segment: of the absorber before, to itself and the
 * cover, and of the cover before to the absorber; then as in nr_tube. */
typedef struct factors {
    double to_a0, to_c0, from_cover;
    double share, in, by_sum, by_diag, by_pivot;
} factors;

/* To the sun's heat, which comes to every segment alike. */
static void sun_sources(const nr_segment *g, const nr_loop_params *p, const nr_weather *w,
                        const int *at, double *to)
{
    const double sun = g->area * p->optical * w->windy * w->dry;           /* per W/m2 */
    const double kept = g->area * p->optical * w->sun * w->windy * w->wet; /* off by dew of 1 */
    to[at[NR_DYN_OPTICAL]] = g->area * w->sun * w->windy * w->dry;
    to[at[NR_DYN_WIND_GAIN]] = -g->area * p->optical * w->sun * w->wind * w->dry;
    to[at[NR_DYN_DEW]] = -kept;
    to[at[NR_DYN_LN_DRIES]] = -kept * p->dew * w->dried;
    to[at[NR_DYN_ASIDE]] = -g->area * w->by_gain;
    to[at[NR_DYN_SKY]] = g->area * w->sky;
    to[at[NR_DYN_SKY_OFFSET]] = w->has_sky ? g->area * p->sky : 0;
    to[at[NR_DYN_SUN_OFFSET]] = -sun * w->modifier * w->by_gain * w->by_fade;
    to[at[NR_DYN_SUN_FADE]] = -sun * w->sun * w->when * w->by_fade;
    to[at[NR_DYN_B0]] = -sun * w->raw_sun * w->obliquity;
    to[NR_SPARE] = 0;
}

/* To whatever changes the loss to the air. */
static factors loss_sources(const nr_tube *x, int i, const nr_segment *g, const nr_loop_params *p,
                            const nr_weather *w, const int *at, nr_of_segment *to)
{
    const double bend = g->area * p->loss2_W_m2K2; /* d(loss)/d(a0) */
    /* The cover's and the absorber's answers to the loss, at fixed a and c0. */
    const double inside = (x->a[i] - x->c[i]) * NR_BY_INSIDE;
    const double outside = (w->air - x->c[i]) * NR_BY_OUTSIDE;
    const double both = inside + outside, part = x->in[i] * x->by_sum[i];
    const double q_loss = inside - part * both;
    const double by[4] = {g->area * w->trend, g->area * (x->a0[i] - w->air), g->area * w->wind,
                          g->area * p->loss_W_m2K * w->when};
    static const int to_loss[4] = {NR_DYN_LOSS, NR_DYN_LOSS2, NR_DYN_WIND, NR_DYN_LOSS_TREND};
    for (int k = 0; k < 4; k++) {
        to->absorber[at[to_loss[k]]] = -q_loss * by[k];
        to->cover[at[to_loss[k]]] = both * by[k];
    }
    const double absorber_air = -q_loss * bend - part * x->out[i];
    const double cover_air = both * bend - x->out[i];
    to->absorber[at[NR_DYN_AIR_OFFSET]] = absorber_air;
    to->absorber[at[NR_DYN_SUN_ON_AIR]] = absorber_air * w->on_air;
    to->cover[at[NR_DYN_AIR_OFFSET]] = cover_air;
    to->cover[at[NR_DYN_SUN_ON_AIR]] = cover_air * w->on_air;
    return (factors){.to_a0 = g->c_dt - q_loss * bend,
                     .to_c0 = both * bend,
                     .from_cover = part * g->k_dt,
                     .share = x->share[i],
                     .in = x->in[i],
                     .by_sum = x->by_sum[i],
                     .by_diag = x->by_diag[i],
                     .by_pivot = x->by_pivot[i]};
}

/* To the heats, the exchange and the flow. */
static void heat_sources(const nr_tube *x, int i, const nr_segment *g, const nr_weather *w,
                         const int *at, nr_of_segment *to)
{
    const double exchanged = g->exchange * (x->a[i] - x->f[i]);
    const double covered = g->k_dt * (x->c0[i] - x->c[i]);
    const double carried = w->flow_W_K * (x->before[i] - x->f[i]);
    to->absorber[at[NR_DYN_LN_EXCHANGE]] = -exchanged;
    to->absorber[at[NR_DYN_LN_CAPACITY]] = g->c_dt * (x->a0[i] - x->a[i]);
    to->absorber[at[NR_DYN_LN_COVER]] = x->in[i] * x->by_sum[i] * covered;
    to->cover[at[NR_DYN_LN_COVER]] = covered;
    to->fluid[at[NR_DYN_LN_EXCHANGE]] = exchanged;
    to->fluid[at[NR_DYN_LN_FLUID]] = g->f_dt * (x->f0[i] - x->f[i]);
    to->fluid[at[NR_DYN_LN_FLOW]] = carried;
    to->fluid[at[NR_DYN_FLOW_EXPONENT]] = carried * w->drive;
}

/* To the board behind. */
static void back_sources(const nr_tube *x, int i, const nr_segment *g, const int *at,
                         nr_of_segment *to)
{
    /* d ln of the coupling, d ln of the heat; what they do to absorber and board at fixed a, b0 */
    const double across = g->back * (x->a[i] - x->b[i]), kept = g->b_dt * (x->b0[i] - x->b[i]);
    const double gap = g->gap_to_back, heat = g->gap_to_heat, by = g->by_back;
    to->absorber[at[NR_DYN_LN_BACK]] = g->back * by * kept;
    to->back[at[NR_DYN_LN_BACK]] = kept;
    to->absorber[at[NR_DYN_LN_GAP]] = by * (heat * g->back * kept - gap * g->b_dt * across);
    to->back[at[NR_DYN_LN_GAP]] = heat * kept + gap * across;
}

static void no_spare(nr_of_segment *to)
{
    to->absorber[NR_SPARE] = to->cover[NR_SPARE] = to->fluid[NR_SPARE] = to->back[NR_SPARE] = 0;
}

/* All places of one segment; d: before, becomes after. */
static NR_WIDE_LOOP void eliminate_loop(nr_of_segment *restrict d,
                                        const nr_of_segment *restrict more,
                                        const double *restrict of_sun,
                                        const double *restrict d_before, const nr_segment *g,
                                        double flow, const factors *by, int n)
{
    const double k_dt = g->k_dt, f_dt = g->f_dt, behind = g->behind, b_dt = g->b_dt;
    const double gap = g->back, by_back = g->by_back, share = by->share, in = by->in;
    const double to_a0 = by->to_a0, to_c0 = by->to_c0, from_cover = by->from_cover;
    const double by_sum = by->by_sum, by_diag = by->by_diag, by_pivot = by->by_pivot;
    for (int j = 0; j < n; j++) {
        double a0 = d->absorber[j], c0 = d->cover[j], b0 = d->back[j];
        double cover = k_dt * c0 + to_c0 * a0 + more->cover[j];
        double alpha = to_a0 * a0 + from_cover * c0 + behind * b0 + (more->absorber[j] + of_sun[j]);
        double rhs = f_dt * d->fluid[j] + share * alpha + flow * d_before[j] + more->fluid[j];
        double f = rhs * by_pivot, a = alpha * by_diag + share * f;
        d->fluid[j] = f;
        d->absorber[j] = a;
        d->cover[j] = (cover + in * a) * by_sum;
        d->back[j] = (b_dt * b0 + more->back[j] + gap * a) * by_back;
    }
}

NR_WIDE(eliminate,
        (nr_of_segment *restrict d, const nr_of_segment *restrict more,
         const double *restrict of_sun, const double *restrict d_before, const nr_segment *g,
         double flow, const factors *by, int n),
        (d, more, of_sun, d_before, g, flow, by, n))

/* First what is added to single places, for all segments; then the places side by side. Done
 * segment by segment, a vector would be read whose element was just written, and wait for it. */
void nr_tube_tangents_step(nr_tube_tangents *t, const nr_places *of, const nr_tube *x,
                           const nr_segment *g, const nr_loop_params *p, const nr_weather *w,
                           const double *d_inlet)
{
    factors by[N];
    sun_sources(g, p, w, of->at, t->of_sun);
    for (int i = 0; i < N; i++) {
        by[i] = loss_sources(x, i, g, p, w, of->at, &t->more[i]);
        heat_sources(x, i, g, w, of->at, &t->more[i]);
        if (g->behind > 0)
            back_sources(x, i, g, of->at, &t->more[i]);
        no_spare(&t->more[i]);
    }
    for (int i = 0; i < N; i++)
        eliminate(&t->d[i], &t->more[i], t->of_sun, i ? t->d[i - 1].fluid : d_inlet, g, w->flow_W_K,
                  &by[i], of->collector);
}
