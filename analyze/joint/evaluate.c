/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/joint/evaluate.h"

#include "analyze/estimate/arrow.h"
#include "analyze/estimate/workers.h"
#include "analyze/joint/like.h"

#include <math.h>
#include <string.h>

double nr_joint_term(const nr_joint *joint, size_t piece, nr_term term, const double *x)
{
    const nr_piece *p = &joint->piece[piece];
    return p->index[term] >= 0 ? x[p->index[term]] : p->fixed[term];
}

static double transformed(nr_transform how, double value)
{
    return how == NR_LOGARITHM ? exp(value) : how == NR_SQUARE_ROOT ? value * value : value;
}

nr_loop_params nr_joint_params(const nr_joint *joint, size_t piece, const double *x)
{
    nr_loop_params q = {0};
    for (int t = 0; t < NR_TERMS; t++) {
        const nr_term_row *row = joint->piece[piece].term[t];
        double value = nr_joint_term(joint, piece, (nr_term)t, x);
        if (row->enter)
            row->enter(&joint->piece[piece], value, &q);
        else if (row->has_member) {
            double *member = (void *)((char *)&q + row->member);
            *member = transformed(row->transform, value);
        }
    }
    return q;
}

/* How warm the absorber was in the middle of what was tested, as (Ta - Tair)/G, m2 K/W: the loss
 * acts on it, and the heat that the water took along came through the exchange and warmed the water
 * on its way. */
static double absorber_at(const nr_pivot *pivot, const nr_loop_params *q)
{
    double flow_W_K = pivot->at.flow_W_K * q->flow_factor;
    if (!(flow_W_K > 0))
        return pivot->entering;
    double heat = nr_steady_efficiency(q, &pivot->at, pivot->entering, false);
    /* A segment is as warm as what leaves it. */
    double warmed = (NR_SEGMENTS + 1) / (2.0 * NR_SEGMENTS) * q->area_m2 / flow_W_K;
    return pivot->entering + heat * (1 / q->exchange_W_m2K + warmed);
}

nr_loop_params nr_joint_device(const nr_joint *joint, size_t piece, const double *x)
{
    nr_loop_params q = nr_joint_params(joint, piece, x);
    double wrong = nr_joint_term(joint, piece, NR_TERM_MODEL_LOSS, x) +
                   nr_joint_term(joint, piece, NR_TERM_MODEL_LOSS_LIKE, x);
    q.optical *= 1 + nr_joint_term(joint, piece, NR_TERM_MODEL_GAIN, x) +
                 nr_joint_term(joint, piece, NR_TERM_MODEL_GAIN_LIKE, x);
    if (wrong == 0)
        return q;
    /* The record pins the curve in the middle of what was tested: a wrong slope turns it there. */
    const nr_pivot *pivot = &joint->pivot[joint->piece[piece].build];
    double at = absorber_at(pivot, &q);
    q.optical += wrong * (q.loss_W_m2K + q.loss2_W_m2K2 * at * pivot->at.sun_W_m2) * at;
    q.loss_W_m2K *= 1 + wrong;
    q.loss2_W_m2K2 *= 1 + wrong;
    q.wind_Ws_m3K *= 1 + wrong;
    return q;
}

/* Simulates a piece into its work space. */
static void simulate(const nr_joint *joint, size_t piece, const double *x, bool tangents)
{
    const nr_piece *p = &joint->piece[piece];
    nr_loop_params params = nr_joint_params(joint, piece, x);
    nr_loop_output out = {0};
    for (int c = 0; c < NR_OUTS; c++) {
        if (!p->fits[c])
            continue;
        out.reading[c] = p->reading[c];
        out.tangent[c] = tangents ? p->tangent[c] : NULL;
    }
    nr_loop_run(&p->input, &params, &out);
}

