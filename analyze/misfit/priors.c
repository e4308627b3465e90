/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Stated inputs that the record pulls away. A prior p with u and the posterior x with v < u: where
 * the prior was right, x - p has variance u^2 - v^2. */
#include "analyze/misfit/inside.h"

#include <gsl/gsl_cdf.h>

#include <math.h>

/* Past chance: what the model lumps leans on what was stated. */
#define LEANS 1.15
/* A prior that the record narrowed by less says nothing. */
#define TOLD 0.05

/* Standardised pull, NAN where the record said nothing. */
static double pull_of(const nr_parameter_view *p)
{
    double told = 1 - pow(p->u / p->prior_u, 2);
    if (!p->has_prior || !(told > TOLD))
        return NAN;
    return (p->value - p->prior) / (p->prior_u * sqrt(told));
}

/* Worth a surprise. Over glass a cold sky acts as air some kelvins colder than the probe says,
 * which is no fault of the probe, nor sun on it: where the sky is no term of its own, only a
 * departure to the other side is one. */
static bool counts(const nr_misfit_search *s, size_t build, size_t i, const nr_parameter_view *p)
{
    if (!nr_joint_concerns(s->joint, build, i) || !nr_term_surprises(p->term))
        return false;
    size_t piece = nr_joint_piece_of(s->joint, build);
    bool told = nr_joint_index(s->joint, piece, NR_TERM_SKY) >= 0;
    bool air = p->term == NR_TERM_AIR_OFFSET || p->term == NR_TERM_SUN_ON_AIR;
    return !air || told || p->value < p->prior;
}

void nr_misfit_priors(nr_misfit_search *s, size_t build)
{
    size_t n = nr_joint_parameters(s->joint), tries = 0;
    double sum = 0, expected = 0;
    for (size_t i = 0; i < n; i++) {
        nr_parameter_view p = nr_joint_parameter(s->joint, i);
        if (!counts(s, build, i, &p) || isnan(pull_of(&p)))
            continue;
        tries++;
        sum += pow((p.value - p.prior) / p.prior_u, 2);
        expected += 1 - pow(p.u / p.prior_u, 2);
    }
    for (size_t i = 0; i < n; i++) {
        nr_parameter_view p = nr_joint_parameter(s->joint, i);
        if (!counts(s, build, i, &p))
            continue;
        double pull = pull_of(&p);
        nr_misfit_add(
            s, &(nr_misfit_finding){.kind = NR_MISFIT_PRIOR,
                                    .strength = fabs(pull) / (LEANS * nr_misfit_limit(tries)),
                                    .at_s = NAN,
                                    .until_s = NAN,
                                    .channel = (int)p.term,
                                    .parameter = i,
                                    .size = pull,
                                    .u = 1});
    }
    if (!(expected > 0))
        return;
    /* At most `expected` in the mean, with the spread of a chi-squared of as many degrees. */
    double limit = gsl_cdf_chisq_Qinv(NR_MISFIT_FAMILY, fmax(expected, 1));
    nr_misfit_add(s, &(nr_misfit_finding){.kind = NR_MISFIT_PRIORS,
                                          .strength = sum / (LEANS * LEANS * limit),
                                          .at_s = NAN,
                                          .until_s = NAN,
                                          .channel = -1,
                                          .size = sum / expected,
                                          .u = 1});
}
