/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/show/round.h"
#include "analyze/show/words.h"

#include <math.h>
#include <stdio.h>

static char *shown(nr_shown what, nr_units units, double si, int digits, char text[NR_ROUNDED])
{
    return nr_plain_text(nr_display_value(what, units, si), digits, text);
}

void nr_words_day(char *text, size_t size, const nr_reference_day *day, nr_units units)
{
    char sun[NR_ROUNDED], air[NR_ROUNDED], water[NR_ROUNDED], from[NR_ROUNDED], end[NR_ROUNDED];
    char wind[NR_ROUNDED], windy[96] = "";
    const char *degrees = nr_display_of(NR_SHOWN_TEMPERATURE, units)->plain;
    if (isfinite(day->wind_m_s))
        (void)snprintf(windy, sizeof windy, ", wind %s %s",
                       shown(NR_SHOWN_SPEED, units, day->wind_m_s, 2, wind),
                       nr_display_of(NR_SHOWN_SPEED, units)->plain);
    (void)snprintf(text, size,
                   "The reference day%s: %s %s of sun, air at %s %s%s, %s %s of water from %s to "
                   "%s %s.",
                   day->stated ? ", as stated" : ", taken from the records",
                   shown(NR_SHOWN_IRRADIANCE, units, day->sun_W_m2, 3, sun),
                   nr_display_of(NR_SHOWN_IRRADIANCE, units)->plain,
                   shown(NR_SHOWN_TEMPERATURE, units, day->air_degC, 3, air), degrees, windy,
                   shown(NR_SHOWN_WATER, units, day->store_kg, 3, water),
                   nr_display_of(NR_SHOWN_WATER, units)->plain,
                   shown(NR_SHOWN_TEMPERATURE, units, day->from_degC, 3, from),
                   shown(NR_SHOWN_TEMPERATURE, units, day->to_degC, 3, end), degrees);
}

void nr_words_pair(char *text, size_t size, const nr_compare *c, const nr_difference *d,
                   nr_units units)
{
    char crossing[NR_ROUNDED], crossed[160] = "", power[128] = "";
    text[0] = '\0';
    if (!isfinite(d->probability_better))
        return;
    double apart = nr_display_difference(NR_SHOWN_DIFFERENCE, units, fabs(d->crossing_K));
    if (d->crossing_known)
        (void)snprintf(crossed, sizeof crossed, "; their curves cross %s %s %s the air",
                       nr_round_text(apart, 1, crossing),
                       nr_display_of(NR_SHOWN_DIFFERENCE, units)->plain,
                       d->crossing_K < 0 ? "below" : "above");
    if (isfinite(d->power) && d->power > 0.995)
        (void)snprintf(power, sizeof power,
                       "; a test like this shows a difference of 10 %% in eta0 practically always");
    else if (isfinite(d->power))
        (void)snprintf(power, sizeof power,
                       "; a test like this shows a difference of 10 %% in eta0 %.0f times in 100",
                       100 * d->power);
    /* Said of the build that probably is the faster one. */
    bool of = d->probability_better >= 0.5;
    double percent = 100 * (of ? d->probability_better : 1 - d->probability_better);
    char sure[NR_ROUNDED];
    (void)snprintf(sure, sizeof sure, percent > 99.9 ? "more than 99.9" : "%.3g", percent);
    if (!c->heat_up[d->of].time_s.known && !c->heat_up[d->against].time_s.known) {
        (void)snprintf(text, size, "Neither %s nor %s gets there%s%s.", c->label[d->against],
                       c->label[d->of], crossed, power);
        return;
    }
    (void)snprintf(text, size, "%s heats up faster than %s with a probability of %s %%%s%s.",
                   c->label[of ? d->of : d->against], c->label[of ? d->against : d->of], sure,
                   crossed, power);
}

void nr_words_all_pairs(char *text, size_t size, const nr_compare *c)
{
    text[0] = '\0';
    if (c->differences > 1 && isfinite(c->difference[0].confidence_adjusted))
        (void)snprintf(text, size,
                       "With %zu pairs looked at together, each difference was judged at the "
                       "%.1f %% level, so that all statements together hold at 95 %%.",
                       c->differences, 100 * c->difference[0].confidence_adjusted);
}
