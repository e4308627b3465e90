/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `noonfit fit` as text. */
#include "analyze/show/lines.h"
#include "analyze/show/show.h"
#include "analyze/show/words.h"

#include <stdio.h>

#define WORDS 1200

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
    char text[WORDS];
    nr_words_basis(text, sizeof text, fit, units);
    nr_paragraph(to, "  ", text);
}

static void reasons(FILE *to, const nr_fit *fit, nr_units units)
{
    char text[WORDS];
    fputc('\n', to);
    nr_words_limits(text, sizeof text, fit, units);
    nr_paragraph(to, "", text);
    nr_words_range(text, sizeof text, fit, units);
    nr_paragraph(to, "", text);
    nr_words_incidence(text, sizeof text, fit);
    nr_paragraph(to, "", text);
    nr_words_energy(text, sizeof text, fit, units);
    nr_paragraph(to, "", text);
    nr_words_second_opinion(text, sizeof text, fit, units);
    nr_paragraph(to, "", text);
}

static void learned(FILE *to, const nr_fit *fit, nr_units units)
{
    bool headed = false;
    for (size_t i = 0; i < fit->learned_items; i++) {
        char text[WORDS];
        bool check;
        nr_words_learned(text, sizeof text, &fit->learned[i], units, &check);
        if (text[0] == '\0')
            continue;
        if (!headed)
            fputs("\nWhat the record says about its inputs, stated or assumed (value and "
                  "standard u)\n",
                  to);
        headed = true;
        fputs("  ", to);
        nr_padded(to, fit->learned[i].label, 31);
        fprintf(to, " %s%s\n", text, check ? "  (check it)" : "");
    }
}

static void monte_carlo(FILE *to, const nr_fit *fit)
{
    const nr_monte_carlo *m = &fit->monte_carlo;
    if (!m->trials)
        return;
    char text[WORDS];
    snprintf(text, sizeof text,
             "Monte Carlo (%zu trials, seed %lu): standard uncertainty of eta0 %.4f +- %.4f where "
             "the table has %.4f, 95 %% %.3f to %.3f; of a1 %.3f +- %.3f where the table has %.3f, "
             "in W/(m2 K).%s",
             m->trials - m->failed, m->seed, m->eta0.u, m->eta0.u_error, fit->eta0.u, m->eta0.lo95,
             m->eta0.hi95, m->a1.u, m->a1.u_error, fit->a1.u,
             m->failed ? " Some trials found no minimum and were left out." : "");
    fputc('\n', to);
    nr_paragraph(to, "", text);
}

void nr_show_fit(FILE *to, const nr_fit *fit, nr_units units)
{
    char text[WORDS];
    nr_words_result(text, sizeof text, fit, units);
    nr_paragraph(to, "", text);
    fputc('\n', to);
    parameter_table(to, fit, units);
    reasons(to, fit, units);
    monte_carlo(to, fit);
    learned(to, fit, units);
    nr_warning_lines(to, "Mind", &fit->warnings, units, "tested-range"); /* said above */
    fputc('\n', to);
    for (size_t i = 0; i < fit->runs; i++) {
        nr_words_run(text, sizeof text, &fit->run[i]);
        nr_paragraph(to, i == 0 ? "From " : "     ", text);
    }
}
