/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/fit/safety.h"

#include "analyze/physics/cautions.h"

#include <math.h>

/* Legionella: water that ends in this range is what people keep for later. */
#define LUKEWARM_FROM_DEGC 25.0
/* Rise over air from which a dry collector softens plastics and burns skin. */
#define STAGNATION_MATTERS_K 40.0
/* A box this hot without flow. */
#define HOT_BOX_DEGC 60.0
#define NO_FLOW_L_MIN 0.05
/* Near enough to boiling, also in the mountains (95 degC at 1,500 m), to say what happens then. */
#define NEAR_BOILING_DEGC 95.0

void nr_safety_water(nr_warnings *w, const nr_quantity *q)
{
    if (!q->known)
        return;
    /* What it may well reach counts, not only what it most likely does. */
    double hot = isfinite(q->hi95) ? q->hi95 : q->value;
    if (hot >= NR_SCALD_FROM_DEGC) {
        bool likely = q->value >= NR_SCALD_FROM_DEGC;
        double degC = likely ? q->value : hot;
        bool beyond = degC > nr_scald_table[NR_SCALD_ROWS - 1].degC;
        nr_warning_add(w, NR_WARN_SCALD,
                       .number = {degC, beyond ? 0 : nr_scald_seconds(degC), !likely});
    }
    if (hot >= NEAR_BOILING_DEGC)
        nr_warning_add(w, NR_WARN_BOILING, .number = {hot});
    if (q->value >= LUKEWARM_FROM_DEGC && q->value <= NR_LEGIONELLA_HIGH_DEGC)
        nr_warning_add(w, NR_WARN_LEGIONELLA,
                       .number = {NR_LEGIONELLA_LOW_DEGC, NR_LEGIONELLA_HIGH_DEGC});
}

void nr_safety_stagnation(nr_warnings *w, const nr_fit *fit)
{
    const nr_quantity *s = &fit->stagnation_K;
    if (s->known && s->value >= STAGNATION_MATTERS_K)
        nr_warning_add(w, NR_WARN_STAGNATION, .number = {s->value, s->lo95, s->hi95});
}

void nr_safety_closed_loop(nr_warnings *w, const nr_run *run)
{
    nr_values boxes = nr_readings_values(run->readings, "box");
    nr_values flows = nr_readings_values(run->readings, "flow");
    bool both = nr_values_there(&boxes) && nr_values_there(&flows);
    nr_cursor box, flow;
    nr_cursor_begin(&box, &boxes);
    nr_cursor_begin(&flow, &flows);
    double hottest = NAN;
    for (size_t i = 0; both && i < run->readings->rows; i++)
        if (nr_at(&flow, i) < NO_FLOW_L_MIN && nr_at(&box, i) >= HOT_BOX_DEGC)
            hottest = fmax(isnan(hottest) ? nr_at(&box, i) : hottest, nr_at(&box, i));
    if (!isnan(hottest))
        nr_warning_add(w, NR_WARN_CLOSED_LOOP, .number = {hottest});
}
