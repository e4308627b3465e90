/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What drives the pump whose flow was not measured. */
#include "analyze/series/inside.h"

#include <math.h>
#include <stdlib.h>

/* A drive that varies less than this (standard deviation of its logarithm) moves no flow that the
 * guess of the flow would not cover many times over. */
#define HARDLY_CHANGES 0.02
/* Farther than this from what is typical no power law is believed. */
#define FARTHEST_DOWN 0.2
#define FARTHEST_UP 2.0

/* A step that tells what is typical: pump running, in the sun. */
static bool typical_step(const nr_grid *g, size_t k, double max_sun)
{
    double sun = g->value[NR_ROLE_SUN][k];
    return g->pump[k] != NR_PUMP_IS_OFF && sun >= NR_SUN_COUNTS * max_sun;
}

static double largest(const double *v, size_t n)
{
    double most = 0;
    for (size_t k = 0; k < n; k++)
        most = fmax(most, v[k]);
    return most;
}

/* Where the pump ran for a part of the step, the drive is that of a whole step beside it. */
static double drive_of(const nr_grid *g, const double *from, size_t k)
{
    if (g->pump[k] != NR_PUMP_IS_OFF)
        return from[k];
    if (k > 0 && g->pump[k - 1] != NR_PUMP_IS_OFF)
        return from[k - 1];
    return k + 1 < g->steps && g->pump[k + 1] != NR_PUMP_IS_OFF ? from[k + 1] : NAN;
}

double *nr_grid_drive(nr_series *s, const nr_grid *g)
{
    s->drive = g->value[NR_ROLE_PUMP] && s->quality->pump_source == NR_PUMP_FROM_SUPPLY
                   ? NR_ROLE_PUMP
                   : NR_ROLE_SUN;
    const double *from = g->value[s->drive];
    double *drive = calloc(g->steps, sizeof(double));
    double max_sun = largest(g->value[NR_ROLE_SUN], g->steps), n = 0, sum = 0, squares = 0;
    for (size_t k = 0; drive && k < g->steps; k++) {
        if (!(from[k] > 0) || !typical_step(g, k, max_sun))
            continue;
        n++;
        sum += log(from[k]);
    }
    double mean = sum / n, lo = log(FARTHEST_DOWN), hi = log(FARTHEST_UP);
    for (size_t k = 0; drive && k < g->steps; k++) {
        double now = drive_of(g, from, k);
        if (isnan(now) || g->running[k] == 0)
            continue;
        drive[k] = now > 0 ? fmin(fmax(log(now) - mean, lo), hi) : lo;
        squares += drive[k] * drive[k];
    }
    if (n > 0 && squares > HARDLY_CHANGES * HARDLY_CHANGES * n)
        return drive;
    free(drive);
    return NULL;
}
