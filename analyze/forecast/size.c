/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/forecast/size.h"

#include "analyze/forecast/day.h"
#include "analyze/forecast/mixing.h"
#include "analyze/forecast/reach.h"
#include "analyze/forecast/size_cautions.h"
#include "analyze/forecast/size_curve.h"
#include "analyze/physics/sun.h"
#include "logger/base/utc.h"

#include <gsl/gsl_cdf.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define K95 1.959963984540054
#define SCAN_S 1200.0 /* starts tried before a finer search */
#define START_PRECISION_S 5.0
#define SHORTEST_S 300.0    /* a start later than this before the deadline is none */
#define USUAL_USE_DEGC 40.0 /* warm water on the hands; a shower 43: common practice, no source */
#define USUAL_USE_L 5.0     /* a wash-up at a stand: common practice, no source */

nr_chance nr_chance_of(double probability)
{
    return probability >= 0.95   ? NR_CHANCE_SURE
           : probability >= 0.5  ? NR_CHANCE_LIKELY
           : probability >= 0.05 ? NR_CHANCE_UNLIKELY
                                 : NR_CHANCE_NONE;
}

nr_chance nr_size_month_chance(const nr_size_month *month)
{
    return month->sun ? nr_chance_of(month->probability) : NR_CHANCE_NO_SUN;
}

nr_size_question nr_size_open(void)
{
    nr_size_question q = {.day = nr_day_stated(),
                          .by_s = NAN,
                          .tap_degC = NAN,
                          .use_degC = USUAL_USE_DEGC,
                          .use_L = USUAL_USE_L,
                          .curves = true};
    for (int m = 0; m < NR_MONTHS; m++)
        q.month_air_degC[m] = q.month_from_degC[m] = NAN;
    return q;
}

void nr_size_free(nr_size *z)
{
    if (!z)
        return;
    nr_fit_free(z->fit);
    free(z);
}

/* One date's weather until the deadline, made once for all the starts tried. */
typedef struct sky {
    nr_day day; /* start_s: where the weather begins */
    double by_s;
    nr_day_weather weather;
    nr_weather_u u;
} sky;

/* from_s: the earliest start that will be asked for. */
static nr_code open_sky(const nr_solved *s, const nr_day *day, double by_s, double from_s, sky *k,
                        nr_err *err)
{
    *k = (sky){.day = *day, .by_s = by_s, .u = {.sun = day->u_sun, .air_K = day->u_air_K}};
    if (day->clear_sky) {
        k->day.start_s = from_s;
        k->day.limit_s = by_s - from_s;
    }
    return nr_day_weather_make(s, &k->day, &k->weather, err);
}

static nr_heatup_case case_from(const nr_solved *s, const sky *k, double start_s)
{
    nr_heatup_case c = nr_day_case(s, &k->day, &k->weather);
    if (k->day.clear_sky) {
        c.weather.from_s = start_s - k->day.start_s;
        c.limit_s = k->by_s - start_s;
    }
    return c;
}

/* Warmest by the deadline minus so many standard uncertainties; NAN out of memory. */
static double warmest(const nr_solved *s, const sky *k, double start_s, double safety)
{
    nr_heatup_case c = case_from(s, k, start_s);
    return nr_reach_degC(s->joint, &c, &k->u, safety);
}

static nr_quantity warmest_quantity(const nr_solved *s, const sky *k, double start_s)
{
    nr_heatup_case c = case_from(s, k, start_s);
    return nr_reach_quantity(s->joint, &c, &k->u);
}

static double probability(const nr_quantity *T, double target)
{
    if (!T->known)
        return NAN;
    return T->u > 0 ? gsl_cdf_ugaussian_P((T->value - target) / T->u) : T->value >= target;
}

/* From sunrise to the deadline, solar seconds; false when there is nothing between. */
static bool sunny_span(const nr_day *day, double by_s, double *from_s)
{
    nr_sun_day sun = nr_sun_day_of(nr_day_utc_s(day, 43200), day->latitude_deg, day->longitude_deg);
    if (sun.kind == NR_SUN_NEVER_RISES || sun.kind == NR_SUN_DAY_UNKNOWN)
        return false;
    *from_s = sun.kind == NR_SUN_RISES_AND_SETS ? sun.rise_s - nr_day_utc_s(day, 0) : 0;
    return by_s - *from_s > SHORTEST_S;
}

