/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What of a fit's tables deserves a word. */
#include "analyze/fit/fit.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

/* A stated input is worth a line when the record moved it by this many of its own standard
 * uncertainties, or sharpened it to this part of them. */
#define MOVED 1.0
#define SHARPENED 0.7
#define CHECK_IT 2.0

size_t nr_fit_limit(const nr_fit *fit, int of)
{
    size_t best = SIZE_MAX;
    for (size_t i = 0; i < fit->budget_items; i++)
        if (best == SIZE_MAX || fit->budget[i].share[of] > fit->budget[best].share[of])
            best = i;
    return best;
}

nr_learned_grade nr_learned_judge(const nr_learned *l)
{
    double moved = fabs(l->found - l->stated) / l->stated_u;
    if (!(l->stated_u > 0) || !(moved > MOVED || l->found_u < SHARPENED * l->stated_u))
        return NR_LEARNED_NOTHING;
    return moved > CHECK_IT ? NR_LEARNED_CHECK_IT : NR_LEARNED_SOMETHING;
}

size_t nr_fit_first_block(const nr_fit_run *run, size_t channel)
{
    size_t first = run->blocks;
    for (size_t c = 0; c < run->channels; c++)
        for (size_t i = 0; (channel == SIZE_MAX || channel == c) && i < first; i++)
            if (isfinite(run->channel[c].residual[i]))
                first = i;
    return first;
}

nr_channel_use nr_fit_channel_use(const nr_fit_run *run, size_t channel)
{
    if (nr_fit_first_block(run, channel) < run->blocks)
        return NR_CHANNEL_FITTED;
    for (size_t c = 0; c < run->channels; c++)
        if (strcmp(run->channel[channel].name, "inlet") == 0 &&
            strcmp(run->channel[c].name, "outlet") == 0 && nr_fit_first_block(run, c) < run->blocks)
            return NR_CHANNEL_DRIVES;
    return NR_CHANNEL_UNUSED;
}
