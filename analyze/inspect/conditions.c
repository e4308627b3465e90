/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the record can tell, and what to be careful with. */
#include "analyze/inspect/subjects.h"

#include "analyze/physics/cautions.h"
#include "analyze/plane/plane.h"
#include "logger/run/unstated.h"

#include <math.h>

#define SPREAD_DOUBT_K 4.0 /* range of store - air that cannot tell the loss */
#define SPREAD_NOTE_K 10.0
#define LEAST_S 300.0 /* of a shorter record nothing is worth saying */
#define SUNNY_W_M2 200.0
#define AIR_SWING_K 6.0
#define WARM_K 5.0 /* over the air: evaporation starts to matter */
#define LUKEWARM_DEGC 25.0

static size_t low_rank(size_t count)
{
    return count / 50;
}

static size_t high_rank(size_t count)
{
    return count - 1 - count / 50;
}

/* 2nd to 98th percentile of role - other over sunny rows (least W/m2). */
static double range_of(nr_inspection *inspection, nr_role role, nr_role other, double least,
                       double *lo, double *hi)
{
    const nr_looked_at what = {.role = role,
                               .other = other,
                               .pump = NR_PUMP_IS_UNKNOWN,
                               .from_s = -INFINITY,
                               .to_s = INFINITY,
                               .least_sun_W_m2 = least > 0 ? least : -INFINITY};
    size_t n;
    *lo = nr_inspect_ranked(inspection, &what, low_rank, &n);
    *hi = n <= NR_PASSES_KEPT && n > 0 ? nr_smallest(inspection->scratch, n, high_rank(n))
                                       : nr_inspect_ranked(inspection, &what, high_rank, &n);
    if (n < 30)
        *lo = *hi = NAN;
    return *hi - *lo;
}

static void look_at_spread(nr_inspection *inspection)
{
    nr_role water = inspection->q->channel[NR_ROLE_STORE].good ? NR_ROLE_STORE : NR_ROLE_INLET;
    double lo, hi, spread = range_of(inspection, water, NR_ROLE_AIR, SUNNY_W_M2, &lo, &hi);
    if (!(spread < SPREAD_NOTE_K) || inspection->unit_wrong[water] ||
        inspection->unit_wrong[NR_ROLE_AIR])
        return;
    nr_find(inspection, NR_FIND_SMALL_SPREAD,
            spread < SPREAD_DOUBT_K ? NR_SEVERITY_DOUBT : NR_SEVERITY_NOTE, NR_ROLES, NAN, NAN,
            NR_SEEN(lo, hi));
}

static void look_at_air(nr_inspection *inspection)
{
    double lo, hi, swing = range_of(inspection, NR_ROLE_AIR, NR_ROLES, 0.0, &lo, &hi);
    if (!(swing > AIR_SWING_K) || inspection->unit_wrong[NR_ROLE_AIR])
        return;
    nr_find(inspection, NR_FIND_AIR_SWINGS, NR_SEVERITY_NOTE, NR_ROLE_AIR, NAN, NAN,
            NR_SEEN(lo, hi));
}

static void look_at_windows(nr_inspection *inspection)
{
    if (inspection->strict_windows)
        nr_find(inspection, NR_FIND_STEADY_STRICT, NR_SEVERITY_NOTE, NR_ROLES, NAN, NAN,
                NR_SEEN((double)inspection->strict_windows));
    else if (inspection->field_windows)
        nr_find(inspection, NR_FIND_STEADY_FIELD, NR_SEVERITY_NOTE, NR_ROLES, NAN, NAN,
                NR_SEEN((double)inspection->field_windows));
}

void nr_inspect_conditions(nr_inspection *inspection)
{
    if (inspection->q->duration_s < LEAST_S)
        return;
    look_at_spread(inspection);
    look_at_air(inspection);
    look_at_windows(inspection);
}

