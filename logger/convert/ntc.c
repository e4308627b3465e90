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

double nr_divider_ohm(double ratio, double series_ohm, bool high_side)
{
    if (!(ratio > 0.0 && ratio < 1.0) || !is_resistance(series_ohm))
        return NAN;
    double ohm =
        high_side ? series_ohm * (1.0 - ratio) / ratio : series_ohm * ratio / (1.0 - ratio);
    return is_resistance(ohm) ? ohm : NAN;
}
