/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/answer/safety.h"

#include "analyze/answer/figure.h"
#include "analyze/physics/cautions.h"

#include <math.h>
#include <stdio.h>

/* Legionella: water that ends in this range is what people keep for later. */
#define LUKEWARM_FROM_DEGC 25.0
/* Rise over air from which a dry collector softens plastics and burns skin. */
#define STAGNATION_MATTERS_K 40.0
/* A box this hot without flow. */
#define HOT_BOX_DEGC 60.0
#define NO_FLOW_L_MIN 0.05
/* Near enough to boiling, also in the mountains (95 degC at 1,500 m), to say what happens then. */
#define NEAR_BOILING_DEGC 95.0

static void burn_time(double degC, char *text, size_t size)
{
    double s = nr_scald_seconds(degC);
    if (degC > nr_scald_table[NR_SCALD_ROWS - 1].degC)
        snprintf(text, size, "less than 2 seconds");
    else if (s >= 90)
        snprintf(text, size, "about %.0f minutes", s / 60);
    else
        snprintf(text, size, "about %.0f seconds", s);
}

void nr_safety_water(nr_warnings *w, const nr_quantity *q)
{
    if (!q->known)
        return;
    /* What it may well reach counts, not only what it most likely does. */
    double hot = isfinite(q->hi95) ? q->hi95 : q->value;
    if (hot >= NR_SCALD_FROM_DEGC) {
        char time[64];
        bool likely = q->value >= NR_SCALD_FROM_DEGC;
        double said = likely ? q->value : hot;
        burn_time(said, time, sizeof time);
        nr_warn(w, "scald",
                "%s %s degC scalds adult skin in %s, a child's sooner (burn-prevention tables "
                "after Moritz and Henriques 1947, as on the US CPSC's tap-water sheet): mix it "
                "down before use.",
                likely ? "Water of" : "It may become as hot as", NR_FIGURE("%.0f", said), time);
    }
    if (hot >= NEAR_BOILING_DEGC)
        nr_warn(
            w, "boiling",
            "This runs to %s degC, at or beyond boiling, of which the calculation knows nothing: "
            "water then goes off as steam instead of getting hotter. Shade the collector or "
            "take water before, and never with the loop closed at both ends.",
            NR_FIGURE("%.0f", hot));
    if (q->value >= LUKEWARM_FROM_DEGC && q->value <= NR_LEGIONELLA_HIGH_DEGC)
        nr_warn(w, "legionella",
                "Legionella grows in water that stands between %s and %s degC: use it the same "
                "day; water kept for later must be stored at 60 degC (WHO and health agencies).",
                NR_FIGURE("%.0f", NR_LEGIONELLA_LOW_DEGC),
                NR_FIGURE("%.0f", NR_LEGIONELLA_HIGH_DEGC));
}

void nr_safety_stagnation(nr_warnings *w, const nr_fit *fit)
{
    const nr_quantity *s = &fit->stagnation_K;
    if (!s->known || !(s->value >= STAGNATION_MATTERS_K))
        return;
    nr_warn(w, "stagnation",
            "Without flow, in 1000 W/m2, the absorber gets at least %s K hotter than the air "
            "(95 %%: %s to %s K by this curve, and a curve fitted below that understates it): "
            "no upper limit for plastics, skin or refilled water.",
            NR_FIGURE("%.0f", s->value), NR_FIGURE("%.0f", s->lo95), NR_FIGURE("%.0f", s->hi95));
}

void nr_safety_closed_loop(nr_warnings *w, const nr_run *run)
{
    const double *box = nr_readings_channel(run->readings, "box");
    const double *flow = nr_readings_channel(run->readings, "flow");
    double hottest = NAN;
    for (size_t i = 0; box && flow && i < run->readings->rows; i++)
        if (flow[i] < NO_FLOW_L_MIN && box[i] >= HOT_BOX_DEGC)
            hottest = fmax(isnan(hottest) ? box[i] : hottest, box[i]);
    if (!isnan(hottest))
        nr_warn(w, "closed-loop", "The box reached %s degC while nothing flowed. %s",
                NR_FIGURE("%.0f", hottest), nr_caution_text(NR_CAUTION_CLOSED_LOOP));
}
