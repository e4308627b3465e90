/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What answers may ask of an estimate. */
#include "analyze/estimate/linfit.h"
#include "analyze/joint/like.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

size_t nr_joint_runs(const nr_joint *j)
{
    return j->runs;
}

size_t nr_joint_builds(const nr_joint *j)
{
    return j->builds;
}

const nr_series *nr_joint_series(const nr_joint *j, size_t run)
{
    return j->series[run];
}

size_t nr_joint_build_of(const nr_joint *j, size_t run)
{
    return j->build_of[run];
}

size_t nr_joint_pieces(const nr_joint *j)
{
    return j->pieces;
}

nr_piece_view nr_joint_piece(const nr_joint *j, size_t piece)
{
    const nr_piece *p = &j->piece[piece];
    nr_piece_view v = {
        .series = p->series, .part = p->part, .run = p->run, .build = p->build, .input = p->input};
    memcpy(v.fits, p->fits, sizeof v.fits);
    v.driven = p->driven;
    return v;
}

size_t nr_joint_piece_of(const nr_joint *j, size_t build)
{
    for (size_t i = 0; i < j->pieces; i++)
        if (j->piece[i].build == build)
            return i;
    return 0;
}

size_t nr_joint_parameters(const nr_joint *j)
{
    return j->parameters;
}

const double *nr_joint_x(const nr_joint *j)
{
    return j->x;
}

nr_parameter_view nr_joint_parameter(const nr_joint *j, size_t i)
{
    const nr_parameter *p = &j->parameter[i];
    const nr_term_row *row = p->row;
    return (nr_parameter_view){.term = p->term,
                               .variant = p->variant,
                               .label = row->label[p->variant],
                               .channel = row->channel,
                               .unit = row->unit,
                               .key = p->key,
                               .ask = p->ask,
                               .asked_u = p->asked_u,
                               .scale = p->scale,
                               .has_prior = p->has_prior,
                               .stated = p->stated,
                               .prior = p->prior,
                               .prior_u = p->prior_u,
                               .said_u = p->said_u,
                               .value = j->x[i],
                               .u = sqrt(j->covariance[i * (j->parameters + 1)])};
}

int nr_joint_index(const nr_joint *j, size_t piece, nr_term term)
{
    return j->piece[piece].index[term];
}

bool nr_joint_concerns(const nr_joint *j, size_t build, size_t parameter)
{
    for (size_t i = 0; i < j->pieces; i++)
        for (int t = 0; j->piece[i].build == build && t < NR_TERMS; t++)
            if (j->piece[i].index[t] == (int)parameter)
                return true;
    return false;
}

void nr_joint_simulate(const nr_joint *j, size_t piece, const double *x, const nr_loop_output *out)
{
    nr_loop_params params = nr_joint_params(j, piece, x);
    nr_loop_run(&j->piece[piece].input, &params, out);
}

double nr_joint_shown(const nr_joint *j, size_t piece, int out, const double *x, double reading)
{
    double gain = nr_joint_term(j, piece, (nr_term)(NR_TERM_GAIN_STORE + out), x);
    return reading * (1 + gain) + nr_joint_term(j, piece, (nr_term)(NR_TERM_OFFSET_STORE + out), x);
}

/* The same by the rows of the whole, whose other builds lend their part, too. */
static double variance_in_whole(const nr_joint *part, const double *gradient, double *random,
                                double *systematic, double *share)
{
    size_t all = part->whole->parameters;
    double *work = malloc((2 * all + 1) * sizeof *work), *shares = work ? work + all : NULL;
    double total = NAN;
    if (work) {
        nr_joint_embed(part, gradient, work);
        total = nr_joint_variance(part->whole, work, random, systematic, shares);
    }
    for (size_t i = 0; share && i < part->parameters; i++)
        share[i] = work ? nr_like_shares(part->whole, shares, part->of_whole[i]) : NAN;
    if (share)
        share[part->parameters] = work ? shares[all] : NAN;
    free(work);
    return total;
}

double nr_joint_variance(const nr_joint *j, const double *gradient, double *random,
                         double *systematic, double *share)
{
    if (j->whole)
        return variance_in_whole(j, gradient, random, systematic, share);
    size_t m = j->parameters, count = 0, *which = malloc((m ? m : 1) * sizeof *which);
    double total = 0, stated = 0, *z = malloc((m ? m : 1) * sizeof *z);
    if (!which || !z) {
        free(which);
        free(z);
        return NAN;
    }
    for (size_t k = 0; k < m; k++) /* of hundreds of parameters a result depends on a few */
        if (gradient[k] != 0)
            which[count++] = k;
    for (size_t i = 0; i < m; i++) {
        double v = 0;
        for (size_t k = 0; k < count; k++)
            v += j->covariance[i * m + which[k]] * gradient[which[k]];
        total += gradient[i] * v;
        z[i] = v / j->parameter[i].prior_u;
    }
    for (size_t i = 0; i < m; i++) {
        double from_prior = j->parameter[i].has_prior ? pow(nr_like_row(j, z, i), 2) : 0;
        stated += from_prior;
        if (share)
            share[i] = from_prior;
    }
    free(z);
    free(which);
    double rest = fmax(total - stated, 0);
    if (share)
        share[m] = rest;
    if (random)
        *random = sqrt(rest);
    if (systematic)
        *systematic = sqrt(stated);
    return total;
}

double nr_joint_covariance(const nr_joint *j, const double *a, const double *b)
{
    return nr_propagate(j->parameters, j->covariance, a, b);
}

bool nr_joint_channel(const nr_joint *j, size_t piece, int out, nr_channel_view *view)
{
    const nr_piece *p = &j->piece[piece];
    if (!p->fits[out])
        return false;
    *view = (nr_channel_view){.blocks = p->part->blocks,
                              .used = p->used_count[out],
                              .raw_K = j->residual + p->row[out],
                              .whitened = j->whitened + p->row[out],
                              .noise = p->noise[out]};
    return true;
}

const double *nr_joint_modelled(const nr_joint *j, size_t piece, int out)
{
    return j->piece[piece].fits[out] ? j->piece[piece].reading[out] : NULL;
}

double nr_joint_chi2(const nr_joint *j, size_t *rows)
{
    *rows = j->used_rows;
    return j->chi2_data;
}

bool nr_joint_store_loss_separate(const nr_joint *j, size_t build)
{
    return j->store_loss_separate[build];
}

bool nr_joint_container_left_out(const nr_joint *j, size_t build, nr_container_view *why)
{
    *why = j->options.container[build];
    return j->options.without_container[build];
}

double nr_joint_hidden_K(const nr_joint *j, size_t build)
{
    return j->hidden_K[build];
}
