/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Smooth departures: what every model gets a little wrong, and drifts, which are more than that. In
 * every channel and in the gain the record may follow Legendre polynomials of time, small ones;
 * where it follows a straight line further than is usual, something drifts. */
#include "analyze/misfit/inside.h"

#include <gsl/gsl_sf_legendre.h>

#include <math.h>
#include <stdlib.h>

#define ORDERS 3
/* Standard deviations, by order, as shares of the rise of the water in the loop, of the container's
 * own, and of the gain. A segmented model of a real heater leaves a hundredth of the rise, smoothly
 * (layers, a loss that bends, wind, a sky that clears); common practice, no source. */
static const double usual_share[ORDERS] = {0.015, 0.010, 0.007};
/* A usual departure has a usual size, not a known one. */
#define PAST_CHANCE 1.2
#define LITTLE 0.01
/* The first half hour is a departure of its own: boxes, panes and backs that begin cold take heat
 * that comes back late (a board of 6 mm of plywood 100 W/m2 at first, with a time constant of 15
 * minutes). */
#define BEGINNING 0
#define BEGINNING_SHARE 0.03
#define BEGINNING_S 900.0

static double departure(const nr_misfit_search *s, int order, size_t i, size_t n)
{
    double length = (double)s->blocks * s->view.series->block_s;
    if (order == BEGINNING)
        return -exp(-((double)i + 0.5) / (double)n * length / BEGINNING_S);
    return gsl_sf_legendre_Pl(order, 2 * ((double)i + 0.5) / (double)n - 1);
}

static nr_code name(nr_misfit_search *s, int channel, int order, const double *const added[NR_OUTS],
                    double sd, nr_err *err)
{
    if (s->usuals == NR_SCORER_USUAL || !(sd > 0))
        return NR_OK;
    s->usual[s->usuals++] = (struct nr_misfit_usual){s->piece, channel, order};
    return nr_scorer_allow(s->scorer, s->piece, added, sd, err);
}

static nr_code name_channel(nr_misfit_search *s, int channel, nr_err *err)
{
    nr_code code = NR_OK;
    for (int order = 1; order <= ORDERS && !code; order++) {
        const double *added[NR_OUTS] = {NULL};
        for (size_t b = 0; b < s->blocks; b++)
            s->work[channel][b] = departure(s, order, b, s->blocks);
        added[channel] = s->work[channel];
        double kelvin = 1 / nr_misfit_error_of_kelvin(s, channel);
        code = name(s, channel, order, added, usual_share[order - 1] * kelvin, err);
    }
    return code;
}

double *nr_misfit_gain_shapes(const nr_misfit_search *s)
{
    size_t steps = s->blocks * s->view.series->steps_per_block;
    const double *sun = s->view.part->sun_W_m2;
    double *other = malloc(steps * sizeof(double));
    double *shape = malloc((ORDERS + 1) * NR_OUTS * s->blocks * sizeof(double));
    nr_loop_input input = s->view.input;
    input.sun_W_m2 = other;
    for (int order = BEGINNING; order <= ORDERS && other && shape; order++) {
        double *of[NR_OUTS];
        for (int c = 0; c < NR_OUTS; c++)
            of[c] = shape + (size_t)(order * NR_OUTS + c) * s->blocks;
        for (size_t i = 0; i < steps; i++)
            other[i] = sun[i] * (1 + LITTLE * departure(s, order, i, steps));
        nr_scorer_predict(s->scorer, s->piece, &input, of, NULL);
        for (int c = 0; c < NR_OUTS; c++)
            for (size_t b = 0; b < s->blocks; b++)
                of[c][b] = (of[c][b] - s->base[c][b]) / LITTLE;
    }
    if (!other) {
        free(shape);
        shape = NULL;
    }
    free(other);
    return shape;
}

