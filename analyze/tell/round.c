/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/tell/round.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* What separates a decimal half from its nearest double, in units of the last place kept. */
#define HALF_SLACK 1e-9

static double round_half_away(double scaled)
{
    return copysign(floor(fabs(scaled) + 0.5 + HALF_SLACK), scaled);
}

static double round_to(double value, int place)
{
    /* Powers of ten are exact up to 1e22: dividing by one is right to the last bit, multiplying
     * by 0.001 is not. */
    double power = pow(10.0, abs(place));
    return place >= 0 ? round_half_away(value * power) / power
                      : round_half_away(value / power) * power;
}

int nr_round_place(double u, int digits)
{
    if (!(u > 0.0) || !isfinite(u))
        return NR_NO_PLACE;
    int place = digits - 1 - (int)floor(log10(u));
    if (place > 12 || place < -18)
        return NR_NO_PLACE;
    /* 0.0996 to two digits is 0.10, one decimal fewer than its first digit says. */
    if (round_to(u, place) >= pow(10.0, digits - place) * (1.0 - 1e-12))
        place--;
    return place;
}

char *nr_round_text(double value, int place, char text[NR_ROUNDED])
{
    if (isnan(value)) {
        (void)snprintf(text, NR_ROUNDED, "?");
        return text;
    }
    if (place == NR_NO_PLACE) {
        if (value == 0.0 || !isfinite(value)) {
            (void)snprintf(text, NR_ROUNDED, "%g", value == 0.0 ? 0.0 : value);
            return text;
        }
        place = nr_round_place(fabs(value), 4);
        if (place == NR_NO_PLACE) {
            (void)snprintf(text, NR_ROUNDED, "%.3e", value);
            return text;
        }
    }
    double rounded = round_to(value, place);
    if (fabs(rounded) > 1e18) {
        (void)snprintf(text, NR_ROUNDED, "%.3e", value);
        return text;
    }
    (void)snprintf(text, NR_ROUNDED, "%.*f", place > 0 ? place : 0, rounded == 0.0 ? 0.0 : rounded);
    return text;
}

char *nr_plain_text(double value, int digits, char text[NR_ROUNDED])
{
    (void)nr_round_text(value, nr_round_place(fabs(value), digits), text);
    char *point = strchr(text, '.');
    if (point == NULL || strchr(text, 'e') != NULL)
        return text;
    char *end = text + strlen(text);
    while (end[-1] == '0')
        *--end = '\0';
    if (end[-1] == '.')
        end[-1] = '\0';
    return text;
}
