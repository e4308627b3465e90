/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `noonfit season` as text. */
#include "analyze/show/lines.h"
#include "analyze/show/season.h"
#include "analyze/tell/round.h"
#include "analyze/tell/season.h"
#include "analyze/tell/tell.h"

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

static void sentences(FILE *to, const nr_season *s, double price, nr_units units)
{
    char text[NR_TELL];
    nr_tell_season(text, sizeof text, s, units);
    nr_paragraph(to, "", text);
    nr_tell_season_uses(text, sizeof text, s, units);
    nr_paragraph(to, "", text);
    nr_tell_season_price(text, sizeof text, s, price);
    if (text[0])
        nr_paragraph(to, "", text);
}

/* "151 .. 180", its columns lined up. */
static void interval(char *text, size_t size, double lo, double hi)
{
    char a[NR_ROUNDED], b[NR_ROUNDED];
    snprintf(text, size, "%4s .. %s", nr_round_text(lo, 0, a), nr_round_text(hi, 0, b));
}

/* With a sign: a gain or a loss. */
static char *more(double value, char text[NR_ROUNDED])
{
    char number[NR_ROUNDED];
    snprintf(text, NR_ROUNDED, "%s%.38s", value >= 0 ? "+" : "", nr_round_text(value, 0, number));
    return text;
}

static void months(FILE *to, const nr_season *s, nr_units units)
{
    fprintf(to, "\n  %-5s %5s %8s  %-14s  %-14s %7s %8s\n", "", "days", "reached", " 95 %: build",
            " 95 %: year", "uses", "warmest");
    for (int k = 0; k < NR_SEASON_MONTHS; k++) {
        const nr_season_month *m = &s->month[k];
        char build[2 * NR_ROUNDED + 8], year[2 * NR_ROUNDED + 8] = "-";
        char reached[NR_ROUNDED], uses[NR_ROUNDED], top[NR_ROUNDED];
        if (!m->days)
            continue;
        interval(build, sizeof build, m->reached.lo95, m->reached.hi95);
        if (isfinite(m->reached.year_lo95))
            interval(year, sizeof year, m->reached.year_lo95, m->reached.year_hi95);
        fprintf(
            to, "  %-5s %5zu %8s  %-14s  %-14s %7s %8s\n", month_name[k], m->days,
            nr_round_text(m->reached.value, 0, reached), build, year,
            nr_round_text(m->uses.value, 0, uses),
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
        char lo[NR_ROUNDED], hi[NR_ROUNDED], both[2 * NR_ROUNDED + 8], n[3][NR_ROUNDED];
        if (!gain[k].possible)
            continue;
        snprintf(both, sizeof both, "%s .. %s", more(gain[k].lo95, lo), more(gain[k].hi95, hi));
        fprintf(to, "  %-44s %6s  %-12s %6s %6s\n", nr_season_change_words(gain[k].change),
                more(gain[k].reached, n[0]), both, more(gain[k].uses, n[1]),
                more(gain[k].heat_kWh, n[2]));
    }
}

static void how(FILE *to, const nr_season *s, nr_units units)
{
    char from[48] = "at the mean air of the day", start[32], text[NR_TELL];
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
        nr_paragraph_of(to, "", "%zu missing value%s filled from the hours beside %s.", s->holes,
                        s->holes == 1 ? " was" : "s were", s->holes == 1 ? "it" : "them");
    nr_tell_season_frost(text, sizeof text, s);
    if (text[0])
        nr_paragraph(to, "", text);
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
    sentences(to, s, price, units);
    months(to, s, units);
    if (gain)
        show_changes(to, gain);
    how(to, s, units);
}
