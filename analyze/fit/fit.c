/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/fit/fit.h"

#include "analyze/fit/derive.h"
#include "analyze/fit/montecarlo.h"
#include "analyze/fit/standard_parts.h"
#include "logger/base/units.h"

#include <math.h>
#include <stdlib.h>

/* The container's loss counts as separated when the record narrowed its wide prior this much. */
#define SEPARATED 0.5

nr_fit_options nr_fit_defaults(void)
{
    return (nr_fit_options){.use_store = true, .use_loop = true};
}

void nr_series_free_all(nr_series **series, size_t count)
{
    for (size_t i = 0; i < count; i++)
        nr_series_free(series[i]);
}

/* A build must have been in the sun with its pump running, in one of its runs at least; what is
 * darker than this is dusk, rain or a covered pyranometer. */
#define LEAST_SUN_W_M2 100.0

static nr_code check_sun(nr_series *const *series, const size_t *build_of, size_t runs,
                         size_t build, nr_err *err)
{
    double most = 0;
    const nr_series *first = NULL;
    for (size_t i = 0; i < runs; i++) {
        if (build_of[i] != build)
            continue;
        first = first ? first : series[i];
        if (series[i]->mean_sun_W_m2 >= LEAST_SUN_W_M2) /* NAN where it never ran in the sun */
            return NR_OK;
        most = fmax(most, series[i]->max_sun_W_m2);
    }
    /* A refusal knows nothing of the units shown: it names both. */
    const nr_unit *us = nr_unit_find("Btu_h_ft2");
    return nr_fail(err, NR_CANNOT, first ? first->run->folder : NULL, 0,
                   "the pump never ran while the sun shone (highest irradiance %.0f W/m2, at least "
                   "%.0f are needed; in Btu/(h ft2): %.0f and %.0f): there is no heat gain to "
                   "derive an efficiency from",
                   most, LEAST_SUN_W_M2, nr_unit_from_canonical(us, most),
                   nr_unit_from_canonical(us, LEAST_SUN_W_M2));
}

/* In words for somebody who has a record, not a least-squares problem. */
static nr_code no_trustworthy_fit(const nr_series *first, nr_err *err)
{
    nr_err why = *err;
    return nr_fail(err, NR_CANNOT, first->run->folder, 0,
                   "this record has no trustworthy fit (%s); `noonfit inspect` may tell what is "
                   "wrong with it",
                   why.text);
}

static nr_code solve(nr_series *const *series, const size_t *build_of, size_t runs, size_t builds,
                     const nr_joint_options *options, nr_joint **out, nr_err *err)
{
    nr_code code =
        nr_joint_setup((const nr_series *const *)series, build_of, runs, builds, options, out, err);
    if (!code)
        code = nr_joint_solve(*out, err);
    if (code == NR_CANNOT && err && !err->file[0])
        code = no_trustworthy_fit(series[0], err);
    if (code) {
        nr_joint_free(*out);
        *out = NULL;
    }
    return code;
}

/* Whether a build's container loss, where not stated, was really learnt from the record. */
static bool store_loss_learnt(const nr_joint *j)
{
    for (size_t i = 0; i < nr_joint_parameters(j); i++) {
        nr_parameter_view p = nr_joint_parameter(j, i);
        bool stated = false;
        if (p.term != NR_TERM_STORE_LOSS)
            continue;
        for (size_t k = 0; k < nr_joint_pieces(j); k++) {
            nr_piece_view piece = nr_joint_piece(j, k);
            if (nr_joint_index(j, k, NR_TERM_STORE_LOSS) == (int)i)
                stated = stated || piece.series->run->rig.store.loss_W_K.given ||
                         piece.fits[NR_OUT_OUTLET];
        }
        if (!stated && p.u > SEPARATED * p.prior_u)
            return false;
    }
    return true;
}

