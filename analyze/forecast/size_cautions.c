/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/forecast/size_cautions.h"

#include "analyze/fit/safety.h"

#include <math.h>

/* Degrees beyond what was tested that are worth a word. */
#define BEYOND_K 1.0

static void month_cautions(nr_size *z)
{
    bool varied = false;
    for (size_t m = 0; m < z->months; m++)
        varied = varied || !isnan(z->asked.month_air_degC[m]);
    if (z->months && !varied)
        nr_warning_add(&z->cautions, NR_WARN_SAME_AIR);
}

void nr_size_caution(nr_size *z)
{
    const nr_day *d = &z->asked.day;
    const nr_fit *f = z->fit;
    double beyond = fmax(z->warmest_degC.value, d->to_degC) - d->air_degC;
    if (beyond > f->dT_range[1] + BEYOND_K)
        nr_warning_add(&z->cautions, NR_WARN_OUTSIDE_TESTED_RISE,
                       .number = {f->dT_range[0], f->dT_range[1]});
    if (d->clear_sky)
        nr_warning_add(&z->cautions, NR_WARN_CLEAR_SKY, .number = {d->u_sun});
    nr_warning_add(&z->cautions, NR_WARN_SAME_BUILD,
                   .number = {f->mean_flow_L_min / f->gross_area_m2});
    month_cautions(z);
    nr_safety_water(&z->cautions, &z->warmest_degC);
}
