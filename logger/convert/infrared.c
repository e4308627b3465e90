/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/convert/infrared.h"

#include <math.h>

/* c2 = hc/k = 14387.77 um K (CODATA 2018), over 10.5 um. */
#define C2_OVER_WAVELENGTH_K (14387.77 / 10.5)
#define ZERO_DEGC_K 273.15

static double radiance(double degC)
{
    return 1 / expm1(C2_OVER_WAVELENGTH_K / (degC + ZERO_DEGC_K));
}

double nr_infrared_degC(double shown_degC, double emissivity_set, double instrument_degC,
                        double emissivity, double surroundings_degC)
{
    double seen =
        emissivity_set * radiance(shown_degC) + (1 - emissivity_set) * radiance(instrument_degC);
    double own = (seen - (1 - emissivity) * radiance(surroundings_degC)) / emissivity;
    return own > 0 ? C2_OVER_WAVELENGTH_K / log1p(1 / own) - ZERO_DEGC_K : NAN;
}
