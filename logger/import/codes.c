/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/codes.h"
#include "logger/base/order.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Full scales of converters and what one-wire thermometers say without a probe; common practice. */
static const double special[] = {32767,   -32768,       3276.7,       -3276.8, 327.67, 65535,
                                 6553.5,  655.35,       -127,         6999,    7999,   -7999,
                                 -273.15, 2147483647.0, 4294967295.0, -196.6,  1999.9, 19999};

/* One-wire thermometers say it after a dip of their supply. */
static bool is_power_up(double v, const nr_unit *unit)
{
    bool temperature = unit && unit->dimension == NR_DIM_TEMPERATURE;
    return temperature && fabs(nr_unit_to_canonical(unit, v) - 85) < 1e-9;
}

/* Eights or nines throughout (three and more of them; of negative numbers two). */
static bool has_shape(double v, const nr_unit *unit)
{
    char text[40];
    for (size_t i = 0; i < sizeof special / sizeof *special; i++)
        if (fabs(v - special[i]) < 1e-9 * fabs(special[i]))
            return true;
    if (fabs(v) >= 1e7 || is_power_up(v, unit))
        return true;
    snprintf(text, sizeof text, "%.6g", fabs(v));
    size_t figures = 0;
    char which = '\0';
    for (const char *p = text; *p; p++) {
        if (*p == '.')
            continue;
        which = figures++ == 0 ? *p : which;
        if (*p != which)
            return false;
    }
    return (which == '9' || which == '8' || which == '7') && figures >= (v < 0 ? 2u : 3u);
}

/* Could it be measured at all? Wide: a bucket in the sun, the box of a collector, the weather. */
static bool possible(double v, const nr_unit *unit)
{
    static const struct {
        nr_dimension dimension;
        double low, high;
    } ranges[] = {
        {NR_DIM_TEMPERATURE, -80, 400}, {NR_DIM_IRRADIANCE, -60, 2200}, {NR_DIM_FLOW, -50, 2000},
        {NR_DIM_SPEED, -1, 100},        {NR_DIM_PERCENT, -5, 110},      {NR_DIM_VOLTAGE, -600, 600},
        {NR_DIM_CURRENT, -500, 500},    {NR_DIM_POWER, -1e5, 1e5},
    };
    double canonical = unit ? nr_unit_to_canonical(unit, v) : v;
    for (size_t i = 0; unit && i < sizeof ranges / sizeof *ranges; i++)
        if (ranges[i].dimension == unit->dimension)
            return canonical >= ranges[i].low && canonical <= ranges[i].high;
    return fabs(v) < 1e7;
}

/* Below absolute zero and the like: no reading whatever its figures are. */
static bool absurd(double v, const nr_unit *unit)
{
    if (!unit)
        return fabs(v) >= 1e7;
    double canonical = nr_unit_to_canonical(unit, v);
    switch (unit->dimension) {
    case NR_DIM_TEMPERATURE:
        return canonical < -200 || canonical > 2500;
    case NR_DIM_IRRADIANCE:
        return canonical < -500 || canonical > 6000;
    case NR_DIM_PERCENT:
    case NR_DIM_SPEED:
    case NR_DIM_FLOW:
        return canonical < -60 || canonical > 5000;
    default:
        return fabs(v) >= 1e7;
    }
}

static bool known(const nr_codes *codes, double v)
{
    for (size_t i = 0; i < codes->count; i++)
        if (codes->code[i] == v)
            return true;
    return false;
}

void nr_codes_look(nr_codes *codes, const double *value, size_t rows, const nr_unit *unit)
{
    for (size_t r = 0; r < rows && codes->count < NR_CODES; r++)
        if (isfinite(value[r]) && !known(codes, value[r]) &&
            (absurd(value[r], unit) || (has_shape(value[r], unit) && !possible(value[r], unit))))
            codes->code[codes->count++] = value[r];
}

/* Median of what neighbouring readings differ by; those of a code's shape are passed over. */
static double usual_change(const double *value, size_t rows, const nr_unit *unit)
{
    double *change = malloc((rows + 1) * sizeof *change), before = NAN, usual = 0;
    size_t n = 0;
    for (size_t r = 0; change && r < rows; r++) {
        if (!isfinite(value[r]) || has_shape(value[r], unit))
            continue;
        if (isfinite(before))
            change[n++] = fabs(value[r] - before);
        before = value[r];
    }
    if (change && n > 0) {
        qsort(change, n, sizeof *change, nr_ascending);
        usual = change[n / 2];
    }
    free(change);
    return usual;
}

/* Between, or near, the readings before and behind it. */
static bool fits(const double *value, size_t rows, size_t at, double usual, const nr_unit *unit)
{
    double a = NAN, b = NAN;
    for (size_t r = at; r-- > 0 && !isfinite(a);)
        a = has_shape(value[r], unit) ? NAN : value[r];
    for (size_t r = at + 1; r < rows && !isfinite(b); r++)
        b = has_shape(value[r], unit) ? NAN : value[r];
    if (!isfinite(a) && !isfinite(b))
        return false; /* nothing but such numbers */
    double room = 6 * usual + 0.02 * fabs(value[at]);
    return value[at] >= fmin(a, b) - room && value[at] <= fmax(a, b) + room;
}

static size_t times_there(const double *value, size_t rows, double v)
{
    size_t n = 0;
    for (size_t r = 0; r < rows; r++)
        n += value[r] == v;
    return n;
}

size_t nr_codes_drop(const nr_codes *codes, double *value, size_t rows, const nr_unit *unit,
                     double *example)
{
    size_t dropped = 0;
    double usual = usual_change(value, rows, unit);
    bool *drop = calloc(rows + 1, sizeof *drop);
    for (size_t r = 0; drop && r < rows; r++) {
        double v = value[r];
        if (!isfinite(v) || !(has_shape(v, unit) || absurd(v, unit) || known(codes, v)))
            continue;
        bool alone = !fits(value, rows, r, usual, unit);
        drop[r] =
            absurd(v, unit) || (has_shape(v, unit) && !possible(v, unit)) ||
            (alone && (known(codes, v) || times_there(value, rows, v) > 1 || is_power_up(v, unit)));
    }
    for (size_t r = 0; drop && r < rows; r++)
        if (drop[r]) {
            *example = value[r];
            value[r] = NAN;
            dropped++;
        }
    free(drop);
    return dropped;
}
