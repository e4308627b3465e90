/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The JSON document of `noonfit plan`. */
#include "analyze/show/json.h"
#include "analyze/show/show.h"
#include "analyze/tell/tell.h"

static json_t *step(const nr_plan_step *s)
{
    char text[NR_TELL];
    nr_plan_step alone = *s;
    alone.separates = alone.eta0_by_part = alone.a1_by_part = false; /* keys of their own here */
    nr_tell_plan_step(text, sizeof text, &alone, NR_UNITS_SI);
    return json_pack("{s:s, s:o, s:s, s:o, s:o, s:o, s:b, s:b, s:b}", "code",
                     nr_plan_action_name(s->action), "text", nr_json_text(text), "cost",
                     nr_plan_cost_word(s->cost), "u_eta0", nr_json_number(s->u_eta0), "u_a1",
                     nr_json_number(s->u_a1), "gain", nr_json_number(s->gain),
                     "separates_store_loss", s->separates, "eta0_by_part", s->eta0_by_part,
                     "a1_by_part", s->a1_by_part);
}

static json_t *budget(const nr_fit *f)
{
    json_t *out = json_array();
    for (size_t i = 0; i < f->budget_items; i++)
        json_array_append_new(
            out, json_pack("{s:o, s:o, s:o}", "source", nr_json_text(f->budget[i].label), "eta0",
                           nr_json_number(f->budget[i].share[NR_SHARE_ETA0]), "a1",
                           nr_json_number(f->budget[i].share[NR_SHARE_A1])));
    return out;
}

static json_t *test(const nr_plan_test *t)
{
    return json_pack("{s:b, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "clear_sky", t->day.clear_sky,
                     "irradiance_W_m2",
                     t->day.clear_sky ? json_null() : nr_json_number(t->day.sun_W_m2), "air_degC",
                     nr_json_number(t->day.air_degC), "wind_m_s", nr_json_number(t->day.wind_m_s),
                     "from_degC", nr_json_number(t->day.from_degC), "duration_s",
                     nr_json_number(t->duration_s), "flow_L_min", nr_json_number(t->flow_L_min),
                     "store_loss_W_K", nr_json_number(t->store_loss_W_K));
}

nr_code nr_json_plan(FILE *to, const nr_plan *p, nr_err *err)
{
    char sentence[NR_TELL], limits[NR_TELL];
    json_t *steps = json_array();
    nr_tell_plan(sentence, sizeof sentence, p, NR_UNITS_SI);
    nr_tell_plan_limits(limits, sizeof limits, p, NR_UNITS_SI);
    for (size_t i = 0; i < p->steps; i++)
        json_array_append_new(steps, step(&p->step[i]));
    json_t *pair = json_pack(
        "{s:o, s:o, s:o, s:o, s:o}", "u_eta0_difference", nr_json_number(p->u_side_by_side),
        "u_eta0_difference_apart", nr_json_number(p->u_apart), "u_eta0_difference_twice",
        nr_json_number(p->u_twice), "u_eta0_difference_swapped", nr_json_number(p->u_swapped),
        "chance_to_show_10_percent", nr_json_number(p->power_side_by_side));
    json_t *root = json_pack(
        "{s:s, s:s, s:o, s:o, s:b, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "program",
        "noonfit", "version", NOONRUN_VERSION, "u_eta0", nr_json_number(p->fit->eta0.u), "u_a1",
        nr_json_number(p->fit->a1.u), "loss_includes_store", p->loss_includes_store, "supposed",
        json_pack("{s:o, s:o}", "eta0", nr_json_number(p->fit->eta0.value), "a1",
                  nr_json_number(p->fit->a1.value)),
        "temperature_difference_K", nr_json_pair(p->fit->dT_range), "budget", budget(p->fit),
        "improvements", steps, "side_by_side", pair, "test", test(&p->test), "sentence",
        nr_json_text(sentence), "limits", nr_json_text(limits), "warnings",
        nr_json_warnings(&p->warnings));
    return nr_json_write(to, root, err);
}
