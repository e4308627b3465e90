/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/compare/lines.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

nr_code nr_lines_begin(nr_lines *l, const nr_joint *whole, const nr_skies *weather, nr_err *err)
{
    *l = (nr_lines){
        .whole = whole, .builds = nr_joint_builds(whole), .factors = nr_skies_factors(weather)};
    size_t size = nr_joint_parameters(whole) + l->factors;
    bool good = (l->work = malloc(size * sizeof(double))) != NULL;
    for (int by = 0; by < NR_COMPARED; by++)
        for (size_t b = 0; b < l->builds; b++)
            good = (l->line[by][b].slope = calloc(size, sizeof(double))) && good;
    return good ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
}

void nr_lines_free(nr_lines *l)
{
    for (int by = 0; by < NR_COMPARED; by++)
        for (size_t b = 0; b < l->builds; b++)
            free(l->line[by][b].slope);
    free(l->work);
}

nr_code nr_lines_add(nr_lines *l, nr_compared by, size_t build, const nr_joint *part,
                     const nr_skies *weather, nr_result_fn fn, const void *context, nr_err *err)
{
    nr_line *line = &l->line[by][build];
    double *gradient = malloc(nr_joint_parameters(part) * sizeof *gradient);
    if (!gradient)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    line->value = fn(part, nr_joint_x(part), context);
    line->known = isfinite(line->value) && nr_result_gradient(part, fn, context, gradient);
    if (line->known) {
        nr_joint_embed(part, gradient, line->slope);
        nr_skies_effect(weather, part, build, gradient,
                        line->slope + nr_joint_parameters(l->whole));
    }
    free(gradient);
    return NR_OK;
}

nr_quantity nr_lines_difference(const nr_lines *l, nr_compared by, size_t of, size_t against,
                                nr_quantity_unit unit)
{
    const nr_line *a = &l->line[by][of], *b = &l->line[by][against];
    size_t m = nr_joint_parameters(l->whole);
    double random = 0, systematic = 0;
    if (!a->known || !b->known)
        return nr_quantity_unknown(unit);
    for (size_t i = 0; i < m + l->factors; i++)
        l->work[i] = a->slope[i] - b->slope[i];
    nr_joint_variance(l->whole, l->work, &random, &systematic, NULL);
    for (size_t i = m; i < m + l->factors; i++)
        random = hypot(random, l->work[i]); /* other days would have other weather */
    return nr_quantity_make(a->value - b->value, random, systematic, INFINITY, unit);
}

double nr_lines_covariance(const nr_lines *l, nr_compared by, size_t a, nr_compared other, size_t b)
{
    const double *x = l->line[by][a].slope, *y = l->line[other][b].slope;
    size_t m = nr_joint_parameters(l->whole);
    double sum = nr_joint_covariance(l->whole, x, y);
    for (size_t i = m; i < m + l->factors; i++)
        sum += x[i] * y[i];
    return sum;
}
