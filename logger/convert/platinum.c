/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Platinum thermometers; see platinum.h. */
#include "logger/convert/platinum.h"

#include <math.h>

/* IEC 60751 */
#define A 3.9083e-3
#define B (-5.775e-7)
#define C (-4.183e-12)
#define LOW_DEGC (-200.0)
#define HIGH_DEGC 850.0

static double ratio_at(double t)
{
    double c = t < 0.0 ? C : 0.0;
    return 1.0 + t * (A + t * (B + c * t * (t - 100.0)));
}

static double slope_at(double t)
{
    double c = t < 0.0 ? C : 0.0;
    return A + t * (2.0 * B + c * t * (4.0 * t - 300.0));
}

double nr_platinum_degC(double ohm, double r0_ohm)
{
    if (!(r0_ohm > 0.0))
        return NAN;
    double w = ohm / r0_ohm;
    if (!(w >= ratio_at(LOW_DEGC) && w <= ratio_at(HIGH_DEGC)))
        return NAN;
    double t = (-A + sqrt(A * A - 4.0 * B * (1.0 - w))) / (2.0 * B);
    if (w < 1.0) {
        /* The start is 2.4 K off at -200 degC; Newton squares the relative error, four are enough.
         */
        for (int i = 0; i < 4; i++)
            t -= (ratio_at(t) - w) / slope_at(t);
    }
    return t;
}
