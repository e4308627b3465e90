/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/tell/season.h"

#include "analyze/tell/phrase.h"

#include <math.h>
#include <stdio.h>

static const struct {
    const char *code, *words;
} changes[NR_CHANGES] = {
    [NR_CHANGE_SECOND] = {"second-collector", "a second collector of the same build"},
    [NR_CHANGE_LID] = {"container-insulated", "half the container's loss: a lid, insulation"},
    [NR_CHANGE_MORE_WATER] = {"more-water", "half as much water again"},
    [NR_CHANGE_LESS_WATER] = {"less-water", "two thirds of the water"},
    [NR_CHANGE_STEEPER] = {"steeper", "15 degrees steeper"},
    [NR_CHANGE_FLATTER] = {"flatter", "15 degrees flatter"},
    [NR_CHANGE_RE_AIMED] = {"re-aimed", "turned after the sun all day"},
    [NR_CHANGE_EARLIER] = {"earlier-start", "started two hours earlier"},
    [NR_CHANGE_LATER] = {"later-start", "started two hours later"},
};

const char *nr_season_change_code(nr_season_change change)
{
    return changes[change].code;
}

const char *nr_season_change_words(nr_season_change change)
{
    return changes[change].words;
}

static long days_a_year(const nr_season *s)
{
    return lround((double)s->days / fmax((double)s->years, 1));
}

/* "40 degC on 182 of 365 days" */
static void say_finding(nr_phrase *p, const nr_season *s)
{
    NR_SAY(p, "{0 temperature .0f} on {1 number .0f} of {2 number .0f} days",
           .number = {s->asked.to_degC, s->reached.value, (double)days_a_year(s)});
}

void nr_tell_season_title(char *text, size_t size, const nr_season *s, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    say_finding(&p, s);
    NR_SAY(&p, " (95 %: {0 number .0f} to {1 number .0f} by the collector)",
           .number = {s->reached.lo95, s->reached.hi95});
}

void nr_tell_season_legend(char *text, size_t size, const nr_season *s)
{
    nr_phrase p = nr_phrase_begin(text, size, NR_UNITS_SI);
    NR_SAY(
        &p,
        "{0 number .0f} uses a year (95 %: {1 number .0f} to {2 number .0f}), {3 number .0f} kWh "
        "of heat",
        .number = {s->uses.value, s->uses.lo95, s->uses.hi95, s->heat_kWh});
}

void nr_tell_season(char *text, size_t size, const nr_season *s, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    NR_SAY(&p, "The water reaches ", .name = {NULL});
    say_finding(&p, s);
    NR_SAY(
        &p,
        "{2|| a year} (95 %: {0 number .0f} to {1 number .0f} by what the record leaves open about "
        "the collector",
        .number = {s->reached.lo95, s->reached.hi95, s->years > 1});
    if (isfinite(s->reached.year_lo95))
        NR_SAY(&p, ", and one year differs from another: {0 number .0f} to {1 number .0f}",
               .number = {s->reached.year_lo95, s->reached.year_hi95});
    NR_SAY(&p, ").", .name = {NULL});
}

void nr_tell_season_uses(char *text, size_t size, const nr_season *s, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    NR_SAY(
        &p,
        "At its warmest it is good for {0 number .0f} uses a year of {1 volume .2g} at {2 "
        "temperature .0f} (95 %: {3 number .0f} to {4 number .0f}) and holds {5 number .0f} kWh of "
        "heat ({6 number .0f} to {7 number .0f}).",
        .number = {s->uses.value, s->asked.use_L, s->asked.use_degC, s->uses.lo95, s->uses.hi95,
                   s->heat_kWh, s->heat_lo95, s->heat_hi95});
}

void nr_tell_season_price(char *text, size_t size, const nr_season *s, double price)
{
    nr_phrase p = nr_phrase_begin(text, size, NR_UNITS_SI);
    if (!isfinite(price) || !(s->heat_kWh > 0))
        return;
    double a_kWh = price / NR_SEASON_LIFE_YEARS;
    NR_SAY(&p,
           "At a price of {0 number .2f} and ten years of use a kWh of it costs {1 number .2f} ({2 "
           "number .2f} to {3 number .2f}), without pump and repairs.",
           .number = {price, a_kWh / s->heat_kWh, a_kWh / s->heat_hi95, a_kWh / s->heat_lo95});
}

void nr_tell_season_frost(char *text, size_t size, const nr_season *s)
{
    nr_phrase p = nr_phrase_begin(text, size, NR_UNITS_SI);
    if (s->frost_nights >= 1)
        NR_SAY(&p,
               "Frost: on {0 number .0f} {0#day|days} a year the air falls below freezing. Drain "
               "collector and tube before such nights; under a clear sky a bare collector freezes "
               "in air of some degrees above.",
               .number = {s->frost_nights});
}
