/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Heat kept in the water over sun on the collector. Counted is, part by part, from the first to the
 * last block in which the sun shone and nothing says that the pump stood: clouds and stops between
 * belong to the run, a container that cools in the evening does not. The pump's own heat is in the
 * water, too, and is not the sun's: it is taken off. */
#include "analyze/fit/derive.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Blocks averaged at each end for the measured rise, and at most this part of the readings. */
#define END_BLOCKS 6
#define END_PART 3
/* It shines above this share of the largest irradiance. */
#define SHINES 0.1

/* Blocks first .. end - 1; steps the same. */
typedef struct window {
    size_t first, end;
} window;

static bool sunny(const nr_piece_view *p, size_t b)
{
    size_t m = p->series->steps_per_block;
    double sum = 0;
    for (size_t k = b * m; k < (b + 1) * m; k++)
        sum += p->part->sun_W_m2[k];
    return p->part->pump_on[b] && !nr_series_is_dark(p->series) &&
           sum / (double)m >= SHINES * p->series->max_sun_W_m2;
}

static window window_of(const nr_piece_view *p)
{
    window w = {p->part->blocks, 0};
    for (size_t b = 0; b < p->part->blocks; b++) {
        if (!sunny(p, b))
            continue;
        w.first = b < w.first ? b : w.first;
        w.end = b + 1;
    }
    return w;
}

/* Mean over some of the blocks with a reading, from one end of the window. */
static double end_mean(const nr_piece_view *p, window w, int c, const double *v, size_t some,
                       bool last)
{
    double sum = 0;
    size_t count = 0;
    for (size_t i = 0; i < w.end - w.first && count < some; i++) {
        size_t b = last ? w.end - 1 - i : w.first + i;
        if (isnan(p->part->reading[c][b]))
            continue;
        sum += v[b];
        count++;
    }
    return sum / (double)count;
}

/* The model's rise from the window's beginning to its end, K. NAN: out of memory. */
static double modelled_rise(const nr_joint *j, size_t piece, int c, window w)
{
    nr_piece_view p = nr_joint_piece(j, piece);
    nr_loop_params q = nr_joint_params(j, piece, nr_joint_x(j));
    size_t m = p.series->steps_per_block;
    float(*edge)[2] = calloc(p.part->steps, sizeof *edge);
    double *at = malloc(p.part->blocks * sizeof(double)), rise = NAN;
    if (edge && at) {
        nr_loop_output out = {0};
        out.reading[c] = at;
        edge[w.first * m][0] = 1;
        p.input.weight[c] = (const float(*)[2])edge;
        nr_loop_run(&p.input, &q, &out);
        double begin = at[w.first];
        edge[w.first * m][0] = 0;
        edge[w.end * m - 1][1] = 1;
        nr_loop_run(&p.input, &q, &out);
        rise = at[w.end - 1] - begin;
    }
    free(edge);
    free(at);
    return rise;
}

/* Measured rise of the water, K: the ends are means of some readings, and the model says how much
 * rose inside and beside those. */
static double store_rise(const nr_joint *j, size_t piece, window w)
{
    nr_piece_view p = nr_joint_piece(j, piece);
    int c = p.fits[NR_OUT_STORE] ? NR_OUT_STORE : NR_OUT_INLET;
    const double *model = nr_joint_modelled(j, piece, c), *v = p.part->reading[c];
    size_t readings = 0;
    for (size_t b = w.first; model && b < w.end; b++)
        readings += isnan(v[b]) ? 0 : 1;
    if (!readings)
        return 0;
    size_t some = readings / END_PART < END_BLOCKS ? readings / END_PART : END_BLOCKS;
    some = some > 0 ? some : 1;
    double measured = end_mean(&p, w, c, v, some, true) - end_mean(&p, w, c, v, some, false);
    double of_these =
        end_mean(&p, w, c, model, some, true) - end_mean(&p, w, c, model, some, false);
    return measured - of_these + modelled_rise(j, piece, c, w);
}

