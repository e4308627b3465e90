/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/pump/cautions.h"

#include "analyze/fit/safety.h"

void nr_pump_caution(nr_series *const *series, size_t runs, nr_pump *p)
{
    const nr_pump_row *now = nr_pump_row_of(p, 1);
    if (!p->tube_known)
        nr_warning_add(&p->cautions, NR_WARN_TUBE_UNKNOWN);
    else if (!(p->tube.coil_diameter_m > 0))
        nr_warning_add(&p->cautions, NR_WARN_STRAIGHT_TUBE);
    if (p->tube_known && now->drop_Pa.regime == NR_FLOW_UNCERTAIN)
        nr_warning_add(&p->cautions, NR_WARN_REGIME_UNCERTAIN);
    if (series[0]->pump_known && p->panel.stall.events && !p->panel.driven)
        nr_warning_add(&p->cautions, NR_WARN_SWITCHED);
    for (size_t r = 0; r < runs; r++)
        nr_safety_closed_loop(&p->cautions, series[r]->run);
    if (p->panel.driven)
        nr_safety_stagnation(&p->cautions, p->fit);
}
