/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `standard` of the fit's JSON document. */
#include "analyze/show/json.h"

#include <math.h>

static json_t *value(const nr_standard_value *v)
{
    json_t *o = nr_json_quantity(&v->q);
    if (!v->q.known)
        return o;
    json_object_set_new(o, "degrees_of_freedom", nr_json_number(v->dof));
    json_object_set_new(o, "coverage_factor", nr_json_number(v->k95));
    return o;
}

static json_t *coefficients(const nr_standard *s)
{
    json_t *o = json_object();
    for (int t = 0; t < NR_STD_TERMS; t++)
        json_object_set_new(o, nr_standard_name((nr_standard_term)t), value(&s->value[t]));
    return o;
}

static json_t *modifier(const nr_standard *s)
{
    json_t *list = json_array();
    for (int i = 0; i < 7; i++)
        json_array_append_new(
            list, json_pack("{s:o, s:o, s:o}", "angle_deg", nr_json_number(s->angle_deg[i]), "K",
                            nr_json_number(s->modifier[i]), "u", nr_json_number(s->u_modifier[i])));
    return list;
}

static json_t *conditions(const nr_standard *s)
{
    static const char *const names[NR_SPANS] = {
        "irradiance_W_m2",     "air_degC",     "inlet_degC", "rise_K",        "difference_K",
        "reduced_temperature", "flow_kg_s_m2", "wind_m_s",   "incidence_deg", "diffuse_share"};
    json_t *o = json_object();
    for (int i = 0; i < NR_SPANS; i++)
        json_object_set_new(o, names[i],
                            json_pack("{s:o, s:o, s:o}", "mean", nr_json_number(s->span[i].mean),
                                      "lo", nr_json_number(s->span[i].lo), "hi",
                                      nr_json_number(s->span[i].hi)));
    return o;
}

static json_t *power(const nr_standard *s)
{
    json_t *list = json_array();
    for (int g = 0; g < NR_STD_SUNS; g++)
        for (int d = 0; d < NR_STD_DIFFERENCES; d++)
            json_array_append_new(list,
                                  json_pack("{s:o, s:o, s:b, s:o}", "irradiance_W_m2",
                                            nr_json_number(nr_standard_sun_W_m2[g]), "difference_K",
                                            nr_json_number(nr_standard_dT_K[d]), "tested",
                                            s->power[g][d].tested, "W", value(&s->power[g][d].W)));
    return list;
}

static json_t *requirements(const nr_standard *s)
{
    static const char *const met[] = {"met", "not met", "not known"};
    json_t *list = json_array();
    for (int i = 0; i < NR_REQS; i++) {
        const nr_requirement *r = &s->requirement[i];
        json_array_append_new(list, json_pack("{s:s, s:s, s:o, s:o, s:s}", "code",
                                              nr_requirement_name((nr_requirement_code)i), "wanted",
                                              r->at_least ? "at least" : "at most", "limit",
                                              nr_json_number(r->limit), "measured",
                                              nr_json_number(r->measured), "result", met[r->met]));
    }
    return list;
}

static json_t *day(const nr_day_output *d)
{
    if (!d->known)
        return json_null();
    return json_pack("{s:I, s:o, s:o, s:o, s:o}", "days", (json_int_t)d->days, "per_irradiation_m2",
                     nr_json_quantity(&d->per_irradiation), "per_difference_J_K",
                     nr_json_quantity(&d->per_difference), "constant_J",
                     nr_json_quantity(&d->constant), "residual_J", nr_json_number(d->residual_J));
}

json_t *nr_json_standard(const nr_standard *s)
{
    const double drop[2] = {s->pressure_drop_Pa.low, s->pressure_drop_Pa.high};
    json_t *o = json_object();
    json_object_set_new(o, "certificate", json_false());
    json_object_set_new(o, "covered", json_boolean(s->covered));
    json_object_set_new(o, "diffuse_measured", json_boolean(s->diffuse_measured));
    json_object_set_new(o, "wind_reference_m_s", nr_json_number(s->wind_reference_m_s));
    json_object_set_new(o, "gross_area_m2", nr_json_number(s->gross_area_m2));
    json_object_set_new(o, "coefficients", coefficients(s));
    json_object_set_new(o, "modifier_basis", json_string(nr_modifier_basis_name(s->basis)));
    json_object_set_new(o, "diffuse_modifier", nr_json_number(s->kd));
    json_object_set_new(o, "modifier", modifier(s));
    json_object_set_new(o, "conditions", conditions(s));
    json_object_set_new(o, "power", power(s));
    json_object_set_new(o, "pressure_drop_Pa", nr_json_pair(drop));
    json_object_set_new(o, "requirements", requirements(s));
    json_object_set_new(o, "day_output", day(&s->day));
    return o;
}