static bool in_domain(const nr_joint *joint, const double *x)
{
    for (size_t i = 0; i < joint->pieces; i++) {
        nr_loop_params q = nr_joint_params(joint, i, x);
        if (!(q.store_J_K > 0 && q.area_m2 > 0 && q.sun_gain > -0.9 && fabs(q.optical) < 100 &&
              fabs(q.loss_W_m2K) < 1e4 && q.exchange_W_m2K < 1e6 && q.exchange_W_m2K > 1e-3 &&
              q.capacity_J_m2K < 1e8 && q.flow_factor < 1e3 && fabs(q.flow_exponent) < 10 &&
              fabs(q.layers) < 2 && q.pump_W < 1e5 && fabs(q.opening_m2) < 100 &&
              q.back_J_m2K < 1e7 && q.back_gap_W_m2K < 1e5 && fabs(q.sun_fade) < 1 &&
              fabs(q.dew) < 0.9 && q.dries_s > 1 && q.dries_s < 1e6 && fabs(q.loss_trend) < 1.9 &&
              q.lost_J_K < 0.9 * q.store_J_K))
            return false;
    }
    return true;
}

/* Where a block lies in its piece: -0.5 to 0.5. */
static double along(const nr_joint *joint, size_t piece, size_t b)
{
    return ((double)b + 0.5) / (double)joint->piece[piece].part->blocks - 0.5;
}

/* The drift of a fitted channel; an inlet that is fitted has none. */
static nr_term drift_of(int c)
{
    return c == NR_OUT_OUTLET  ? NR_TERM_DRIFT_OUTLET
           : c == NR_OUT_STORE ? NR_TERM_DRIFT_STORE
                               : NR_TERMS;
}

static double modelled(const nr_joint *joint, size_t piece, int c, size_t b, const double *x)
{
    double gain = nr_joint_term(joint, piece, (nr_term)(NR_TERM_GAIN_STORE + c), x);
    double offset = nr_joint_term(joint, piece, (nr_term)(NR_TERM_OFFSET_STORE + c), x);
    if (drift_of(c) < NR_TERMS)
        offset += nr_joint_term(joint, piece, drift_of(c), x) * along(joint, piece, b);
    return joint->piece[piece].reading[c][b] * (1 + gain) + offset;
}

static void prior_residuals(const nr_joint *joint, const double *x, double *residual)
{
    size_t row = joint->rows;
    for (size_t j = joint->parameters; j-- > 0;)
        if (joint->parameter[j].has_prior)
            residual[--row] = nr_like_residual(joint, x, j);
}

size_t nr_joint_workers(const nr_joint *joint)
{
    size_t most = joint->threads ? joint->threads : nr_workers_here();
    return most < joint->pieces ? most : joint->pieces;
}

void nr_joint_each(const nr_joint *joint, size_t count,
                   void (*work)(void *context, size_t worker, size_t i), void *context)
{
    if (nr_joint_workers(joint) > 1)
        nr_workers_run(count, nr_joint_workers(joint), work, context);
    else /* perhaps one of many workers itself */
        for (size_t i = 0; i < count; i++)
            work(context, 0, i);
}

void nr_joint_each_piece(const nr_joint *joint,
                         void (*work)(void *context, size_t worker, size_t piece), void *context)
{
    nr_joint_each(joint, joint->pieces, work, context);
}

/* Pieces are looked at side by side, each into rows of its own. */
typedef struct rows_work {
    const nr_joint *joint;
    const double *x;
    double *to;
} rows_work;

static void piece_residuals(void *context, size_t worker, size_t piece)
{
    const rows_work *w = context;
    const nr_piece *p = &w->joint->piece[piece];
    (void)worker;
    simulate(w->joint, piece, w->x, false);
    for (int c = 0; c < NR_OUTS; c++) {
        if (!p->fits[c])
            continue;
        double *r = w->to + p->row[c];
        for (size_t b = 0; b < p->part->blocks; b++)
            r[b] = modelled(w->joint, piece, c, b, w->x) - p->measured[c][b];
        nr_whiten(&p->whitener[c], r, 1, 1);
    }
}

int nr_joint_residuals(const double *x, void *context, double *residual)
{
    const nr_joint *joint = context;
    if (!in_domain(joint, x))
        return 1;
    nr_joint_each_piece(joint, piece_residuals, &(rows_work){joint, x, residual});
    prior_residuals(joint, x, residual);
    return 0;
}

