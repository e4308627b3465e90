/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sample-runs/rig/board/analogue.h"

#include <math.h>

#define HUM_HZ 50.0
static const double pi = 3.14159265358979323846;

/* splitmix64 (Steele, Lea and Flood, OOPSLA 2014), to 0..1. */
static double uniform(uint64_t *state)
{
    uint64_t z = *state += 0x9E3779B97F4A7C15u;
    z = (z ^ z >> 30) * 0xBF58476D1CE4E5B9u;
    z = (z ^ z >> 27) * 0x94D049BB133111EBu;
    return (double)((z ^ z >> 31) >> 11) / 9007199254740992.0;
}

/* Twelve of them less six: near enough to a normal number for a converter's noise. */
static double normal(uint64_t *state)
{
    double sum = -6;
    for (int i = 0; i < 12; i++)
        sum += uniform(state);
    return sum;
}

unsigned nr_analogue_code(nr_analogue *a, unsigned input, int against_supply, double now_s)
{
    double volt = input < NR_ANALOGUE_INPUTS ? a->volt[input] : 0;
    volt += a->hum_V * sin(2 * pi * HUM_HZ * now_s);
    double steps = 1024 * volt / (against_supply ? a->supply_V : a->reference_V);
    steps = floor(steps + 0.5 + a->noise * normal(&a->chance));
    return (unsigned)fmin(fmax(steps, 0), 1023);
}
