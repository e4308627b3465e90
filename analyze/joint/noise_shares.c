/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The noise's part of a variance, by the channel whose readings have it. */
#include "analyze/joint/evaluate.h"

#include <math.h>
#include <stdlib.h>

/* A result with gradient g moves by (C g)' j_row when the whitened row moves by one. */
static double of_channel(const nr_joint *j, const nr_piece *p, int c, const double *jacobian,
                         const double *cg)
{
    size_t m = j->parameters;
    double sum = 0;
    for (size_t b = 0; b < p->part->blocks; b++) {
        const double *row = jacobian + (p->row[c] + b) * m;
        double moved = 0;
        for (size_t i = 0; i < m; i++)
            moved += row[i] * cg[i];
        sum += moved * moved;
    }
    return sum;
}

nr_code nr_joint_noise_shares(const nr_joint *j, const double *gradient, double variance[NR_OUTS],
                              double independent[NR_OUTS], nr_err *err)
{
    size_t m = j->parameters;
    double *jacobian = malloc(j->rows * m * sizeof *jacobian), *cg = calloc(m, sizeof *cg);
    nr_code code = NR_OK;
    for (int c = 0; c < NR_OUTS; c++)
        variance[c] = independent[c] = 0;
    if (!jacobian || !cg)
        code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    else if (nr_joint_jacobian(j->x, (void *)j, jacobian))
        code = nr_fail(err, NR_CANNOT, NULL, 0, "the model cannot be run at its solution");
    for (size_t i = 0; !code && i < m; i++)
        for (size_t k = 0; k < m; k++)
            cg[i] += j->covariance[i * m + k] * gradient[k];
    for (size_t i = 0; !code && i < j->pieces; i++) {
        const nr_piece *p = &j->piece[i];
        for (int c = 0; c < NR_OUTS; c++) {
            if (!p->fits[c])
                continue;
            variance[c] += of_channel(j, p, c, jacobian, cg);
            independent[c] += nr_noise_effective(&p->noise[c], p->used_count[c]);
        }
    }
    free(jacobian);
    free(cg);
    return code;
}
