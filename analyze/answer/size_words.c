/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/answer/size_words.h"

#include "analyze/answer/day.h"
#include "analyze/answer/figure.h"
#include "analyze/answer/predict_words.h"
#include "analyze/answer/safety.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static void when(const nr_size *z, char *text, size_t size)
{
    const nr_day *d = &z->asked.day;
    char date[NR_CLOCK_TEXT], by[NR_CLOCK_TEXT], start[NR_CLOCK_TEXT], span[NR_SPAN_TEXT];
    if (d->clear_sky)
        snprintf(text, size, "By %s%s on a clear %s, started at %s%s,",
                 nr_day_clock(d, z->asked.by_s, by), d->clock_given ? "" : " solar time",
                 nr_day_date(d, date), nr_day_clock(d, d->start_s, start),
                 z->best_start ? " (the best time)" : "");
    else
        snprintf(text, size, "Within %s in %s W/m2 of sun and air of %s degC,",
                 nr_span_words(d->limit_s, span), NR_FIGURE("%.0f", d->sun_W_m2),
                 NR_FIGURE("%.4g", d->air_degC));
}

/* Four grades of a chance. */
static int grade(double probability)
{
    return probability >= 0.95 ? 0 : probability >= 0.5 ? 1 : probability >= 0.05 ? 2 : 3;
}

const char *nr_size_verdict(double probability)
{
    static const char *const verdict[] = {"is reached", "is more likely reached than not",
                                          "is probably not reached", "is not reached"};
    return verdict[grade(probability)];
}

const char *nr_size_chance(const nr_size_month *m)
{
    static const char *const word[] = {"yes", "likely", "unlikely", "no"};
    return m->sun ? word[grade(m->probability)] : "no sun";
}

static void say_as_built(nr_size *z)
{
    const nr_day *d = &z->asked.day;
    char start[256];
    when(z, start, sizeof start);
    const nr_quantity *T = &z->warmest_degC;
    snprintf(z->sentence, sizeof z->sentence,
             "%s %s kg of water get from %s to %s degC (95 %%: %s to %s degC): the target "
             "of %s degC %s.",
             start, NR_FIGURE("%.3g", d->water_kg), NR_FIGURE("%.4g", d->from_degC),
             NR_FIGURE("%.1f", T->value), NR_FIGURE("%.1f", T->lo95), NR_FIGURE("%.1f", T->hi95),
             NR_FIGURE("%.4g", d->to_degC), nr_size_verdict(z->probability));
}

__attribute__((format(printf, 2, 3))) static void more(nr_size *z, const char *format, ...)
{
    size_t used = strlen(z->ways);
    va_list args;
    va_start(args, format);
    vsnprintf(z->ways + used, sizeof z->ways - used, format, args);
    va_end(args);
}

static void say_ways(nr_size *z)
{
    const nr_day *d = &z->asked.day;
    char best[NR_CLOCK_TEXT], sure[NR_CLOCK_TEXT];
    z->ways[0] = '\0';
    if (isfinite(z->area_m2.best))
        more(z, "It takes at least %s m2 of this build", NR_FIGURE("%.2f", z->area_m2.best));
    if (isfinite(z->area_m2.best) && isfinite(z->area_m2.sure))
        more(z, ", %s m2 to be 95 %% sure.", NR_FIGURE("%.2f", z->area_m2.sure));
    else if (isfinite(z->area_m2.best))
        more(z, "; no size makes it 95 %% sure.");
    else
        more(z, "No size of this build between a twentieth and twenty times is just enough.");
    if (isfinite(z->water_kg.best))
        more(z, " At most %s kg of water get there", NR_FIGURE("%.1f", z->water_kg.best));
    if (isfinite(z->water_kg.best) && isfinite(z->water_kg.sure))
        more(z, ", %s kg of water to be 95 %% sure.", NR_FIGURE("%.1f", z->water_kg.sure));
    else if (isfinite(z->water_kg.best))
        more(z, "; no amount is 95 %% sure to.");
    if (isfinite(z->latest_s.best))
        more(z, " The latest start is %s", nr_day_clock(d, z->latest_s.best, best));
    if (isfinite(z->latest_s.best) && isfinite(z->latest_s.sure))
        more(z, ", %s to be 95 %% sure.", nr_day_clock(d, z->latest_s.sure, sure));
    else if (isfinite(z->latest_s.best))
        more(z, "; no start is 95 %% sure to be early enough.");
}

static void month_cautions(nr_size *z)
{
    bool varied = false;
    for (size_t m = 0; m < z->months; m++)
        varied = varied || !isnan(z->asked.month_air_degC[m]);
    if (z->months && !varied)
        nr_warn(&z->cautions, "same-air",
                "All months were given the same air temperature. Twelve values, --air "
                "T,T,...,T from January to December, make the table yours; --from likewise.");
}

void nr_size_write(nr_size *z)
{
    const nr_day *d = &z->asked.day;
    say_as_built(z);
    say_ways(z);
    double beyond = fmax(z->warmest_degC.value, d->to_degC) - d->air_degC;
    if (beyond > z->fit->dT_range[1] + 1)
        nr_warn(&z->cautions, "outside-tested",
                "Tested were %s K to %s K above the air; this goes beyond, where the loss was "
                "not measured, and its margins widen accordingly.",
                NR_FIGURE("%.0f", z->fit->dT_range[0]), NR_FIGURE("%.0f", z->fit->dT_range[1]));
    if (d->clear_sky)
        nr_warn(&z->cautions, "clear-sky",
                "The irradiance is that of a cloudless day by a model, good to %.0f %%; haze and "
                "clouds take more. The air is taken as steady.",
                100 * d->u_sun);
    nr_warn(&z->cautions, "same-build",
            "Another area means the same build in another size, its flow in proportion: %s "
            "L/(min m2).",
            NR_FIGURE("%.3g", z->fit->mean_flow_L_min / z->fit->gross_area_m2));
    month_cautions(z);
    nr_safety_water(&z->cautions, &z->warmest_degC);
}
