/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `noonfit size` as text. */
#include "analyze/forecast/day.h"
#include "analyze/show/lines.h"
#include "analyze/show/show.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <math.h>

static const char *const month_name[NR_MONTHS] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                                  "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};

static char *number(nr_shown what, nr_units units, double si, int place, char text[NR_ROUNDED])
{
    if (!isfinite(si)) {
        (void)snprintf(text, NR_ROUNDED, "-");
        return text;
    }
    return nr_round_text(nr_display_value(what, units, si), place, text);
}

static void way(FILE *to, const char *label, nr_shown what, nr_units units, const nr_size_bound *w,
                int place)
{
    char best[NR_ROUNDED], sure[NR_ROUNDED];
    int shown = nr_display_place(what, units, place);
    fprintf(to, "  %-34s %10s %10s  %s\n", label, number(what, units, w->best, shown, best),
            number(what, units, w->sure, shown, sure), nr_display_of(what, units)->plain);
}

static char *clock_text(const nr_size *z, double solar_s, char text[NR_CLOCK_TEXT])
{
    if (isfinite(solar_s))
        return nr_day_clock(&z->asked.day, solar_s, text);
    (void)snprintf(text, NR_CLOCK_TEXT, "-");
    return text;
}

static void ways(FILE *to, const nr_size *z, nr_units units)
{
    char best[NR_CLOCK_TEXT], sure[NR_CLOCK_TEXT];
    fprintf(to, "\n  %-34s %10s %10s\n", "to reach the target", "just", "95 % sure");
    way(to, "smallest collector", NR_SHOWN_AREA, units, &z->area_m2, 2);
    way(to, "most water", NR_SHOWN_WATER, units, &z->water_kg, 1);
    if (z->asked.day.clear_sky)
        fprintf(to, "  %-34s %10s %10s\n", "latest start", clock_text(z, z->latest_s.best, best),
                clock_text(z, z->latest_s.sure, sure));
    fputc('\n', to);
}

static void months(FILE *to, const nr_size *z, nr_units units)
{
    if (z->months == 0)
        return;
    const nr_display *degrees = nr_display_of(NR_SHOWN_TEMPERATURE, units);
    fprintf(to, "  Clear days, the 21st of each month, temperatures in %s, water in %s:\n\n",
            degrees->plain, nr_display_of(NR_SHOWN_WATER, units)->plain);
    fprintf(to, "  %-5s %5s %5s  %-8s %8s  %-14s %6s %6s%s\n", "", "air", "from", "reached",
            "warmest", " 95 % interval", "latest", "most",
            isnan(z->asked.tap_degC) ? "" : "  uses");
    fprintf(to, "  %-5s %5s %5s  %-8s %8s  %-14s %6s %6s\n", "", "", "", "", "", "", "start",
            "water");
    for (size_t k = 0; k < z->months; k++) {
        const nr_size_month *m = &z->month[k];
        char air[NR_ROUNDED], from[NR_ROUNDED], top[NR_ROUNDED], lo[NR_ROUNDED], hi[NR_ROUNDED];
        char interval[2 * NR_ROUNDED + 8], latest[NR_CLOCK_TEXT], water[NR_ROUNDED];
        char uses[NR_ROUNDED] = "";
        (void)snprintf(interval, sizeof interval, "%s .. %s",
                       number(NR_SHOWN_TEMPERATURE, units, m->warmest_degC.lo95, 0, lo),
                       number(NR_SHOWN_TEMPERATURE, units, m->warmest_degC.hi95, 0, hi));
        if (!isnan(z->asked.tap_degC))
            (void)number(NR_SHOWN_NUMBER, units, floor(m->uses), 0, uses); /* whole ones */
        fprintf(to, "  %-5s %5s %5s  %-8s %8s  %-14s %6s %6s%s%s\n", month_name[k],
                number(NR_SHOWN_TEMPERATURE, units, m->air_degC, 0, air),
                number(NR_SHOWN_TEMPERATURE, units, m->from_degC, 0, from),
                nr_chance_word(nr_size_month_chance(m)),
                number(NR_SHOWN_TEMPERATURE, units, m->warmest_degC.value, 0, top), interval,
                clock_text(z, m->latest_s, latest),
                number(NR_SHOWN_WATER, units, m->water_kg, 0, water),
                isnan(z->asked.tap_degC) ? "" : "  ", uses);
    }
    fputc('\n', to);
}

void nr_show_size(FILE *to, const nr_size *z, nr_units units)
{
    char text[NR_TELL];
    nr_trust_lines(to, &z->fit->trust, units);
    nr_tell_size(text, sizeof text, z, units);
    nr_paragraph(to, "", text);
    nr_tell_size_bounds(text, sizeof text, z, units);
    nr_paragraph(to, "", text);
    ways(to, z, units);
    nr_tell_size_uses(text, sizeof text, z, units);
    nr_paragraph(to, "", text);
    months(to, z, units);
    nr_warning_lines(to, "Cautions", &z->cautions, units, NR_WARN_COUNT);
}
