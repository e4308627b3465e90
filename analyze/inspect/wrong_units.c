/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Columns that hold another unit than their name says. Guessed from what the channels say about
 * each other, never from one number alone where a second is to be had. */
#include "analyze/inspect/subjects.h"

#include <math.h>

#define HOT_AIR_DEGC 45.0 /* no shade on Earth is warmer for long; 56.7 degC is the record */
#define KELVIN_FROM 240.0 /* and to 400: temperatures as kelvin */
#define KELVIN_TO 400.0
#define NEAR_K 3.0     /* of the peers once converted */
#define FAR_K 8.0      /* from them as it stands */
#define SUN_SMALL 20.0 /* the column's high values stay under this ... */
#define SUN_LEAST 0.02 /* ... and above this: not W/m2 when the water warms */
#define SUN_KW 2.0
#define WARMED_K 1.0
#define SUN_UP_DEG 75.0 /* zenith: the sun stands high enough to be seen */
#define FAST_M_S 6.0    /* water in a small tube does not run like this */
#define UNIT_MATCH 0.22 /* natural logarithm: within 25 % */

/* Of all readings of the first until_s: the one of a rank, or their median (NULL). */
static double raw(nr_inspection *inspection, nr_role role, double until_s, nr_passes_rank *rank,
                  size_t *count)
{
    const nr_looked_at what = {.role = role,
                               .other = NR_ROLES,
                               .pump = NR_PUMP_IS_UNKNOWN,
                               .from_s = -INFINITY,
                               .since_s = nr_number(&inspection->q->elapsed_s, 0),
                               .to_s = until_s,
                               .least_sun_W_m2 = -INFINITY,
                               .raw = true};
    return nr_inspect_ranked(inspection, &what, rank, count);
}

static double median_raw(nr_inspection *inspection, nr_role role, double until_s)
{
    size_t n;
    double median = raw(inspection, role, until_s, NULL, &n);
    return n < 5 ? NAN : median;
}

static double from_fahrenheit(double x)
{
    return (x - 32.0) * NR_DEGF_K;
}

static void unit_found(nr_inspection *inspection, nr_role role, double value, bool fahrenheit)
{
    inspection->unit_wrong[role] = true;
    nr_find(inspection, NR_FIND_WRONG_UNIT_TEMPERATURE, NR_SEVERITY_FAULT, role, NAN, NAN,
            NR_SEEN(value, fahrenheit));
}

static bool like_kelvin(double x)
{
    return x > KELVIN_FROM && x < KELVIN_TO;
}

/* Whether store or inlet would agree with one of its peers if it were in degF, and with none as it
 * is. */
static bool alone_in_fahrenheit(nr_inspection *inspection, nr_role role, double x)
{
    double c = from_fahrenheit(x);
    bool one_near = false;
    for (int other = NR_ROLE_STORE; other <= NR_ROLE_OUTLET; other++) {
        if (other == (int)role)
            continue;
        double v = median_raw(inspection, (nr_role)other, 600.0);
        double near = other == NR_ROLE_OUTLET ? 4.0 * NEAR_K : NEAR_K; /* warmer in the sun */
        if (fabs(x - v) < FAR_K + near)
            return false;
        one_near = one_near || fabs(c - v) < near;
    }
    return one_near;
}

/* The outlet may be far hotter than the inlet where flow is small; but not while loop and
 * container balance with its degrees taken as fahrenheit and not as they stand. */
static bool outlet_in_fahrenheit(nr_inspection *inspection)
{
    double out =
        nr_inspect_median(inspection, NR_ROLE_OUTLET, NR_ROLES, NR_PUMP_IS_ON, -INFINITY, INFINITY);
    double in =
        nr_inspect_median(inspection, NR_ROLE_INLET, NR_ROLES, NR_PUMP_IS_ON, -INFINITY, INFINITY);
    double as_it_is = out - in, converted = from_fahrenheit(out) - in;
    if (!inspection->heat.loop_known || !(as_it_is > 2.0 * FAR_K))
        return false;
    double then = inspection->heat.ratio * converted / as_it_is;
    return fabs(log(inspection->heat.ratio)) > 0.5 && then > 0.6 && then < 1.6;
}

static void look_at_air(nr_inspection *inspection)
{
    double air = median_raw(inspection, NR_ROLE_AIR, INFINITY);
    if (like_kelvin(air))
        unit_found(inspection, NR_ROLE_AIR, air, false);
    else if (air > HOT_AIR_DEGC && from_fahrenheit(air) < HOT_AIR_DEGC)
        unit_found(inspection, NR_ROLE_AIR, air, true);
}

