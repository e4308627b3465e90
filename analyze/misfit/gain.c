/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Did the collector's gain change on the way? Shadow, dew, a hand on the pyranometer, a fading
 * sensor, another aim: to the balance all of them are irradiance that counts for more or less from
 * some minute on. The record is cut into windows, the model says what one per cent more sun in each
 * would have done, and steps and pulses are sums of those. */
#include "analyze/misfit/inside.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define WINDOWS 30
#define SHORTEST_WINDOW_S 150.0
#define LITTLE 0.01
/* A pulse longer than this share of the record is two steps. */
#define LONGEST_PULSE 0.5

typedef struct windows {
    size_t count, first[WINDOWS + 1]; /* blocks */
    double share[WINDOWS];            /* of the sun that came with the pump running */
    double *effect;                   /* [count][NR_OUTS][blocks] K per unit of gain */
    nr_score_parts *score;            /* of those */
} windows;

static double *effect(const windows *w, const nr_misfit_search *s, size_t k, int c)
{
    return w->effect + (k * NR_OUTS + (size_t)c) * s->blocks;
}

static void cut(const nr_misfit_search *s, windows *w)
{
    const nr_part *part = s->view.part;
    double length = (double)s->blocks * s->view.series->block_s;
    w->count = (size_t)fmin(WINDOWS, fmax(2, floor(length / SHORTEST_WINDOW_S)));
    double all = 0;
    for (size_t k = 0; k <= w->count; k++)
        w->first[k] = k * s->blocks / w->count;
    size_t per = s->view.series->steps_per_block;
    for (size_t k = 0; k < w->count; k++)
        for (size_t b = w->first[k]; b < w->first[k + 1]; b++) {
            w->share[k] += part->pump_on[b] ? part->sun_W_m2[b * per] : 0;
            all += part->pump_on[b] ? part->sun_W_m2[b * per] : 0;
        }
    for (size_t k = 0; k < w->count; k++)
        w->share[k] /= all > 0 ? all : 1;
}

static bool simulate(const nr_misfit_search *s, windows *w)
{
    size_t per = s->view.series->steps_per_block, steps = s->blocks * per;
    const double *sun = s->view.part->sun_W_m2;
    double *brighter = malloc(steps * sizeof(double));
    w->effect = calloc(w->count * NR_OUTS * s->blocks, sizeof(double));
    bool good = brighter && w->effect;
    nr_loop_input input = s->view.input;
    input.sun_W_m2 = brighter;
    for (size_t k = 0; good && k < w->count; k++) {
        double *reading[NR_OUTS];
        memcpy(brighter, sun, steps * sizeof(double));
        for (size_t i = w->first[k] * per; i < w->first[k + 1] * per; i++)
            brighter[i] *= 1 + LITTLE;
        for (int c = 0; c < NR_OUTS; c++)
            reading[c] = effect(w, s, k, c);
        nr_scorer_predict_from(s->scorer, s->piece, &input, reading, w->first[k], s->stand);
        for (int c = 0; c < NR_OUTS; c++)
            for (size_t b = w->first[k]; b < s->blocks; b++)
                reading[c][b] = (reading[c][b] - s->base[c][b]) / LITTLE;
    }
    free(brighter);
    return good;
}

/* Signature of the gain raised from window i on up to window j (not included), into s->work. */
static void add_up(const nr_misfit_search *s, const windows *w, size_t i, size_t j)
{
    for (int c = 0; c < NR_OUTS; c++) {
        double *restrict to = s->work[c];
        memset(to, 0, s->blocks * sizeof(double));
        for (size_t k = i; k < j; k++) {
            const double *restrict e = effect(w, s, k, c);
            for (size_t b = w->first[k]; b < s->blocks; b++)
                to[b] += e[b];
        }
    }
}

static bool weigh(const nr_misfit_search *s, windows *w)
{
    const double *part[WINDOWS * NR_OUTS] = {NULL};
    for (size_t k = 0; k < w->count; k++)
        for (int c = 0; c < NR_OUTS; c++)
            part[k * NR_OUTS + (size_t)c] = effect(w, s, k, c);
    w->score = nr_scorer_parts(s->scorer, s->piece, part, w->count);
    return w->score != NULL;
}

/* From window i on, up to window j (not included). */
static void try_span(nr_misfit_search *s, const windows *w, size_t i, size_t j, double limit)
{
    double share = 0;
    for (size_t k = i; k < j; k++)
        share += w->share[k];
    nr_score score = nr_score_of_parts(w->score, i, j);
    const double *added[NR_OUTS] = {s->work[0], s->work[1], s->work[2]};
    bool step = j == w->count;
    nr_misfit_finding f = {.kind = step ? NR_MISFIT_GAIN_STEP : NR_MISFIT_GAIN_PULSE,
                           .at_s = nr_misfit_time(s, (double)w->first[i]),
                           .until_s = step ? NAN : nr_misfit_time(s, (double)w->first[j]),
                           .channel = -1};
    if (!nr_misfit_stands_out(s, &f, score)) /* so its signature is not asked for */
        return;
    add_up(s, w, i, j);
    /* The rest of the record is as far off as the part is: the fit takes a mean. */
    nr_misfit_consider(s, &f, score, limit, fmin(share, 1 - share), added);
}

nr_code nr_misfit_gain(nr_misfit_search *s, nr_err *err)
{
    windows w = {0};
    cut(s, &w);
    if (!simulate(s, &w)) {
        free(w.effect);
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    }
    bool weighed = weigh(s, &w);
    size_t longest = (size_t)(LONGEST_PULSE * (double)w.count);
    double limit = NR_MISFIT_WANDER * nr_misfit_limit(w.count * longest);
    for (size_t i = 1; weighed && i < w.count; i++) {
        try_span(s, &w, i, w.count, limit);
        for (size_t j = i + 1; j < w.count && j <= i + longest; j++)
            try_span(s, &w, i, j, limit);
    }
    nr_score_parts_free(w.score);
    free(w.effect);
    return NR_OK;
}
