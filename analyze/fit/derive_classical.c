/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The classical regression of the points: what a textbook would do, as a second opinion. */
#include "analyze/estimate/linfit.h"
#include "analyze/fit/derive.h"

#include <math.h>
#include <stdlib.h>

/* Fewer points make no line; with this many that meet the standard's limits the rest is left out.
 */
#define LEAST_POINTS 4
#define ENOUGH_STEADY 6

/* Points that enter, as rows (1, -x) and eta; returns how many. */
static size_t collect(const nr_fit *f, bool strict, double *design, double *eta)
{
    size_t n = 0;
    for (size_t i = 0; i < f->points; i++) {
        if (strict && !f->point[i].steady)
            continue;
        design[2 * n] = 1;
        design[2 * n + 1] = -f->point[i].x;
        eta[n++] = f->point[i].eta;
    }
    return n;
}

void nr_derive_classical(nr_fit *f)
{
    size_t steady = 0;
    for (size_t i = 0; i < f->points; i++)
        steady += f->point[i].steady;
    bool strict = steady >= ENOUGH_STEADY;
    f->classical = (nr_classical){.points = strict ? steady : f->points, .steady_only = strict};
    f->classical.eta0 = nr_quantity_unknown(NR_UNIT_ONE);
    f->classical.a1 = nr_quantity_unknown(NR_UNIT_W_M2K);
    if (f->classical.points < LEAST_POINTS)
        return;
    double *design = malloc(2 * f->points * sizeof(double));
    double *eta = malloc(f->points * sizeof(double));
    nr_linfit *line = NULL;
    if (design && eta) {
        nr_linfit_problem problem = {.p = 2, .design = design, .y = eta};
        problem.n = collect(f, strict, design, eta);
        problem.errors = NR_LINFIT_FROM_RESIDUALS;
        if (nr_linfit_solve(&problem, &line, NULL) == NR_OK) {
            double dof = (double)(problem.n - 2);
            f->classical.known = true;
            f->classical.eta0 = nr_quantity_make(line->beta[0], nr_linfit_u(line, 0),
                                                 f->eta0.u_systematic, dof, NR_UNIT_ONE);
            f->classical.a1 = nr_quantity_make(line->beta[1], nr_linfit_u(line, 1),
                                               f->a1.u_systematic, dof, NR_UNIT_W_M2K);
        }
    }
    nr_linfit_free(line);
    free(design);
    free(eta);
}
