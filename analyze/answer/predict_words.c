/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/answer/predict_words.h"

#include "analyze/answer/day.h"
#include "analyze/answer/figure.h"
#include "analyze/answer/reach.h"
#include "analyze/answer/safety.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* From here on a time in minutes is hard to read. */
#define LONG_S (180 * 60.0)

char *nr_span_words(double seconds, char text[NR_SPAN_TEXT])
{
    long minutes = lround(seconds / 60);
    if (!isfinite(seconds))
        snprintf(text, NR_SPAN_TEXT, "never");
    else if (seconds < LONG_S)
        snprintf(text, NR_SPAN_TEXT, "%ld minutes", minutes);
    else
        snprintf(text, NR_SPAN_TEXT, "%ld h %ld min", minutes / 60, minutes % 60);
    return text;
}

static void conditions(const nr_predict *p, char *text, size_t size)
{
    const nr_day *d = &p->day;
    char date[NR_CLOCK_TEXT], clock[NR_CLOCK_TEXT];
    if (d->clear_sky)
        snprintf(text, size, "On %s under a clear sky, started at %s%s", nr_day_date(d, date),
                 nr_day_clock(d, d->start_s, clock), d->clock_given ? "" : " solar time");
    else
        snprintf(text, size, "In %s W/m2 of sun and air of %s degC", NR_FIGURE("%.0f", d->sun_W_m2),
                 NR_FIGURE("%.4g", d->air_degC));
}

/* On a clear day the clock times, else the minutes. */
static char *interval(const nr_day *d, const nr_quantity *t, char text[160])
{
    char early[NR_CLOCK_TEXT], late[NR_CLOCK_TEXT];
    if (d->clear_sky)
        snprintf(text, 160, "%s to %s", nr_day_clock(d, d->start_s + t->lo95, early),
                 nr_day_clock(d, d->start_s + t->hi95, late));
    else
        snprintf(text, 160, "%.0f to %.0f minutes", t->lo95 / 60, t->hi95 / 60);
    return text;
}

static void say_reached(const char *when, nr_predict *p)
{
    const nr_day *d = &p->day;
    const nr_quantity *t = &p->time_s;
    char span[NR_SPAN_TEXT], at[NR_CLOCK_TEXT], clock[96] = "", both[160];
    if (!t->known) {
        snprintf(p->sentence, sizeof p->sentence, "The water is at the target from the start.");
        return;
    }
    if (d->clear_sky)
        snprintf(clock, sizeof clock, ", until %s", nr_day_clock(d, d->start_s + t->value, at));
    int n =
        snprintf(p->sentence, sizeof p->sentence, "%s, %s kg of water take %s from %s to %s degC%s",
                 when, NR_FIGURE("%.3g", d->water_kg), nr_span_words(t->value, span),
                 NR_FIGURE("%.4g", d->from_degC), NR_FIGURE("%.4g", d->to_degC), clock);
    char *rest = p->sentence + n;
    size_t room = sizeof p->sentence - (size_t)n;
    if (isfinite(t->hi95))
        snprintf(rest, room, " (95 %%: %s).", interval(d, t, both));
    else
        snprintf(rest, room,
                 " (at the earliest %.0f minutes; with a probability of %.0f %% they do not get "
                 "there at all).",
                 t->lo95 / 60, 100 * (1 - p->probability_reached));
}

static void say_unreached(const char *when, nr_predict *p)
{
    const nr_day *d = &p->day;
    char span[NR_SPAN_TEXT], chance[64] = "";
    double end = p->count ? p->trace[p->count - 1].t_s : d->limit_s;
    if (p->probability_reached > 0.005)
        snprintf(chance, sizeof chance, "; the chance of it is %.0f %%",
                 100 * p->probability_reached);
    snprintf(p->sentence, sizeof p->sentence,
             "%s, %s kg of water do not reach %s degC: %s after %s they are at %s degC (95 %%: "
             "%s to %s degC)%s.",
             when, NR_FIGURE("%.3g", d->water_kg), NR_FIGURE("%.4g", d->to_degC),
             d->clear_sky ? "at their warmest" : "even", nr_span_words(end, span),
             NR_FIGURE("%.1f", p->final_degC.value), NR_FIGURE("%.1f", p->final_degC.lo95),
             NR_FIGURE("%.1f", p->final_degC.hi95), chance);
}

