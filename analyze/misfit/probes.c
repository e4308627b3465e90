/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Probes that jump: a constant from some minute on, in one channel. */
#include "analyze/misfit/inside.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Moments tried; too near to an end a jump is no different from an offset. */
#define MOMENTS 40
#define FIRST 3
#define LAST 38

/* Readings that drive the simulation carry their error through it: what the model would have said,
 * had the probe not jumped, less what it says. An outlet's reading drives the container alone. */
static void through_the_model(const nr_misfit_search *s, int channel, size_t from, double *moved,
                              double *const added[NR_OUTS])
{
    nr_loop_input input = s->view.input;
    const double **drives = channel == NR_OUT_INLET ? &input.inlet_degC : &input.outlet_degC;
    size_t n = s->blocks * input.steps_per_block;
    memcpy(moved, *drives, n * sizeof(double));
    for (size_t i = from * input.steps_per_block; i < n; i++)
        moved[i] -= 1;
    *drives = moved;
    double *reading[NR_OUTS] = {NULL};
    for (int c = 0; c < NR_OUTS; c++)
        reading[c] = channel == NR_OUT_INLET || c == NR_OUT_STORE ? added[c] : NULL;
    nr_scorer_predict_from(s->scorer, s->piece, &input, reading, from, s->stand);
    for (int c = 0; c < NR_OUTS; c++)
        for (size_t b = from; reading[c] && b < s->blocks; b++)
            added[c][b] -= s->base[c][b];
}

static void try_jump(nr_misfit_search *s, int channel, size_t from, double *steps)
{
    bool drives = s->view.driven && channel != NR_OUT_STORE;
    for (int c = 0; c < NR_OUTS; c++)
        memset(s->work[c], 0, s->blocks * sizeof(double));
    if (drives)
        through_the_model(s, channel, from, steps, s->work);
    for (size_t b = from; b < s->blocks && (!drives || channel == NR_OUT_OUTLET); b++)
        s->work[channel][b] += 1;
    const double *added[NR_OUTS] = {s->work[0], s->work[1], s->work[2]};
    double share = (double)from / (double)s->blocks;
    double error = fmin(share, 1 - share) * nr_misfit_error_of_kelvin(s, channel);
    nr_misfit_finding f = {.kind = NR_MISFIT_PROBE_JUMP,
                           .at_s = nr_misfit_time(s, (double)from),
                           .until_s = NAN,
                           .channel = channel};
    nr_misfit_consider(s, &f, nr_scorer_try(s->scorer, s->piece, added),
                       NR_MISFIT_WANDER * nr_misfit_limit(MOMENTS), error, added);
}

nr_code nr_misfit_probes(nr_misfit_search *s, nr_err *err)
{
    double *steps = malloc(s->blocks * s->view.input.steps_per_block * sizeof(double));
    bool room = steps != NULL;
    for (int c = 0; room && c < NR_OUTS; c++)
        for (size_t k = FIRST; k < LAST; k++)
            if (s->view.fits[c] || (s->view.driven && c == NR_OUT_INLET))
                try_jump(s, c, k * s->blocks / MOMENTS, steps);
    free(steps);
    return room ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
}
