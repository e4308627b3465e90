/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What every test uses: limits, what matters, and the best of each kind until it is confirmed. */
#include "analyze/misfit/inside.h"

#include <gsl/gsl_cdf.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

double nr_misfit_error_of_kelvin(const nr_misfit_search *s, int channel)
{
    bool loop = channel != NR_OUT_STORE && s->rise_K > 0;
    return 1 / (loop ? s->rise_K : s->store_rise_K);
}

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

/* NR_MISFIT_BEST: there is none yet. */
static size_t place_of(const nr_misfit_search *s, const nr_misfit_finding *f)
{
    for (size_t i = 0; i < s->bests; i++)
        if (s->best[i].finding.kind == f->kind && s->best[i].finding.channel == f->channel)
            return i;
    return NR_MISFIT_BEST;
}

bool nr_misfit_stands_out(const nr_misfit_search *s, const nr_misfit_finding *f, nr_score score)
{
    size_t i = place_of(s, f);
    return fabs(score.z) >= WORTH_CONFIRMING &&
           (i == NR_MISFIT_BEST || fabs(score.z) > s->best[i].z);
}

static nr_misfit_best *place_for(nr_misfit_search *s, const nr_misfit_finding *f)
{
    size_t i = place_of(s, f);
    if (i < NR_MISFIT_BEST)
        return &s->best[i];
    if (s->bests == NR_MISFIT_BEST)
        return NULL;
    s->best[s->bests] = (nr_misfit_best){.z = 0};
    return &s->best[s->bests++];
}

void nr_misfit_consider(nr_misfit_search *s, const nr_misfit_finding *finding, nr_score score,
                        double limit, double error, const double *const added[NR_OUTS])
{
    nr_misfit_best *b = nr_misfit_stands_out(s, finding, score) ? place_for(s, finding) : NULL;
    if (!b)
        return;
    b->finding = *finding;
    b->finding.run = s->view.run;
    b->finding.size = score.size;
    b->finding.u = score.u;
    b->z = fabs(score.z);
    b->limit = limit;
    b->error = error;
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

/* One jump may show in two channels, an outlet's up as an inlet's down: it is that which the record
 * tells better, not that which would matter more. */
#define ONE_JUMP_S 300.0

static bool told_better(const nr_misfit_search *s, size_t i, const nr_score *score)
{
    const nr_misfit_finding *f = &s->best[i].finding;
    bool better = false;
    for (size_t k = 0; k < s->bests && f->kind == NR_MISFIT_PROBE_JUMP; k++) {
        const nr_misfit_finding *other = &s->best[k].finding;
        better = better ||
                 (other->kind == f->kind && other->channel != f->channel &&
                  fabs(other->at_s - f->at_s) < ONE_JUMP_S && fabs(score[k].z) > fabs(score[i].z));
    }
    return better;
}

/* What a jump does to the answer follows from how it acts and what the fit makes of it: it may bend
 * the curve where its mean does little. Against half of the answer's own u, too. Not so a gain or a
 * mass that changes: unmeasured wind does that to good records, and there the mean is what counts.
 */
static double worth(nr_misfit_search *s, const nr_misfit_best *b, double size)
{
    const double *added[NR_OUTS] = {b->added[0], b->added[1], b->added[2]};
    double most = nr_misfit_matters(s, b->error * size);
    bool jumps = b->finding.kind == NR_MISFIT_PROBE_JUMP;
    for (int k = 0; jumps && k < NR_MISFIT_POINTS; k++)
        if (s->scale->gradient[k]) {
            double moves = nr_scorer_moves(s->scorer, s->piece, added, s->scale->gradient[k]);
            most = fmax(most, fabs(moves * size) / (0.5 * s->scale->point_u[k]));
        }
    return most;
}

void nr_misfit_settle(nr_misfit_search *s)
{
    nr_score all[NR_MISFIT_BEST];
    for (size_t i = 0; i < s->bests; i++) {
        double *const *of = s->best[i].added;
        const double *added[NR_OUTS] = {of[0], of[1], of[2]};
        all[i] = nr_scorer_confirm(s->scorer, s->piece, added);
    }
    for (size_t i = 0; i < s->bests; i++) {
        nr_misfit_best *b = &s->best[i];
        const nr_score score = all[i];
        b->finding.size = score.size;
        b->finding.u = score.u;
        b->finding.strength = fmin(fabs(score.z) / b->limit, worth(s, b, score.size));
        if (!told_better(s, i, all))
            nr_misfit_add(s, &b->finding);
        for (int c = 0; c < NR_OUTS; c++)
            free(b->added[c]);
    }
    s->bests = 0;
}