/* Heat that flow and probes of a driven piece say the loop carried, J, with these errors. */
static double loop_heat_J(const nr_joint *j, size_t piece, window w, const nr_loop_params *q)
{
    nr_piece_view p = nr_joint_piece(j, piece);
    double heat = 0;
    for (size_t k = w.first * p.series->steps_per_block; k < w.end * p.series->steps_per_block;
         k++) {
        double out = (p.part->outlet_degC[k] - q->outlet_offset_K) / (1 + q->outlet_gain);
        double in = (p.part->inlet_degC[k] - q->inlet_offset_K) / (1 + q->inlet_gain);
        heat += p.part->flow_W_K[k] * q->flow_factor * (out - in) * p.series->step_s;
    }
    return heat;
}

static bool by_loop(const nr_piece_view *p)
{
    return p->driven && !p->fits[NR_OUT_STORE];
}

/* q: of the piece at x. */
static double kept_J(const nr_joint *j, const nr_derive_energy *e, size_t piece, const double *x,
                     const nr_loop_params *q)
{
    nr_piece_view p = nr_joint_piece(j, piece);
    if (by_loop(&p))
        return loop_heat_J(j, piece, window_of(&p), q);
    int c = p.fits[NR_OUT_STORE] ? NR_OUT_STORE : NR_OUT_INLET;
    double gain = nr_joint_term(j, piece, (nr_term)(NR_TERM_GAIN_STORE + c), x);
    /* Water that becomes less, evenly, while its temperature rises, nearly evenly: what was in the
     * container half-way is what was warmed. */
    double heated = q->store_J_K - q->lost_J_K * e->middle[piece];
    double drift = c == NR_OUT_STORE ? nr_joint_term(j, piece, NR_TERM_DRIFT_STORE, x) : 0;
    double counted = e->seconds[piece] / (p.series->block_s * (double)p.part->blocks);
    return heated * (e->rise_K[piece] - drift * counted) / (1 + gain);
}

/* What the pump left in the container; what the loop carried is counted before it gets there. */
static double pump_J(const nr_derive_energy *e, size_t piece, const nr_loop_params *q)
{
    return e->pumped_s[piece] > 0 ? e->pumped_s[piece] * q->pump_W : 0;
}

/* Of the sun. */
static double had_J(const nr_derive_energy *e, size_t piece, const nr_loop_params *q)
{
    return q->area_m2 * (e->sun_J_m2[piece] - q->sun_offset_W_m2 * e->seconds[piece]) /
           (1 + q->sun_gain);
}

bool nr_derive_energy_open(const nr_joint *j, size_t build, nr_derive_energy *e)
{
    *e = (nr_derive_energy){.rise_K = calloc(nr_joint_pieces(j), sizeof(double)),
                            .sun_J_m2 = calloc(nr_joint_pieces(j), sizeof(double)),
                            .seconds = calloc(nr_joint_pieces(j), sizeof(double)),
                            .pumped_s = calloc(nr_joint_pieces(j), sizeof(double)),
                            .middle = calloc(nr_joint_pieces(j), sizeof(double)),
                            .x = calloc(nr_joint_parameters(j) + 1, sizeof(double)),
                            .kept_J = calloc(nr_joint_pieces(j), sizeof(double)),
                            .had_J = calloc(nr_joint_pieces(j), sizeof(double))};
    if (!e->rise_K || !e->sun_J_m2 || !e->seconds || !e->pumped_s || !e->middle || !e->x ||
        !e->kept_J || !e->had_J)
        return false;
    memcpy(e->x, nr_joint_x(j), nr_joint_parameters(j) * sizeof *e->x);
    for (size_t i = 0; i < nr_joint_pieces(j); i++) {
        nr_piece_view p = nr_joint_piece(j, i);
        window w = window_of(&p);
        if (p.build != build || w.first >= w.end)
            continue;
        size_t m = p.series->steps_per_block;
        e->seconds[i] = (double)(w.end - w.first) * p.series->block_s;
        e->middle[i] = (double)(w.first + w.end) / 2 / (double)p.part->blocks;
        for (size_t b = w.first; b < w.end && !by_loop(&p); b++)
            e->pumped_s[i] += p.part->pump_on[b] ? p.series->block_s : 0;
        for (size_t k = w.first * m; k < w.end * m; k++)
            e->sun_J_m2[i] += p.part->sun_W_m2[k] * p.series->step_s;
        e->rise_K[i] = by_loop(&p) ? 0 : store_rise(j, i, w);
        if (isnan(e->rise_K[i]))
            return false;
        nr_loop_params q = nr_joint_params(j, i, e->x);
        e->kept_J[i] = kept_J(j, e, i, e->x, &q) - pump_J(e, i, &q);
        e->had_J[i] = had_J(e, i, &q);
    }
    return true;
}

