/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The JSON document of `noonfit compare`. */
#include "analyze/show/json.h"
#include "analyze/show/show.h"
#include "analyze/tell/tell.h"

/* The intervals that hold for all pairs together at 95 %. */
static json_t *all_pairs(const nr_compare *c, const nr_difference *d)
{
    static const char *const name[NR_COMPARED] = {"eta0", "a1", "heat_up_s"};
    json_t *out = json_object();
    for (int by = 0; by < NR_COMPARED; by++) {
        nr_quantity q = nr_difference_of_all(c, d, (nr_compared)by);
        json_object_set_new(
            out, name[by],
            q.known ? json_pack("[o, o]", nr_json_number(q.lo95), nr_json_number(q.hi95))
                    : json_null());
    }
    return out;
}

/* Fastest first. */
static json_t *ranking(const nr_compare *c)
{
    json_t *out = json_array();
    for (size_t i = 0; i < c->builds; i++) {
        const nr_rank *r = &c->rank[i];
        const nr_fit *f = c->build[r->build];
        json_array_append_new(
            out, json_pack("{s:o, s:I, s:I, s:I, s:I, s:s, s:o, s:o, s:o, s:o}", "label",
                           nr_json_text(c->label[r->build]), "build", (json_int_t)r->build, "rank",
                           (json_int_t)(i + 1), "rank_lo95", (json_int_t)r->lo95, "rank_hi95",
                           (json_int_t)r->hi95, "group", r->letters, "probability_first",
                           nr_json_number(r->probability_first), "time_s",
                           nr_json_quantity(&c->heat_up[r->build].time_s), "eta0",
                           nr_json_quantity(&f->eta0), "a1", nr_json_quantity(&f->a1)));
    }
    return out;
}

static json_t *differences(const nr_compare *c)
{
    json_t *out = json_array();
    for (size_t i = 0; i < c->differences; i++) {
        const nr_difference *d = &c->difference[i];
        json_t *one = json_pack(
            "{s:o, s:o, s:o, s:o, s:o, s:o}", "of", nr_json_text(c->label[d->of]), "against",
            nr_json_text(c->label[d->against]), "eta0", nr_json_quantity(&d->eta0), "a1",
            nr_json_quantity(&d->a1), "heat_up_s", nr_json_quantity(&d->heat_up_s),
            "probability_better", nr_json_number(d->probability_better));
        json_object_set_new(one, "confidence_adjusted", nr_json_number(d->confidence_adjusted));
        json_object_set_new(one, "crossing_K",
                            d->crossing_known ? nr_json_number(d->crossing_K) : json_null());
        json_object_set_new(one, "crossing", nr_json_quantity(&d->crossing));
        json_object_set_new(one, "power", nr_json_number(d->power));
        json_object_set_new(one, "all_pairs", all_pairs(c, d));
        json_array_append_new(out, one);
    }
    return out;
}

static json_t *heat_up(const nr_heat_up *h)
{
    json_t *trace = json_array();
    for (size_t i = 0; i < h->count; i++)
        json_array_append_new(
            trace, json_pack("{s:o, s:o, s:o, s:o}", "time_s", nr_json_number(h->t_s[i]),
                             "store_degC", nr_json_number(h->store_degC[i]), "lo95",
                             nr_json_number(h->lo95[i]), "hi95", nr_json_number(h->hi95[i])));
    return json_pack("{s:o, s:o, s:o}", "time_s", nr_json_quantity(&h->time_s),
                     "probability_reached", nr_json_number(h->probability_reached), "trace", trace);
}

static json_t *reference_day(const nr_reference_day *d)
{
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:b}", "irradiance_W_m2",
                     nr_json_number(d->sun_W_m2), "air_degC", nr_json_number(d->air_degC),
                     "store_kg", nr_json_number(d->store_kg), "from_degC",
                     nr_json_number(d->from_degC), "to_degC", nr_json_number(d->to_degC),
                     "wind_m_s", nr_json_number(d->wind_m_s), "stated", d->stated);
}

nr_code nr_json_compare(FILE *to, const nr_compare *c, nr_err *err)
{
    json_t *root = json_object();
    json_t *builds = json_array(), *labels = json_array(), *times = json_array();
    for (size_t i = 0; i < c->builds; i++) {
        json_array_append_new(builds, nr_json_fit_object(c->build[i]));
        json_array_append_new(labels, nr_json_text(c->label[i]));
        json_array_append_new(times, heat_up(&c->heat_up[i]));
    }
    json_object_set_new(root, "program", json_string("noonfit"));
    json_object_set_new(root, "version", json_string(NOONRUN_VERSION));
    json_object_set_new(root, "labels", labels);
    json_object_set_new(root, "builds", builds);
    json_object_set_new(root, "ranking", ranking(c));
    json_object_set_new(root, "differences", differences(c));
    json_object_set_new(root, "heat_up", times);
    json_object_set_new(root, "reference_day", reference_day(&c->day));
    char text[NR_TELL];
    nr_tell_compare_verdict(text, sizeof text, c, NR_UNITS_SI);
    json_object_set_new(root, "verdict", nr_json_text(text));
    json_t *exchanged = json_array();
    for (size_t i = 0; i < c->exchanged_count; i++)
        json_array_append_new(exchanged, json_string(c->exchanged[i]));
    json_object_set_new(root, "exchanged", exchanged);
    json_object_set_new(root, "trust", nr_json_trust(&c->trust));
    json_object_set_new(root, "warnings", nr_json_warnings(&c->warnings));
    return nr_json_write(to, root, err);
}
