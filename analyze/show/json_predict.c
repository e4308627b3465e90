/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The JSON document of `noonfit predict`. */
#include "analyze/show/json.h"
#include "analyze/show/show.h"
#include "analyze/tell/tell.h"
#include "logger/base/utc.h"

#include <math.h>

static json_t *day(const nr_day *d)
{
    json_t *out = json_pack(
        "{s:b, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "clear_sky", d->clear_sky, "irradiance_W_m2",
        d->clear_sky ? json_null() : nr_json_number(d->sun_W_m2), "air_degC",
        nr_json_number(d->air_degC), "wind_m_s", nr_json_number(d->wind_m_s), "store_kg",
        nr_json_number(d->water_kg), "store_loss_W_K", nr_json_number(d->store_loss_W_K),
        "from_degC", nr_json_number(d->from_degC), "to_degC", nr_json_number(d->to_degC));
    if (d->clear_sky) {
        char date[NR_UTC_SIZE] = "";
        if (isfinite(d->date_s))
            nr_utc_format(d->date_s, date);
        date[date[0] != '\0' ? 10 : 0] = '\0'; /* the date alone */
        json_object_set_new(out, "date", nr_json_text(date));
        json_object_set_new(out, "start_s", nr_json_number(d->start_s));
        json_object_set_new(out, "latitude_deg", nr_json_number(d->latitude_deg));
        json_object_set_new(out, "longitude_deg", nr_json_number(d->longitude_deg));
        json_object_set_new(out, "tilt_deg", nr_json_number(d->tilt_deg));
        json_object_set_new(out, "azimuth_deg", nr_json_number(d->azimuth_deg));
        json_object_set_new(out, "re_aimed", json_boolean(d->re_aimed));
    }
    return out;
}

nr_code nr_json_predict(FILE *to, const nr_predict *p, nr_err *err)
{
    json_t *root = json_object(), *trace = json_array();
    for (size_t i = 0; i < p->count; i++) {
        const nr_trace_point *t = &p->trace[i];
        json_array_append_new(
            trace,
            json_pack("{s:o, s:o, s:o, s:o, s:o}", "time_s", nr_json_number(t->t_s), "store_degC",
                      nr_json_number(t->store_degC), "lo95", nr_json_number(t->lo95), "hi95",
                      nr_json_number(t->hi95), "irradiance_W_m2", nr_json_number(t->sun_W_m2)));
    }
    json_object_set_new(root, "program", json_string("noonfit"));
    json_object_set_new(root, "version", json_string(NOONRUN_VERSION));
    json_object_set_new(root, "reached", json_boolean(p->reached));
    json_object_set_new(root, "probability_reached", nr_json_number(p->probability_reached));
    json_object_set_new(root, "time_s", nr_json_quantity(&p->time_s));
    json_object_set_new(root, "final_degC", nr_json_quantity(&p->final_degC));
    json_object_set_new(root, "uncertainty",
                        json_pack("{s:o, s:o, s:o}", "parameters", nr_json_number(p->u_parameter),
                                  "model", nr_json_number(p->u_model), "weather",
                                  nr_json_number(p->u_weather)));
    json_object_set_new(root, "outside_tested", json_boolean(p->outside_tested));
    json_object_set_new(root, "trace", trace);
    json_object_set_new(root, "day", day(&p->day));
    char text[NR_TELL];
    nr_tell_predict(text, sizeof text, p, NR_UNITS_SI);
    json_object_set_new(root, "sentence", nr_json_text(text));
    nr_tell_predict_remedy(text, sizeof text, p, NR_UNITS_SI);
    json_object_set_new(root, "remedy", nr_json_text(text));
    json_object_set_new(root, "trust", nr_json_trust(&p->fit->trust));
    json_object_set_new(root, "cautions", nr_json_warnings(&p->cautions));
    return nr_json_write(to, root, err);
}
