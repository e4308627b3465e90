/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For tests that work the numbers of a fit out a second time: two records of two parts each, one
 * whose loop is measured, one of the store alone; gradients and uncertainties by u^2 = g' C g (JCGM
 * 100:2008, 5.2.2). */
#ifndef NR_TESTS_WORKED_H
#define NR_TESTS_WORKED_H

#include "analyze/fit/derive.h"
#include "analyze/physics/water.h"
#include "tests/unit/quality/records.h"

enum { LOOP, STORE, RECORDS, MOST = 4000 };

typedef struct worked {
    nr_virtual_run *run;
    nr_series *series;
    nr_joint *joint;
    nr_fit *fit;
    nr_curve_at at;
} worked;

/* Two or three hours with a stop of the pump, a gap without sun's readings that makes two
 * parts, and readings that are missing here and there. */
static inline void set_up(worked *w, int kind)
{
    nr_virtual_params p = nr_virtual_glazed();
    nr_fit_options options = nr_fit_defaults();
    static const size_t build_of[] = {0};
    nr_err err = {.text = ""};
    p.rig_seed = 21;
    p.day_seed = 22;
    p.interval_s = kind == LOOP ? 10 : 5;
    p.duration_s = kind == LOOP ? 12000 : 6000;
    p.store_above_air_K = 6;
    p.pump_stop_s = 2000;
    p.pump_restart_s = 2300;
    p.stated.iam_b0 = 0.1;
    p.sky = NR_SKY_CLEAR;
    if (kind == STORE)
        p.channels = NR_VC_STORE_SET;
    w->run = simulate(&p);
    w->run->run.rig.store.pump_W = (nr_value){.given = true, .value = 6, .u = 1, .u_given = true};
    double water_kg = w->run->run.rig.store.water_kg.value; /* a tenth gone by the end */
    w->run->run.rig.store.water_end_kg =
        (nr_value){.given = true, .value = 0.9 * water_kg, .u = 0.005 * water_kg, .u_given = true};
    nr_readings *r = w->run->run.readings;
    double *sun = column(w->run, "sun"), *store = column(w->run, "store");
    for (size_t i = 0; i < r->rows; i++) {
        double t = r->elapsed_s[i];
        sun[i] = t > 3000 && t < 3700 ? NAN : sun[i];
        store[i] = t > 1200 && t < 1300 ? NAN : store[i];
    }
    ck_assert_msg(nr_series_build(&w->run->run, &w->series, &err) == NR_OK, "%s", err.text);
    ck_assert_uint_ge(w->series->parts, 2);
    ck_assert_msg(nr_fit_joint(&w->series, build_of, 1, 1, &options, &w->joint, &err) == NR_OK,
                  "%s", err.text);
    nr_derive_options how = {.mean_reference = kind == LOOP, .time_constant = true};
    ck_assert_msg(nr_derive_fit(w->joint, 0, &how, &w->fit, &err) == NR_OK, "%s", err.text);
    w->at = nr_derive_conditions(w->joint, 0, how.mean_reference);
    w->at.bend = w->fit->a2.known;
    w->at.span = fmax(fmax(fabs(w->fit->x_range[0]), w->fit->x_range[1]), 0.01);
}

static inline void tear_down(worked *w)
{
    nr_fit_free(w->fit);
    nr_joint_free(w->joint);
    nr_series_free(w->series);
    nr_virtual_run_free(w->run);
}

/* ---- uncertainties ---- */

/* Of five points (error of the fourth order in the step). */
static inline void gradient_of(const nr_joint *j, nr_result_fn fn, const void *context,
                               double *gradient)
{
    size_t m = nr_joint_parameters(j);
    double *x = calloc(m, sizeof *x);
    memcpy(x, nr_joint_x(j), m * sizeof *x);
    for (size_t i = 0; i < m; i++) {
        double h = 4e-3 * nr_joint_parameter(j, i).scale, at = x[i], f[4];
        static const double where[4] = {-2, -1, 1, 2};
        for (int k = 0; k < 4; k++) {
            x[i] = at + where[k] * h;
            f[k] = fn(j, x, context);
        }
        x[i] = at;
        gradient[i] = (f[0] - 8 * f[1] + 8 * f[2] - f[3]) / (12 * h);
    }
    free(x);
}

/* Of priors that do not lean on each other: the part of one is (u' C g / u)^2. */
static inline double u_by_hand(const nr_joint *j, const double *g, double *random)
{
    size_t m = nr_joint_parameters(j);
    double *unit = calloc(m, sizeof *unit), all = nr_joint_covariance(j, g, g), stated = 0;
    for (size_t i = 0; i < m; i++) {
        nr_parameter_view p = nr_joint_parameter(j, i);
        unit[i] = 1;
        if (p.has_prior)
            stated += pow(nr_joint_covariance(j, unit, g) / p.prior_u, 2);
        unit[i] = 0;
    }
    free(unit);
    *random = sqrt(fmax(all - stated, 0));
    return sqrt(all);
}

static inline double mean_of_steps(const nr_series *s, const double *v, size_t b)
{
    double sum = 0;
    size_t n = s->steps_per_block;
    for (size_t k = 0; k < n; k++)
        sum += v[b * n + k];
    return sum / (double)n;
}

#endif
