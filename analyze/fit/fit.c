/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/fit/fit.h"

#include "analyze/estimate/workers.h"
#include "analyze/fit/derive.h"
#include "analyze/fit/montecarlo.h"
#include "analyze/fit/standard_parts.h"
#include "logger/base/text.h"
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

static nr_code prepare(nr_series *const *series, const size_t *build_of, size_t runs, size_t builds,
                       nr_err *err)
{
    nr_code code = NR_OK;
    for (size_t b = 0; b < builds && !code; b++) {
        nr_series_share_wind(series, build_of, runs, b);
        code = check_sun(series, build_of, runs, b, err);
    }
    return code;
}

/* Once: what it says of itself is not asked again. Where the wider question has no minimum, *joint,
 * which has one, stays the answer to the usual one. */
static nr_code ask_what_is_far(nr_series *const *series, const size_t *build_of, size_t runs,
                               size_t builds, nr_joint_options *how, nr_joint **joint, nr_err *err)
{
    nr_joint_options wide = *how;
    nr_joint *wider = NULL;
    nr_err why = {.text = ""};
    if (!nr_joint_far(*joint, &wide))
        return NR_OK;
    nr_code code = solve(series, build_of, runs, builds, &wide, &wider, &why);
    if (code == NR_CANNOT)
        return NR_OK;
    if (code && err)
        *err = why;
    if (code)
        return code;
    nr_joint_free(*joint);
    *joint = wider;
    *how = wide;
    return NR_OK;
}

