/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/result/quantity.h"

#include <gsl/gsl_cdf.h>

#include <math.h>

nr_quantity nr_quantity_make(double value, double u_random, double u_systematic,
                             double degrees_of_freedom, nr_quantity_unit unit)
{
    double u = hypot(u_random, u_systematic);
    if (!isfinite(value) || !isfinite(u))
        return nr_quantity_unknown(unit);
    double k = isfinite(degrees_of_freedom) ? gsl_cdf_tdist_Pinv(0.975, degrees_of_freedom)
                                            : gsl_cdf_ugaussian_Pinv(0.975);
    return (nr_quantity){.known = true,
                         .value = value,
                         .u = u,
                         .u_random = u_random,
                         .u_systematic = u_systematic,
                         .lo95 = value - k * u,
                         .hi95 = value + k * u,
                         .unit = unit};
}

nr_quantity nr_quantity_unknown(nr_quantity_unit unit)
{
    return (nr_quantity){.known = false,
                         .value = NAN,
                         .u = NAN,
                         .u_random = NAN,
                         .u_systematic = NAN,
                         .lo95 = NAN,
                         .hi95 = NAN,
                         .unit = unit};
}
