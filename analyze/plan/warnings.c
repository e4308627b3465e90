/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/plan/warnings.h"

#include <string.h>

/* Tests with less than this between coldest and hottest against the air tell little of the loss. */
#define NARROW_K 10.0

void nr_plan_warn(nr_plan *p, const nr_rig *rig)
{
    const nr_fit *f = p->fit;
    if (f->dT_range[1] - f->dT_range[0] < NARROW_K)
        nr_warning_add(&p->warnings, NR_WARN_NARROW_RANGE,
                       .number = {f->dT_range[0], f->dT_range[1]});
    if (f->loss_includes_store)
        nr_warning_add(&p->warnings, NR_WARN_PLAN_LOSS_INCLUDES_STORE);
    if (rig->store.lid == NR_LID_NO)
        nr_warning_add(&p->warnings, NR_WARN_PLAN_NO_LID);
    if (!nr_rig_channel_find(rig, "wind"))
        nr_warning_add(&p->warnings, NR_WARN_NO_WIND);
    if (nr_warning_find(&f->warnings, "assumed-uncertainty")) {
        nr_warning_add(&p->warnings, NR_WARN_ASSUMED_UNCERTAINTY);
        p->warnings.assumed_count = f->warnings.assumed_count;
        memcpy(p->warnings.assumed, f->warnings.assumed, sizeof p->warnings.assumed);
    }
}
