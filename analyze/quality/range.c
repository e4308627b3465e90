/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings that cannot be: outside the believable range of the rig file, or, where it states none,
 * outside what the quantity can be in a vented water loop in the sun. */
#include "analyze/quality/checks.h"

#include <math.h>

/* Common practice, no source. Water in an open loop freezes at 0 and boils near 100 degC; the ends
 * leave room for a probe's own error. Irradiance: below zero by a pyranometer's night offset;
 * above, the brightest cloud edges are under 2000 W/m2. */
static const struct {
    double low, high;
} possible[NR_ROLES] = {
    [NR_ROLE_STORE] = {-5.0, 110.0},   [NR_ROLE_INLET] = {-5.0, 110.0},
    [NR_ROLE_OUTLET] = {-10.0, 160.0}, [NR_ROLE_AIR] = {-50.0, 65.0},
    [NR_ROLE_BOX] = {-50.0, 350.0},    [NR_ROLE_SUN] = {-30.0, 2000.0},
    [NR_ROLE_FLOW] = {-1.0, 1000.0},   [NR_ROLE_WIND] = {-0.5, 75.0},
    [NR_ROLE_PUMP] = {-1e6, 1e6},      [NR_ROLE_SKY] = {-100.0, 1000.0},
    [NR_ROLE_HUMIDITY] = {0.0, 105.0}, [NR_ROLE_DIFFUSE] = {-30.0, 1500.0},
};

void nr_check_range(nr_quality *q, const nr_quality_source *source, nr_cursor *value, nr_role role)
{
    nr_quality_channel *c = &q->channel[role];
    bool low_stated = !isnan(source->low[role]), high_stated = !isnan(source->high[role]);
    c->low = low_stated ? source->low[role] : possible[role].low;
    c->high = high_stated ? source->high[role] : possible[role].high;
    c->range_stated = low_stated || high_stated;
    size_t from = 0;
    bool outside = false;
    for (size_t i = 0; i < q->rows; i++) {
        double v = nr_at(value, i);
        bool now = v < c->low || v > c->high;
        c->readings += isnan(v) ? 0u : 1u;
        if (now && !outside)
            from = i;
        if (!now && outside)
            nr_quality_add_span(c, from, i - 1, NR_BAD_RANGE);
        if (now)
            nr_quality_mark(q, role, i, NR_BAD_RANGE);
        outside = now;
    }
    if (outside)
        nr_quality_add_span(c, from, q->rows - 1, NR_BAD_RANGE);
}
