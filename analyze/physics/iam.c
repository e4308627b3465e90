/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Incidence angle modifier; see iam.h. */
#include "analyze/physics/iam.h"

#include <math.h>

#define DEG (3.14159265358979323846 / 180.0)

double nr_iam_default_b0(int covers)
{
    return covers <= 0 ? 0.0 : covers == 1 ? 0.1 : 0.17;
}
