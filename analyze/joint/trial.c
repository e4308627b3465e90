/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/joint/trial.h"

#include "analyze/joint/evaluate.h"
#include "analyze/joint/like.h"

#include <gsl/gsl_randist.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* What is changed in the joint estimate during the trials, to be put back. */
struct nr_trials {
    nr_joint *joint;
    double *x, *covariance, *residual, *prior, *modelled, *record;
    double *jacobian, *off; /* at x, whitened, NULL: too large; [rows] work space */
    double *slope, *step;   /* [parameters] work space */
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
    free(t->jacobian);
    free(t->off);
    free(t->slope);
    free(t->step);
    free(t);
}

static double *copy(const double *from, size_t n)
{
    double *to = malloc((n ? n : 1) * sizeof(double));
    if (to)
        memcpy(to, from, n * sizeof(double));
    return to;
}

nr_joint *nr_joint_copy(const nr_joint *j)
{
    nr_joint *to = NULL;
    size_t m = j->parameters;
    if (nr_joint_setup(j->series, j->build_of, j->runs, j->builds, &j->options, &to, NULL))
        return NULL;
    to->threads = 1; /* whoever copies has threads of his own */
    memcpy(to->parameter, j->parameter, m * sizeof *j->parameter);
    memcpy(to->x, j->x, m * sizeof(double));
    memcpy(to->covariance, j->covariance, m * m * sizeof(double));
    memcpy(to->residual, j->residual, j->rows * sizeof(double));
    memcpy(to->whitened, j->whitened, j->rows * sizeof(double));
    memcpy(to->hidden_K, j->hidden_K, sizeof j->hidden_K);
    to->chi2_data = j->chi2_data;
    to->used_rows = j->used_rows;
    for (size_t i = 0; i < j->pieces; i++) {
        const nr_piece *from = &j->piece[i];
        for (int c = 0; c < NR_OUTS; c++) {
            nr_piece *p = &to->piece[i];
            p->noise[c] = from->noise[c];
            if (!p->fits[c])
                continue;
            memcpy(p->reading[c], from->reading[c], p->part->blocks * sizeof(double));
            nr_whitener_set(&p->whitener[c], &p->noise[c], p->used[c]);
        }
    }
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
                     .slope = malloc(m * sizeof(double)),
                     .step = malloc(m * sizeof(double)),
                     .off = calloc(j->rows, sizeof(double)),
                     .chi2_data = j->chi2_data};
    bool large = nr_joint_is_large(j), good = t->x && t->covariance && t->residual && t->prior &&
                                              t->modelled && t->record && t->off && t->slope &&
                                              t->step;
    if (good && !large) {
        t->jacobian = malloc(j->rows * m * sizeof(double));
        good = t->jacobian && !nr_joint_jacobian(j->x, j, t->jacobian);
    }
    if (!good) {
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
static void add_noise(const nr_noise *noise, const double *more, double *v, size_t n, gsl_rng *rng)
{
    double slow_sd = noise->sigma * sqrt(noise->slow);
    double fast_sd = noise->sigma * sqrt(1 - noise->slow);
    double own = nr_noise_driver(noise), with = own / (1 - noise->phi * noise->phi2);
    double drive = slow_sd * sqrt(own * (1 - noise->phi2 * noise->phi2));
    double slow = gsl_ran_gaussian(rng, slow_sd), driver = 0;
    if (noise->phi2 > 0) /* what drives it goes with it */
        driver = with * slow + gsl_ran_gaussian(rng, slow_sd * sqrt(own - with * with));
    for (size_t k = 0; k < n; k++) {
        v[k] += slow + gsl_ran_gaussian(rng, more ? hypot(fast_sd, sqrt(more[k])) : fast_sd);
        driver = noise->phi2 * driver + gsl_ran_gaussian(rng, drive);
        slow = noise->phi * slow + driver;
    }
}

/* Steps with the same slopes, at most, and how short one is when no other is worth it: all standard
 * uncertainties together. */
#define CHORD_STEPS 12
#define CHORD_DONE 2e-2

/* x less the step that slopes at the fitted values give for t->off, which is the residual at x.
 * Returns the step's length, all standard uncertainties together. */
static double chord_step(nr_trials *t, double *x)
{
    const nr_joint *j = t->joint;
    size_t m = j->parameters;
    double *slope = t->slope, length = 0;
    memset(slope, 0, m * sizeof *slope);
    for (size_t r = 0; r < j->rows; r++) {
        const double *restrict row = t->jacobian + r * m;
        for (size_t i = 0; t->off[r] != 0 && i < m; i++)
            slope[i] += row[i] * t->off[r];
    }
    for (size_t i = 0; i < m; i++) {
        double step = 0;
        for (size_t k = 0; k < m; k++)
            step += t->covariance[i * m + k] * slope[k];
        t->step[i] = step;
        length += step * slope[i];
    }
    nr_joint_straight_step(j, x, t->step);
    memcpy(x, t->step, m * sizeof *x);
    return sqrt(fmax(length, 0));
}

/* The first steps of the search cost little or no simulation: what the model says and its slopes at
 * the fitted values are the same for every trial, whoever does it. */
static void first_steps(nr_trials *t, double *x)
{
    const nr_joint *j = t->joint;
    size_t m = j->parameters, row = j->rows;
    memcpy(x, t->x, m * sizeof *x);
    if (!t->jacobian)
        return;
    for (size_t i = 0; i < j->pieces; i++) {
        const nr_piece *p = &j->piece[i];
        for (int c = 0; c < NR_OUTS; c++) {
            if (!p->fits[c])
                continue;
            double *off = t->off + p->row[c];
            for (size_t k = 0; k < p->part->blocks; k++)
                off[k] = t->modelled[p->row[c] + k] - t->record[p->row[c] + k];
            nr_whiten(&p->whitener[c], off, 1, 1);
        }
    }
    for (size_t i = m; i-- > 0;)
        if (j->parameter[i].has_prior)
            t->off[--row] = nr_like_residual(j, x, i);
    double length = chord_step(t, x), before = INFINITY;
    for (int i = 0; i < CHORD_STEPS && length > CHORD_DONE && length < before; i++) {
        if (nr_joint_residuals(x, t->joint, t->off))
            break;
        before = length;
        length = chord_step(t, x);
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
            add_noise(&p->noise[c], p->whitener[c].more, t->record + p->row[c], p->part->blocks,
                      rng);
            p->measured[c] = t->record + p->row[c];
        }
    }
    for (size_t i = 0; i < j->parameters; i++)
        if (j->parameter[i].has_prior)
            j->parameter[i].prior = t->x[i] + gsl_ran_gaussian(rng, j->parameter[i].prior_u);
    first_steps(t, j->x);
    if (nr_joint_refit(j, true, NULL) == NR_OK)
        return NR_OK;
    memcpy(j->x, t->x, j->parameters * sizeof(double));
    return nr_joint_refit(j, false, err);
}
