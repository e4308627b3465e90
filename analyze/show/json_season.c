/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The JSON document of `noonfit season`. */
#include "analyze/show/json.h"
#include "analyze/show/season.h"
#include "analyze/tell/season.h"
#include "logger/base/utc.h"

#include <math.h>

static json_t *count(const nr_season_count *c, const char *name)
{
    return json_pack("{s:o, s:o, s:o, s:o, s:o}", name, nr_json_number(c->value), "lo95",
                     nr_json_number(c->lo95), "hi95", nr_json_number(c->hi95), "year_lo95",
                     nr_json_number(c->year_lo95), "year_hi95", nr_json_number(c->year_hi95));
}

static json_t *days(const nr_season *s)
{
    json_t *o = count(&s->reached, "reached");
    json_object_set_new(o, "of", json_real((double)s->days / fmax((double)s->years, 1)));
    return o;
}

static json_t *uses(const nr_season *s)
{
    json_t *o = count(&s->uses, "count");
    json_object_set_new(o, "use_degC", nr_json_number(s->asked.use_degC));
    json_object_set_new(o, "each_L", nr_json_number(s->asked.use_L));
    json_object_set_new(o, "tap_degC", nr_json_number(s->asked.tap_degC));
    return o;
}

static json_t *by_month(const nr_season *s)
{
    json_t *list = json_array();
    for (int k = 0; k < NR_SEASON_MONTHS; k++) {
        const nr_season_month *m = &s->month[k];
        if (!m->days)
            continue;
        json_t *o = count(&m->reached, "reached");
        json_object_set_new(o, "month", json_integer(k + 1));
        json_object_set_new(o, "days", json_integer((json_int_t)m->days));
        json_object_set_new(o, "uses", nr_json_number(m->uses.value));
        json_object_set_new(o, "sun_kWh_m2", nr_json_number(m->sun_kWh_m2));
        json_object_set_new(o, "warmest_degC", nr_json_number(m->warmest_degC));
        json_object_set_new(o, "air_degC", nr_json_number(m->air_degC));
        json_array_append_new(list, o);
    }
    return list;
}

static json_t *calendar(const nr_season *s)
{
    json_t *list = json_array();
    for (size_t k = 0; k < s->days; k++) {
        const nr_season_day *d = &s->day[k];
        char date[NR_UTC_SIZE];
        nr_utc_format(d->date_s, date);
        date[10] = '\0';
        json_array_append_new(list, json_pack("{s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "date",
                                              date, "warmest_degC", nr_json_number(d->warmest_degC),
                                              "u_K", nr_json_number(d->u_K), "probability_reached",
                                              nr_json_number(d->probability), "from_degC",
                                              nr_json_number(d->from_degC), "air_degC",
                                              nr_json_number(d->air_degC), "sun_kWh_m2",
                                              nr_json_number(d->sun_kWh_m2), "uses",
                                              nr_json_number(d->uses)));
    }
    return list;
}

static json_t *change_list(const nr_season_gain *gain)
{
    if (!gain)
        return json_null();
    json_t *list = json_array();
    for (int k = 0; k < NR_CHANGES; k++)
        if (gain[k].possible)
            json_array_append_new(list, json_pack("{s:s, s:s, s:o, s:o, s:o, s:o, s:o}", "code",
                                                  nr_season_change_code(gain[k].change), "text",
                                                  nr_season_change_words(gain[k].change), "days",
                                                  nr_json_number(gain[k].reached), "lo95",
                                                  nr_json_number(gain[k].lo95), "hi95",
                                                  nr_json_number(gain[k].hi95), "uses",
                                                  nr_json_number(gain[k].uses), "heat_kWh",
                                                  nr_json_number(gain[k].heat_kWh)));
    return list;
}

static json_t *asked(const nr_season *s)
{
    const nr_season_question *q = &s->asked;
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:b, s:o, s:o, s:i, s:I}", "to_degC",
                     nr_json_number(q->to_degC), "from_degC", nr_json_number(q->from_degC),
                     "start_solar_s", nr_json_number(q->start_s), "by_solar_s",
                     nr_json_number(q->by_s), "water_kg", nr_json_number(q->water_kg), "tilt_deg",
                     nr_json_number(q->tilt_deg), "azimuth_deg", nr_json_number(q->azimuth_deg),
                     "re_aimed", q->re_aimed, "latitude_deg", nr_json_number(q->latitude_deg),
                     "longitude_deg", nr_json_number(q->longitude_deg), "draws", (int)q->draws,
                     "seed", (json_int_t)q->seed);
}

nr_code nr_json_season(FILE *to, const nr_season *s, const nr_season_gain *gain, double price,
                       nr_err *err)
{
    json_t *root =
        json_pack("{s:s, s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "program", "noonfit",
                  "version", NOONRUN_VERSION, "weather",
                  json_pack("{s:o, s:s, s:b, s:I, s:I}", "place", nr_json_text(s->place), "format",
                            s->format, "typical", s->typical, "years", (json_int_t)s->years,
                            "filled", (json_int_t)s->holes),
                  "asked", asked(s), "days", days(s), "uses", uses(s), "heat_kWh",
                  json_pack("{s:o, s:o, s:o}", "value", nr_json_number(s->heat_kWh), "lo95",
                            nr_json_number(s->heat_lo95), "hi95", nr_json_number(s->heat_hi95)),
                  "frost_days", nr_json_number(s->frost_nights), "by_month", by_month(s),
                  "calendar", calendar(s), "changes", change_list(gain));
    json_object_set_new(root, "trust", nr_json_trust(&s->fit->trust));
    if (root)
        json_object_set_new(root, "cost_per_kWh",
                            isfinite(price) && s->heat_kWh > 0
                                ? nr_json_number(price / (NR_SEASON_LIFE_YEARS * s->heat_kWh))
                                : json_null());
    return nr_json_write(to, root, err);
}
