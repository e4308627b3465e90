/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Thermocouples; see thermocouple.h. */
#include "logger/convert/thermocouple.h"

#include "logger/convert/its90.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

/* The inverse starts up to 0.05 K off. One step leaves some 2e-6 K, where the slope changes
 * fastest; the second leaves rounding. */
#define NEWTON_STEPS 2

static const nr_its90_piece *piece_at(const nr_its90_piece *pieces, double x)
{
    for (const nr_its90_piece *p = pieces; p->terms > 0; p++) {
        bool last = p[1].terms == 0;
        if (x >= p->low && (x < p->high || (last && x <= p->high)))
            return p;
    }
    return NULL;
}

/* Value, and slope where asked for, by Horner's rule. */
static double polynomial(const nr_its90_piece *p, double x, double *slope)
{
    double value = 0.0, d = 0.0;
    for (int i = p->terms - 1; i >= 0; i--) {
        d = d * x + value;
        value = value * x + p->c[i];
    }
    if (slope)
        *slope = d;
    return value;
}

static double forward(const nr_its90_type *type, double degC, double *slope)
{
    const nr_its90_piece *p = piece_at(type->forward, degC);
    if (!p)
        return NAN;
    double mV = polynomial(p, degC, slope);
    if (degC >= 0.0 && type->bump[0] != 0.0) {
        double from = degC - type->bump[2];
        double bump = type->bump[0] * exp(type->bump[1] * from * from);
        mV += bump;
        if (slope)
            *slope += 2.0 * type->bump[1] * from * bump;
    }
    return mV;
}

double nr_thermocouple_mV(nr_thermocouple type, double degC)
{
    return forward(&nr_its90_types[type], degC, NULL);
}

double nr_thermocouple_degC(nr_thermocouple type, double mV)
{
    const nr_its90_type *t = &nr_its90_types[type];
    const nr_its90_piece *p = piece_at(t->inverse, mV);
    if (!p)
        return NAN;
    double degC = polynomial(p, mV, NULL);
    for (int i = 0; i < NEWTON_STEPS; i++) {
        double slope = 1.0, at = forward(t, degC, &slope);
        if (isnan(at)) /* the last hundredth of a kelvin before the end of the table */
            break;
        degC -= (at - mV) / slope;
    }
    return degC;
}

double nr_thermocouple_hot_degC(nr_thermocouple type, double measured_mV, double cold_degC)
{
    return nr_thermocouple_degC(type, measured_mV + nr_thermocouple_mV(type, cold_degC));
}
