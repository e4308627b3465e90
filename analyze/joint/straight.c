/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/joint/evaluate.h"

#include <math.h>

/* F' U comes no nearer to the absorber's exchange with the water than this share of it. */
#define MOST_PRODUCT 0.95

/* What goes with the heat from absorber to water: the record tells F' = h/(h + U) times these. */
static const nr_term times_factor[] = {NR_TERM_OPTICAL, NR_TERM_LOSS2, NR_TERM_WIND, NR_TERM_SKY,
                                       NR_TERM_ASIDE};

static void straighten(const double *x, const int *index, double *to)
{
    if (index[NR_TERM_LN_EXCHANGE] < 0 || index[NR_TERM_LOSS] < 0 || index[NR_TERM_OPTICAL] < 0)
        return;
    size_t at = (size_t)index[NR_TERM_LN_EXCHANGE], of = (size_t)index[NR_TERM_LOSS];
    double h = exp(x[at]), u = x[of], factor = h / (h + u);
    double d_h = to[at] - x[at], d_u = to[of] - u; /* of ln h, of u */
    double d_factor = factor * (1 - factor) * d_h - factor * factor / h * d_u;
    double h_now = exp(to[at]), product = factor * u + factor * d_u + u * d_factor;
    if (!(u > 0 && product > 0 && product < MOST_PRODUCT * h_now))
        return;
    double u_now = product * h_now / (h_now - product), now = h_now / (h_now + u_now);
    to[of] = u_now;
    for (size_t t = 0; t < sizeof times_factor / sizeof times_factor[0]; t++) {
        int i = index[times_factor[t]];
        if (i >= 0)
            to[i] = (factor * to[i] + x[i] * d_factor) / now;
    }
    if (index[NR_TERM_LN_CAPACITY] >= 0)
        to[index[NR_TERM_LN_CAPACITY]] += d_factor / factor - log(now / factor);
}

void nr_joint_straight_step(const nr_joint *joint, const double *x, double *step)
{
    for (size_t i = 0; i < joint->parameters; i++)
        step[i] = x[i] - step[i];
    for (size_t b = 0; b < joint->builds; b++)
        straighten(x, joint->piece[nr_joint_piece_of(joint, b)].index, step);
}