/* A sun that no sensor in the plane has seen. */
static void tell_sun(nr_inspection *inspection)
{
    const nr_rig_channel *sun = nr_rig_channel_find(&inspection->run->rig, "sun");
    if (sun && sun->plane == NR_PLANE_BROUGHT)
        nr_find(inspection, NR_FIND_SUN_BROUGHT, NR_SEVERITY_NOTE, NR_ROLE_SUN, NAN, NAN,
                NR_SEEN(sun->u_brought));
    if (sun && sun->plane == NR_PLANE_MODEL)
        nr_find(inspection, NR_FIND_SUN_MODEL, NR_SEVERITY_NOTE, NR_ROLE_SUN, NAN, NAN,
                NR_SEEN(sun->u_gain));
    if (!sun || sun->plane != NR_PLANE_MODEL)
        return;
    double clouded = sun->cloud_s + sun->cloud_or_pump_s;
    if (clouded > 0)
        nr_find(inspection, NR_FIND_CLOUDS,
                clouded > NR_CLOUDS_MOST * sun->cloud_seen_s ? NR_SEVERITY_FAULT
                                                             : NR_SEVERITY_DOUBT,
                NR_ROLE_SUN, sun->cloud_first_s, NAN,
                NR_SEEN(clouded, sun->cloud_or_pump_s > sun->cloud_s,
                        sun->cloud_first_s - nr_number(&inspection->q->elapsed_s, 0)));
    else if (!(sun->cloud_seen_s > 0))
        nr_find(inspection, NR_FIND_CLOUDS_UNSEEN, NR_SEVERITY_NOTE, NR_ROLE_SUN, NAN, NAN, NULL);
}

/* What no test can see has to be asked. */
static void ask(nr_inspection *inspection)
{
    nr_unstated open[NR_UNSTATEDS];
    size_t count = nr_rig_unstated(&inspection->run->rig, open);
    for (size_t i = 0; i < count; i++)
        nr_find(inspection, NR_FIND_NOT_STATED, NR_SEVERITY_NOTE, NR_ROLES, NAN, NAN,
                NR_SEEN((double)open[i]));
}

void nr_inspect_cautions(nr_inspection *inspection)
{
    double lo, hi, excess_lo, excess_hi;
    ask(inspection);
    tell_sun(inspection);
    double spread = range_of(inspection, NR_ROLE_STORE, NR_ROLES, 0.0, &lo, &hi);
    if (isnan(spread) || inspection->unit_wrong[NR_ROLE_STORE])
        return;
    range_of(inspection, NR_ROLE_STORE, NR_ROLE_AIR, 0.0, &excess_lo, &excess_hi);
    if (inspection->run->rig.store.lid == NR_LID_NO && excess_hi > WARM_K)
        nr_find(inspection, NR_FIND_NO_LID, NR_SEVERITY_NOTE, NR_ROLE_STORE, NAN, NAN, NULL);
    if (isfinite(nr_scald_seconds(hi)))
        nr_find(
            inspection, NR_FIND_SCALD, NR_SEVERITY_NOTE, NR_ROLE_STORE, NAN, NAN,
            NR_SEEN(hi, hi > nr_scald_table[NR_SCALD_ROWS - 1].degC ? 0 : nr_scald_seconds(hi)));
    double t1 = nr_number(&inspection->q->elapsed_s, inspection->q->rows - 1);
    double end =
        nr_inspect_median(inspection, NR_ROLE_STORE, NR_ROLES, NR_PUMP_IS_UNKNOWN, t1 - 600.0, t1);
    if (end >= LUKEWARM_DEGC && end <= NR_LEGIONELLA_HIGH_DEGC)
        nr_find(inspection, NR_FIND_LUKEWARM, NR_SEVERITY_NOTE, NR_ROLE_STORE, NAN, NAN,
                NR_SEEN(NR_LEGIONELLA_LOW_DEGC, NR_LEGIONELLA_HIGH_DEGC));
}
