/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/tell/budget.h"

#include "analyze/tell/phrase.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <math.h>
#include <stdio.h>

static const char *const titles[NR_BUDGET_OFS] = {
    "Zero-loss efficiency eta0", "Loss coefficient a1", "Heat capacity a5", "Container's loss",
    "Stagnation, rise over the air"};

void nr_tell_budget(char *text, size_t size, const nr_gum_budget *b, nr_shown kind, nr_units units)
{
    char value[NR_ROUNDED], u[NR_ROUNDED], expanded[NR_ROUNDED];
    const char *unit = nr_display_of(kind, units)->plain;
    double shown_u = nr_display_difference(kind, units, b->result.u);
    nr_round_pair(nr_display_value(kind, units, b->result.value), shown_u, value, u, sizeof value);
    nr_round_text(nr_display_difference(kind, units, b->expanded), nr_round_place(shown_u, 2),
                  expanded);
    nr_phrase p = nr_phrase_begin(text, size, units);
    const char *gap = unit[0] ? " " : "";
    char result[160], plus[160];
    (void)snprintf(result, sizeof result, "%s%s%s", value, gap, unit);
    (void)snprintf(plus, sizeof plus, "%s%s%s", expanded, gap, unit);
    NR_SAY(&p, "{a}: {b}, combined standard uncertainty {c}; ", .name = {titles[b->of], result, u});
    if (isinf(b->degrees_of_freedom))
        NR_SAY(&p, "degrees of freedom without limit, so k = {0 number .2f}", .number = {b->k95});
    else
        NR_SAY(
            &p,
            "{0 number .0f} effective degrees of freedom (Welch-Satterthwaite), so k = {1 number "
            ".2f}",
            .number = {b->degrees_of_freedom, b->k95});
    NR_SAY(&p, " and U = {a} for 95 %.", .name = {plus});
}

void nr_tell_budget_columns(char *text, size_t size)
{
    nr_phrase p = nr_phrase_begin(text, size, NR_UNITS_SI);
    NR_SAY(&p,
           "A: from the scatter of the readings; B: from other knowledge, * assumed here because "
           "rig.ini does not state it (good to a quarter of itself: 8 degrees of freedom). u(y): "
           "contribution to the standard uncertainty, |sensitivity| times u; inputs are taken as "
           "normal. Sensitivities are in --csv and --json.",
           .name = {NULL});
}

void nr_tell_budget_check(char *text, size_t size, const nr_gum_budget *b,
                          const nr_monte_carlo *check, nr_shown kind, nr_units units)
{
    const nr_sampled *s = b->of == NR_BUDGET_ETA0 ? &check->eta0
                          : b->of == NR_BUDGET_A1 ? &check->a1
                                                  : NULL;
    nr_phrase p = nr_phrase_begin(text, size, units);
    if (!s)
        return;
    char mine[NR_ROUNDED], theirs[NR_ROUNDED], error[NR_ROUNDED];
    double off = fabs(s->u - b->result.u) / s->u_error;
    nr_plain_text(nr_display_difference(kind, units, b->result.u), 3, mine);
    nr_round_pair(nr_display_difference(kind, units, s->u),
                  nr_display_difference(kind, units, s->u_error), theirs, error, sizeof theirs);
    char both[2 * NR_ROUNDED + 8];
    (void)snprintf(both, sizeof both, "%s +- %s", theirs, error);
    NR_SAY(&p,
           "Monte Carlo ({0 number .0f} records simulated and fitted): u({a}) = {b} against {c} "
           "here: {1 number .1f} of its own sampling errors apart, {2|no agreement|in agreement}.",
           .name = {nr_budget_of_name(b->of), both, mine},
           .number = {(double)(check->trials - check->failed), off, off <= 3});
}
