/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/fit/montecarlo.h"

#include "analyze/joint/trial.h"

#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>

#include <math.h>
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

static size_t run_trials(nr_joint *j, nr_trials *all, const nr_sample_of *results, size_t count,
                         size_t trials, gsl_rng *rng, const nr_sink *progress, double *values)
{
    size_t done = 0;
    for (size_t t = 0; t < trials; t++) {
        bool good = nr_trials_next(all, rng, NULL) == NR_OK;
        for (size_t r = 0; good && r < count; r++) {
            values[r * trials + done] = results[r].fn(j, nr_joint_x(j), results[r].context);
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
    nr_trials *all = nr_trials_begin(j);
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    double *values = malloc(count * trials * sizeof(double));
    nr_code code = NR_OK;
    if (!rng || !values || !all) {
        code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
        nr_trials_end(all);
    } else {
        gsl_rng_set(rng, seed);
        size_t done = run_trials(j, all, results, count, trials, rng, progress, values);
        nr_trials_end(all);
        *failed = trials - done;
        if (done < 2 || 10 * *failed > trials)
            code = nr_fail(err, NR_CANNOT, NULL, 0,
                           "%zu of %zu Monte Carlo trials found no minimum; the linear "
                           "uncertainties are not confirmed",
                           *failed, trials);
        for (size_t r = 0; !code && r < count; r++)
            summarise(values + r * trials, done,
                      results[r].fn(j, nr_joint_x(j), results[r].context), results[r].into);
    }
    if (rng)
        gsl_rng_free(rng);
    free(values);
    return code;
}
