/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `noonfit fit` as text. */
#include "analyze/show/lines.h"
#include "analyze/show/show.h"
#include "analyze/tell/tell.h"

#include <stdio.h>
#include <string.h>

static void parameter_table(FILE *to, const nr_fit *fit, nr_units units)
{
    const nr_quantity *q = &fit->eta0;
    nr_quantity_heading(to);
    nr_quantity_row(to, "zero-loss efficiency  eta0", NR_SHOWN_NUMBER, units, q);
    if (fit->eta0_normal.known)
        nr_quantity_row(to, "  in perpendicular sun", NR_SHOWN_NUMBER, units, &fit->eta0_normal);
    nr_quantity_row(to, "loss coefficient      a1", NR_SHOWN_COLLECTOR_LOSS, units, &fit->a1);
    if (fit->a2.known)
        nr_quantity_row(to, "  growing by          a2", NR_SHOWN_LOSS_SLOPE, units, &fit->a2);
    nr_quantity_row(to, "heat capacity         a5", NR_SHOWN_CAPACITY, units, &fit->a5);
    nr_quantity_row(to, "container's loss", NR_SHOWN_STORE_LOSS, units, &fit->store_loss);
    nr_quantity_row(to, "efficiency of the run", NR_SHOWN_NUMBER, units, &fit->run_efficiency);
    nr_quantity_row(to, "stagnation, at least", NR_SHOWN_DIFFERENCE, units, &fit->stagnation_K);
    nr_quantity_row(to, "time constant", NR_SHOWN_MINUTES, units, &fit->time_constant_s);
    char text[NR_TELL];
    nr_tell_fit_basis(text, sizeof text, fit, units);
    nr_paragraph(to, "  ", text);
}

static void reasons(FILE *to, const nr_fit *fit, nr_units units)
{
    char text[NR_TELL];
    fputc('\n', to);
    nr_tell_fit_limits(text, sizeof text, fit, units);
    nr_paragraph(to, "", text);
    nr_tell_fit_range(text, sizeof text, fit, units);
    nr_paragraph(to, "", text);
    nr_tell_fit_bend(text, sizeof text, fit, units);
    nr_paragraph(to, "", text);
    nr_tell_fit_standstill(text, sizeof text, fit, units);
    nr_paragraph(to, "", text);
    nr_tell_fit_correlation(text, sizeof text, fit, units);
    nr_paragraph(to, "", text);
    nr_tell_fit_incidence(text, sizeof text, fit);
    nr_paragraph(to, "", text);
    nr_tell_fit_energy(text, sizeof text, fit, units);
    nr_paragraph(to, "", text);
    nr_tell_fit_second_opinion(text, sizeof text, fit, units);
    nr_paragraph(to, "", text);
}

static void learned(FILE *to, const nr_fit *fit, nr_units units)
{
    bool headed = false;
    for (size_t i = 0; i < fit->learned_items; i++) {
        char text[NR_TELL];
        nr_tell_fit_learned(text, sizeof text, &fit->learned[i], units);
        if (text[0] == '\0')
            continue;
        if (!headed)
            fputs("\nWhat the record says about its inputs, stated or assumed (value and "
                  "standard u)\n",
                  to);
        headed = true;
        bool check = nr_learned_judge(&fit->learned[i]) == NR_LEARNED_CHECK_IT;
        const char *more = check ? "  (check it)" : "";
        bool fits = 2 + 31 + 1 + strlen(text) + strlen(more) <= NR_LINE_WIDTH;
        fputs("  ", to);
        nr_padded(to, fit->learned[i].label, 31);
        if (fits)
            fprintf(to, " %s%s\n", text, more);
        else
            fprintf(to, "\n%*s%s\n", NR_LINE_WIDTH - (int)strlen(more), text, more);
    }
}

static void monte_carlo(FILE *to, const nr_fit *fit, nr_units units)
{
    char text[NR_TELL];
    if (!fit->monte_carlo.trials)
        return;
    nr_tell_fit_monte_carlo(text, sizeof text, fit, units);
    fputc('\n', to);
    nr_paragraph(to, "", text);
}

void nr_show_fit(FILE *to, const nr_fit *fit, nr_units units)
{
    char text[NR_TELL];
    nr_trust_lines(to, &fit->trust, units);
    nr_tell_fit_result(text, sizeof text, fit, units);
    nr_paragraph(to, "", text);
    fputc('\n', to);
    parameter_table(to, fit, units);
    reasons(to, fit, units);
    monte_carlo(to, fit, units);
    learned(to, fit, units);
    nr_warning_lines(to, "Mind", &fit->warnings, units, NR_WARN_TESTED_RANGE); /* said above */
    fputc('\n', to);
    for (size_t i = 0; i < fit->runs; i++) {
        nr_tell_fit_run(text, sizeof text, &fit->run[i]);
        nr_paragraph(to, i == 0 ? "From " : "     ", text);
    }
}
