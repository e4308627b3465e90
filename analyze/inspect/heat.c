/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the heat balances and the probes' agreement say about probes, meter, area and units. Every
 * check allows for the stated uncertainties. */
#include "analyze/inspect/subjects.h"

#include <math.h>
#include <stdio.h>

#define SIGMAS 3.0
#define BALANCE_SIGMAS 2.58      /* the balance is one number: 99 % */
#define BALANCE_SHARE 0.08       /* smaller disagreements do not matter */
#define GAIN_FROM_AIR_W_M2K 25.0 /* a bare absorber colder than the air takes up this much */
#define FULL_SUN_W_M2 400.0
#define COOL_X 0.02           /* (inlet - air)/sun below which every collector gains */
#define SETTLE_S 120.0        /* after the pump starts; one transit of a long tube */
#define START_S 600.0         /* how long "at the start" lasts */
#define STRATIFIED_K 0.3      /* inlet may differ from the store's probe by this ... */
#define STRATIFIED_SHARE 0.04 /* ... and this share of the rise from inlet to outlet */
#define UNKNOWN_RISE_K 8.0
#define DARK_W_M2 100.0

/* By night, of water this much warmer than the air, and to a clear sky: not more is lost by a bare
 * absorber in wind, as above, and by what is seldom exceeded (the air less the sky of a dry night,
 * 20 K at 5 W/(m2 K)). Common practice, no source. */
#define LOSS_TO_SKY_W_M2 100.0
/* What circulates where no meter tells, W/K: half a litre a minute. */
#define UNKNOWN_FLOW_W_K 35.0
#define W_K_PER_L_MIN 69.5 /* water of 30 degC */

/* -- probes */

/* How far the outlet may lie below (or, of cold water in warm air, above) the inlet in the dark. */
static double lost_in_the_dark(const nr_inspection *inspection, double from, double to)
{
    double flow = nr_inspect_median(inspection, NR_ROLE_FLOW, NR_ROLES, NR_PUMP_IS_ON, from, to);
    double over =
        nr_inspect_median(inspection, NR_ROLE_INLET, NR_ROLE_AIR, NR_PUMP_IS_ON, from, to);
    double carried = flow > 0 ? W_K_PER_L_MIN * flow : UNKNOWN_FLOW_W_K;
    double power = GAIN_FROM_AIR_W_M2K * (isnan(over) ? 0 : fabs(over)) + LOSS_TO_SKY_W_M2;
    return power * inspection->run->rig.collector.gross_area_m2.value / carried;
}

static double first_running(const nr_inspection *inspection)
{
    for (size_t i = 0; i < inspection->q->rows; i++)
        if (inspection->q->pump[i] != NR_PUMP_IS_OFF)
            return nr_number(&inspection->q->elapsed_s, i);
    return NAN;
}

/* Median of outlet - inlet in full sun with the collector no warmer than it can gain at. */
static double rise_in_sun(const nr_inspection *inspection)
{
    const nr_quality *q = inspection->q;
    size_t n = 0;
    double sum = 0.0;
    nr_good_rows rows;
    nr_good_begin(&rows, q);
    for (size_t i = 0; i < q->rows; i++) {
        double in = nr_good_at(&rows, NR_ROLE_INLET, i), g = nr_good_at(&rows, NR_ROLE_SUN, i);
        double rise = nr_good_at(&rows, NR_ROLE_OUTLET, i) - in;
        bool cool = (in - nr_good_at(&rows, NR_ROLE_AIR, i)) / g < COOL_X;
        if (q->pump[i] == NR_PUMP_IS_OFF || !(g > FULL_SUN_W_M2) || !cool || isnan(rise))
            continue;
        sum += rise;
        n++;
    }
    return (double)n * q->interval_s < SETTLE_S ? NAN : sum / (double)n;
}

static void look_for_swap(nr_inspection *inspection)
{
    if (inspection->unit_wrong[NR_ROLE_INLET] || inspection->unit_wrong[NR_ROLE_OUTLET] ||
        inspection->unit_wrong[NR_ROLE_AIR] || inspection->unit_wrong[NR_ROLE_SUN])
        return;
    double rise = rise_in_sun(inspection);
    double u = hypot(nr_inspect_offset_u(inspection, NR_ROLE_INLET),
                     nr_inspect_offset_u(inspection, NR_ROLE_OUTLET));
    if (!(rise < -fmax(0.3, 2.0 * u)))
        return;
    inspection->probes_wrong = true;
    nr_find(inspection, NR_FIND_SWAPPED_PROBES, NR_SEVERITY_FAULT, NR_ROLE_OUTLET, NAN, NAN,
            NR_SEEN(-rise));
}

