/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/estimate/workers.h"
#include "analyze/misfit/inside.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Shorter pieces tell nothing of changes. */
#define SHORTEST_BLOCKS 30

static int by_strength(const void *a, const void *b)
{
    const nr_misfit_finding *x = a, *y = b;
    if (x->strength < y->strength || x->strength > y->strength)
        return x->strength < y->strength ? 1 : -1;
    return (x->kind > y->kind) - (x->kind < y->kind);
}

void nr_misfit_rises(nr_misfit_search *s)
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

/* Sets up the search for a piece, without what is simulated; false where it tells nothing. Work
 * space must be let go again. */
static bool enter(nr_misfit_search *s, size_t piece, size_t build, nr_code *code, nr_err *err)
{
    s->piece = piece;
    s->view = nr_joint_piece(s->joint, piece);
    s->blocks = s->view.part->blocks;
    if (s->view.build != build || s->blocks < SHORTEST_BLOCKS || !s->view.series->ever_pumped)
        return false;
    bool room = true;
    for (int c = 0; c < NR_OUTS; c++) {
        s->work[c] = calloc(s->blocks, sizeof(double));
        s->base[c] = calloc(s->blocks, sizeof(double));
        room = room && s->work[c] && s->base[c];
    }
    s->stand = malloc(s->blocks * sizeof *s->stand);
    if (!room || !s->stand) {
        *code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
        return false;
    }
    nr_misfit_rises(s);
    return true;
}

static void simulate(nr_misfit_search *s)
{
    nr_scorer_predict(s->scorer, s->piece, &s->view.input, s->base, s->stand);
}

static void leave(nr_misfit_search *s)
{
    for (int c = 0; c < NR_OUTS; c++) {
        free(s->work[c]);
        free(s->base[c]);
        s->work[c] = s->base[c] = NULL;
    }
    free(s->stand);
    s->stand = NULL;
}

static nr_code look_at_piece(nr_misfit_search *s, nr_err *err)
{
    nr_code code = nr_misfit_gain(s, err);
    if (!code)
        code = nr_misfit_probes(s, err);
    if (!code)
        nr_misfit_store(s);
    if (!code)
        code = nr_misfit_halves(s, err);
    if (!code)
        code = nr_misfit_inlet(s, err);
    nr_misfit_settle(s);
    return code ? code : nr_misfit_balance(s, err);
}

/* What the threads share: each piece is looked at by itself. */
typedef struct looks {
    const nr_misfit_search *from;
    size_t build;
    nr_scorer *scorer[NR_WORKERS_MOST]; /* of a worker */
    double **shape;                     /* [pieces] of usual departures; NULL: not asked for */
    nr_misfit *found;                   /* [pieces] */
    nr_code *code;                      /* [pieces] */
    nr_err *err;                        /* [pieces] */
} looks;

/* A search of one's own; NULL: out of memory, and said. */
static nr_misfit_search *begin(looks *l, size_t piece)
{
    nr_misfit_search *s = malloc(sizeof *s);
    if (s)
        *s = *l->from;
    else
        l->code[piece] = nr_fail(&l->err[piece], NR_BAD, NULL, 0, "out of memory");
    return s;
}

static void look(void *context, size_t worker, size_t piece)
{
    looks *l = context;
    nr_misfit_search *s = begin(l, piece);
    if (!s)
        return;
    s->scorer = l->scorer[worker];
    s->out = &l->found[piece];
    if (enter(s, piece, l->build, &l->code[piece], &l->err[piece])) {
        simulate(s);
        nr_misfit_leanings(s);
        nr_misfit_sky(s);
        l->code[piece] = look_at_piece(s, &l->err[piece]);
    }
    leave(s);
    free(s);
}

static void shape_usual(void *context, size_t worker, size_t piece)
{
    looks *l = context;
    nr_misfit_search *s = begin(l, piece);
    (void)worker;
    if (!s)
        return;
    if (enter(s, piece, l->build, &l->code[piece], &l->err[piece])) {
        simulate(s);
        l->shape[piece] = nr_misfit_gain_shapes(s);
    }
    leave(s);
    free(s);
}

/* Names what is usual, piece by piece in their order, after all cores have simulated it. */
static nr_code allow_all(nr_misfit_search *s, looks *l, nr_err *err)
{
    size_t pieces = nr_joint_pieces(s->joint);
    nr_code code = NR_OK;
    l->shape = calloc(pieces, sizeof *l->shape);
    if (!l->shape)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    nr_workers_run(pieces, 0, shape_usual, l);
    for (size_t i = 0; i < pieces && !code; i++) {
        if (enter(s, i, l->build, &code, err))
            code = l->shape[i] ? nr_misfit_allow(s, l->shape[i], err)
                               : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
        leave(s);
    }
    for (size_t i = 0; i < pieces; i++)
        free(l->shape[i]);
    free(l->shape);
    l->shape = NULL;
    return code;
}

/* All pieces, on all cores; put together in their order, whoever was first. */
static nr_code look_at_all(nr_misfit_search *s, looks *l, nr_err *err)
{
    size_t pieces = nr_joint_pieces(s->joint);
    size_t threads = nr_workers_here() < pieces ? nr_workers_here() : pieces;
    bool room = true;
    for (size_t w = 0; room && w < threads; w++) {
        l->scorer[w] = nr_scorer_share(s->scorer);
        room = l->scorer[w] != NULL;
    }
    nr_code code = room ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (room)
        nr_workers_run(pieces, threads, look, l);
    for (size_t i = 0; i < pieces && !code; i++) {
        code = l->code[i];
        if (code)
            *err = l->err[i];
        for (size_t k = 0; k < l->found[i].count; k++)
            nr_misfit_add(s, &l->found[i].finding[k]);
    }
    for (size_t w = 0; w < NR_WORKERS_MOST; w++)
        nr_scorer_free(l->scorer[w]);
    return code;
}

static nr_code allow_and_look(nr_misfit_search *s, size_t build, nr_err *err)
{
    size_t pieces = nr_joint_pieces(s->joint);
    looks l = {.from = s, .build = build};
    l.found = calloc(pieces, sizeof *l.found);
    l.code = calloc(pieces, sizeof *l.code);
    l.err = calloc(pieces, sizeof *l.err);
    bool room = l.found && l.code && l.err;
    nr_code code = room ? allow_all(s, &l, err) : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (!code)
        code = look_at_all(s, &l, err);
    free(l.found);
    free(l.code);
    free(l.err);
    return code;
}

nr_code nr_misfit_find(const nr_joint *joint, size_t build, const nr_misfit_scale *scale,
                       nr_misfit *out, nr_err *err)
{
    nr_misfit_search s = {.joint = joint, .scale = scale, .out = out};
    memset(out, 0, sizeof *out);
    nr_code code = nr_scorer_open(joint, &s.scorer, err);
    if (!code)
        code = allow_and_look(&s, build, err);
    if (!code)
        code = nr_misfit_priors(&s, build, err);
    nr_scorer_free(s.scorer);
    qsort(out->finding, out->count, sizeof *out->finding, by_strength);
    return code;
}
