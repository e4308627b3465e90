/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For the tests of misfit's parts: a solved record in which a good deal went wrong, and a search of
 * it that stands where nr_misfit_find would look at the piece. */
#ifndef NR_TESTS_LOOKED_AT_H
#define NR_TESTS_LOOKED_AT_H

#include "analyze/joint/score_inside.h"
#include "analyze/joint/score_parts.h"
#include "analyze/misfit/inside.h"
#include "tests/unit/quality/records.h"

enum { MOST = 800 };

typedef struct looked_at {
    nr_virtual_run *run;
    nr_series *series;
    nr_joint *joint;
    nr_misfit_scale scale;
    nr_misfit out;
    nr_misfit_search s;
} looked_at;

static inline void open_it(looked_at *l, bool driven)
{
    static const size_t build_of[] = {0};
    nr_virtual_params p = nr_virtual_glazed();
    nr_joint_options options = {.use_store = true, .use_loop = true};
    nr_err err = {.text = ""};
    p.rig_seed = 31;
    p.day_seed = 32;
    p.interval_s = 10;
    p.duration_s = 4500;
    p.stated.iam_b0 = 0.1;
    if (!driven)
        p.channels = NR_VC_STORE_SET;
    l->run = simulate(&p);
    nr_readings *r = l->run->run.readings;
    double *sun = column(l->run, "sun"), *store = column(l->run, "store");
    for (size_t i = 0; i < r->rows; i++) {
        double t = r->elapsed_s[i];
        sun[i] *= 1 - 0.10 * t / 4500 + (t > 2700 ? 0.06 : 0);
        store[i] += t > 1900 ? 0.7 : 0;
        if (driven) {
            column(l->run, "inlet")[i] += t > 2500 ? 0.5 : 0;
            column(l->run, "outlet")[i] -= t > 3300 ? 0.6 : 0;
        }
    }
    ck_assert(nr_series_build(&l->run->run, &l->series, &err) == NR_OK);
    /* As it is: nothing is left out for what went wrong. */
    const nr_series *one = l->series;
    ck_assert(nr_joint_setup(&one, build_of, 1, 1, &options, &l->joint, &err) == NR_OK);
    ck_assert_msg(nr_joint_solve(l->joint, &err) == NR_OK, "%s", err.text);
    memset(&l->out, 0, sizeof l->out);
    l->scale = (nr_misfit_scale){.efficiency_u = 1e-6};
    memset(&l->s, 0, sizeof l->s);
    l->s.joint = l->joint;
    l->s.scale = &l->scale;
    l->s.out = &l->out;
    ck_assert(nr_scorer_open(l->joint, &l->s.scorer, &err) == NR_OK);
    l->s.view = nr_joint_piece(l->joint, 0);
    l->s.blocks = l->s.view.part->blocks;
    ck_assert_uint_le(l->s.blocks, MOST);
    ck_assert(l->s.view.driven == driven);
    for (int c = 0; c < NR_OUTS; c++) {
        l->s.work[c] = calloc(l->s.blocks, sizeof(double));
        l->s.base[c] = calloc(l->s.blocks, sizeof(double));
    }
    l->s.stand = calloc(l->s.blocks, sizeof *l->s.stand);
    nr_misfit_rises(&l->s);
    nr_scorer_predict(l->s.scorer, 0, &l->s.view.input, l->s.base, l->s.stand);
}

/* What is left of the record, as the scores see it, a hundred times as loud: both sides of every
 * comparison here are scored by it. */
static inline void louder(looked_at *l)
{
    const double *none[NR_OUTS] = {NULL};
    (void)nr_scorer_try(l->s.scorer, 0, none); /* turns to the piece */
    size_t rows = 0;
    for (int c = 0; c < NR_OUTS; c++)
        rows += l->s.view.fits[c] ? l->s.blocks : 0;
    for (size_t k = 0; k < rows; k++)
        l->s.scorer->now.residual[k] *= 100;
}

static inline void close_it(looked_at *l)
{
    for (size_t i = 0; i < l->s.bests; i++)
        for (int c = 0; c < NR_OUTS; c++)
            free(l->s.best[i].added[c]);
    for (int c = 0; c < NR_OUTS; c++) {
        free(l->s.work[c]);
        free(l->s.base[c]);
    }
    free(l->s.stand);
    nr_scorer_free(l->s.scorer);
    nr_joint_free(l->joint);
    nr_series_free(l->series);
    nr_virtual_run_free(l->run);
}

static inline const nr_misfit_finding *found(const looked_at *l, nr_misfit_kind kind, int channel)
{
    for (size_t i = 0; i < l->out.count; i++)
        if (l->out.finding[i].kind == kind && l->out.finding[i].channel == channel)
            return &l->out.finding[i];
    return NULL;
}

static inline const nr_misfit_best *kept(const looked_at *l, nr_misfit_kind kind, int channel)
{
    for (size_t i = 0; i < l->s.bests; i++)
        if (l->s.best[i].finding.kind == kind && l->s.best[i].finding.channel == channel)
            return &l->s.best[i];
    return NULL;
}

/* Beyond z on either side of a normal distribution. */
static inline double beyond(double z)
{
    return erfc(z / M_SQRT2);
}

static inline double at_time(const looked_at *l, size_t block)
{
    return l->s.view.part->start_s + (double)block * l->series->block_s;
}

#endif