/* The start that gets warmest by the deadline, on the best estimate. */
static double best_start(const nr_solved *s, const sky *k)
{
    double best = k->day.start_s, top = -INFINITY;
    for (double at = best; at < k->by_s - SHORTEST_S; at += SCAN_S) {
        double T = warmest(s, k, at, 0);
        if (T > top) {
            top = T;
            best = at;
        }
    }
    return best;
}

/* The latest start that reaches the target, with so many standard uncertainties of safety: between
 * the best start and the deadline the warmest falls with every minute. */
static double latest_start(const nr_solved *s, const sky *k, double best_s, double safety)
{
    double early = best_s, late = k->by_s - 1, target = k->day.to_degC;
    if (!(warmest(s, k, early, safety) >= target))
        return NAN;
    while (late - early > START_PRECISION_S) {
        double middle = (early + late) / 2;
        if (k->by_s - middle > SHORTEST_S && warmest(s, k, middle, safety) >= target)
            early = middle;
        else
            late = middle;
    }
    return early;
}

static nr_size_use wash_ups(const nr_size_question *q, const nr_quantity *T)
{
    nr_size_use use = {NAN, NAN, NAN, NAN};
    if (isnan(q->tap_degC) || !T->known)
        return use;
    double kg = q->day.water_kg;
    use.mixed_L = nr_mixed_L(kg, T->value, q->tap_degC, q->use_degC);
    use.count = use.mixed_L / q->use_L;
    use.lo95 = nr_mixed_L(kg, T->lo95, q->tap_degC, q->use_degC) / q->use_L;
    use.hi95 = nr_mixed_L(kg, T->hi95, q->tap_degC, q->use_degC) / q->use_L;
    return use;
}

static void ways(const nr_solved *s, const sky *k, nr_size *z)
{
    nr_heatup_case c = case_from(s, k, z->asked.day.start_s);
    double area = nr_solved_rig(s)->collector.gross_area_m2.value;
    z->area_m2.best = area * nr_reach_grow(s->joint, &c);
    z->area_m2.sure = area * nr_reach_grow_sure(s->joint, &c, &k->u, NR_SIZE_K_SURE);
    z->water_kg.best = nr_reach_water_kg(s->joint, &c);
    z->water_kg.sure = nr_reach_water_sure_kg(s->joint, &c, &k->u, NR_SIZE_K_SURE);
    if (z->asked.curves)
        nr_size_curves(s->joint, &c, &k->u, area, z);
}

/* The 21st of each month of the day's year: solstices and equinoxes among them. */
static double date_of_month(const nr_day *day, int month)
{
    char date[NR_CLOCK_TEXT], text[NR_CLOCK_TEXT];
    double at = NAN;
    nr_day_date(day, date);
    snprintf(text, sizeof text, "%.4s-%02d-21", date, month + 1);
    return nr_date_parse(text, &at) ? at : NAN;
}

static nr_code month_row(const nr_solved *s, const nr_size *z, int month, nr_size_month *row,
                         nr_err *err)
{
    const nr_size_question *q = &z->asked;
    nr_day day = q->day;
    day.date_s = date_of_month(&q->day, month);
    if (!isnan(q->month_air_degC[month]))
        day.air_degC = q->month_air_degC[month];
    if (!isnan(q->month_from_degC[month]))
        day.from_degC = q->month_from_degC[month];
    double rise = NAN;
    *row = (nr_size_month){.date_s = day.date_s,
                           .air_degC = day.air_degC,
                           .from_degC = day.from_degC,
                           .warmest_degC = nr_quantity_unknown(NR_UNIT_DEGC),
                           .start_s = NAN,
                           .probability = 0,
                           .latest_s = NAN,
                           .water_kg = NAN,
                           .uses = NAN};
    row->sun = sunny_span(&day, q->by_s, &rise);
    if (!row->sun)
        return NR_OK;
    sky k;
    nr_code code =
        open_sky(s, &day, q->by_s, z->best_start ? rise : fmin(rise, day.start_s), &k, err);
    if (code)
        return code;
    double best = best_start(s, &k);
    row->start_s = z->best_start ? best : q->day.start_s;
    row->warmest_degC = warmest_quantity(s, &k, row->start_s);
    row->probability = probability(&row->warmest_degC, day.to_degC);
    row->latest_s = latest_start(s, &k, best, 0);
    nr_heatup_case c = case_from(s, &k, row->start_s);
    row->water_kg = nr_reach_water_kg(s->joint, &c);
    row->uses = wash_ups(q, &row->warmest_degC).count;
    nr_day_weather_free(&k.weather);
    return NR_OK;
}

