/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/answer/pump_words.h"

#include "analyze/answer/figure.h"
#include "analyze/answer/safety.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const nr_pump_row *row_of(const nr_pump *p, double times)
{
    for (size_t i = 0; i < p->rows; i++)
        if (p->row[i].times == times)
            return &p->row[i];
    return NULL;
}

/* "4.8 kPa", "12 to 19 kPa" */
static void pressure(const nr_bounds *b, char *text, size_t size)
{
    if (b->high > 1.02 * b->low)
        snprintf(text, size, "%s to %s kPa", NR_FIGURE("%.2g", b->low / 1000),
                 NR_FIGURE("%.2g", b->high / 1000));
    else
        snprintf(text, size, "%s kPa", NR_FIGURE("%.2g", b->low / 1000));
}

static void say_loop(nr_pump *p)
{
    const nr_pump_row *now = row_of(p, 1);
    char tube[400] = "", drop[160];
    if (p->tube_known && isfinite(now->drop_Pa.low)) {
        pressure(&now->drop_Pa, drop, sizeof drop);
        snprintf(tube, sizeof tube,
                 " It takes %.0f s through the %s m of tube, at a Reynolds number of %.0f (%s), "
                 "and loses %s to friction.",
                 p->transit_s, NR_FIGURE("%.3g", p->tube.length_m), now->reynolds,
                 nr_flow_regime_name(now->drop_Pa.regime), drop);
    }
    snprintf(p->sentence, sizeof p->sentence,
             "The pump moves %s L/min (95 %%: %s to %s L/min)%s; in %s W/m2 of sun the "
             "water leaves the collector %s K warmer than it came.%s",
             NR_FIGURE("%.2f", p->flow_L_min.value), NR_FIGURE("%.2f", p->flow_L_min.lo95),
             NR_FIGURE("%.2f", p->flow_L_min.hi95),
             p->flow_measured ? "" : ", worked out from inlet and outlet",
             NR_FIGURE("%.0f", p->sun_W_m2), NR_FIGURE("%.1f", now->outlet_degC - p->water_degC),
             tube);
}

static void say_faster(nr_pump *p)
{
    const nr_pump_row *half = row_of(p, 0.5), *now = row_of(p, 1), *twice = row_of(p, 2);
    char cost[160] = "";
    if (p->tube_known && isfinite(twice->drop_Pa.low) && isfinite(now->drop_Pa.low)) {
        double lo = 2 * twice->drop_Pa.low / now->drop_Pa.high;
        double hi = 2 * twice->drop_Pa.high / now->drop_Pa.low;
        if (hi > 1.05 * lo)
            snprintf(cost, sizeof cost, ", at %.0f to %.0f times the pumping power", lo, hi);
        else
            snprintf(cost, sizeof cost, ", at %.0f times the pumping power", lo);
    }
    snprintf(p->faster, sizeof p->faster,
             "Water cannot be pumped too fast to pick up heat: at half this flow it would leave "
             "%s K warmer instead of %s K, but the whole collector would run hotter, lose more "
             "and gather %.1f %% less; at twice the flow it would leave only %s K warmer and "
             "gather %.1f %% more%s.",
             NR_FIGURE("%.1f", half->outlet_degC - p->water_degC),
             NR_FIGURE("%.1f", now->outlet_degC - p->water_degC), -100 * half->change.value,
             NR_FIGURE("%.1f", twice->outlet_degC - p->water_degC), 100 * twice->change.value,
             cost);
}

static void say_panel(nr_pump *p)
{
    p->panel[0] = '\0';
    if (!p->panel_driven)
        return;
    int n = snprintf(p->panel, sizeof p->panel,
                     "On its panel the pump stalls below %s W/m2 (95 %%: %s to %s W/m2, %zu "
                     "stops)",
                     NR_FIGURE("%.0f", p->stall.W_m2.value), NR_FIGURE("%.0f", p->stall.W_m2.lo95),
                     NR_FIGURE("%.0f", p->stall.W_m2.hi95), p->stall.events);
    char *rest = p->panel + n;
    size_t room = sizeof p->panel - (size_t)n;
    if (p->start.events)
        snprintf(rest, room,
                 " and starts again at %s W/m2 (95 %%: %s to %s W/m2, %zu starts); a pump "
                 "that draws twice the current needs about twice that, a smaller one less.",
                 NR_FIGURE("%.0f", p->start.W_m2.value), NR_FIGURE("%.0f", p->start.W_m2.lo95),
                 NR_FIGURE("%.0f", p->start.W_m2.hi95), p->start.events);
    else
        snprintf(rest, room, "; it was not seen to start again.");
}

void nr_pump_write(nr_series *const *series, size_t runs, nr_pump *p)
{
    say_loop(p);
    say_faster(p);
    say_panel(p);
    const nr_pump_row *now = row_of(p, 1);
    if (!p->tube_known)
        nr_warn(
            &p->cautions, "tube-unknown",
            "Without tube_length_m and tube_bore_mm in [collector] there is no Reynolds number, "
            "pressure drop or transit time, and the heat transfer in the tube is taken as the "
            "same at every flow.");
    else if (!(p->tube.coil_diameter_m > 0))
        nr_warn(&p->cautions, "straight-tube",
                "The tube is taken as straight, without bends and lift: a coil resists more and "
                "stays laminar longer. --coil gives the diameter of its turns.");
    if (p->tube_known && now->drop_Pa.regime == NR_FLOW_UNCERTAIN)
        nr_warn(&p->cautions, "regime-uncertain",
                "At this Reynolds number a flow may be laminar or turbulent; pressure and heat "
                "transfer lie between the two.");
    if (series[0]->pump_known && p->stall.events && !p->panel_driven)
        nr_warn(&p->cautions, "switched",
                "The pump stopped in full sun, so it was switched off and not starved: no starting "
                "irradiance can be told.");
    for (size_t r = 0; r < runs; r++)
        nr_safety_closed_loop(&p->cautions, series[r]->run);
    if (p->panel_driven)
        nr_safety_stagnation(&p->cautions, p->fit);
}
