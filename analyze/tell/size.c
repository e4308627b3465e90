/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/forecast/day.h"
#include "analyze/tell/phrase.h"
#include "analyze/tell/tell.h"

#include <math.h>

const char *nr_chance_verdict(nr_chance chance)
{
    static const char *const verdict[] = {[NR_CHANCE_SURE] = "is reached",
                                          [NR_CHANCE_LIKELY] = "is more likely reached than not",
                                          [NR_CHANCE_UNLIKELY] = "is probably not reached",
                                          [NR_CHANCE_NONE] = "is not reached",
                                          [NR_CHANCE_NO_SUN] = "is not reached"};
    return verdict[chance];
}

const char *nr_chance_word(nr_chance chance)
{
    static const char *const word[] = {[NR_CHANCE_SURE] = "yes",
                                       [NR_CHANCE_LIKELY] = "likely",
                                       [NR_CHANCE_UNLIKELY] = "unlikely",
                                       [NR_CHANCE_NONE] = "no",
                                       [NR_CHANCE_NO_SUN] = "no sun"};
    return word[chance];
}

static void say_when(nr_phrase *p, const nr_size *z)
{
    const nr_day *d = &z->asked.day;
    char date[NR_CLOCK_TEXT], by[NR_CLOCK_TEXT], start[NR_CLOCK_TEXT];
    if (d->clear_sky)
        NR_SAY(p, "By {a}{0| solar time|} on a clear {b}, started at {c}{1|| (the best time)}, ",
               .name = {nr_day_clock(d, z->asked.by_s, by), nr_day_date(d, date),
                        nr_day_clock(d, d->start_s, start)},
               .number = {d->clock_given, z->best_start});
    else
        NR_SAY(p, "Within {0 span} in {1 irradiance .0f} of sun and air of {2 temperature .4g}, ",
               .number = {d->limit_s, d->sun_W_m2, d->air_degC});
}

void nr_tell_size(char *text, size_t size, const nr_size *z, nr_units units)
{
    const nr_day *d = &z->asked.day;
    const nr_quantity *T = &z->warmest_degC;
    nr_phrase p = nr_phrase_begin(text, size, units);
    say_when(&p, z);
    NR_SAY(
        &p,
        "{0 water .3g} of water get from {1 temperature .4g bare} to {2 temperature .1f} (95 %: "
        "{3 temperature .1f bare} to {4 temperature .1f}): the target of {5 temperature .4g} {a}.",
        .number = {d->water_kg, d->from_degC, T->value, T->lo95, T->hi95, d->to_degC},
        .name = {nr_chance_verdict(nr_chance_of(z->probability))});
}

/* One quantity: what just suffices, and what is sure to. */
static void say_way(nr_phrase *p, const nr_size_bound *w, const char *best, const char *sure,
                    const char *not_sure)
{
    const nr_blanks b = {.number = {w->best, w->sure}};
    if (!isfinite(w->best))
        return;
    nr_phrase_say(p, best, &b);
    nr_phrase_say(p, isfinite(w->sure) ? sure : not_sure, &b);
}

void nr_tell_size_bounds(char *text, size_t size, const nr_size *z, nr_units units)
{
    const nr_day *d = &z->asked.day;
    char best[NR_CLOCK_TEXT], sure[NR_CLOCK_TEXT];
    nr_phrase p = nr_phrase_begin(text, size, units);
    if (!isfinite(z->area_m2.best))
        NR_SAY(&p, "No size of this build between a twentieth and twenty times is just enough.",
               .name = {NULL});
    say_way(&p, &z->area_m2, "It takes at least {0 area .2f} of this build",
            ", {1 area .2f} to be 95 % sure.", "; no size makes it 95 % sure.");
    say_way(&p, &z->water_kg, " At most {0 water .1f} of water get there",
            ", {1 water .1f} of water to be 95 % sure.", "; no amount is 95 % sure to.");
    if (!isfinite(z->latest_s.best))
        return;
    NR_SAY(&p, " The latest start is {a}", .name = {nr_day_clock(d, z->latest_s.best, best)});
    if (isfinite(z->latest_s.sure))
        NR_SAY(&p, ", {a} to be 95 % sure.", .name = {nr_day_clock(d, z->latest_s.sure, sure)});
    else
        NR_SAY(&p, "; no start is 95 % sure to be early enough.", .name = {NULL});
}

void nr_tell_size_uses(char *text, size_t size, const nr_size *z, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    if (isnan(z->asked.tap_degC) || !isfinite(z->use.mixed_L))
        return;
    /* Whole uses: what is left over is none. */
    NR_SAY(&p,
           "Mixed with tap water of {0 temperature .3g} down to {1 temperature .4g} that is about "
           "{2 volume .0f} of water, or {3 number .0f} uses of {4 volume .3g} (95 %: {5 number "
           ".0f} to "
           "{6 number .0f}).",
           .number = {z->asked.tap_degC, z->asked.use_degC, z->use.mixed_L, floor(z->use.count),
                      z->asked.use_L, floor(z->use.lo95), floor(z->use.hi95)});
}