void nr_derive_energy_close(nr_derive_energy *e)
{
    free(e->rise_K);
    free(e->sun_J_m2);
    free(e->seconds);
    free(e->pumped_s);
    free(e->middle);
    free(e->x);
    free(e->kept_J);
    free(e->had_J);
}

static bool as_solved(const nr_joint *j, const nr_derive_energy *e, size_t piece, const double *x)
{
    for (int t = 0; t < NR_TERMS; t++) {
        int i = nr_joint_index(j, piece, (nr_term)t);
        if (i >= 0 && (x[i] < e->x[i] || x[i] > e->x[i]))
            return false;
    }
    return true;
}

double nr_derive_kept_over_sun(const nr_joint *j, const double *x, const void *context)
{
    const nr_derive_energy *e = context;
    double kept = 0, sun = 0;
    for (size_t i = 0; i < nr_joint_pieces(j); i++) {
        if (!(e->seconds[i] > 0))
            continue;
        if (as_solved(j, e, i, x)) {
            sun += e->had_J[i];
            kept += e->kept_J[i];
            continue;
        }
        nr_loop_params q = nr_joint_params(j, i, x);
        sun += had_J(e, i, &q);
        kept += kept_J(j, e, i, x, &q) - pump_J(e, i, &q);
    }
    return kept / sun;
}

/* The noise of the two end readings of the store is not in any parameter. */
static double end_noise(const nr_joint *j, const nr_derive_energy *e, double sun_J)
{
    double variance = 0;
    for (size_t i = 0; i < nr_joint_pieces(j); i++) {
        nr_piece_view p = nr_joint_piece(j, i);
        nr_channel_view water;
        int c = p.fits[NR_OUT_STORE] ? NR_OUT_STORE : NR_OUT_INLET;
        if (!(e->seconds[i] > 0) || !nr_joint_channel(j, i, c, &water))
            continue;
        double store = nr_joint_params(j, i, nr_joint_x(j)).store_J_K;
        variance += 2 * pow(store * water.noise.sigma / sun_J, 2);
    }
    return sqrt(variance);
}

void nr_derive_energy_fill(const nr_joint *j, const nr_derive_energy *e, nr_fit *f, double *share)
{
    for (size_t i = 0; i < nr_joint_pieces(j); i++) {
        if (!(e->seconds[i] > 0))
            continue;
        nr_loop_params q = nr_joint_params(j, i, nr_joint_x(j));
        f->counted_s += e->seconds[i];
        f->sun_J += f->gross_area_m2 * e->sun_J_m2[i];
        f->water_J += kept_J(j, e, i, nr_joint_x(j), &q);
        f->pump_J += pump_J(e, i, &q);
    }
    f->run_efficiency = nr_result_quantity(j, nr_derive_kept_over_sun, e, end_noise(j, e, f->sun_J),
                                           NR_UNIT_ONE, share);
}