static void raw_piece(void *context, size_t worker, size_t piece)
{
    const rows_work *w = context;
    const nr_piece *p = &w->joint->piece[piece];
    (void)worker;
    simulate(w->joint, piece, w->x, false);
    for (int c = 0; c < NR_OUTS; c++)
        for (size_t b = 0; p->fits[c] && b < p->part->blocks; b++)
            w->to[p->row[c] + b] =
                p->used[c][b] ? p->measured[c][b] - modelled(w->joint, piece, c, b, w->x) : NAN;
}

void nr_joint_raw(const nr_joint *joint, const double *x, double *residual)
{
    nr_joint_each_piece(joint, raw_piece, &(rows_work){joint, x, residual});
}

/* What a term does to a channel beside the simulation: the probe's own errors. */
static void add_probe(const nr_joint *joint, size_t piece, int c, nr_term term, size_t m,
                      double *restrict to)
{
    const nr_piece *p = &joint->piece[piece];
    bool is_offset = term == (nr_term)(NR_TERM_OFFSET_STORE + c);
    bool is_gain = term == (nr_term)(NR_TERM_GAIN_STORE + c), drifts = term == drift_of(c);
    for (size_t b = 0; (is_offset || is_gain) && b < p->part->blocks; b++)
        to[b * m] += is_offset ? 1 : p->reading[c][b];
    for (size_t b = 0; drifts && b < p->part->blocks; b++)
        to[b * m] += along(joint, piece, b);
}

/* And by it, from its tangents. */
static void add_simulated(const nr_piece *p, int c, const nr_term_row *row, nr_chain *chain,
                          double gain, size_t m, double *restrict to)
{
    const double *restrict dyn = p->tangent[c];
    for (size_t b = 0; row->chain && b < p->part->blocks; b++) {
        chain->dyn = dyn + b * NR_DYN_COUNT;
        to[b * m] += (1 + gain) * row->chain(chain);
    }
    if (row->chain || !row->has_member)
        return;
    dyn += row->dyn;
    for (size_t b = 0; b < p->part->blocks; b++)
        to[b * m] += (1 + gain) * dyn[b * NR_DYN_COUNT];
}

/* column[term]: where the term's parameter is among the m columns. */
static void raw_rows(const nr_joint *joint, size_t piece, int c, const nr_loop_params *q,
                     const double *x, const int *column, size_t m, double *jacobian)
{
    const nr_piece *p = &joint->piece[piece];
    double gain = nr_joint_term(joint, piece, (nr_term)(NR_TERM_GAIN_STORE + c), x);
    for (int t = 0; t < NR_TERMS; t++) {
        if (p->index[t] < 0)
            continue;
        nr_chain chain = {.piece = p, .params = q, .value = x[p->index[t]]};
        double *to = jacobian + (size_t)column[t];
        add_probe(joint, piece, c, (nr_term)t, m, to);
        add_simulated(p, c, p->term[t], &chain, gain, m, to);
    }
}

static void channel_rows(const nr_joint *joint, size_t piece, int c, const nr_loop_params *q,
                         const double *x, double *jacobian)
{
    const nr_piece *p = &joint->piece[piece];
    size_t m = joint->parameters;
    double *rows = jacobian + p->row[c] * m;
    raw_rows(joint, piece, c, q, x, p->index, m, rows);
    nr_whiten(&p->whitener[c], rows, m, m);
}

void nr_joint_channel_jacobian(const nr_joint *joint, size_t piece, int c, const double *x,
                               const int *column, size_t columns, double *jacobian)
{
    nr_loop_params q = nr_joint_params(joint, piece, x);
    simulate(joint, piece, x, true);
    raw_rows(joint, piece, c, &q, x, column, columns, jacobian);
}

size_t nr_joint_piece_columns(const nr_joint *joint, size_t piece, size_t parameter[NR_TERMS],
                              int column[NR_TERMS])
{
    const nr_piece *p = &joint->piece[piece];
    size_t count = 0;
    for (int t = 0; t < NR_TERMS; t++) {
        column[t] = -1;
        for (int s = 0; s < t && p->index[t] >= 0; s++)
            if (p->index[s] == p->index[t])
                column[t] = column[s];
        if (p->index[t] < 0 || column[t] >= 0)
            continue;
        column[t] = (int)count;
        parameter[count++] = (size_t)p->index[t];
    }
    return count;
}

