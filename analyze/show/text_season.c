/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `noonfit season` as text. */
#include "analyze/show/lines.h"
#include "analyze/show/season.h"
#include "analyze/tell/round.h"
#include "analyze/tell/season.h"

#include <math.h>

static const char *const month_name[NR_SEASON_MONTHS] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                                         "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};

/* A temperature with its unit, "40 degC". */
static char *degrees(double degC, nr_units units, char *text, size_t size)
{
    char number[NR_ROUNDED];
    snprintf(text, size, "%s %s",
             nr_round_text(nr_display_value(NR_SHOWN_TEMPERATURE, units, degC), 0, number),
             nr_display_of(NR_SHOWN_TEMPERATURE, units)->plain);
    return text;
}

static void first_sentence(FILE *to, const nr_season *s, nr_units units)
{
    char finding[80], years[120] = "";
    nr_season_finding(finding, sizeof finding, s, units);
    if (isfinite(s->reached.year_lo95))
        snprintf(years, sizeof years, ", and one year differs from another: %.0f to %.0f",
                 s->reached.year_lo95, s->reached.year_hi95);
    nr_paragraph_of(to, "",
                    "The water reaches %s%s (95 %%: %.0f to %.0f by what the record leaves open "
                    "about the collector%s).",
                    finding, s->years > 1 ? " a year" : "", s->reached.lo95, s->reached.hi95,
                    years);
}

static void other_sentences(FILE *to, const nr_season *s, double price, nr_units units)
{
    char use[32], litres[NR_ROUNDED];
    nr_paragraph_of(
        to, "",
        "At its warmest it is good for %.0f uses a year of %s %s at %s (95 %%: %.0f to %.0f) and "
        "holds %.0f kWh of heat (%.0f to %.0f).",
        s->uses.value,
        nr_plain_text(s->asked.use_L * (units == NR_UNITS_US ? 1 / 3.785411784 : 1), 2, litres),
        units == NR_UNITS_US ? "gal" : "L", degrees(s->asked.use_degC, units, use, sizeof use),
        s->uses.lo95, s->uses.hi95, s->heat_kWh, s->heat_lo95, s->heat_hi95);
    if (isfinite(price) && s->heat_kWh > 0)
        nr_paragraph_of(to, "",
                        "At a price of %.2f and ten years of use a kWh of it costs %.2f (%.2f to "
                        "%.2f), without pump and repairs.",
                        price, price / (NR_SEASON_LIFE_YEARS * s->heat_kWh),
                        price / (NR_SEASON_LIFE_YEARS * s->heat_hi95),
                        price / (NR_SEASON_LIFE_YEARS * s->heat_lo95));
}

static void months(FILE *to, const nr_season *s, nr_units units)
{
    fprintf(to, "\n  %-5s %5s %8s  %-14s  %-14s %7s %8s\n", "", "days", "reached", " 95 %: build",
            " 95 %: year", "uses", "warmest");
    for (int k = 0; k < NR_SEASON_MONTHS; k++) {
        const nr_season_month *m = &s->month[k];
        char build[32], year[32] = "-", top[NR_ROUNDED];
        if (!m->days)
            continue;
        snprintf(build, sizeof build, "%4.0f .. %.0f", m->reached.lo95, m->reached.hi95);
        if (isfinite(m->reached.year_lo95))
            snprintf(year, sizeof year, "%4.0f .. %.0f", m->reached.year_lo95,
                     m->reached.year_hi95);
        fprintf(
            to, "  %-5s %5zu %8.0f  %-14s  %-14s %7.0f %8s\n", month_name[k], m->days,
            m->reached.value, build, year, m->uses.value,
            nr_round_text(nr_display_value(NR_SHOWN_TEMPERATURE, units, m->warmest_degC), 0, top));
    }
    fprintf(to, "\n  warmest: mean of the days, %s\n",
            nr_display_of(NR_SHOWN_TEMPERATURE, units)->plain);
}

static void show_changes(FILE *to, const nr_season_gain *gain)
{
    fprintf(to, "\n  %-44s %6s  %-12s %6s %6s\n", "a change would bring, a year", "days",
            " 95 %: build", "uses", "kWh");
    for (int k = 0; k < NR_CHANGES; k++) {
        char interval[32];
        if (!gain[k].possible)
            continue;
        snprintf(interval, sizeof interval, "%+.0f .. %+.0f", gain[k].lo95, gain[k].hi95);
        fprintf(to, "  %-44s %+6.0f  %-12s %+6.0f %+6.0f\n", nr_season_change_words(gain[k].change),
                gain[k].reached, interval, gain[k].uses, gain[k].heat_kWh);
    }
}

static void how(FILE *to, const nr_season *s, nr_units units)
{
    char from[48] = "at the mean air of the day", start[32];
    if (isfinite(s->asked.from_degC))
        snprintf(from, sizeof from, "at %s",
                 degrees(s->asked.from_degC, units, start, sizeof start));
    fputc('\n', to);
    nr_paragraph_of(to, "",
                    "Weather: %s (%s)%s. Filled %s every day at %ld:%02ld solar time, until "
                    "%ld:%02ld.",
                    s->place[0] ? s->place : "a table without a name", s->format,
                    s->typical ? ", a typical year, joined of months of several; what one year "
                                 "differs is estimated by exchanging weeks of the same season"
                               : "",
                    from, lround(s->asked.start_s) / 3600, lround(s->asked.start_s) / 60 % 60,
                    lround(s->asked.by_s) / 3600, lround(s->asked.by_s) / 60 % 60);
    if (s->holes)
        nr_paragraph_of(to, "", "%zu missing values were filled from the hours beside them.",
                        s->holes);
    if (s->frost_nights >= 1)
        nr_paragraph_of(to, "",
                        "Frost: on %.0f days a year the air falls below freezing. Drain collector "
                        "and tube before such nights; under a clear sky a bare collector freezes "
                        "in air of some degrees above.",
                        s->frost_nights);
    nr_paragraph(
        to, "",
        "Cautions: water of 49 degC (120 degF) and above scalds; never heat a loop that is "
        "closed at both ends; lukewarm water that stands for days can grow Legionella. "
        "Local codes and licensed practice decide.");
}

void nr_show_season(FILE *to, const nr_season *s, const nr_season_gain *gain, double price,
                    nr_units units)
{
    nr_trust_lines(to, &s->fit->trust, units);
    first_sentence(to, s, units);
    other_sentences(to, s, price, units);
    months(to, s, units);
    if (gain)
        show_changes(to, gain);
    how(to, s, units);
}