nr_code nr_fit_joint(nr_series *const *series, const size_t *build_of, size_t runs, size_t builds,
                     const nr_fit_options *options, nr_joint **out, nr_err *err)
{
    nr_joint_options how = {.use_store = options->use_store,
                            .use_loop = options->use_loop,
                            .lump_store_loss = options->lump_store_loss,
                            .begin = options->begin,
                            .expected = options->expected,
                            .progress = options->progress};
    *out = NULL;
    nr_code code = prepare(series, build_of, runs, builds, err);
    if (!code)
        code = solve(series, build_of, runs, builds, &how, out, err);
    if (code)
        return code;
    code = ask_what_is_far(series, build_of, runs, builds, &how, out, err);
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

/* Runs that are fitted, as far as they are known. */
typedef struct fitting {
    size_t count;
    const nr_run *const *run;
    const nr_fit_options *options;
    const nr_judged *judged; /* [count] */
    nr_judged *own_judged;   /* [count] the same where it is ours */
    nr_series *series[NR_JOINT_RUNS];
    size_t build_of[NR_JOINT_RUNS]; /* all 0 */
    nr_code code[NR_JOINT_RUNS];    /* of each run, */
    nr_err err[NR_JOINT_RUNS];      /* and why */
    nr_joint *joint;
} fitting;

static void fitting_free(fitting *f)
{
    nr_joint_free(f->joint);
    nr_series_free_all(f->series, f->count);
    for (size_t i = 0; f->own_judged && i < f->count; i++)
        nr_judged_free(&f->own_judged[i]);
    free(f->own_judged);
    free(f);
}

static void judge_run(void *context, size_t worker, size_t i)
{
    fitting *f = context;
    (void)worker;
    f->code[i] = nr_judge_run(f->run[i], &f->own_judged[i], &f->err[i]);
}

static void build_run(void *context, size_t worker, size_t i)
{
    fitting *f = context;
    (void)worker;
    f->code[i] = f->judged ? nr_series_build_judged(f->run[i], f->judged[i].quality, &f->series[i],
                                                    &f->err[i])
                           : nr_series_build(f->run[i], &f->series[i], &f->err[i]);
}

static void see_between(void *context, size_t worker, size_t i)
{
    fitting *f = context;
    (void)worker;
    f->code[i] = f->judged ? nr_series_unseen(f->series[i], &f->err[i]) : NR_OK;
}

/* Of all runs, on all cores; the first error in their order. */
static nr_code each_run(fitting *f, void (*work)(void *, size_t, size_t), nr_err *err)
{
    nr_workers_run(f->count, 0, work, f);
    for (size_t i = 0; i < f->count; i++) {
        if (f->code[i] && err)
            *err = f->err[i];
        if (f->code[i])
            return f->code[i];
    }
    return NR_OK;
}

static nr_code judge_runs(fitting *f, nr_err *err)
{
    if (f->options->judged || f->options->plain) {
        f->judged = f->options->judged;
        return NR_OK;
    }
    f->judged = f->own_judged = calloc(f->count, sizeof *f->own_judged);
    return f->own_judged ? each_run(f, judge_run, err)
                         : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
}

/* The first reason of any run, in an answer that has nothing else. */
static nr_code foresee(const fitting *f, int set_up, nr_fit **out, nr_err *err)
{
    nr_trust_reason reason;
    size_t i = 0;
    while (i < f->count && !nr_trust_foresee(f->judged[i].inspect, set_up, &reason))
        i++;
    if (i == f->count)
        return NR_OK;
    *out = calloc(1, sizeof **out);
    if (*out)
        (*out)->run = calloc(f->count, sizeof *(*out)->run);
    if (!*out || !(*out)->run)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    for (size_t k = 0; k < f->count; k++)
        nr_copy((*out)->run[(*out)->runs++].folder, NR_ERR_FILE, f->run[k]->folder);
    if (f->count > 1)
        nr_copy(reason.whose, sizeof reason.whose, f->run[i]->folder);
    (*out)->trust.reason[(*out)->trust.count++] = reason;
    return NR_OK;
}

/* With what the readings allow to be fitted. */
static nr_code foresee_set_up(fitting *f, nr_fit **out, nr_err *err)
{
    nr_joint *j = NULL;
    nr_code code = prepare(f->series, f->build_of, f->count, 1, err);
    nr_joint_options how = {.use_store = f->options->use_store, .use_loop = f->options->use_loop};
    if (!code)
        code = nr_joint_setup((const nr_series *const *)f->series, f->build_of, f->count, 1, &how,
                              &j, err);
    if (!code)
        code = foresee(f, (int)nr_derive_model(j, 0), out, err);
    nr_joint_free(j);
    return code;
}

/* *out stays NULL where only a search can tell. */
static nr_code before_the_search(fitting *f, nr_fit **out, nr_err *err)
{
    bool at_once = f->options->at_once && !f->options->plain;
    nr_code code = judge_runs(f, err);
    if (!code && at_once)
        code = foresee(f, -1, out, err);
    if (!code && !*out)
        code = each_run(f, build_run, err);
    return code || *out || !at_once ? code : foresee_set_up(f, out, err);
}

static nr_code derive(fitting *f, nr_fit **out, nr_err *err)
{
    const nr_fit_options *options = f->options;
    nr_trust_options doubts = {f->judged, options->withheld_only};
    nr_derive_options how = {.time_constant = !options->plain && !options->withheld_only};
    how.quadratic = options->quadratic;
    how.brief = options->brief;
    how.for_trust = options->withheld_only && !options->standard && !options->monte_carlo;
    how.mean_reference = options->force_reference ? options->reference == NR_REFERENCE_MEAN
                                                  : nr_derive_knows_flow(f->joint, 0);
    nr_code code = nr_derive_fit(f->joint, 0, &how, out, err);
    if (!code && !options->plain)
        code = nr_trust_judge(f->joint, 0, &doubts, *out, err);
    if (!code && options->standard)
        code = nr_standard_make(f->joint, *out, &(*out)->standard, err);
    if (!code && options->monte_carlo)
        code = monte_carlo(f->joint, how.mean_reference, options, *out, err);
    return code;
}

nr_code nr_fit_runs(const nr_run *const *runs, size_t count, const nr_fit_options *options,
                    nr_fit **out, nr_err *err)
{
    *out = NULL;
    if (count == 0 || count > NR_JOINT_RUNS)
        return nr_fail(err, NR_BAD, NULL, 0, "1 to %d runs can be fitted together, not %zu",
                       NR_JOINT_RUNS, count);
    fitting *f = calloc(1, sizeof *f);
    if (!f)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    f->count = count;
    f->run = runs;
    f->options = options;
    nr_code code = before_the_search(f, out, err);
    if (!code && !*out)
        code = each_run(f, see_between, err);
    if (!code && !*out) {
        code = nr_fit_joint(f->series, f->build_of, count, 1, options, &f->joint, err);
        if (!code && options->leave)
            *options->leave = nr_joint_begin_at(f->joint);
        if (!code)
            code = derive(f, out, err);
    }
    if (code) {
        nr_fit_free(*out);
        *out = NULL;
    }
    fitting_free(f);
    return code;
}
