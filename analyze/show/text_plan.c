/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `noonfit plan` as text. */
#include "analyze/answer/figure.h"
#include "analyze/show/lines.h"
#include "analyze/show/round.h"
#include "analyze/show/show.h"

#include <math.h>
#include <string.h>

static char *number(nr_shown what, nr_units units, double si, char text[NR_ROUNDED])
{
    double v = nr_display_difference(what, units, si);
    return nr_round_text(v, nr_round_place(v, 2), text);
}

static void row(FILE *to, const char *label, double u_eta0, double u_a1, const char *cost,
                nr_units units)
{
    char eta0[NR_ROUNDED], a1[NR_ROUNDED];
    fprintf(to, "  %-14s %9s %9s%s%s\n", label, number(NR_SHOWN_NUMBER, units, u_eta0, eta0),
            number(NR_SHOWN_COLLECTOR_LOSS, units, u_a1, a1), cost[0] ? "   " : "", cost);
}

static void steps(FILE *to, const nr_plan *p, nr_units units)
{
    fprintf(to, "\n  %-14s %9s %9s\n", "", "u(eta0)", "u(a1)");
    fprintf(to, "  %-14s %9s %9s\n", "", "", nr_display_of(NR_SHOWN_COLLECTOR_LOSS, units)->plain);
    row(to, "as planned", p->fit->eta0.u, p->fit->a1.u, "", units);
    for (size_t i = 0; i < p->steps; i++)
        row(to, p->step[i].code, p->step[i].u_eta0, p->step[i].u_a1,
            nr_plan_cost_name(p->step[i].cost), units);
    fputc('\n', to);
    if (p->steps == 0)
        nr_paragraph(to, "", "None of the usual improvements would change this by 5 %.");
    else
        nr_paragraph(to, "", "What would help, each by itself, cheapest first:");
    for (size_t i = 0; i < p->steps; i++) {
        char first[64];
        (void)snprintf(first, sizeof first, "  %-13s ", p->step[i].code);
        nr_sentence(to, units, first, "%s%s", p->step[i].text,
                    p->step[i].separates ? " It tells the container's loss from the collector's."
                                         : "");
    }
}

static void side_by_side(FILE *to, const nr_plan *p)
{
    char with[NR_ROUNDED], without[NR_ROUNDED], shows[64] = "practically always";
    if (!isfinite(p->u_side_by_side) || !isfinite(p->u_apart))
        return;
    if (p->power_side_by_side <= 0.995)
        (void)snprintf(shows, sizeof shows, "%.0f times in 100", 100 * p->power_side_by_side);
    fputc('\n', to);
    nr_sentence(to, NR_UNITS_SI, "",
                "Against another build side by side, under the same pyranometer and in the same "
                "air, the difference in eta0 would be known to +-%s (95 %%) instead of +-%s each "
                "with its own; a difference of 10 %% would show %s.",
                nr_round_text(1.96 * p->u_side_by_side, 3, with),
                nr_round_text(1.96 * p->u_apart, 3, without), shows);
}

static void supposed(FILE *to, const nr_plan *p, nr_units units)
{
    const nr_plan_test *t = &p->test;
    nr_sentence(to, units, "",
                "Supposed: %s, air at %s degC, wind %s m/s, flow %s L/min, a container losing "
                "%s W/K, no clouds.",
                t->day.clear_sky ? "a clear-sky day" : "steady sun",
                NR_FIGURE("%.4g", t->day.air_degC), NR_FIGURE("%.2g", t->day.wind_m_s),
                NR_FIGURE("%.2g", t->flow_L_min), NR_FIGURE("%.2g", t->store_loss_W_K));
}

void nr_show_plan(FILE *to, const nr_plan *p, nr_units units)
{
    nr_sentence(to, units, "", "%s", p->sentence);
    nr_sentence(to, units, "", "%s", p->limits);
    steps(to, p, units);
    side_by_side(to, p);
    fputc('\n', to);
    supposed(to, p, units);
    nr_warning_lines(to, "Mind", &p->warnings, units, NULL);
}
