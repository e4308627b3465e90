/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/joint/evaluate.h"

#include <math.h>
#include <string.h>

double nr_joint_term(const nr_joint *joint, size_t piece, nr_term term, const double *x)
{
    const nr_piece *p = &joint->piece[piece];
    return p->index[term] >= 0 ? x[p->index[term]] : p->fixed[term];
}

static double water_J_K(const nr_piece *p)
{
    return p->series->run->rig.store.water_kg.value * p->series->cp_J_kgK;
}

nr_loop_params nr_joint_params(const nr_joint *joint, size_t piece, const double *x)
{
    const nr_piece *p = &joint->piece[piece];
    double v[NR_TERMS];
    for (int t = 0; t < NR_TERMS; t++)
        v[t] = nr_joint_term(joint, piece, (nr_term)t, x);
    return (nr_loop_params){
        .area_m2 = p->series->run->rig.collector.gross_area_m2.value * (1 + v[NR_TERM_AREA]),
        .optical = v[NR_TERM_OPTICAL],
        .loss_W_m2K = v[NR_TERM_LOSS],
        .loss2_W_m2K2 = v[NR_TERM_LOSS2],
        .wind_Ws_m3K = v[NR_TERM_WIND],
        .exchange_W_m2K = exp(v[NR_TERM_LN_EXCHANGE]),
        .capacity_J_m2K = exp(v[NR_TERM_LN_CAPACITY]),
        .cover_J_m2K = v[NR_TERM_ROOT_COVER] * v[NR_TERM_ROOT_COVER],
        .fluid_J_K = exp(v[NR_TERM_LN_FLUID]),
        .store_J_K = water_J_K(p) * (1 + v[NR_TERM_WATER]) + v[NR_TERM_DRY],
        .store_loss_W_K = v[NR_TERM_STORE_LOSS],
        .sun_offset_W_m2 = v[NR_TERM_SUN_OFFSET],
        .sun_gain = v[NR_TERM_SUN_GAIN],
        .air_offset_K = v[NR_TERM_AIR_OFFSET],
        .flow_factor = exp(v[NR_TERM_LN_FLOW]),
        .layers = v[NR_TERM_LAYERS],
        .flow_exponent = v[NR_TERM_FLOW_EXPONENT],
        .b0 = v[NR_TERM_B0],
        .t_store_degC = v[NR_TERM_T_STORE],
        .t_collector_degC = v[NR_TERM_T_COLLECTOR],
    };
}

nr_loop_params nr_joint_device(const nr_joint *joint, size_t piece, const double *x)
{
    nr_loop_params q = nr_joint_params(joint, piece, x);
    double wrong = nr_joint_term(joint, piece, NR_TERM_MODEL_LOSS, x);
    q.optical *= 1 + nr_joint_term(joint, piece, NR_TERM_MODEL_GAIN, x);
    /* The record pins the curve in the middle of what was tested: a wrong slope turns it there. */
    q.optical += wrong * q.loss_W_m2K * joint->pivot[joint->piece[piece].build];
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
              fabs(q.layers) < 2))
            return false;
    }
    return true;
}

static double modelled(const nr_joint *joint, size_t piece, int c, size_t b, const double *x)
{
    double gain = nr_joint_term(joint, piece, (nr_term)(NR_TERM_GAIN_STORE + c), x);
    double offset = nr_joint_term(joint, piece, (nr_term)(NR_TERM_OFFSET_STORE + c), x);
    return joint->piece[piece].reading[c][b] * (1 + gain) + offset;
}

static void prior_residuals(const nr_joint *joint, const double *x, double *residual)
{
    size_t row = joint->rows;
    for (size_t j = joint->parameters; j-- > 0;)
        if (joint->parameter[j].has_prior)
            residual[--row] = (x[j] - joint->parameter[j].prior) / joint->parameter[j].prior_u;
}

int nr_joint_residuals(const double *x, void *context, double *residual)
{
    const nr_joint *joint = context;
    if (!in_domain(joint, x))
        return 1;
    for (size_t i = 0; i < joint->pieces; i++) {
        const nr_piece *p = &joint->piece[i];
        simulate(joint, i, x, false);
        for (int c = 0; c < NR_OUTS; c++) {
            if (!p->fits[c])
                continue;
            double *r = residual + p->row[c];
            for (size_t b = 0; b < p->part->blocks; b++)
                r[b] = modelled(joint, i, c, b, x) - p->measured[c][b];
            nr_whiten(&p->whitener[c], r, 1, 1);
        }
    }
    prior_residuals(joint, x, residual);
    return 0;
}

void nr_joint_raw(const nr_joint *joint, const double *x, double *residual)
{
    for (size_t i = 0; i < joint->pieces; i++) {
        const nr_piece *p = &joint->piece[i];
        simulate(joint, i, x, false);
        for (int c = 0; c < NR_OUTS; c++)
            for (size_t b = 0; p->fits[c] && b < p->part->blocks; b++)
                residual[p->row[c] + b] =
                    p->used[c][b] ? p->measured[c][b] - modelled(joint, i, c, b, x) : NAN;
    }
}

