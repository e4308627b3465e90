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

void nr_season_finding(char *text, size_t size, const nr_season *s, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    NR_SAY(&p, "{0 temperature .0f} on {1 number .0f} of {2 number .0f} days",
           .number = {s->asked.to_degC, s->reached.value, (double)days_a_year(s)});
}
