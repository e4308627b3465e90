/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/estimate/mixture.h"

#include <math.h>

double nr_mixture_variance(double d, double s, double u, double far, double chance)
{
    double near = s * s + u * u, wide = near + far * far;
    if (!(d > 0) || !(near > 0) || !isfinite(wide))
        return 0;
    double log_odds = log(chance / (1 - chance)) + log(2) - log(wide / near) / 2 +
                      d * d / 2 * (1 / near - 1 / wide);
    return d * d / (1 + exp(-log_odds));
}
