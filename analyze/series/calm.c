/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/series/inside.h"

#include <math.h>
#include <stdlib.h>

/* Standard uncertainties: of a value that does not belong to its neighbours; of further neighbours
 * on both sides whose mean is beside that of those between, so that the course is no straight line.
 * What bends by less moves the mean by less than its noise. */
#define BELONGS 5.0
#define STRAIGHT 2.5

typedef struct calm {
    const double *raw;
    double *sum;        /* [steps + 1] of raw up to here */
    size_t *broken;     /* [steps + 1] how many standstills and holes */
    double noise, each; /* of a step's value; independent readings in a step */
} calm;

static double mean_of(const calm *c, size_t from, size_t to)
{
    return (c->sum[to] - c->sum[from]) / (double)(to - from);
}

/* All values about k lie along a straight line. */
static bool is_calm(const calm *c, size_t k, size_t reach)
{
    size_t from = k - reach, to = k + reach + 1;
    if (c->broken[to] != c->broken[from])
        return false;
    double mean = mean_of(c, from, to);
    double slope = (mean_of(c, k + 1, to) - mean_of(c, from, k)) / (double)(reach + 1);
    for (size_t i = from; i < to; i++)
        if (fabs(c->raw[i] - mean - slope * ((double)i - (double)k)) > BELONGS * c->noise)
            return false;
    return true;
}

/* Whether those up to `far` steps away, beyond `near`, continue the line of those within. */
static bool goes_on(const calm *c, size_t k, size_t near, size_t far)
{
    if (c->broken[k + far + 1] != c->broken[k - far])
        return false;
    double before = mean_of(c, k - far, k - near), behind = mean_of(c, k + near + 1, k + far + 1);
    double between = mean_of(c, k - near, k + near + 1);
    double n = (double)(far - near), m = (double)(2 * near + 1);
    double u = c->noise * sqrt((1 / (2 * n) + 1 / m) / fmin(c->each, 1));
    return fabs((before + behind) / 2 - between) < STRAIGHT * u;
}

bool nr_grid_calm(const double *raw, double *value, size_t steps, double noise, double each,
                  size_t reach, size_t farthest)
{
    calm c = {raw, calloc(steps + 1, sizeof(double)), calloc(steps + 1, sizeof(size_t)), noise,
              each};
    bool good = c.sum && c.broken;
    for (size_t k = 0; good && k < steps; k++) {
        bool standing = isnan(raw[k]) || raw[k] == 0;
        c.sum[k + 1] = c.sum[k] + (standing ? 0 : raw[k]);
        c.broken[k + 1] = c.broken[k] + standing;
    }
    size_t near = reach > 0 ? reach : 1;
    for (size_t k = near; good && k + near < steps; k++) {
        size_t within = near, room = k < steps - 1 - k ? k : steps - 1 - k;
        if (!is_calm(&c, k, near))
            continue;
        for (size_t r = 2 * near; r <= farthest && r <= room && goes_on(&c, k, within, r); r *= 2)
            within = r;
        value[k] = mean_of(&c, k - within, k + within + 1);
    }
    free(c.sum);
    free(c.broken);
    return good;
}
