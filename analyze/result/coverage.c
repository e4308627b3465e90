/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/result/coverage.h"

#include <gsl/gsl_cdf.h>

#include <math.h>

double nr_coverage_factor(double level, double dof)
{
    double tail = (1 - level) / 2;
    return isinf(dof) ? gsl_cdf_ugaussian_Qinv(tail)
                      : gsl_cdf_tdist_Qinv(tail, fmax(floor(dof), 1));
}

double nr_dof_of_reliability(double relative)
{
    return 1 / (2 * relative * relative);
}
