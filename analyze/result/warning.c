/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/result/warning.h"

#include <string.h>

static const char *const names[NR_WARN_COUNT] = {
    [NR_WARN_DIFFERENT_COLLECTORS] = "different-collectors",
    [NR_WARN_LOSS_INCLUDES_STORE] = "loss-includes-store",
    [NR_WARN_STORE_LOSS_NOT_DETERMINED] = "store-loss-not-determined",
    [NR_WARN_HIDDEN_STOP] = "hidden-stop",
    [NR_WARN_CONTAINER_CHANGED] = "container-left-out",
    [NR_WARN_CONTAINER_PULLED] = "container-left-out",
    [NR_WARN_CONTAINER_LEAKS] = "container-left-out",
    [NR_WARN_CONTAINER_WANDERS] = "container-left-out",
    [NR_WARN_WATER_GONE] = "water-gone",
    [NR_WARN_WATER_MASS] = "water-mass",
    [NR_WARN_PLANE_UNSTATED] = "plane-not-stated",
    [NR_WARN_SUN_BROUGHT] = "sun-from-horizontal",
    [NR_WARN_SUN_NOT_MEASURED] = "sun-not-measured",
    [NR_WARN_READINGS_LEFT_OUT] = "readings-left-out",
    [NR_WARN_GAPS_LEFT_OUT] = "gaps-left-out",
    [NR_WARN_SUN_ANGLE_DOUBTFUL] = "sun-angle-doubtful",
    [NR_WARN_NO_LID] = "no-lid",
    [NR_WARN_PUMP_UNSEEN] = "pump-unseen",
    [NR_WARN_STATED_VALUE_DOUBTFUL] = "stated-value-doubtful",
    [NR_WARN_TESTED_RANGE] = "tested-range",
    [NR_WARN_LOSS_UNCERTAIN] = "loss-uncertain",
    [NR_WARN_LOSS_AS_USUAL] = "loss-as-usual",
    [NR_WARN_LOSS_NOT_DETERMINED] = "loss-not-determined",
    [NR_WARN_RESIDUALS_NOT_WHITE] = "residuals-not-white",
    [NR_WARN_OUTLIERS] = "outliers",
    [NR_WARN_ASSUMED_UNCERTAINTY] = "assumed-uncertainty",
    [NR_WARN_LOSS_INCLUDES_STORE_FOR_ALL] = "loss-includes-store",
    [NR_WARN_OUTSIDE_TESTED] = "outside-tested",
    [NR_WARN_OUTSIDE_TESTED_RISE] = "outside-tested",
    [NR_WARN_CLEAR_SKY] = "clear-sky",
    [NR_WARN_TRUE_IRRADIANCE] = "true-irradiance",
    [NR_WARN_SAME_METER] = "same-meter",
    [NR_WARN_PANEL_PUMP] = "panel-pump",
    [NR_WARN_WIND_UNUSED] = "wind-unused",
    [NR_WARN_SAME_BUILD] = "same-build",
    [NR_WARN_OTHER_CONTAINER] = "other-container",
    [NR_WARN_SAME_AIR] = "same-air",
    [NR_WARN_TUBE_UNKNOWN] = "tube-unknown",
    [NR_WARN_STRAIGHT_TUBE] = "straight-tube",
    [NR_WARN_REGIME_UNCERTAIN] = "regime-uncertain",
    [NR_WARN_SWITCHED] = "switched",
    [NR_WARN_NARROW_RANGE] = "narrow-range",
    [NR_WARN_PLAN_LOSS_INCLUDES_STORE] = "loss-includes-store",
    [NR_WARN_PLAN_NO_LID] = "no-lid",
    [NR_WARN_NO_WIND] = "no-wind",
    [NR_WARN_SCALD] = "scald",
    [NR_WARN_BOILING] = "boiling",
    [NR_WARN_LEGIONELLA] = "legionella",
    [NR_WARN_STAGNATION] = "stagnation",
    [NR_WARN_CLOSED_LOOP] = "closed-loop",
};

const char *nr_warning_name(nr_warning_code code)
{
    return (unsigned)code < NR_WARN_COUNT ? names[code] : "";
}

static bool same(const nr_warning *a, const nr_warning *b)
{
    return a->code == b->code && strcmp(a->about, b->about) == 0 &&
           strcmp(a->other, b->other) == 0 && memcmp(a->number, b->number, sizeof a->number) == 0;
}

void nr_warn(nr_warnings *w, nr_warning warning)
{
    if (w->count == NR_WARNINGS)
        return;
    for (size_t i = 0; i < w->count; i++)
        if (same(&w->item[i], &warning))
            return;
    w->item[w->count++] = warning;
}

const nr_warning *nr_warning_find(const nr_warnings *w, const char *name)
{
    for (size_t i = 0; i < w->count; i++)
        if (strcmp(nr_warning_name(w->item[i].code), name) == 0)
            return &w->item[i];
    return NULL;
}
