/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `noonfit predict` as text. */
#include "analyze/show/lines.h"
#include "analyze/show/round.h"
#include "analyze/show/show.h"

#include <math.h>
#include <string.h>

/* Rows of the trace: enough to read a temperature off, few enough for a screen. */
#define TRACE_ROWS 12

static char *shown(nr_shown what, nr_units units, double si, int place, char text[NR_ROUNDED])
{
    return nr_round_text(nr_display_value(what, units, si), place, text);
}

static void shares(FILE *to, const nr_predict *p, nr_units units)
{
    nr_shown what = p->reached ? NR_SHOWN_MINUTES : NR_SHOWN_DIFFERENCE;
    double scale = nr_display_of(what, units)->factor;
    double all = sqrt(p->u_parameter * p->u_parameter + p->u_model * p->u_model +
                      p->u_weather * p->u_weather);
    char a[NR_ROUNDED], b[NR_ROUNDED], c[NR_ROUNDED];
    if (!(all > 0))
        return;
    int place = nr_round_place(all * scale, 2);
    nr_sentence(to, NR_UNITS_SI, "",
                "Standard uncertainty by origin: %s from the collector's parameters, %s from the "
                "model, %s from the weather (%s).",
                nr_round_text(p->u_parameter * scale, place, a),
                nr_round_text(p->u_model * scale, place, b),
                nr_round_text(p->u_weather * scale, place, c),
                p->reached ? "minutes" : nr_display_of(what, units)->plain);
}

static size_t row_step(size_t count)
{
    size_t step = (count + TRACE_ROWS - 1) / TRACE_ROWS;
    return step == 0 ? 1 : step;
}

static void trace(FILE *to, const nr_predict *p, nr_units units)
{
    if (p->count == 0)
        return;
    fprintf(to, "\n  %8s  %10s  %-16s %s\n", "min",
            nr_display_of(NR_SHOWN_TEMPERATURE, units)->plain, " 95 % interval",
            nr_display_of(NR_SHOWN_IRRADIANCE, units)->plain);
    size_t step = row_step(p->count);
    for (size_t i = 0; i < p->count; i += step) {
        /* The last row is the end of the trace, wherever the step falls. */
        size_t k = i + step >= p->count ? p->count - 1 : i;
        const nr_trace_point *t = &p->trace[k];
        char m[NR_ROUNDED], v[NR_ROUNDED], lo[NR_ROUNDED], hi[NR_ROUNDED], sun[NR_ROUNDED];
        char interval[2 * NR_ROUNDED + 8];
        int place = nr_round_place(
            nr_display_difference(NR_SHOWN_DIFFERENCE, units, (t->hi95 - t->lo95) / 4), 2);
        place = place == NR_NO_PLACE || place > 1 ? 1 : place;
        (void)snprintf(interval, sizeof interval, "%s .. %s",
                       shown(NR_SHOWN_TEMPERATURE, units, t->lo95, place, lo),
                       shown(NR_SHOWN_TEMPERATURE, units, t->hi95, place, hi));
        fprintf(to, "  %8s  %10s  %-16s %s\n", nr_round_text(t->t_s / 60, 0, m),
                shown(NR_SHOWN_TEMPERATURE, units, t->store_degC, place, v), interval,
                isfinite(t->sun_W_m2) ? shown(NR_SHOWN_IRRADIANCE, units, t->sun_W_m2, 0, sun)
                                      : "");
    }
}

static void day(FILE *to, const nr_day *d, nr_units units)
{
    char sun[NR_ROUNDED], air[NR_ROUNDED], water[NR_ROUNDED];
    if (isfinite(d->water_kg)) {
        double shown_water = nr_display_value(NR_SHOWN_WATER, units, d->water_kg);
        nr_sentence(to, NR_UNITS_SI, "", "Water: %s %s.", nr_plain_text(shown_water, 3, water),
                    nr_display_of(NR_SHOWN_WATER, units)->plain);
    }
    if (d->clear_sky)
        nr_sentence(to, NR_UNITS_SI, "",
                    "A clear-sky day at %.2f, %.2f (a model, not a forecast), the collector %s.",
                    d->latitude_deg, d->longitude_deg,
                    d->re_aimed ? "turned after the sun" : "left standing");
    else
        nr_sentence(to, NR_UNITS_SI, "", "Steady sun of %s %s, air at %s %s.",
                    shown(NR_SHOWN_IRRADIANCE, units, d->sun_W_m2, 0, sun),
                    nr_display_of(NR_SHOWN_IRRADIANCE, units)->plain,
                    shown(NR_SHOWN_TEMPERATURE, units, d->air_degC, 0, air),
                    nr_display_of(NR_SHOWN_TEMPERATURE, units)->plain);
}

static bool says(const nr_warnings *w, const char *code)
{
    for (size_t i = 0; i < w->count; i++)
        if (!strcmp(w->item[i].code, code))
            return true;
    return false;
}

void nr_show_predict(FILE *to, const nr_predict *p, nr_units units)
{
    nr_sentence(to, units, "", "%s", p->sentence);
    nr_sentence(to, units, "", "%s", p->remedy);
    fputc('\n', to);
    nr_quantity_heading(to);
    nr_quantity_row(to, "time to the target", NR_SHOWN_MINUTES, units, &p->time_s);
    nr_quantity_row(to, p->reached ? "temperature at the end" : "temperature in the end",
                    NR_SHOWN_TEMPERATURE, units, &p->final_degC);
    if (p->probability_reached > 0.005 && p->probability_reached < 0.995)
        fprintf(to, "  %-22s %8.0f %%\n", "chance to reach it", 100 * p->probability_reached);
    fputc('\n', to);
    day(to, &p->day, units);
    shares(to, p, units);
    if (p->outside_tested && !says(&p->cautions, "outside-tested"))
        nr_paragraph(to, "",
                     "Part of this lies outside the tested range of the curve: an extrapolation.");
    trace(to, p, units);
    nr_warning_lines(to, "Cautions", &p->cautions, units, NULL);
}
