/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `noonfit predict` as text. */
#include "analyze/show/lines.h"
#include "analyze/show/show.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <math.h>

/* Rows of the trace: enough to read a temperature off, few enough for a screen. */
#define TRACE_ROWS 12

static char *shown(nr_shown what, nr_units units, double si, int place, char text[NR_ROUNDED])
{
    return nr_round_text(nr_display_value(what, units, si), place, text);
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

void nr_show_predict(FILE *to, const nr_predict *p, nr_units units)
{
    char text[NR_TELL];
    nr_trust_lines(to, &p->fit->trust, units);
    nr_tell_predict(text, sizeof text, p, units);
    nr_paragraph(to, "", text);
    nr_tell_predict_remedy(text, sizeof text, p, units);
    nr_paragraph(to, "", text);
    fputc('\n', to);
    nr_quantity_heading(to);
    nr_quantity_row(to, "time to the target", NR_SHOWN_MINUTES, units, &p->time_s);
    nr_quantity_row(to, p->reached ? "temperature at the end" : "temperature in the end",
                    NR_SHOWN_TEMPERATURE, units, &p->final_degC);
    if (p->probability_reached > 0.005 && p->probability_reached < 0.995)
        fprintf(to, "  %-22s %8.0f %%\n", "chance to reach it", 100 * p->probability_reached);
    fputc('\n', to);
    nr_tell_predict_water(text, sizeof text, &p->day, units);
    nr_paragraph(to, "", text);
    nr_tell_predict_day(text, sizeof text, &p->day, units);
    nr_paragraph(to, "", text);
    nr_tell_predict_shares(text, sizeof text, p, units);
    nr_paragraph(to, "", text);
    trace(to, p, units);
    nr_warning_lines(to, "Cautions", &p->cautions, units, NR_WARN_COUNT);
}
