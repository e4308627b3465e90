/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a solved joint estimate to what is said about one build. */
#ifndef NR_FIT_DERIVE_H
#define NR_FIT_DERIVE_H

#include "analyze/fit/fit.h"
#include "analyze/fit/results.h"

typedef struct nr_derive_options {
    bool mean_reference; /* mean fluid temperature instead of the inlet's */
    bool time_constant;  /* costs as much as the rest together */
    bool brief;          /* coefficients and their uncertainties, and nothing else */
    bool for_trust;      /* what trust.h looks at: no points, no regressions, no tables */
    bool quadratic;      /* a2 in any case */
} nr_derive_options;

/* Whether the record knows the flow, so that the mean fluid temperature has a meaning. */
bool nr_derive_knows_flow(const nr_joint *joint, size_t build);
/* Whose temperatures a build's readings allow to be fitted; solved or only set up. */
nr_fit_model nr_derive_model(const nr_joint *joint, size_t build);

/* The reduced temperature difference up to which a fit's a1 is the slope of its curve. */
double nr_derive_span(const nr_fit *fit);

/* derive_energy.c: what is counted of a build's records, from the first to the last block of each
 * piece in which the sun shone on a pumped collector. Arrays [pieces]; zero where nothing counts.
 */
typedef struct nr_derive_energy {
    double *rise_K, *sun_J_m2, *seconds;
    double *pumped_s; /* of those, with the pump running */
    double *middle;   /* of the counted time, as a share of the piece */
    /* What each piece kept and had of the sun at the solution x: a derivative moves a parameter,
     * and few pieces have it. */
    double *x, *kept_J, *had_J;
} nr_derive_energy;
/* False: out of memory; close it all the same. */
bool nr_derive_energy_open(const nr_joint *joint, size_t build, nr_derive_energy *energy);
void nr_derive_energy_close(nr_derive_energy *energy);
/* Fills fit->counted_s, sun_J, water_J, pump_J, run_efficiency; share as nr_result_quantity. */
void nr_derive_energy_fill(const nr_joint *joint, const nr_derive_energy *energy, nr_fit *fit,
                           double *share);
/* Heat kept in the store, less what its pump brought, over sun on the gross area; context:
 * nr_derive_energy. A nr_result_fn. */
double nr_derive_kept_over_sun(const nr_joint *joint, const double *x, const void *energy);

/* Where the build's collector was run: means over its runs' sunny, pumped time. */
nr_curve_at nr_derive_conditions(const nr_joint *joint, size_t build, bool mean_reference);

nr_code nr_derive_fit(const nr_joint *joint, size_t build, const nr_derive_options *options,
                      nr_fit **out, nr_err *err);

/* fit.c: the joint estimate with the choices that a fit makes by itself: the container's loss
 * lumped when the record cannot tell it. (Whether a2 is reported is derive.c's to say.) */
nr_code nr_fit_joint(nr_series *const *series, const size_t *build_of, size_t runs, size_t builds,
                     const nr_fit_options *options, nr_joint **out, nr_err *err);
void nr_series_free_all(nr_series **series, size_t count);

/* derive_runs.c: the runs' series, modelled readings and powers, ranges; fills fit->runs,
 * run, x_range, dT_range, sun_range, residual_rms_K. */
nr_code nr_derive_runs(const nr_joint *joint, size_t build, nr_fit *fit, nr_err *err);

/* derive_curve.c: the curve as a polynomial with its covariance, drawn from it point by point; the
 * covariance of the coefficients. Fills fit->curve, curve_formula, covariance. */
nr_code nr_derive_curve(const nr_joint *joint, const nr_curve_at *at, nr_fit *fit, nr_err *err);

/* derive_points.c: the points for the eye and the classical regression through them. */
nr_code nr_derive_points(const nr_joint *joint, size_t build, nr_fit *fit, nr_err *err);

/* derive_classical.c: fills fit->classical from fit->point. */
void nr_derive_classical(nr_fit *fit);

/* derive_means.c: fills fit->means. */
nr_code nr_derive_means(const nr_joint *joint, size_t build, nr_fit *fit, nr_err *err);

/* back.c: the efficiency in the middle of the tested range, with its standard uncertainty, and what
 * it would be without a board that nobody stated. False: there is none, or no such answer. */
bool nr_fit_back_matters(const nr_joint *joint, size_t build, const nr_fit *fit, double with[2],
                         double *without);

/* derive_warnings.c: what the reader must know. */
void nr_derive_warnings(const nr_joint *joint, size_t build, nr_fit *fit);

#endif
