/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/joint/trial.h"

#include "analyze/joint/inside.h"

#include <gsl/gsl_randist.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* What is changed in the joint estimate during the trials, to be put back. */
struct nr_trials {
    nr_joint *joint;
    double *x, *covariance, *residual, *prior, *modelled, *record;
    double chi2_data;
};

static void trials_free(nr_trials *t)
{
    if (!t)
        return;
    free(t->x);
    free(t->covariance);
    free(t->residual);
    free(t->prior);
    free(t->modelled);
    free(t->record);
    free(t);
}

static double *copy(const double *from, size_t n)
{
    double *to = malloc((n ? n : 1) * sizeof(double));
    if (to)
        memcpy(to, from, n * sizeof(double));
    return to;
}

/* What the fitted model says every used reading should be: measured minus residual. */
static void keep_modelled(nr_trials *t)
{
    const nr_joint *j = t->joint;
    for (size_t i = 0; i < j->pieces; i++) {
        const nr_piece *p = &j->piece[i];
        for (int c = 0; c < NR_OUTS; c++)
            for (size_t k = 0; p->fits[c] && k < p->part->blocks; k++)
                if (p->used[c][k])
                    t->modelled[p->row[c] + k] = p->measured[c][k] - j->residual[p->row[c] + k];
    }
}

nr_trials *nr_trials_begin(nr_joint *j)
{
    size_t m = j->parameters;
    nr_trials *t = calloc(1, sizeof *t);
    if (!t)
        return NULL;
    *t = (nr_trials){.joint = j,
                     .x = copy(j->x, m),
                     .covariance = copy(j->covariance, m * m),
                     .residual = copy(j->residual, j->rows),
                     .prior = malloc(m * sizeof(double)),
                     .modelled = calloc(j->rows, sizeof(double)),
                     .record = malloc(j->rows * sizeof(double)),
                     .chi2_data = j->chi2_data};
    if (!t->x || !t->covariance || !t->residual || !t->prior || !t->modelled || !t->record) {
        trials_free(t);
        return NULL;
    }
    for (size_t i = 0; i < m; i++)
        t->prior[i] = j->parameter[i].prior;
    keep_modelled(t);
    return t;
}

void nr_trials_end(nr_trials *t)
{
    if (!t)
        return;
    nr_joint *j = t->joint;
    size_t m = j->parameters;
    memcpy(j->x, t->x, m * sizeof(double));
    memcpy(j->covariance, t->covariance, m * m * sizeof(double));
    memcpy(j->residual, t->residual, j->rows * sizeof(double));
    for (size_t i = 0; i < m; i++)
        j->parameter[i].prior = t->prior[i];
    for (size_t i = 0; i < j->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++)
            j->piece[i].measured[c] = j->piece[i].part->reading[c];
    j->chi2_data = t->chi2_data;
    trials_free(t);
}

/* Noise of one channel as its noise model has it. */
static void add_noise(const nr_noise *noise, double *v, size_t n, gsl_rng *rng)
{
    double slow_sd = noise->sigma * sqrt(noise->slow);
    double fast_sd = noise->sigma * sqrt(1 - noise->slow);
    double drive = slow_sd * sqrt(1 - noise->phi * noise->phi);
    double slow = gsl_ran_gaussian(rng, slow_sd);
    for (size_t k = 0; k < n; k++) {
        v[k] += slow + gsl_ran_gaussian(rng, fast_sd);
        slow = noise->phi * slow + gsl_ran_gaussian(rng, drive);
    }
}

nr_code nr_trials_next(nr_trials *t, gsl_rng *rng, nr_err *err)
{
    nr_joint *j = t->joint;
    memcpy(t->record, t->modelled, j->rows * sizeof(double));
    for (size_t i = 0; i < j->pieces; i++) {
        nr_piece *p = &j->piece[i];
        for (int c = 0; c < NR_OUTS; c++) {
            if (!p->fits[c])
                continue;
            add_noise(&p->noise[c], t->record + p->row[c], p->part->blocks, rng);
            p->measured[c] = t->record + p->row[c];
        }
    }
    for (size_t i = 0; i < j->parameters; i++)
        if (j->parameter[i].has_prior)
            j->parameter[i].prior = t->x[i] + gsl_ran_gaussian(rng, j->parameter[i].prior_u);
    memcpy(j->x, t->x, j->parameters * sizeof(double));
    return nr_joint_refit(j, err);
}
