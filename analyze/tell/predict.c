/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/forecast/day.h"
#include "analyze/tell/phrase.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <math.h>
#include <stdio.h>

/* A chance smaller than this is not worth a word. */
#define LEAST_CHANCE 0.005

static void say_conditions(nr_phrase *p, const nr_day *d)
{
    char date[NR_CLOCK_TEXT], clock[NR_CLOCK_TEXT];
    if (d->clear_sky)
        NR_SAY(p, "On {a} under a clear sky, started at {b}{0| solar time|}, ",
               .name = {nr_day_date(d, date), nr_day_clock(d, d->start_s, clock)},
               .number = {d->clock_given});
    else
        NR_SAY(p, "In {0 irradiance .0f} of sun and air of {1 temperature .4g}, ",
               .number = {d->sun_W_m2, d->air_degC});
}

/* On a clear day the clock times, else the minutes. */
static void say_interval(nr_phrase *p, const nr_day *d, const nr_quantity *t)
{
    char early[NR_CLOCK_TEXT], late[NR_CLOCK_TEXT];
    if (d->clear_sky)
        NR_SAY(p, " (95 %: {a} to {b}).",
               .name = {nr_day_clock(d, d->start_s + t->lo95, early),
                        nr_day_clock(d, d->start_s + t->hi95, late)});
    else
        NR_SAY(p, " (95 %: {0 minutes .0f bare} to {1 minutes .0f bare} minutes).",
               .number = {t->lo95, t->hi95});
}

static void say_reached(nr_phrase *p, const nr_predict *a)
{
    const nr_day *d = &a->day;
    const nr_quantity *t = &a->time_s;
    char at[NR_CLOCK_TEXT];
    if (!t->known) {
        NR_SAY(p, "The water is at the target from the start.", .name = {NULL});
        return;
    }
    say_conditions(p, d);
    NR_SAY(p,
           "{0 water .3g} of water take {1 span} from {2 temperature .4g bare} to "
           "{3 temperature .4g}",
           .number = {d->water_kg, t->value, d->from_degC, d->to_degC});
    if (d->clear_sky)
        NR_SAY(p, ", until {a}", .name = {nr_day_clock(d, d->start_s + t->value, at)});
    if (isfinite(t->hi95))
        say_interval(p, d, t);
    else
        NR_SAY(p,
               " (at the earliest {0 minutes .0f bare} minutes; with a probability of "
               "{1 percent .0f} they do not get there at all).",
               .number = {t->lo95, 1 - a->probability_reached});
}

static void say_unreached(nr_phrase *p, const nr_predict *a)
{
    const nr_day *d = &a->day;
    const nr_quantity *T = &a->final_degC;
    double end = a->count ? a->trace[a->count - 1].t_s : d->limit_s;
    say_conditions(p, d);
    NR_SAY(
        p,
        "{0 water .3g} of water do not reach {1 temperature .4g}: {2|even|at their warmest} after "
        "{3 span} they are at {4 temperature .1f} (95 %: {5 temperature .1f bare} to "
        "{6 temperature .1f})",
        .number = {d->water_kg, d->to_degC, d->clear_sky, end, T->value, T->lo95, T->hi95});
    if (a->probability_reached > LEAST_CHANCE)
        NR_SAY(p, "; the chance of it is {0 percent .0f}", .number = {a->probability_reached});
    NR_SAY(p, ".", .name = {NULL});
}

void nr_tell_predict(char *text, size_t size, const nr_predict *a, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    (a->reached ? say_reached : say_unreached)(&p, a);
}

/* One way out each, in the order of what it costs. */
static void say_ways(nr_phrase *p, const nr_remedy *r)
{
    static const char *const way[3] = {
        "{3|, | or |}with {0 water .2g} of water",
        "{3|, | or |}with {0 number .2g} times the collector ({1 area .2g}, flow in proportion)",
        "{3|, | or |}from {0 temperature .0f} at the start"};
    const nr_blanks fill[3] = {{.number = {r->water_kg}},
                               {.number = {r->times_area, r->area_m2}},
                               {.number = {r->start_degC}}};
    int left = 0, said = 0;
    for (int i = 0; i < 3; i++)
        left += isfinite(fill[i].number[0]);
    NR_SAY(p, "It would be reached ", .name = {NULL});
    for (int i = 0; i < 3; i++) {
        nr_blanks b = fill[i];
        if (!isfinite(b.number[0]))
            continue;
        b.number[3] = said == 0 ? 2 : left == 1; /* nothing, " or ", a comma */
        nr_phrase_say(p, way[i], &b);
        said++;
        left--;
    }
    NR_SAY(p, ".", .name = {NULL});
}

void nr_tell_predict_remedy(char *text, size_t size, const nr_predict *a, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    switch (a->remedy.kind) {
    case NR_REMEDY_NONE:
        return;
    case NR_REMEDY_PANEL:
        NR_SAY(
            &p,
            "The pump on its panel would not start in so little sun: it takes {0 irradiance .0f}, "
            "a larger panel or a smaller pump.",
            .number = {a->remedy.panel_start_W_m2});
        return;
    case NR_REMEDY_WAYS:
        say_ways(&p, &a->remedy);
        return;
    case NR_REMEDY_OTHER_BUILD:
        NR_SAY(&p,
               "Neither less water nor a larger collector of this build would reach it there: it "
               "takes a build that loses less (glass, insulation), more sun or a lower target.",
               .name = {NULL});
        return;
    }
}

void nr_tell_predict_water(char *text, size_t size, const nr_day *d, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    if (isfinite(d->water_kg))
        NR_SAY(&p, "Water: {0 water .3g}.", .number = {d->water_kg});
}

void nr_tell_predict_day(char *text, size_t size, const nr_day *d, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    if (d->clear_sky)
        NR_SAY(&p,
               "A clear-sky day at {0 number .2f}, {1 number .2f} (a model, not a forecast), the "
               "collector {2|left standing|turned after the sun}.",
               .number = {d->latitude_deg, d->longitude_deg, d->re_aimed});
    else
        NR_SAY(&p, "Steady sun of {0 irradiance .0f}, air at {1 temperature .0f}.",
               .number = {d->sun_W_m2, d->air_degC});
}

void nr_tell_predict_shares(char *text, size_t size, const nr_predict *a, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    double all = sqrt(a->u_parameter * a->u_parameter + a->u_model * a->u_model +
                      a->u_weather * a->u_weather);
    if (!(all > 0))
        return;
    NR_SAY(&p,
           "Standard uncertainty by origin: {0 own u3 bare} from the collector's parameters, "
           "{1 own u3 bare} from the model, {2 own u3 bare} from the weather ({a}).",
           .number = {a->u_parameter, a->u_model, a->u_weather, all},
           .own = a->reached ? NR_SHOWN_MINUTES : NR_SHOWN_DIFFERENCE,
           .name = {a->reached ? "minutes" : nr_display_of(NR_SHOWN_DIFFERENCE, units)->plain});
}