static nr_code complete(const nr_solved *s, nr_size *z, nr_err *err)
{
    nr_size_question *q = &z->asked;
    bool clear = q->day.clear_sky;
    z->best_start = clear && isnan(q->day.start_s);
    if (clear && isnan(q->by_s))
        return nr_fail_asked(err, "by", "say until when");
    if (!clear && q->months)
        return nr_fail_asked(err, "months,day,by",
                             "a table of months is one of a year's clear days: say of which year, "
                             "and until when");
    if (!clear && !(q->day.limit_s > 0))
        return nr_fail_asked(err, "within", "say how long it may take");
    if (!isnan(q->tap_degC) && !(q->tap_degC < q->use_degC))
        return nr_fail_asked(err, "tap,use", "tap water must be colder than the water wanted");
    if (z->best_start)
        q->day.start_s = 0;
    if (clear)
        q->day.limit_s = q->by_s - q->day.start_s;
    if (clear && !(q->day.limit_s > SHORTEST_S))
        return nr_fail_asked(err, "by,start", "the deadline must be after the start");
    return nr_day_complete(s, &q->day, err);
}

/* The day itself: as built, and each way to the target. */
static nr_code the_day(const nr_solved *s, nr_size *z, nr_err *err)
{
    nr_size_question *q = &z->asked;
    double from = q->day.start_s;
    if (q->day.clear_sky) {
        double rise;
        if (!sunny_span(&q->day, q->by_s, &rise))
            return nr_fail(err, NR_CANNOT, NULL, 0, "the sun is not up there before that deadline");
        from = z->best_start ? rise : fmin(rise, from);
    }
    sky k;
    nr_code code = open_sky(s, &q->day, q->by_s, from, &k, err);
    if (code)
        return code;
    if (q->day.clear_sky) {
        double best = best_start(s, &k);
        z->warmest_start_s = best;
        if (z->best_start)
            q->day.start_s = best;
        z->latest_s.best = latest_start(s, &k, best, 0);
        z->latest_s.sure = latest_start(s, &k, best, NR_SIZE_K_SURE);
    }
    z->warmest_degC = warmest_quantity(s, &k, q->day.start_s);
    z->probability = probability(&z->warmest_degC, q->day.to_degC);
    z->use = wash_ups(q, &z->warmest_degC);
    ways(s, &k, z);
    nr_day_weather_free(&k.weather);
    return NR_OK;
}

static nr_code answer(nr_solved *s, nr_size *z, nr_err *err)
{
    z->latest_s = (nr_size_bound){NAN, NAN};
    z->warmest_start_s = NAN;
    nr_code code = complete(s, z, err);
    if (!code)
        code = the_day(s, z, err);
    size_t months = z->asked.months ? NR_MONTHS : 0;
    for (; !code && z->months < months; z->months++)
        code = month_row(s, z, (int)z->months, &z->month[z->months], err);
    if (code)
        return code;
    z->fit = s->fit;
    s->fit = NULL;
    nr_size_caution(z);
    return NR_OK;
}

nr_code nr_size_runs(const nr_run *const *runs, size_t count, const nr_size_question *question,
                     const nr_fit_options *options, nr_size **out, nr_err *err)
{
    *out = NULL;
    nr_solved solved;
    nr_size *z = calloc(1, sizeof *z);
    nr_code code = nr_solve_runs(runs, count, options, &solved, err);
    if (!code && !z)
        code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (!code) {
        z->asked = *question;
        code = answer(&solved, z, err);
    }
    nr_solved_free(&solved);
    if (code)
        nr_size_free(z);
    else
        *out = z;
    return code;
}
