/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plots/warm.h"

#include "analyze/tell/round.h"

#include <math.h>

/* Lines nearer than this leave no room for words between them. */
#define NEAR_K 9.0

/* words after a number of the temperature unit: "43 °C: target". */
static void level(nr_picture *p, double degC, const char *colour, const char *dash, const char *end,
                  const char *words, bool below)
{
    char text[96], n[NR_ROUNDED];
    double y = nr_display_value(NR_SHOWN_TEMPERATURE, p->units, degC);
    (void)snprintf(text, sizeof text, "%s %s: %s", nr_round_text(y, 0, n),
                   nr_display_of(NR_SHOWN_TEMPERATURE, p->units)->pretty, words);
    nr_level_words(p, y, colour, dash, end, end != NULL ? text : NULL, below);
}

void nr_draw_target(nr_picture *p, double target_degC, const char *end)
{
    bool under_scald = target_degC < NR_SCALDS_DEGC && target_degC > NR_SCALDS_DEGC - NEAR_K;
    level(p, target_degC, NR_BLACK, "(3,3)", end, "target", under_scald);
}

bool nr_scald_close_under(double target_degC, double within_K)
{
    double over = target_degC - NR_SCALDS_DEGC;
    return over > 1 && over < within_K;
}

void nr_draw_scald(nr_picture *p, double highest_degC, double target_degC, const char *end)
{
    if (highest_degC > NR_SCALDS_DEGC && fabs(target_degC - NR_SCALDS_DEGC) > 1)
        level(p, NR_SCALDS_DEGC, NR_VERMILLION, "(8,4)", end, "scalds from here on",
              nr_scald_close_under(target_degC, NEAR_K));
}

void nr_draw_boils(nr_picture *p, double highest_degC, const char *end)
{
    if (highest_degC >= NR_BOILS_DEGC)
        level(p, NR_BOILS_DEGC, NR_TEXT_GREY, "(8,4)", end, "boils", false);
}
