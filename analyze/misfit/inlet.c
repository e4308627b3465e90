/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inlet against container, minute by minute: two probes in the same water. What changes between
 * them within minutes, by more than layers do when the rise changes, is a probe that was bumped or
 * water that came; no model is needed to see it, and none can hide it by a container left out. */
#include "analyze/misfit/inside.h"
#include "analyze/quality/quality.h"

#include <math.h>
#include <stdlib.h>

/* Means on both sides of a moment, and the share of their readings that has to be there. */
#define SIDE_S 300.0
#define ENOUGH 0.6
/* The inlet hangs on the container by a hose and a layer: of the rise over the loop. */
#define USUAL_LAYER 0.10
/* Differences of means wander about by this at least (mixing); and their wander is no normal noise:
 * so many times what chance would reach. */
#define LEAST_WANDER_K 0.02
#define PAST_CHANCE 2.0
#define FEWEST 30

typedef struct side {
    double apart_K, rise_K; /* NAN: too few readings */
} side;

static side mean_of(const nr_misfit_search *s, size_t from, size_t to)
{
    const nr_part *part = s->view.part;
    const double *in = part->reading[NR_OUT_INLET], *out = part->reading[NR_OUT_OUTLET];
    const double *store = part->reading[NR_OUT_STORE];
    double apart = 0, rise = 0, n = 0;
    for (size_t b = from; b < to; b++) {
        if (!part->settled[b] || isnan(in[b] + out[b] + store[b]))
            continue;
        apart += in[b] - store[b];
        rise += out[b] - in[b];
        n++;
    }
    if (n < ENOUGH * (double)(to - from))
        return (side){NAN, NAN};
    return (side){apart / n, rise / n};
}

/* The step [blocks] at each moment, NAN where there is none; how many there are. */
static size_t steps_of(const nr_misfit_search *s, size_t half, double *step, double *scratch)
{
    size_t n = 0;
    for (size_t b = 0; b < s->blocks; b++) {
        step[b] = NAN;
        if (b < half || b + half > s->blocks)
            continue;
        side before = mean_of(s, b - half, b), after = mean_of(s, b, b + half);
        double by = after.apart_K - before.apart_K;
        double layers = USUAL_LAYER * fabs(after.rise_K - before.rise_K);
        if (isnan(by + layers))
            continue;
        step[b] = copysign(fmax(fabs(by) - layers, 0), by);
        scratch[n++] = step[b];
    }
    return n;
}

static void judge(nr_misfit_search *s, size_t half, const double *step, size_t n, double *scratch)
{
    double usual = nr_median(scratch, n);
    size_t most = 0;
    for (size_t i = 0; i < n; i++)
        scratch[i] = fabs(scratch[i] - usual);
    double wander = fmax(1.4826 * nr_median(scratch, n), LEAST_WANDER_K);
    for (size_t b = 0; b < s->blocks; b++)
        if (!isnan(step[b]) &&
            (isnan(step[most]) || fabs(step[b] - usual) > fabs(step[most] - usual)))
            most = b;
    double size = step[most] - usual, share = (double)most / (double)s->blocks;
    double limit = PAST_CHANCE * nr_misfit_limit(s->blocks / half);
    double matters = nr_misfit_matters(s, size * fmin(share, 1 - share) / s->rise_K);
    nr_misfit_add(s, &(nr_misfit_finding){.kind = NR_MISFIT_INLET_STEP,
                                          .strength = fmin(fabs(size) / wander / limit, matters),
                                          .run = s->view.run,
                                          .at_s = nr_misfit_time(s, (double)most),
                                          .until_s = NAN,
                                          .channel = NR_OUT_INLET,
                                          .size = size,
                                          .u = wander});
}

nr_code nr_misfit_inlet(nr_misfit_search *s, nr_err *err)
{
    const nr_part *part = s->view.part;
    size_t half = (size_t)(SIDE_S / s->view.series->block_s);
    if (!part->reading[NR_OUT_INLET] || !part->reading[NR_OUT_OUTLET] ||
        !part->reading[NR_OUT_STORE] || half < 2 || !(s->rise_K > 0))
        return NR_OK;
    double *step = malloc(2 * s->blocks * sizeof *step);
    if (!step)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    double *scratch = step + s->blocks;
    size_t n = steps_of(s, half, step, scratch);
    if (n >= FEWEST)
        judge(s, half, step, n, scratch);
    free(step);
    return NR_OK;
}
