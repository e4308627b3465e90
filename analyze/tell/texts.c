/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Parts of sentences and cells of tables that several answers share. */
#include "analyze/tell/phrase.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <stdio.h>

char *nr_interval_text(char *text, size_t size, nr_shown what, nr_units units, const nr_quantity *q,
                       int digits, const char *sign, bool with_unit)
{
    if (!q->known) {
        (void)snprintf(text, size, "not determined");
        return text;
    }
    nr_quantity d = nr_display_quantity(what, units, q);
    int place = nr_round_place(d.u, digits);
    char value[NR_ROUNDED], lo[NR_ROUNDED], hi[NR_ROUNDED];
    const char *unit = with_unit ? nr_display_of(what, units)->plain : "";
    (void)nr_round_text(d.value, place, value);
    (void)snprintf(text, size, "%s%s%s%s (95 %%: %s to %s)", d.value > 0 ? sign : "", value,
                   unit[0] != '\0' ? " " : "", unit, nr_round_text(d.lo95, place, lo),
                   nr_round_text(d.hi95, place, hi));
    return text;
}

void nr_round_pair(double value, double u, char *value_text, char *u_text, size_t size)
{
    char text[NR_ROUNDED];
    int place = nr_round_place(u, 2);
    (void)snprintf(value_text, size, "%s", nr_round_text(value, place, text));
    (void)snprintf(u_text, size, "%s", nr_round_text(u, place, text));
}
