/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Atmosphere; see atmosphere.h. */
#include "analyze/physics/atmosphere.h"

#include <math.h>

#define ZERO_CELSIUS_K 273.15

double nr_pressure_at_elevation_Pa(double elevation_m)
{
    if (!(elevation_m >= -500.0 && elevation_m <= 11000.0))
        return NAN;
    return NR_STANDARD_PRESSURE_PA * pow(1.0 - 0.0065 * elevation_m / 288.15, 5.25588);
}

/* IAPWS-IF97, Table 34 */
static const double n[11] = {0.0,
                             0.11670521452767e4,
                             -0.72421316703206e6,
                             -0.17073846940092e2,
                             0.12020824702470e5,
                             -0.32325550322333e7,
                             0.14915108613530e2,
                             -0.48232657361591e4,
                             0.40511340542057e6,
                             -0.23855557567849,
                             0.65017534844798e3};

double nr_boiling_degC(double pressure_Pa)
{
    if (!(pressure_Pa >= 611.213 && pressure_Pa <= 22.064e6))
        return NAN;
    double beta = pow(pressure_Pa / 1e6, 0.25); /* equation 31 */
    double e = beta * beta + n[3] * beta + n[6];
    double f = n[1] * beta * beta + n[4] * beta + n[7];
    double g = n[2] * beta * beta + n[5] * beta + n[8];
    double d = 2.0 * g / (-f - sqrt(f * f - 4.0 * e * g));
    double sum = n[10] + d;
    return (sum - sqrt(sum * sum - 4.0 * (n[9] + n[10] * d))) / 2.0 - ZERO_CELSIUS_K;
}