static nr_code name_gain(nr_misfit_search *s, const double *shape, nr_err *err)
{
    nr_code code = NR_OK;
    for (int order = BEGINNING; order <= ORDERS && !code; order++) {
        const double *added[NR_OUTS];
        for (int c = 0; c < NR_OUTS; c++)
            added[c] = shape + (size_t)(order * NR_OUTS + c) * s->blocks;
        double sd = order == BEGINNING ? BEGINNING_SHARE : usual_share[order - 1];
        code = name(s, -1, order, added, sd, err);
    }
    return code;
}

nr_code nr_misfit_allow(nr_misfit_search *s, const double *shape, nr_err *err)
{
    nr_code code = name_gain(s, shape, err);
    for (int c = 0; c < NR_OUTS && !code; c++)
        if (s->view.fits[c])
            code = name_channel(s, c, err);
    return code;
}

void nr_misfit_gain_drift(nr_misfit_search *s, double *size, double *u)
{
    *size = 0;
    *u = INFINITY;
    for (size_t i = 0; i < s->usuals; i++) {
        if (s->usual[i].piece != s->piece || s->usual[i].channel >= 0 || s->usual[i].order != 1)
            continue;
        nr_score score = nr_scorer_leaning(s->scorer, i);
        /* The usual departure, mean 0 and this variance, is in the score; taken out of it again the
         * record's own estimate is left. */
        double usual = usual_share[0] * usual_share[0];
        double own = 1 / (1 / (score.u * score.u) - 1 / usual);
        if (!isfinite(own) || !(own > 0))
            return;
        *size = 2 * score.size * own / (score.u * score.u);
        *u = 2 * sqrt(own + usual);
        return;
    }
}

/* What it would be, had it not been held to the usual, and its standard uncertainty then. */
static double freed(const nr_score *score, double *sd)
{
    double told = score->z != 0 ? pow(score->size / score->z, 2) : 0;
    *sd = hypot(score->u, score->size / (score->z != 0 ? score->z : 1));
    return told > 0 ? score->size * *sd * *sd / told : 0;
}

/* Less at first than a cold box explains, and less and less so. One try, in one direction: more at
 * first is nothing that dries. */
static void slow_start(nr_misfit_search *s, const nr_score *score)
{
    if (s->view.part != s->view.series->part || !(score->size > 0))
        return;
    double sd, size = freed(score, &sd), length = (double)s->blocks * s->view.series->block_s;
    double mean = size * (1 - exp(-length / BEGINNING_S)) * BEGINNING_S / length;
    double limit = PAST_CHANCE * nr_misfit_limit(1);
    nr_misfit_add(
        s, &(nr_misfit_finding){.kind = NR_MISFIT_SLOW_START,
                                .strength = fmin(score->z / limit, nr_misfit_matters(s, mean)),
                                .run = s->view.run,
                                .at_s = NAN,
                                .until_s = NAN,
                                .channel = -1,
                                .size = size,
                                .u = sd});
}

void nr_misfit_leanings(nr_misfit_search *s)
{
    double limit = PAST_CHANCE * nr_misfit_limit(s->usuals);
    for (size_t i = 0; i < s->usuals; i++) {
        const struct nr_misfit_usual *u = &s->usual[i];
        if (u->piece != s->piece || u->order > 1)
            continue;
        nr_score score = nr_scorer_leaning(s->scorer, i);
        if (u->order == BEGINNING) {
            slow_start(s, &score);
            continue;
        }
        double sd, free_size = 2 * freed(&score, &sd); /* end to end */
        double relative = u->channel < 0 ? free_size / 2
                                         : free_size / 2 * nr_misfit_error_of_kelvin(s, u->channel);
        nr_misfit_add(s,
                      &(nr_misfit_finding){
                          .kind = u->channel < 0 ? NR_MISFIT_SUN_DRIFT : NR_MISFIT_PROBE_DRIFT,
                          .strength = fmin(fabs(score.z) / limit, nr_misfit_matters(s, relative)),
                          .run = s->view.run,
                          .at_s = NAN,
                          .until_s = NAN,
                          .channel = u->channel,
                          .size = free_size,
                          .u = 2 * sd});
    }
}
