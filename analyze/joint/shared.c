/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What setting up and the rows of the table share. */
#include "analyze/joint/inside.h"

#include <math.h>

bool nr_joint_has_loop(const nr_joint *j, const nr_series *series)
{
    return j->options.use_loop && series->part[0].reading[NR_OUT_OUTLET] &&
           (series->part[0].reading[NR_OUT_INLET] || series->part[0].reading[NR_OUT_STORE]) &&
           series->flow_known;
}

/* Of 20 L, W/K; it grows with the surface. Common practice, no source. */
#define USUAL_STORE_LOSS_W_K 2.0

double nr_joint_usual_store_loss_W_K(double water_kg)
{
    return USUAL_STORE_LOSS_W_K * pow(water_kg / 20, 2.0 / 3);
}

double nr_relative_u(const nr_value *v, double assumed, bool *stated)
{
    *stated = v->u_given;
    return v->u_given ? v->u / v->value : assumed;
}
