/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/answer/montecarlo.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* What is changed in the joint estimate during the trials, to be put back. */
typedef struct backup {
    double *x, *covariance, *residual, *prior, *modelled;
    double chi2_data;
    size_t iterations;
} backup;

static void backup_free(backup *b)
{
    free(b->x);
    free(b->covariance);
    free(b->residual);
    free(b->prior);
    free(b->modelled);
}

static double *copy(const double *from, size_t n)
{
    double *to = malloc((n ? n : 1) * sizeof(double));
    if (to)
        memcpy(to, from, n * sizeof(double));
    return to;
}

/* Also what the fitted model says every used reading should be: measured minus residual. */
static bool backup_take(backup *b, const nr_joint *j)
{
    size_t m = j->parameters;
    *b = (backup){.x = copy(j->x, m),
                  .covariance = copy(j->covariance, m * m),
                  .residual = copy(j->residual, j->rows),
                  .prior = malloc(m * sizeof(double)),
                  .modelled = calloc(j->rows, sizeof(double)),
                  .chi2_data = j->chi2_data,
                  .iterations = j->iterations};
    if (!b->x || !b->covariance || !b->residual || !b->prior || !b->modelled)
        return false;
    for (size_t i = 0; i < m; i++)
        b->prior[i] = j->parameter[i].prior;
    for (size_t i = 0; i < j->pieces; i++) {
        const nr_piece *p = &j->piece[i];
        for (int c = 0; c < NR_OUTS; c++)
            for (size_t k = 0; p->fits[c] && k < p->part->blocks; k++)
                if (p->used[c][k])
                    b->modelled[p->row[c] + k] = p->measured[c][k] - j->residual[p->row[c] + k];
    }
    return true;
}

static void backup_restore(const backup *b, nr_joint *j)
{
    size_t m = j->parameters;
    memcpy(j->x, b->x, m * sizeof(double));
    memcpy(j->covariance, b->covariance, m * m * sizeof(double));
    memcpy(j->residual, b->residual, j->rows * sizeof(double));
    for (size_t i = 0; i < m; i++)
        j->parameter[i].prior = b->prior[i];
    for (size_t i = 0; i < j->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++)
            j->piece[i].measured[c] = j->piece[i].part->reading[c];
    j->chi2_data = b->chi2_data;
    j->iterations = b->iterations;
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

/* A record and stated values as they might have been, were the fitted values the truth. */
static void draw(nr_joint *j, const backup *b, double *record, gsl_rng *rng)
{
    memcpy(record, b->modelled, j->rows * sizeof(double));
    for (size_t i = 0; i < j->pieces; i++) {
        nr_piece *p = &j->piece[i];
        for (int c = 0; c < NR_OUTS; c++) {
            if (!p->fits[c])
                continue;
            add_noise(&p->noise[c], record + p->row[c], p->part->blocks, rng);
            p->measured[c] = record + p->row[c];
        }
    }
    for (size_t i = 0; i < j->parameters; i++)
        if (j->parameter[i].has_prior)
            j->parameter[i].prior = b->x[i] + gsl_ran_gaussian(rng, j->parameter[i].prior_u);
    memcpy(j->x, b->x, j->parameters * sizeof(double));
}

/* The error of a trial's result is what the fitted value's error may be: the interval is the
 * fitted value minus its quantiles. */
static void summarise(double *values, size_t n, double fitted, nr_sampled *s)
{
    gsl_sort(values, 1, n);
    s->u = gsl_stats_sd(values, 1, n);
    s->u_error = s->u / sqrt(2.0 * ((double)n - 1));
    s->lo95 = 2 * fitted - gsl_stats_quantile_from_sorted_data(values, 1, n, 0.975);
    s->hi95 = 2 * fitted - gsl_stats_quantile_from_sorted_data(values, 1, n, 0.025);
}

static size_t run_trials(nr_joint *j, const backup *b, const nr_sample_of *results, size_t count,
                         size_t trials, gsl_rng *rng, const nr_sink *progress, double *record,
                         double *values)
{
    size_t done = 0;
    for (size_t t = 0; t < trials; t++) {
        draw(j, b, record, rng);
        bool good = nr_joint_refit(j, NULL) == NR_OK;
        for (size_t r = 0; good && r < count; r++) {
            values[r * trials + done] = results[r].fn(j, j->x, results[r].context);
            good = isfinite(values[r * trials + done]);
        }
        done += good;
        nr_say(progress, "%zu of %zu", t + 1, trials);
    }
    return done;
}

nr_code nr_monte_carlo_run(nr_joint *j, const nr_sample_of *results, size_t count, size_t trials,
                           unsigned long seed, const nr_sink *progress, size_t *failed, nr_err *err)
{
    backup b = {0};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    double *record = malloc(j->rows * sizeof(double));
    double *values = malloc(count * trials * sizeof(double));
    nr_code code = NR_OK;
    if (!rng || !record || !values || !backup_take(&b, j)) {
        code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    } else {
        gsl_rng_set(rng, seed);
        size_t done = run_trials(j, &b, results, count, trials, rng, progress, record, values);
        backup_restore(&b, j);
        *failed = trials - done;
        if (done < 2 || 10 * *failed > trials)
            code = nr_fail(err, NR_CANNOT, NULL, 0,
                           "%zu of %zu Monte Carlo trials found no minimum; the linear "
                           "uncertainties are not confirmed",
                           *failed, trials);
        for (size_t r = 0; !code && r < count; r++)
            summarise(values + r * trials, done, results[r].fn(j, j->x, results[r].context),
                      results[r].into);
    }
    backup_free(&b);
    if (rng)
        gsl_rng_free(rng);
    free(record);
    free(values);
    return code;
}