static void disagree(nr_inspection *inspection, nr_role role, double by, double allowed,
                     double from, double to)
{
    inspection->probes_wrong = true;
    nr_find(inspection, NR_FIND_PROBES_DISAGREE, NR_SEVERITY_DOUBT, role, from, to,
            NR_SEEN(by, allowed, role == NR_ROLE_OUTLET));
}

static void look_for_disagreement(nr_inspection *inspection)
{
    double on = first_running(inspection), from = on + SETTLE_S, to = from + START_S;
    bool unknown = inspection->q->pump_source == NR_PUMP_FROM_NOTHING;
    nr_pump_state state = unknown ? NR_PUMP_IS_UNKNOWN : NR_PUMP_IS_ON;
    if (isnan(on) || inspection->unit_wrong[NR_ROLE_STORE] || inspection->unit_wrong[NR_ROLE_INLET])
        return;
    double u_in = nr_inspect_offset_u(inspection, NR_ROLE_INLET);
    double by = nr_inspect_median(inspection, NR_ROLE_INLET, NR_ROLE_STORE, state, from, to);
    double rise = nr_inspect_median(inspection, NR_ROLE_OUTLET, NR_ROLE_INLET, state, from, to);
    double layers =
        STRATIFIED_K + STRATIFIED_SHARE * (isnan(rise) ? UNKNOWN_RISE_K : fmax(0.0, rise));
    double allowed = SIGMAS * hypot(u_in, nr_inspect_offset_u(inspection, NR_ROLE_STORE)) + layers +
                     (unknown ? 1.0 : 0.0);
    if (fabs(by) > allowed)
        disagree(inspection, NR_ROLE_INLET, by, allowed, from,
                 to); /* the same water as the store's */
    double sun = nr_inspect_median(inspection, NR_ROLE_SUN, NR_ROLES, state, from, to);
    if (!(sun < DARK_W_M2) || inspection->unit_wrong[NR_ROLE_SUN] ||
        inspection->unit_wrong[NR_ROLE_OUTLET])
        return;
    by = nr_inspect_median(inspection, NR_ROLE_OUTLET, NR_ROLE_INLET, state, from, to);
    allowed = SIGMAS * hypot(u_in, nr_inspect_offset_u(inspection, NR_ROLE_OUTLET)) + layers;
    allowed += inspection->dark ? lost_in_the_dark(inspection, from, to) : 0;
    if (fabs(by) > allowed)
        disagree(inspection, NR_ROLE_OUTLET, by, allowed, from,
                 to); /* from the inlet, without sun */
}

/* -- balances */

static bool any_unit_wrong(const nr_inspection *inspection)
{
    return inspection->unit_wrong[NR_ROLE_STORE] || inspection->unit_wrong[NR_ROLE_INLET] ||
           inspection->unit_wrong[NR_ROLE_OUTLET] || inspection->unit_wrong[NR_ROLE_FLOW];
}

static void look_at_balance(nr_inspection *inspection)
{
    const nr_heat *h = &inspection->heat;
    if (!h->loop_known || any_unit_wrong(inspection) || inspection->probes_wrong ||
        inspection->q->flow_dead)
        return;
    double off = fabs(h->ratio - 1.0);
    if (off < fmax(BALANCE_SHARE, BALANCE_SIGMAS * h->u_ratio)) {
        nr_find(inspection, NR_FIND_HEAT_BALANCE_CLOSES, NR_SEVERITY_NOTE, NR_ROLES, NAN, NAN,
                NR_SEEN(h->ratio, h->u_ratio));
        return;
    }
    nr_find(inspection, NR_FIND_HEAT_BALANCE_OPEN, NR_SEVERITY_DOUBT, NR_ROLES, NAN, NAN,
            NR_SEEN(h->ratio, h->u_ratio));
}

static void look_at_share(nr_inspection *inspection)
{
    const nr_heat *h = &inspection->heat;
    bool store = h->store_known && !inspection->unit_wrong[NR_ROLE_STORE];
    bool loop =
        !store && h->loop_share_known && !any_unit_wrong(inspection) && !inspection->probes_wrong;
    if (inspection->unit_wrong[NR_ROLE_SUN] || !(store || loop))
        return;
    double share = store ? h->share : h->loop_share, u = store ? h->u_share : h->u_loop_share;
    double from_air = GAIN_FROM_AIR_W_M2K * fmax(0.0, -h->mean_excess_K) / h->mean_sun_W_m2;
    if (share - 2.0 * u < 1.0 + from_air)
        return;
    nr_find(inspection, NR_FIND_TOO_MUCH_HEAT, NR_SEVERITY_FAULT, NR_ROLES, NAN, NAN,
            NR_SEEN(share));
}

void nr_inspect_heat(nr_inspection *inspection)
{
    look_for_swap(inspection);
    if (!inspection->probes_wrong)
        look_for_disagreement(inspection);
    look_at_balance(inspection);
    look_at_share(inspection);
}
