/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What setting up and the rows of the table share. */
#include "analyze/joint/inside.h"

bool nr_joint_has_loop(const nr_joint *j, const nr_series *series)
{
    return j->options.use_loop && series->part[0].reading[NR_OUT_OUTLET] &&
           (series->part[0].reading[NR_OUT_INLET] || series->part[0].reading[NR_OUT_STORE]) &&
           series->flow_known;
}

double nr_relative_u(const nr_value *v, double assumed, bool *stated)
{
    *stated = v->u_given;
    return v->u_given ? v->u / v->value : assumed;
}
