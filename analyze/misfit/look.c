/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/misfit/parts.h"

#include <gsl/gsl_cdf.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Shorter pieces tell nothing of changes. */
#define SHORTEST_BLOCKS 30

double nr_misfit_limit(size_t tries)
{
    return gsl_cdf_ugaussian_Qinv(NR_MISFIT_FAMILY / (2 * (double)(tries ? tries : 1)));
}

double nr_misfit_matters(const nr_misfit_search *s, double relative)
{
    return fabs(relative) / (0.5 * s->scale->efficiency_u);
}

double nr_misfit_time(const nr_misfit_search *s, double block)
{
    return s->view.part->start_s + block * s->view.series->block_s;
}

void nr_misfit_add(nr_misfit_search *s, const nr_misfit_finding *finding)
{
    nr_misfit *m = s->out;
    if (!(finding->strength >= 1))
        return;
    for (size_t i = 0; i < m->count; i++) {
        nr_misfit_finding *f = &m->finding[i];
        if (f->kind != finding->kind || f->channel != finding->channel || f->run != finding->run)
            continue;
        if (finding->strength > f->strength)
            *f = *finding;
        return;
    }
    if (m->count < NR_MISFIT_FINDINGS)
        m->finding[m->count++] = *finding;
}

/* Less than this by the score is not worth confirming: what trouble does to the noise model halves
 * its score at most. */
#define WORTH_CONFIRMING 2.5

static nr_misfit_best *place_for(nr_misfit_search *s, const nr_misfit_finding *f)
{
    for (size_t i = 0; i < s->bests; i++)
        if (s->best[i].finding.kind == f->kind && s->best[i].finding.channel == f->channel)
            return &s->best[i];
    if (s->bests == NR_MISFIT_BEST)
        return NULL;
    s->best[s->bests] = (nr_misfit_best){.z = 0};
    return &s->best[s->bests++];
}

void nr_misfit_consider(nr_misfit_search *s, const nr_misfit_finding *finding, nr_score score,
                        double limit, double worth, const double *const added[NR_OUTS])
{
    if (!(fabs(score.z) >= WORTH_CONFIRMING))
        return;
    nr_misfit_best *b = place_for(s, finding);
    if (!b || fabs(score.z) <= b->z)
        return;
    b->finding = *finding;
    b->finding.run = s->view.run;
    b->finding.size = score.size;
    b->finding.u = score.u;
    b->z = fabs(score.z);
    b->limit = limit;
    b->worth = worth;
    for (int c = 0; c < NR_OUTS; c++) {
        if (!added[c]) {
            free(b->added[c]);
            b->added[c] = NULL;
            continue;
        }
        if (!b->added[c])
            b->added[c] = malloc(s->blocks * sizeof(double));
        if (b->added[c])
            memcpy(b->added[c], added[c], s->blocks * sizeof(double));
    }
}

void nr_misfit_settle(nr_misfit_search *s)
{
    for (size_t i = 0; i < s->bests; i++) {
        nr_misfit_best *b = &s->best[i];
        const double *added[NR_OUTS] = {b->added[0], b->added[1], b->added[2]};
        nr_score score = nr_scorer_confirm(s->scorer, s->piece, added);
        b->finding.size = score.size;
        b->finding.u = score.u;
        b->finding.strength =
            fmin(fabs(score.z) / b->limit, nr_misfit_matters(s, b->worth * score.size));
        nr_misfit_add(s, &b->finding);
        for (int c = 0; c < NR_OUTS; c++)
            free(b->added[c]);
    }
    s->bests = 0;
}

static int by_strength(const void *a, const void *b)
{
    const nr_misfit_finding *x = a, *y = b;
    if (x->strength < y->strength || x->strength > y->strength)
        return x->strength < y->strength ? 1 : -1;
    return (x->kind > y->kind) - (x->kind < y->kind);
}

double nr_misfit_worth_of_kelvin(const nr_misfit_search *s, int channel)
{
    bool loop = channel != NR_OUT_STORE && s->rise_K > 0;
    return 1 / (loop ? s->rise_K : s->store_rise_K);
}

static void rises(nr_misfit_search *s)
{
    const nr_part *part = s->view.part;
    const double *in = part->reading[NR_OUT_INLET], *out = part->reading[NR_OUT_OUTLET];
    const double *store = part->reading[NR_OUT_STORE];
    double sum = 0, n = 0, low = INFINITY, high = -INFINITY;
    for (size_t b = 0; b < s->blocks; b++) {
        const double *from = in ? in : store;
        if (out && from && part->settled[b] && !isnan(out[b] - from[b])) {
            sum += out[b] - from[b];
            n++;
        }
        if (store && !isnan(store[b])) {
            low = fmin(low, store[b]);
            high = fmax(high, store[b]);
        }
    }
    s->rise_K = n > 0 ? sum / n : NAN;
    s->store_rise_K = high > low ? high - low : NAN;
}

/* Sets up the search for a piece; false where it tells nothing. Work space must be let go again. */
static bool enter(nr_misfit_search *s, size_t piece, size_t build, nr_code *code, nr_err *err)
{
    s->piece = piece;
    s->view = nr_joint_piece(s->joint, piece);
    s->blocks = s->view.part->blocks;
    if (s->view.build != build || s->blocks < SHORTEST_BLOCKS || !s->view.series->ever_pumped)
        return false;
    for (int c = 0; c < NR_OUTS; c++) {
        s->work[c] = calloc(s->blocks, sizeof(double));
        if (!s->work[c])
            *code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    }
    if (!*code)
        rises(s);
    return !*code;
}

static void leave(nr_misfit_search *s)
{
    for (int c = 0; c < NR_OUTS; c++) {
        free(s->work[c]);
        s->work[c] = NULL;
    }
}

static nr_code look_at_piece(nr_misfit_search *s, nr_err *err)
{
    nr_code code = nr_misfit_gain(s, err);
    if (!code)
        code = nr_misfit_probes(s, err);
    if (!code)
        code = nr_misfit_store(s, err);
    nr_misfit_settle(s);
    return code ? code : nr_misfit_balance(s, err);
}

nr_code nr_misfit_look(const nr_joint *joint, size_t build, const nr_misfit_scale *scale,
                       nr_misfit *out, nr_err *err)
{
    nr_misfit_search s = {.joint = joint, .scale = scale, .out = out};
    memset(out, 0, sizeof *out);
    nr_code code = nr_scorer_open(joint, &s.scorer, err);
    for (size_t i = 0; i < nr_joint_pieces(joint) && !code; i++) {
        if (enter(&s, i, build, &code, err))
            code = nr_misfit_allow(&s, err);
        leave(&s);
    }
    for (size_t i = 0; i < nr_joint_pieces(joint) && !code; i++) {
        if (enter(&s, i, build, &code, err)) {
            nr_misfit_leanings(&s);
            code = look_at_piece(&s, err);
        }
        leave(&s);
    }
    if (!code)
        nr_misfit_priors(&s, build);
    nr_scorer_free(s.scorer);
    qsort(out->finding, out->count, sizeof *out->finding, by_strength);
    return code;
}
