/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `noonfit plan` as text. */
#include "analyze/show/lines.h"
#include "analyze/show/show.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <stdio.h>

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
        row(to, nr_plan_action_name(p->step[i].action), p->step[i].u_eta0, p->step[i].u_a1,
            nr_plan_cost_word(p->step[i].cost), units);
    fputc('\n', to);
    if (p->steps == 0)
        nr_paragraph(to, "", "None of the usual improvements would change this by 5 %.");
    else
        nr_paragraph(to, "", "What would help, each by itself, cheapest first:");
    for (size_t i = 0; i < p->steps; i++) {
        char first[64], text[NR_TELL];
        (void)snprintf(first, sizeof first, "  %-13s ", nr_plan_action_name(p->step[i].action));
        nr_tell_plan_step(text, sizeof text, &p->step[i], units);
        nr_paragraph(to, first, text);
    }
}

void nr_show_plan(FILE *to, const nr_plan *p, nr_units units)
{
    char text[NR_TELL];
    nr_tell_plan(text, sizeof text, p, units);
    nr_paragraph(to, "", text);
    nr_tell_plan_limits(text, sizeof text, p, units);
    nr_paragraph(to, "", text);
    steps(to, p, units);
    nr_tell_plan_side_by_side(text, sizeof text, p);
    fputs(text[0] != '\0' ? "\n" : "", to);
    nr_paragraph(to, "", text);
    fputc('\n', to);
    nr_tell_plan_supposed(text, sizeof text, p, units);
    nr_paragraph(to, "", text);
    nr_warning_lines(to, "Mind", &p->warnings, units, NR_WARN_COUNT);
}
