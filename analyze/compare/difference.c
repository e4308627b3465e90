/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/compare/compare.h"

const nr_quantity *nr_difference_by(const nr_difference *d, nr_compared by)
{
    return by == NR_BY_ETA0 ? &d->eta0 : by == NR_BY_A1 ? &d->a1 : &d->heat_up_s;
}

nr_quantity nr_difference_of_all(const nr_compare *c, const nr_difference *d, nr_compared by)
{
    nr_quantity q = *nr_difference_by(d, by);
    if (!q.known || c->builds < 3 || !(c->all_k[by] > 0))
        return q;
    q.lo95 = q.value - c->all_k[by] * q.u;
    q.hi95 = q.value + c->all_k[by] * q.u;
    return q;
}
