/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/fit/montecarlo.h"

#include "analyze/estimate/workers.h"
#include "analyze/joint/trial.h"

#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

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

/* What the threads share. */
typedef struct trials_of {
    const nr_joint *joint;
    const nr_sample_of *results;
    size_t count, trials;
    unsigned long seed;
    double *values; /* [count][trials]; NAN in the first: failed */
    nr_joint *own[NR_WORKERS_MOST];
    nr_trials *open[NR_WORKERS_MOST];
    gsl_rng *rng[NR_WORKERS_MOST];
    const nr_sink *progress; /* by the first worker, whose caller it is */
} trials_of;

/* A trial's own seed, so that it draws the same whoever does it (the mixing function of
 * SplitMix64: G. Steele, D. Lea, C. Flood, OOPSLA 2014). */
static unsigned long seed_of(unsigned long seed, size_t trial)
{
    uint64_t z = (uint64_t)seed * 0x9e3779b97f4a7c15u + (uint64_t)trial + 1;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return (unsigned long)((z ^ (z >> 31)) & 0xffffffffu);
}

/* A worker's work space, at its first trial. */
static bool ready(trials_of *t, size_t worker)
{
    if (t->open[worker])
        return true;
    if (!t->own[worker])
        t->own[worker] = nr_joint_copy(t->joint);
    if (!t->rng[worker])
        t->rng[worker] = gsl_rng_alloc(gsl_rng_mt19937);
    if (t->own[worker] && t->rng[worker])
        t->open[worker] = nr_trials_begin(t->own[worker]);
    return t->open[worker] != NULL;
}

static void trial(void *context, size_t worker, size_t i)
{
    trials_of *t = context;
    t->values[i] = NAN;
    if (!ready(t, worker))
        return;
    gsl_rng_set(t->rng[worker], seed_of(t->seed, i));
    bool good = nr_trials_next(t->open[worker], t->rng[worker], NULL) == NR_OK;
    for (size_t r = 0; good && r < t->count; r++) {
        double value =
            t->results[r].fn(t->own[worker], nr_joint_x(t->own[worker]), t->results[r].context);
        t->values[r * t->trials + i] = value;
        good = isfinite(value);
    }
    if (!good)
        t->values[i] = NAN;
    if (worker == 0)
        nr_say(t->progress, "%zu of %zu", i + 1, t->trials);
}

static void clear(trials_of *t)
{
    for (size_t w = 0; w < NR_WORKERS_MOST; w++) {
        nr_trials_end(t->open[w]);
        nr_joint_free(t->own[w]);
        if (t->rng[w])
            gsl_rng_free(t->rng[w]);
    }
}

/* Trials that failed are taken out, the rest keep their order. */
static size_t pack(double *values, size_t count, size_t trials)
{
    size_t done = 0;
    for (size_t i = 0; i < trials; i++) {
        if (isnan(values[i]))
            continue;
        for (size_t r = 0; r < count; r++)
            values[r * trials + done] = values[r * trials + i];
        done++;
    }
    return done;
}

nr_code nr_monte_carlo_threads(const nr_joint *j, const nr_sample_of *results, size_t count,
                               size_t trials, unsigned long seed, size_t threads,
                               const nr_sink *progress, size_t *failed, nr_err *err)
{
    double *values = malloc(count * trials * sizeof(double));
    if (!values)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    trials_of t = {.joint = j,
                   .results = results,
                   .count = count,
                   .trials = trials,
                   .seed = seed,
                   .values = values,
                   .progress = progress};
    nr_workers_run(trials, threads, trial, &t);
    clear(&t);
    size_t done = pack(values, count, trials);
    nr_code code = NR_OK;
    *failed = trials - done;
    if (done < 2 || 10 * *failed > trials)
        code = nr_fail(err, NR_CANNOT, NULL, 0,
                       "%zu of %zu Monte Carlo trials found no minimum; the linear "
                       "uncertainties are not confirmed",
                       *failed, trials);
    for (size_t r = 0; !code && r < count; r++)
        summarise(values + r * trials, done, results[r].fn(j, nr_joint_x(j), results[r].context),
                  results[r].into);
    free(values);
    return code;
}

nr_code nr_monte_carlo_run(const nr_joint *j, const nr_sample_of *results, size_t count,
                           size_t trials, unsigned long seed, const nr_sink *progress,
                           size_t *failed, nr_err *err)
{
    return nr_monte_carlo_threads(j, results, count, trials, seed, 0, progress, failed, err);
}
