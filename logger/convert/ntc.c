/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Thermistor laws; see ntc.h. */
#include "logger/convert/ntc.h"

#include <math.h>

#define ZERO_CELSIUS_K 273.15
#define REFERENCE_K 298.15

static double from_inverse_kelvin(double inverse_K)
{
    if (!(inverse_K > 0.0))
        return NAN;
    double degC = 1.0 / inverse_K - ZERO_CELSIUS_K;
    return degC >= NR_NTC_LOW_DEGC && degC <= NR_NTC_HIGH_DEGC ? degC : NAN;
}

static bool is_resistance(double ohm)
{
    return ohm > 0.0 && isfinite(ohm);
}

double nr_ntc_beta_degC(double ohm, double r25_ohm, double beta_K)
{
    if (!is_resistance(ohm) || !is_resistance(r25_ohm) || !(beta_K > 0.0))
        return NAN;
    return from_inverse_kelvin(1.0 / REFERENCE_K + log(ohm / r25_ohm) / beta_K);
}

double nr_ntc_beta_ohm(double degC, double r25_ohm, double beta_K)
{
    if (!(degC >= NR_NTC_LOW_DEGC && degC <= NR_NTC_HIGH_DEGC) || !is_resistance(r25_ohm))
        return NAN;
    return r25_ohm * exp(beta_K * (1.0 / (degC + ZERO_CELSIUS_K) - 1.0 / REFERENCE_K));
}

double nr_ntc_steinhart_degC(double ohm, double a, double b, double c)
{
    if (!is_resistance(ohm))
        return NAN;
    double l = log(ohm);
    return from_inverse_kelvin(a + l * (b + c * l * l));
}

double nr_ntc_four_term_degC(double ohm, double r25_ohm, double a, double b, double c, double d)
{
    if (!is_resistance(ohm) || !is_resistance(r25_ohm))
        return NAN;
    double l = log(ohm / r25_ohm);
    return from_inverse_kelvin(a + l * (b + l * (c + l * d)));
}

/* Divided differences of y = 1/T against x = ln R. With y = a + b x + c x^3 the first difference
 * of points i and j is b + c (xi^2 + xi xj + xj^2); two of them give c, then b, then a. */
bool nr_ntc_steinhart_solve(const double ohm[3], const double degC[3], double out[3])
{
    double x[3], y[3];
    for (int i = 0; i < 3; i++) {
        if (!is_resistance(ohm[i]) || !(degC[i] >= NR_NTC_LOW_DEGC && degC[i] <= NR_NTC_HIGH_DEGC))
            return false;
        x[i] = log(ohm[i]);
        y[i] = 1.0 / (degC[i] + ZERO_CELSIUS_K);
    }
    if (x[0] == x[1] || x[1] == x[2] || x[0] == x[2])
        return false;
    double d01 = (y[1] - y[0]) / (x[1] - x[0]);
    double d02 = (y[2] - y[0]) / (x[2] - x[0]);
    double sum = x[0] + x[1] + x[2];
    if (sum == 0.0)
        return false;
    double c = (d02 - d01) / ((x[2] - x[1]) * sum);
    double b = d01 - c * (x[0] * x[0] + x[0] * x[1] + x[1] * x[1]);
    double a = y[0] - x[0] * (b + c * x[0] * x[0]);
    if (!isfinite(a) || !isfinite(b) || !isfinite(c))
        return false;
    out[0] = a;
    out[1] = b;
    out[2] = c;
    return true;
}

double nr_divider_ohm(double ratio, double series_ohm, bool high_side)
{
    if (!(ratio > 0.0 && ratio < 1.0) || !is_resistance(series_ohm))
        return NAN;
    double ohm =
        high_side ? series_ohm * (1.0 - ratio) / ratio : series_ohm * ratio / (1.0 - ratio);
    return is_resistance(ohm) ? ohm : NAN;
}
