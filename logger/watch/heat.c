/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/watch/heat.h"

#include <math.h>

#define WATER_J_KGK 4181.0 /* at 40 degC, IAPWS */

static double u_of(const nr_value *v)
{
    return v->given && v->u_given ? v->u : 0.0;
}

nr_heat_value nr_heat_capacity(const nr_rig *rig)
{
    const nr_value *water = &rig->store.water_kg, *dry = &rig->store.dry_heat_capacity_J_K;
    if (!water->given)
        return (nr_heat_value){NAN, NAN};
    return (nr_heat_value){water->value * WATER_J_KGK + (dry->given ? dry->value : 0.0),
                           hypot(u_of(water) * WATER_J_KGK, u_of(dry))};
}

nr_heat_value nr_heat_rate(const nr_trend *trend, nr_heat_value capacity)
{
    if (!trend->known || isnan(capacity.value))
        return (nr_heat_value){NAN, NAN};
    return (nr_heat_value){trend->rate_s * capacity.value,
                           hypot(trend->u_rate_s * capacity.value, trend->rate_s * capacity.u)};
}

nr_slowing nr_heat_slowing(const nr_rig *rig)
{
    if (!rig)
        return (nr_slowing){0.0, 0.0, 0.0};
    const nr_value *area = &rig->collector.gross_area_m2;
    return nr_slowing_of(rig->collector.glazing, area->given ? area->value : NAN,
                         nr_heat_capacity(rig).value);
}
