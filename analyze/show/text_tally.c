/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `noonfit tally` as text. */
#include "analyze/show/lines.h"
#include "analyze/show/tally.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tally.h"
#include "analyze/tell/tell.h"

#include <math.h>
#include <string.h>

static void input_row(FILE *to, const nr_tally *t, nr_tally_input i, nr_units units)
{
    const nr_stated *in = &t->asked.input[i];
    const nr_shown what = nr_tally_input_shown(i);
    if (!isfinite(in->value))
        return;
    double u = nr_display_difference(what, units, in->u);
    char value[NR_ROUNDED], around[NR_ROUNDED], share[NR_ROUNDED];
    int place = nr_round_place(u, 2);
    fputs("  ", to);
    nr_padded(to, nr_tally_input_words(i), 23);
    fprintf(to, " %8s +- %-6s %-11s %4s %%  %s\n",
            nr_round_text(nr_display_value(what, units, in->value), place, value),
            nr_round_text(u, place, around), nr_display_of(what, units)->plain,
            nr_round_text(100 * t->share[t->sun_known ? NR_TALLY_EFFICIENCY : NR_TALLY_POWER][i], 0,
                          share),
            t->u_stated[i] ? "stated" : "usual");
}

/* Where the usual uncertainties come from, each source once. */
static void sources(FILE *to, const nr_tally *t)
{
    for (int i = 0; i < NR_TALLY_INPUTS; i++) {
        nr_tally_input one = (nr_tally_input)i;
        if (t->u_stated[i] || !isfinite(t->asked.input[i].value))
            continue;
        if (one == NR_TALLY_TO && !t->u_stated[NR_TALLY_FROM])
            continue; /* said with the first reading */
        nr_paragraph_of(to, "  ", "%s: %s",
                        one == NR_TALLY_FROM && !t->u_stated[NR_TALLY_TO]
                            ? "both temperatures"
                            : nr_tally_input_words(one),
                        nr_tally_usual_source(one, t->asked.clear_sky));
    }
}

void nr_show_tally(FILE *to, const nr_tally *t, nr_units units)
{
    char text[NR_TELL];
    nr_trust_lines(to, &t->trust, units);
    nr_tell_tally(text, sizeof text, t, units);
    nr_paragraph(to, "", text);
    fputc('\n', to);
    nr_quantity_heading(to);
    nr_quantity_row(to, "heat gained", NR_SHOWN_ENERGY, units, &t->result[NR_TALLY_HEAT]);
    nr_quantity_row(to, "mean power", NR_SHOWN_POWER, units, &t->result[NR_TALLY_POWER]);
    nr_quantity_row(to, "share of the sun", NR_SHOWN_PERCENT, units,
                    &t->result[NR_TALLY_EFFICIENCY]);
    fprintf(to, "\n  made from, with its standard uncertainty and its share of the variance\n");
    for (int i = 0; i < NR_TALLY_INPUTS; i++)
        input_row(to, t, (nr_tally_input)i, units);
    sources(to, t);
    fputc('\n', to);
    nr_tell_tally_limits(text, sizeof text, t, units);
    nr_paragraph(to, "", text);
    nr_tell_tally_cannot(text, sizeof text, t, units);
    nr_paragraph(to, "", text);
    fputs("\nWhat three more readings would give:\n", to);
    for (int m = 0; m < NR_TALLY_MORES; m++) {
        nr_tell_tally_more(text, sizeof text, t, (nr_tally_more)m, units);
        if (text[0])
            nr_paragraph(to, "  ", text);
    }
    nr_warning_lines(to, "Cautions", &t->cautions, units, NR_WARN_COUNT);
}
