/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For the tests of answers: records of the virtual rig with drawn sensors and masses, fitted, and
 * the rig's own steady state to hold the result against. */
#ifndef NR_TESTS_TRUTH_H
#define NR_TESTS_TRUTH_H

#include "analyze/compare/compare.h"
#include "analyze/fit/fit.h"
#include "tests/unit/quality/records.h"

static inline nr_fit *fit_of(nr_virtual_run *const *runs, size_t count,
                             const nr_fit_options *options)
{
    const nr_run *record[8];
    for (size_t i = 0; i < count; i++)
        record[i] = &runs[i]->run;
    nr_fit_options defaults = nr_fit_defaults();
    nr_fit *fit = NULL;
    nr_err err = {0};
    nr_code code = nr_fit_runs(record, count, options ? options : &defaults, &fit, &err);
    ck_assert_msg(code == NR_OK, "%s", err.text);
    return fit;
}

/* The rig's efficiency at x under the conditions the fit speaks of: its mean irradiance, air and
 * angle, the rig's own mean flow and wind. */
static inline double true_efficiency(const nr_virtual_run *run, const nr_fit *fit, double x)
{
    nr_virtual_device d = run->device;
    if (fit->incidence.known)
        d.optical *= 1 - d.iam_b0 * (1 / cos(fit->incidence.mean_deg * M_PI / 180) - 1);
    nr_virtual_conditions c = run->mean;
    c.sun_W_m2 = fit->mean_sun_W_m2;
    c.air_degC = fit->mean_air_degC;
    return nr_virtual_steady(&d, &c, x,
                             fit->reference == NR_REFERENCE_MEAN ? NR_BASIS_MEAN : NR_BASIS_INLET,
                             fit->loss_includes_store)
        .eta;
}

/* Mean slope of the true curve over the span whose slope the fit reports (from zero to the end of
 * the tested range). */
static inline double true_a1(const nr_virtual_run *run, const nr_fit *fit)
{
    double span = fmax(fmax(fit->x_range[1], fabs(fit->x_range[0])), 0.01);
    return (true_efficiency(run, fit, 0) - true_efficiency(run, fit, span)) / span;
}

static inline bool covers(const nr_quantity *q, double truth)
{
    return q->known && truth >= q->lo95 && truth <= q->hi95;
}

#endif