nr_code nr_fit_joint(nr_series *const *series, const size_t *build_of, size_t runs, size_t builds,
                     const nr_fit_options *options, nr_joint **out, nr_err *err)
{
    nr_joint_options how = {.use_store = options->use_store,
                            .use_loop = options->use_loop,
                            .lump_store_loss = options->lump_store_loss,
                            .begin = options->begin,
                            .progress = options->progress};
    *out = NULL;
    nr_code code = NR_OK;
    for (size_t b = 0; b < builds && !code; b++) {
        nr_series_share_wind(series, build_of, runs, b);
        code = check_sun(series, build_of, runs, b, err);
    }
    if (!code)
        code = solve(series, build_of, runs, builds, &how, out, err);
    if (code)
        return code;
    bool again = false;
    for (size_t b = 0; b < builds && !code; b++) {
        code = nr_joint_container(*out, b, &how.container[b], err);
        how.without_container[b] = how.container[b].known && !how.container[b].consistent;
        again = again || how.without_container[b];
    }
    if (!code && again) {
        nr_joint_free(*out);
        code = solve(series, build_of, runs, builds, &how, out, err);
    }
    if (code) {
        nr_joint_free(*out);
        *out = NULL;
        return code;
    }
    if (!store_loss_learnt(*out)) {
        nr_joint_free(*out);
        how.lump_store_loss = true;
        code = solve(series, build_of, runs, builds, &how, out, err);
    }
    return code;
}

/* The linear uncertainties once more, by propagating distributions. */
static nr_code monte_carlo(nr_joint *joint, bool mean_reference, const nr_fit_options *options,
                           nr_fit *fit, nr_err *err)
{
    nr_curve_at at = nr_derive_conditions(joint, 0, mean_reference);
    at.span = nr_derive_span(fit);
    at.bend = fit->a2.known;
    nr_derive_energy energy;
    nr_monte_carlo *m = &fit->monte_carlo;
    const nr_sample_of results[] = {{nr_result_efficiency, &at, &m->eta0},
                                    {nr_result_a1, &at, &m->a1},
                                    {nr_derive_kept_over_sun, &energy, &m->run_efficiency}};
    m->seed = options->seed;
    nr_code code = nr_derive_energy_open(joint, 0, &energy)
                       ? nr_monte_carlo_run(joint, results, 3, options->monte_carlo, options->seed,
                                            options->progress, &m->failed, err)
                       : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    nr_derive_energy_close(&energy);
    m->trials = code ? 0 : options->monte_carlo;
    return code;
}

nr_code nr_fit_runs(const nr_run *const *runs, size_t count, const nr_fit_options *options,
                    nr_fit **out, nr_err *err)
{
    *out = NULL;
    if (count == 0 || count > NR_JOINT_RUNS)
        return nr_fail(err, NR_BAD, NULL, 0, "1 to %d runs can be fitted together, not %zu",
                       NR_JOINT_RUNS, count);
    nr_series *series[NR_JOINT_RUNS] = {NULL};
    size_t build_of[NR_JOINT_RUNS] = {0};
    nr_code code = NR_OK;
    for (size_t i = 0; i < count && !code; i++)
        code = nr_series_build(runs[i], &series[i], err);
    nr_joint *joint = NULL;
    if (!code)
        code = nr_fit_joint(series, build_of, count, 1, options, &joint, err);
    if (!code && options->leave)
        *options->leave = nr_joint_begin_at(joint);
    if (!code) {
        nr_derive_options how = {.time_constant = !options->plain};
        how.quadratic = options->quadratic;
        how.mean_reference = options->force_reference ? options->reference == NR_REFERENCE_MEAN
                                                      : nr_derive_knows_flow(joint, 0);
        code = nr_derive_fit(joint, 0, &how, out, err);
        if (!code && !options->plain)
            code = nr_trust_judge(joint, 0, *out, err);
        if (!code && options->standard)
            code = nr_standard_make(joint, *out, &(*out)->standard, err);
        if (!code && options->monte_carlo)
            code = monte_carlo(joint, how.mean_reference, options, *out, err);
        if (code) {
            nr_fit_free(*out);
            *out = NULL;
        }
    }
    nr_joint_free(joint);
    nr_series_free_all(series, count);
    return code;
}