static void look_at_water(nr_inspection *inspection)
{
    bool air_wrong = inspection->unit_wrong[NR_ROLE_AIR];
    double air = from_fahrenheit(median_raw(inspection, NR_ROLE_AIR, 600.0));
    for (int role = NR_ROLE_STORE; role <= NR_ROLE_OUTLET; role++) {
        double x = median_raw(inspection, (nr_role)role, 600.0);
        if (isnan(x))
            continue;
        if (like_kelvin(x)) {
            unit_found(inspection, (nr_role)role, x, false);
            continue;
        }
        /* Where the air is in degF and the water started near it, the water is, too. */
        double c = from_fahrenheit(x);
        bool all = air_wrong && fabs(c - air) < 20.0 && fabs(x - air) > 20.0;
        bool alone = role == NR_ROLE_OUTLET ? outlet_in_fahrenheit(inspection)
                                            : alone_in_fahrenheit(inspection, (nr_role)role, x);
        if (all || alone)
            unit_found(inspection, (nr_role)role, x, true);
    }
}

/* Something other than the column says that the sun was shining. */
static bool sun_shone(nr_inspection *inspection)
{
    for (size_t b = 0; b < inspection->blocks; b++)
        if (inspection->place_known && inspection->block[b].zenith_deg < SUN_UP_DEG)
            return true;
    double t1 = nr_number(&inspection->q->elapsed_s, inspection->q->rows - 1);
    double start = median_raw(inspection, NR_ROLE_STORE, 300.0);
    double end =
        nr_inspect_median(inspection, NR_ROLE_STORE, NR_ROLES, NR_PUMP_IS_UNKNOWN, t1 - 300.0, t1);
    return end - start > WARMED_K;
}

static size_t high_rank(size_t count)
{
    return count * 95 / 100;
}

static void look_at_sun(nr_inspection *inspection)
{
    size_t n;
    double high = raw(inspection, NR_ROLE_SUN, INFINITY, high_rank, &n);
    if (n < 10)
        return;
    if (!(high > SUN_LEAST && high < SUN_SMALL) || !sun_shone(inspection))
        return;
    inspection->unit_wrong[NR_ROLE_SUN] = true;
    nr_find(inspection, NR_FIND_WRONG_UNIT_SUN, NR_SEVERITY_FAULT, NR_ROLE_SUN, NAN, NAN,
            NR_SEEN(high, high > SUN_KW));
}

/* Number in a unit over number in L/min; in the order of NR_FIND_WRONG_UNIT_FLOW. */
static const double flow_units[] = {60.0,         1.0 / 60.0, 1.0 / 3.785411784,
                                    60.0 / 3.785, 0.06,       1000.0};

static double velocity_m_s(const nr_inspection *inspection)
{
    const nr_value *bore = &inspection->run->rig.collector.tube_bore_mm;
    if (!bore->given || !(bore->value > 0.0))
        return NAN;
    double bore_m = 1e-3 * bore->value;
    return inspection->q->pump_typical / 60000.0 / (0.25 * M_PI * bore_m * bore_m);
}

static void look_at_flow(nr_inspection *inspection)
{
    const nr_heat *h = &inspection->heat;
    for (size_t i = 0; h->loop_known && i < sizeof flow_units / sizeof *flow_units; i++) {
        if (!(fabs(log(h->ratio / flow_units[i])) < UNIT_MATCH))
            continue;
        inspection->unit_wrong[NR_ROLE_FLOW] = true;
        nr_find(inspection, NR_FIND_WRONG_UNIT_FLOW, NR_SEVERITY_FAULT, NR_ROLE_FLOW, NAN, NAN,
                NR_SEEN(h->ratio, (double)i));
        return;
    }
    if (h->loop_known || !(velocity_m_s(inspection) > FAST_M_S) ||
        inspection->q->pump_source != NR_PUMP_FROM_FLOW)
        return;
    inspection->unit_wrong[NR_ROLE_FLOW] = true;
    nr_find(inspection, NR_FIND_WRONG_UNIT_SPEED, NR_SEVERITY_FAULT, NR_ROLE_FLOW, NAN, NAN,
            NR_SEEN(inspection->q->pump_typical, velocity_m_s(inspection)));
}

void nr_inspect_units(nr_inspection *inspection)
{
    look_at_air(inspection);
    look_at_water(inspection);
    look_at_sun(inspection);
    if (!inspection->unit_wrong[NR_ROLE_STORE] && !inspection->unit_wrong[NR_ROLE_INLET] &&
        !inspection->unit_wrong[NR_ROLE_OUTLET])
        look_at_flow(inspection);
}
