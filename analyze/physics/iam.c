/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Incidence angle modifier; see iam.h. */
#include "analyze/physics/iam.h"

#include <math.h>

#define DEG (3.14159265358979323846 / 180.0)

double nr_iam_default_b0(int covers)
{
    return covers <= 0 ? 0.0 : covers == 1 ? 0.1 : 0.17;
}

double nr_iam_beam(double b0, double incidence_deg)
{
    if (!(b0 >= 0.0 && b0 <= 1.0) || !(incidence_deg >= 0.0 && incidence_deg <= 180.0))
        return NAN;
    if (incidence_deg >= 90.0)
        return 0.0;
    return fmax(0.0, 1.0 - b0 * (1.0 / cos(incidence_deg * DEG) - 1.0));
}

/* 2 * integral over c = cos(theta) from b0/(1 + b0), where K meets 0, to 1 of
 * ((1 + b0) c - b0) dc. */
double nr_iam_diffuse(double b0)
{
    return b0 >= 0.0 && b0 <= 1.0 ? 1.0 / (1.0 + b0) : NAN;
}
