/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Water that came or went: from some minute on the store warms faster or slower (its mass changed),
 * or its temperature steps (cold water was poured in). */
#include "analyze/misfit/inside.h"

#include <math.h>
#include <stdlib.h>

#define MOMENTS 40
/* Nearer to an end than this share of the record a change is no different from how it began. */
#define FIRST 6
#define LAST 35

/* What happens to the store happens to everything that is fed from it; a collector that is driven
 * by its measured inlet is not. */
static void consider(nr_misfit_search *s, nr_misfit_kind kind, double error, size_t from)
{
    const double *added[NR_OUTS];
    for (int c = 0; c < NR_OUTS; c++)
        added[c] = c == NR_OUT_STORE || !s->view.driven ? s->work[NR_OUT_STORE] : NULL;
    double limit = NR_MISFIT_WANDER * nr_misfit_limit(2 * MOMENTS);
    nr_misfit_finding f = {.kind = kind,
                           .at_s = nr_misfit_time(s, (double)from),
                           .until_s = NAN,
                           .channel = NR_OUT_STORE};
    nr_misfit_consider(s, &f, nr_scorer_try(s->scorer, s->piece, added), limit, error, added);
}

/* store: as modelled. The measured one would carry its noise into the signature, and the product
 * with itself would look like a change of mass every time. */
static void try_mass(nr_misfit_search *s, const double *store, size_t from)
{
    for (size_t b = 0; b < s->blocks; b++) /* more mass: less of the rise */
        s->work[NR_OUT_STORE][b] = b >= from ? store[from] - store[b] : 0;
    double share = 1 - (double)from / (double)s->blocks;
    consider(s, NR_MISFIT_STORE_MASS, fmin(share, 1 - share), from);
}

static void try_step(nr_misfit_search *s, size_t from)
{
    for (size_t b = 0; b < s->blocks; b++)
        s->work[NR_OUT_STORE][b] = b >= from;
    consider(s, NR_MISFIT_STORE_STEP, 1 / s->store_rise_K, from);
}

void nr_misfit_store(nr_misfit_search *s)
{
    if (!s->view.fits[NR_OUT_STORE] || !(s->store_rise_K > 0))
        return;
    for (size_t k = FIRST; k < LAST; k++) {
        size_t from = k * s->blocks / MOMENTS;
        try_mass(s, s->base[NR_OUT_STORE], from);
        try_step(s, from);
    }
}