/* One way out each, in the order of what it costs. */
static void say_remedy(const nr_solved *s, const nr_heatup_case *c, nr_predict *p)
{
    if (!p->day.clear_sky && p->day.sun_W_m2 < s->panel_start_W_m2) { /* false for NAN */
        snprintf(p->remedy, sizeof p->remedy,
                 "The pump on its panel would not start in so little sun: it takes %s W/m2, a "
                 "larger panel or a smaller pump.",
                 NR_FIGURE("%.0f", s->panel_start_W_m2));
        return;
    }
    nr_heatup_case wanted = *c;
    wanted.limit_s = p->day.limit_s;
    double area = nr_solved_rig(s)->collector.gross_area_m2.value;
    double start = nr_reach_start_degC(s->joint, &wanted);
    double water = nr_reach_water_kg(s->joint, &wanted);
    double grow = nr_reach_grow(s->joint, &wanted);
    char way[3][192] = {"", "", ""};
    int ways = 0;
    if (isfinite(water))
        snprintf(way[ways++], sizeof way[0], "with %s kg of water", NR_FIGURE("%.2g", water));
    if (isfinite(grow))
        snprintf(way[ways++], sizeof way[0],
                 "with %.2g times the collector (%s m2, flow in proportion)", grow,
                 NR_FIGURE("%.2g", grow * area));
    if (isfinite(start))
        snprintf(way[ways++], sizeof way[0], "from %s degC at the start",
                 NR_FIGURE("%.0f", ceil(start)));
    if (ways == 0) {
        snprintf(p->remedy, sizeof p->remedy,
                 "Neither less water nor a larger collector of this build would reach it there: it "
                 "takes a build that loses less (glass, insulation), more sun or a lower target.");
        return;
    }
    snprintf(p->remedy, sizeof p->remedy, "It would be reached %s%s%s%s%s.", way[0],
             ways > 2    ? ", "
             : ways == 2 ? " or "
                         : "",
             way[1], ways > 2 ? " or " : "", way[2]);
}

static void weather_cautions(const nr_solved *s, nr_predict *p)
{
    const nr_day *d = &p->day;
    if (d->clear_sky)
        nr_warn(&p->cautions, "clear-sky",
                "The irradiance is that of a cloudless day by a model, good to %.0f %%; haze and "
                "clouds take more. The air is taken as steady.",
                100 * d->u_sun);
    else if (!d->same_meter)
        nr_warn(&p->cautions, "true-irradiance",
                "The irradiance stated is taken as true, so the record's own sensor error counts "
                "in full. For irradiance as that same sensor will show it, use --same-meter: its "
                "error cancels.");
    else
        nr_warn(&p->cautions, "same-meter",
                "The irradiance stated is taken as what the record's own sensor will show: its "
                "error cancels. It does not for another sensor.");
    if (isfinite(s->panel_stall_W_m2))
        nr_warn(&p->cautions, "panel-pump",
                "The records show the pump on its own panel: it is taken to start at %s W/m2, to "
                "stall at %s W/m2 and to move %s L/min in between.",
                NR_FIGURE("%.0f", s->panel_start_W_m2), NR_FIGURE("%.0f", s->panel_stall_W_m2),
                NR_FIGURE("%.2g", p->fit->mean_flow_L_min));
    bool wind = nr_joint_index(s->joint, s->at.piece, NR_TERM_WIND) >= 0;
    if (isfinite(d->wind_m_s) && !wind &&
        !(isfinite(s->wind_m_s) && fabs(d->wind_m_s - s->wind_m_s) < 0.5))
        nr_warn(&p->cautions, "wind-unused",
                "How the loss changes with wind was not learnt from the record, so the stated wind "
                "has no effect here.");
}

static void range_caution(nr_predict *p)
{
    if (!p->outside_tested)
        return;
    const nr_fit *f = p->fit;
    nr_warn(&p->cautions, "outside-tested",
            "Tested were %s K to %s K above the air in %s to %s W/m2; this prediction goes "
            "beyond, where the loss was not measured, and its band widens accordingly.",
            NR_FIGURE("%.0f", f->dT_range[0]), NR_FIGURE("%.0f", f->dT_range[1]),
            NR_FIGURE("%.0f", f->sun_range[0]), NR_FIGURE("%.0f", f->sun_range[1]));
}

void nr_predict_write(const nr_solved *s, const nr_heatup_case *c, nr_predict *p)
{
    char when[256];
    conditions(p, when, sizeof when);
    if (p->reached)
        say_reached(when, p);
    else
        say_unreached(when, p);
    if (!p->reached)
        say_remedy(s, c, p);
    range_caution(p);
    weather_cautions(s, p);
    nr_safety_water(&p->cautions, &p->final_degC);
    nr_safety_stagnation(&p->cautions, p->fit);
    for (size_t r = 0; r < s->runs; r++)
        nr_safety_closed_loop(&p->cautions, s->series[r]->run);
}
