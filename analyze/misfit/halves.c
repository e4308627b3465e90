/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Does the second half of a record give the curve of the first? Gain and loss may both be others
 * from the middle on: two signatures, scored together. One moment and two directions instead of
 * hundreds of moments and one: what is spread over time and no event shows here or nowhere. */
#include "analyze/misfit/inside.h"

#include <gsl/gsl_cdf.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define LITTLE 0.01
#define TOO_LITTLE 1e-4 /* of the efficiency: never matters */
enum { GAIN, LOSS, WAYS };
/* What the loss of a good record may differ by between its halves, relative. Wind wanders about its
 * mean by a quarter and forgets in some minutes, so that the means over half an hour or more differ
 * by 0.2; a bare plate's loss goes with it by half, a glazed one's by a tenth. What the gain may
 * differ by is among the usual departures (usual.c). Common practice, no source. */
#define USUAL_BARE 0.10
#define USUAL_MEASURED 0.03 /* bare, where a wind channel takes most of it away */
#define USUAL_GLAZED 0.03

typedef struct halves {
    size_t middle;              /* block */
    double *way[WAYS][NR_OUTS]; /* [blocks] K per unit of change from the middle on */
    double *driven;             /* [steps] what drives the model instead */
    double excess_K, sun_W_m2;  /* means of the pumped time */
} halves;

static bool allocate(const nr_misfit_search *s, halves *h)
{
    size_t steps = s->blocks * s->view.input.steps_per_block;
    h->driven = malloc(steps * sizeof(double));
    bool room = h->driven != NULL;
    for (int c = 0; c < NR_OUTS; c++)
        for (int w = 0; w < WAYS; w++) {
            h->way[w][c] = calloc(s->blocks, sizeof(double));
            room = room && h->way[w][c];
        }
    return room;
}

static void let_go(halves *h)
{
    free(h->driven);
    for (int c = 0; c < NR_OUTS; c++)
        for (int w = 0; w < WAYS; w++)
            free(h->way[w][c]);
}

static void differ(const nr_misfit_search *s, const nr_loop_input *input, halves *h, int way)
{
    nr_scorer_predict_from(s->scorer, s->piece, input, h->way[way], h->middle, s->stand);
    for (int c = 0; c < NR_OUTS; c++)
        for (size_t b = h->middle; b < s->blocks; b++)
            h->way[way][c][b] = (h->way[way][c][b] - s->base[c][b]) / LITTLE;
}

/* What leaves the collector, as modelled, is near enough to what loses heat. */
static double excess(const nr_misfit_search *s, size_t block)
{
    bool loop = s->view.fits[NR_OUT_OUTLET] || s->view.driven;
    const double *water = s->base[loop ? NR_OUT_OUTLET : NR_OUT_STORE];
    return water[block] - s->view.part->air_degC[block * s->view.input.steps_per_block];
}

/* A loss that is larger by a share acts as air that is colder by that share of the excess. */
static void simulate(const nr_misfit_search *s, halves *h)
{
    const nr_part *part = s->view.part;
    size_t per = s->view.input.steps_per_block, steps = s->blocks * per;
    nr_loop_input input = s->view.input;
    memcpy(h->driven, part->sun_W_m2, steps * sizeof(double));
    for (size_t i = h->middle * per; i < steps; i++)
        h->driven[i] *= 1 + LITTLE;
    input.sun_W_m2 = h->driven;
    differ(s, &input, h, GAIN);
    input = s->view.input;
    memcpy(h->driven, part->air_degC, steps * sizeof(double));
    for (size_t i = h->middle * per; i < steps; i++)
        h->driven[i] -= LITTLE * excess(s, i / per);
    input.air_degC = h->driven;
    differ(s, &input, h, LOSS);
    double n = 0;
    for (size_t b = 0; b < s->blocks; b++) {
        if (!part->pump_on[b])
            continue;
        h->excess_K += excess(s, b);
        h->sun_W_m2 += part->sun_W_m2[b * per];
        n++;
    }
    h->excess_K /= fmax(n, 1);
    h->sun_W_m2 /= fmax(n, 1);
}

/* Of the efficiency in the middle of the record, relative, for the sizes of both. */
static double change(const nr_misfit_search *s, const halves *h, const double size[WAYS])
{
    nr_loop_params p = nr_joint_device(s->joint, s->piece, nr_joint_x(s->joint));
    double gained = p.optical * h->sun_W_m2, lost = p.loss_W_m2K * h->excess_K;
    return (size[GAIN] * gained - size[LOSS] * lost) / fmax(gained - lost, 0.1 * gained);
}

static double usual_loss(const nr_misfit_search *s)
{
    if (nr_series_glazed(&s->view.series->run->rig))
        return USUAL_GLAZED;
    return s->view.part->wind_m_s ? USUAL_MEASURED : USUAL_BARE;
}

/* Chi-squared of two sizes whose covariance has this much more in the loss. */
static double chi_squared(const double size[WAYS], const double v[WAYS * WAYS], double more)
{
    double loss = v[3] + more * more, determinant = v[0] * loss - v[1] * v[2];
    return (size[GAIN] * size[GAIN] * loss - 2 * v[1] * size[GAIN] * size[LOSS] +
            size[LOSS] * size[LOSS] * v[0]) /
           determinant;
}

static void consider(nr_misfit_search *s, const halves *h)
{
    const double *part[WAYS * NR_OUTS];
    double size[WAYS] = {0}, v[WAYS * WAYS];
    for (int w = 0; w < WAYS; w++)
        for (int c = 0; c < NR_OUTS; c++)
            part[w * NR_OUTS + c] = h->way[w][c];
    nr_score_parts *both = nr_scorer_parts(s->scorer, s->piece, part, WAYS);
    bool told = both && nr_score_of_all(both, size, v);
    nr_score_parts_free(both);
    double all = change(s, h, size);
    if (!told || !(fabs(all) > TOO_LITTLE))
        return;
    double *added[NR_OUTS] = {s->work[0], s->work[1], s->work[2]};
    for (int c = 0; c < NR_OUTS; c++)
        for (size_t b = 0; b < s->blocks; b++)
            added[c][b] = (size[GAIN] * h->way[GAIN][c][b] + size[LOSS] * h->way[LOSS][c][b]) / all;
    /* In units of that change, z of two directions. The fit takes the mean of both halves. */
    double z = sqrt(chi_squared(size, v, 0));
    double surprising = sqrt(chi_squared(size, v, usual_loss(s)));
    double limit = NR_MISFIT_WANDER * sqrt(gsl_cdf_chisq_Qinv(NR_MISFIT_FAMILY, WAYS));
    nr_misfit_finding f = {.kind = NR_MISFIT_HALVES,
                           .at_s = nr_misfit_time(s, (double)h->middle),
                           .until_s = NAN,
                           .channel = -1};
    const double *const as_named[NR_OUTS] = {added[0], added[1], added[2]};
    nr_misfit_consider(s, &f, (nr_score){all, fabs(all) / z, z}, limit * z / surprising, 0.5,
                       as_named);
}

nr_code nr_misfit_halves(nr_misfit_search *s, nr_err *err)
{
    halves h = {.middle = s->blocks / 2};
    bool room = allocate(s, &h);
    if (room) {
        simulate(s, &h);
        consider(s, &h);
    }
    let_go(&h);
    return room ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
}