/* One row: derivative of a block's reading to every term of the piece, from the tangents of the
 * simulation. Area, water and the irradiance gain scale what other parameters scale too, so their
 * columns are sums of those. */
static void term_row(const nr_piece *p, const nr_loop_params *q, double root_cover, const double *d,
                     double *t)
{
    t[NR_TERM_OPTICAL] = d[NR_DYN_OPTICAL];
    t[NR_TERM_LOSS] = d[NR_DYN_LOSS];
    t[NR_TERM_LOSS2] = d[NR_DYN_LOSS2];
    t[NR_TERM_WIND] = d[NR_DYN_WIND];
    t[NR_TERM_LN_EXCHANGE] = d[NR_DYN_LN_EXCHANGE];
    t[NR_TERM_LN_CAPACITY] = d[NR_DYN_LN_CAPACITY];
    t[NR_TERM_ROOT_COVER] = root_cover != 0 ? 2 / root_cover * d[NR_DYN_LN_COVER] : 0;
    t[NR_TERM_LN_FLUID] = d[NR_DYN_LN_FLUID];
    t[NR_TERM_STORE_LOSS] = d[NR_DYN_STORE_LOSS];
    double stated_area = p->series->run->rig.collector.gross_area_m2.value;
    t[NR_TERM_AREA] = (q->optical * d[NR_DYN_OPTICAL] + q->loss_W_m2K * d[NR_DYN_LOSS] +
                       q->loss2_W_m2K2 * d[NR_DYN_LOSS2] + q->wind_Ws_m3K * d[NR_DYN_WIND] +
                       d[NR_DYN_LN_EXCHANGE] + d[NR_DYN_LN_CAPACITY] + d[NR_DYN_LN_COVER]) *
                      stated_area / q->area_m2;
    t[NR_TERM_WATER] = d[NR_DYN_LN_STORE] * water_J_K(p) / q->store_J_K;
    t[NR_TERM_DRY] = d[NR_DYN_LN_STORE] / q->store_J_K;
    t[NR_TERM_SUN_OFFSET] = d[NR_DYN_SUN_OFFSET];
    t[NR_TERM_SUN_GAIN] = -q->optical / (1 + q->sun_gain) * d[NR_DYN_OPTICAL];
    t[NR_TERM_AIR_OFFSET] = d[NR_DYN_AIR_OFFSET];
    t[NR_TERM_LN_FLOW] = d[NR_DYN_LN_FLOW];
    t[NR_TERM_LAYERS] = d[NR_DYN_LAYERS];
    t[NR_TERM_FLOW_EXPONENT] = d[NR_DYN_FLOW_EXPONENT];
    t[NR_TERM_B0] = d[NR_DYN_B0];
    t[NR_TERM_T_STORE] = d[NR_DYN_T_STORE];
    t[NR_TERM_T_COLLECTOR] = d[NR_DYN_T_COLLECTOR];
}

static void channel_rows(const nr_joint *joint, size_t piece, int c, const nr_loop_params *q,
                         const double *x, double *jacobian)
{
    const nr_piece *p = &joint->piece[piece];
    size_t m = joint->parameters;
    double root_cover = nr_joint_term(joint, piece, NR_TERM_ROOT_COVER, x);
    double gain = nr_joint_term(joint, piece, (nr_term)(NR_TERM_GAIN_STORE + c), x);
    for (size_t b = 0; b < p->part->blocks; b++) {
        double t[NR_TERMS] = {0};
        term_row(p, q, root_cover, p->tangent[c] + b * NR_DYN_COUNT, t);
        for (int k = 0; k < NR_TERMS; k++)
            t[k] *= 1 + gain;
        for (int k = 0; k < NR_OUTS; k++) {
            t[NR_TERM_OFFSET_STORE + k] = k == c ? 1 : 0;
            t[NR_TERM_GAIN_STORE + k] = k == c ? p->reading[c][b] : 0;
        }
        double *row = jacobian + (p->row[c] + b) * m;
        for (int k = 0; k < NR_TERMS; k++)
            if (p->index[k] >= 0)
                row[p->index[k]] += t[k];
    }
    nr_whiten(&p->whitener[c], jacobian + p->row[c] * m, m, m);
}

int nr_joint_jacobian(const double *x, void *context, double *jacobian)
{
    const nr_joint *joint = context;
    if (!in_domain(joint, x))
        return 1;
    memset(jacobian, 0, joint->rows * joint->parameters * sizeof(double));
    for (size_t i = 0; i < joint->pieces; i++) {
        simulate(joint, i, x, true);
        nr_loop_params q = nr_joint_params(joint, i, x);
        for (int c = 0; c < NR_OUTS; c++)
            if (joint->piece[i].fits[c])
                channel_rows(joint, i, c, &q, x, jacobian);
    }
    size_t row = joint->rows;
    for (size_t j = joint->parameters; j-- > 0;)
        if (joint->parameter[j].has_prior)
            jacobian[--row * joint->parameters + j] = 1 / joint->parameter[j].prior_u;
    return 0;
}