bool nr_joint_in_domain(const nr_joint *joint, const double *x)
{
    return in_domain(joint, x);
}

void nr_joint_piece_rows(const nr_joint *joint, size_t piece, const double *x, const int *column,
                         size_t columns, nr_slopes slopes, double *residual, double *jacobian)
{
    const nr_piece *p = &joint->piece[piece];
    nr_loop_params q = nr_joint_params(joint, piece, x);
    if (slopes != NR_SLOPES_KEPT)
        simulate(joint, piece, x, slopes == NR_SLOPES_HERE);
    for (int c = 0; c < NR_OUTS; c++) {
        if (!p->fits[c])
            continue;
        size_t blocks = p->part->blocks;
        for (size_t b = 0; b < blocks; b++)
            residual[b] = modelled(joint, piece, c, b, x) - p->measured[c][b];
        nr_whiten(&p->whitener[c], residual, 1, 1);
        residual += blocks;
        if (slopes == NR_SLOPES_NONE)
            continue;
        memset(jacobian, 0, blocks * columns * sizeof(double));
        raw_rows(joint, piece, c, &q, x, column, columns, jacobian);
        nr_whiten(&p->whitener[c], jacobian, columns, columns);
        jacobian += blocks * columns;
    }
}

static void slopes_of_piece(void *context, size_t worker, size_t piece)
{
    const nr_joint *joint = context;
    (void)worker;
    simulate(joint, piece, joint->x, true);
}

void nr_joint_slopes(const nr_joint *joint)
{
    nr_joint_each_piece(joint, slopes_of_piece, (void *)joint);
}

size_t nr_joint_piece_height(const nr_joint *joint, size_t piece)
{
    const nr_piece *p = &joint->piece[piece];
    size_t rows = 0;
    for (int c = 0; c < NR_OUTS; c++)
        rows += p->fits[c] ? p->part->blocks : 0;
    return rows;
}

void nr_joint_groups(const nr_joint *joint, size_t *group_of)
{
    const size_t nobody = NR_ARROW_SHARED - 1;
    for (size_t i = 0; i < joint->parameters; i++)
        group_of[i] = nobody;
    for (size_t i = 0; i < joint->pieces; i++)
        for (int t = 0; t < NR_TERMS; t++) {
            const nr_piece *p = &joint->piece[i];
            size_t *group = p->index[t] >= 0 ? &group_of[p->index[t]] : NULL;
            if (group)
                *group = *group == nobody || *group == p->run ? p->run : NR_ARROW_SHARED;
        }
    for (size_t i = 0; i < joint->parameters; i++)
        /* Those of a group meet their like in other runs. */
        if (group_of[i] == nobody || joint->parameter[i].group)
            group_of[i] = NR_ARROW_SHARED;
}

static void piece_jacobian(void *context, size_t worker, size_t piece)
{
    const rows_work *w = context;
    nr_loop_params q = nr_joint_params(w->joint, piece, w->x);
    (void)worker;
    simulate(w->joint, piece, w->x, true);
    for (int c = 0; c < NR_OUTS; c++)
        if (w->joint->piece[piece].fits[c])
            channel_rows(w->joint, piece, c, &q, w->x, w->to);
}

int nr_joint_jacobian(const double *x, void *context, double *jacobian)
{
    const nr_joint *joint = context;
    if (!in_domain(joint, x))
        return 1;
    memset(jacobian, 0, joint->rows * joint->parameters * sizeof(double));
    nr_joint_each_piece(joint, piece_jacobian, &(rows_work){joint, x, jacobian});
    size_t row = joint->rows;
    for (size_t j = joint->parameters; j-- > 0;) {
        if (!joint->parameter[j].has_prior)
            continue;
        row--;
        for (size_t k = 0; k < joint->parameters; k++)
            jacobian[row * joint->parameters + k] =
                nr_like_slope(joint, j, k) / joint->parameter[k].prior_u;
    }
    return 0;
}
