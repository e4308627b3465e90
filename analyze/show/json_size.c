/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The JSON document of `noonfit size`. */
#include "analyze/forecast/day.h"
#include "analyze/show/json.h"
#include "analyze/show/show.h"
#include "analyze/tell/tell.h"

#include <math.h>

static json_t *way(const nr_size_bound *w)
{
    return json_pack("{s:o, s:o}", "best", nr_json_number(w->best), "sure95",
                     nr_json_number(w->sure));
}

/* Seconds after midnight UTC of the date: what a program can add to a date. */
static double utc_of_day(const nr_size *z, double solar_s)
{
    return nr_day_utc_s(&z->asked.day, solar_s) - z->asked.day.date_s;
}

static json_t *latest(const nr_size *z)
{
    nr_size_bound w = {utc_of_day(z, z->latest_s.best), utc_of_day(z, z->latest_s.sure)};
    return z->asked.day.clear_sky ? way(&w) : json_null();
}

static json_t *uses(const nr_size *z)
{
    if (isnan(z->asked.tap_degC))
        return json_null();
    return json_pack(
        "{s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "tap_degC", nr_json_number(z->asked.tap_degC),
        "use_degC", nr_json_number(z->asked.use_degC), "each_L", nr_json_number(z->asked.use_L),
        "mixed_L", nr_json_number(z->use.mixed_L), "count", nr_json_number(z->use.count), "lo95",
        nr_json_number(z->use.lo95), "hi95", nr_json_number(z->use.hi95));
}

static json_t *curve(const nr_size_point *point, const char *x)
{
    json_t *list = json_array();
    for (size_t i = 0; i < NR_SIZE_CURVE; i++)
        json_array_append_new(list,
                              json_pack("{s:o, s:o}", x, nr_json_number(point[i].x), "warmest_degC",
                                        nr_json_quantity(&point[i].warmest_degC)));
    return list;
}

static json_t *month(const nr_size *z, const nr_size_month *m)
{
    char date[NR_CLOCK_TEXT];
    nr_day day = {.date_s = m->date_s};
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "date",
                     nr_json_text(nr_day_date(&day, date)), "air_degC", nr_json_number(m->air_degC),
                     "from_degC", nr_json_number(m->from_degC), "start_utc_s",
                     nr_json_number(utc_of_day(z, m->start_s)), "warmest_degC",
                     nr_json_quantity(&m->warmest_degC), "probability_reached",
                     nr_json_number(m->probability), "latest_start_utc_s",
                     nr_json_number(utc_of_day(z, m->latest_s)), "water_kg",
                     nr_json_number(m->water_kg), "uses", nr_json_number(m->uses));
}

static json_t *day(const nr_size *z)
{
    const nr_day *d = &z->asked.day;
    char date[NR_CLOCK_TEXT];
    return json_pack(
        "{s:b, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "clear_sky", d->clear_sky,
        "irradiance_W_m2", d->clear_sky ? json_null() : nr_json_number(d->sun_W_m2), "date",
        d->clear_sky ? nr_json_text(nr_day_date(d, date)) : json_null(), "air_degC",
        nr_json_number(d->air_degC), "from_degC", nr_json_number(d->from_degC), "to_degC",
        nr_json_number(d->to_degC), "store_kg", nr_json_number(d->water_kg), "start_utc_s",
        d->clear_sky ? nr_json_number(utc_of_day(z, d->start_s)) : json_null(), "by_utc_s",
        d->clear_sky ? nr_json_number(utc_of_day(z, z->asked.by_s)) : json_null(), "within_s",
        nr_json_number(d->limit_s));
}

nr_code nr_json_size(FILE *to, const nr_size *z, nr_err *err)
{
    char sentence[NR_TELL], text[NR_TELL];
    json_t *months = json_array();
    nr_tell_size(sentence, sizeof sentence, z, NR_UNITS_SI);
    nr_tell_size_bounds(text, sizeof text, z, NR_UNITS_SI);
    for (size_t i = 0; i < z->months; i++)
        json_array_append_new(months, month(z, &z->month[i]));
    json_t *root = json_pack(
        "{s:s, s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "program",
        "noonfit", "version", NOONRUN_VERSION, "warmest_degC", nr_json_quantity(&z->warmest_degC),
        "probability_reached", nr_json_number(z->probability), "area_m2", way(&z->area_m2),
        "water_kg", way(&z->water_kg), "latest_start_utc_s", latest(z), "uses", uses(z), "months",
        months, "by_area", curve(z->by_area, "area_m2"), "by_water", curve(z->by_water, "water_kg"),
        "day", day(z), "sentence", nr_json_text(sentence), "ways", nr_json_text(text), "cautions",
        nr_json_warnings(&z->cautions));
    if (root)
        json_object_set_new(root, "trust", nr_json_trust(&z->fit->trust));
    return nr_json_write(to, root, err);
}
