/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The JSON document of `noonfit fit`. The keys of design are stable; further keys may be added. */
#include "analyze/show/json.h"
#include "analyze/show/show.h"

static const char *model_name(nr_fit_model model)
{
    switch (model) {
    case NR_MODEL_STORE:
        return "store";
    case NR_MODEL_LOOP:
        return "loop";
    case NR_MODEL_BOTH:
        return "both";
    }
    return "";
}

static json_t *channels(const nr_fit_run *r)
{
    json_t *out = json_array();
    for (size_t i = 0; i < r->channels; i++) {
        const nr_fit_channel *c = &r->channel[i];
        json_array_append_new(
            out, json_pack("{s:o, s:o, s:o, s:o, s:I, s:I, s:I}", "name", nr_json_text(c->name),
                           "residual_rms_K", nr_json_number(c->rms_K), "correlation",
                           nr_json_number(c->ar1), "whiteness", nr_json_number(c->whiteness),
                           "outliers", (json_int_t)c->outliers, "used", (json_int_t)c->used,
                           "left_out", (json_int_t)c->left_out));
    }
    return out;
}

static json_t *runs(const nr_fit *fit)
{
    json_t *out = json_array();
    for (size_t i = 0; i < fit->runs; i++) {
        const nr_fit_run *r = &fit->run[i];
        json_array_append_new(out, json_pack("{s:o, s:o, s:I, s:o, s:o, s:o}", "folder",
                                             nr_json_text(r->folder), "title",
                                             nr_json_text(r->title), "rows", (json_int_t)r->rows,
                                             "duration_s", nr_json_number(r->duration_s), "used_s",
                                             nr_json_number(r->used_s), "channels", channels(r)));
    }
    return out;
}

/* The tested part of the curve, or what is outside it. */
static json_t *curve(const nr_fit *fit, bool tested)
{
    json_t *out = json_array();
    for (size_t i = 0; i < fit->curve_points; i++) {
        const nr_curve_point *p = &fit->curve[i];
        if (p->tested == tested)
            json_array_append_new(
                out, json_pack("{s:o, s:o, s:o, s:o}", "reduced_temperature", nr_json_number(p->x),
                               "eta", nr_json_number(p->eta), "lo95", nr_json_number(p->lo95),
                               "hi95", nr_json_number(p->hi95)));
    }
    return out;
}

static json_t *square(const double *matrix, size_t stride, size_t n)
{
    json_t *rows = json_array();
    for (size_t i = 0; i < n; i++) {
        json_t *row = json_array();
        for (size_t k = 0; k < n; k++)
            json_array_append_new(row, nr_json_number(matrix[i * stride + k]));
        json_array_append_new(rows, row);
    }
    return rows;
}

static json_t *covariance(const nr_fit *fit)
{
    const nr_covariance *c = &fit->covariance;
    json_t *names = json_array();
    for (size_t i = 0; i < c->count; i++)
        json_array_append_new(names, json_string(c->name[i]));
    return json_pack("{s:o, s:o}", "names", names, "matrix",
                     square(&c->matrix[0][0], NR_COVARIANCE_MOST, c->count));
}

static json_t *curve_formula(const nr_fit *fit)
{
    const nr_curve_formula *f = &fit->curve_formula;
    json_t *c = json_array();
    for (int i = 0; i < NR_CURVE_TERMS; i++)
        json_array_append_new(c, nr_json_number(f->c[i]));
    return json_pack("{s:s, s:o, s:o, s:o, s:o}", "form",
                     "eta = sum over k of coefficients[k] x^k; x: reduced temperature difference "
                     "(T - air)/irradiance in m2 K/W; u(eta)^2 = sum over i, k of covariance[i][k] "
                     "x^i x^k; 95 %: eta -+ coverage_factor u",
                     "coefficients", c, "covariance",
                     square(&f->covariance[0][0], NR_CURVE_TERMS, NR_CURVE_TERMS), "range",
                     nr_json_pair(f->x_range), "coverage_factor", nr_json_number(f->k95));
}

static json_t *points(const nr_fit *fit)
{
    json_t *out = json_array();
    for (size_t i = 0; i < fit->points; i++) {
        const nr_point *p = &fit->point[i];
        json_array_append_new(out,
                              json_pack("{s:o, s:o, s:o, s:o, s:I, s:b}", "reduced_temperature",
                                        nr_json_number(p->x), "eta", nr_json_number(p->eta), "u",
                                        nr_json_number(p->u), "time_s", nr_json_number(p->t_s),
                                        "run", (json_int_t)p->run, "steady", p->steady));
    }
    return out;
}

static json_t *budget(const nr_fit *fit)
{
    json_t *out = json_array();
    for (size_t i = 0; i < fit->budget_items; i++) {
        const nr_budget_item *b = &fit->budget[i];
        json_array_append_new(
            out, json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "label",
                           nr_json_text(b->label), "channel", nr_json_text(b->channel), "stated_u",
                           nr_json_number(b->stated_u), "unit", nr_json_text(b->unit), "share_eta0",
                           nr_json_number(b->share[NR_SHARE_ETA0]), "share_a1",
                           nr_json_number(b->share[NR_SHARE_A1]), "share_run_efficiency",
                           nr_json_number(b->share[NR_SHARE_RUN]), "not_stated",
                           b->ask[0] ? nr_json_text(b->ask) : json_null()));
    }
    return out;
}

static json_t *learned(const nr_fit *fit)
{
    json_t *out = json_array();
    for (size_t i = 0; i < fit->learned_items; i++) {
        const nr_learned *l = &fit->learned[i];
        json_array_append_new(
            out, json_pack("{s:o, s:o, s:o, s:o, s:o, s:o}", "label", nr_json_text(l->label),
                           "unit", nr_json_text(l->unit), "stated", nr_json_number(l->stated),
                           "stated_u", nr_json_number(l->stated_u), "found",
                           nr_json_number(l->found), "found_u", nr_json_number(l->found_u)));
    }
    return out;
}

static json_t *incidence(const nr_incidence *i)
{
    if (!i->known)
        return json_null();
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o}", "mean_deg", nr_json_number(i->mean_deg),
                     "lo_deg", nr_json_number(i->lo_deg), "hi_deg", nr_json_number(i->hi_deg), "b0",
                     nr_json_number(i->b0), "u_b0", nr_json_number(i->u_b0), "modifier",
                     nr_json_number(i->modifier));
}

static json_t *sampled(const nr_sampled *s)
{
    return json_pack("{s:f, s:f, s:f, s:f}", "u", s->u, "u_error", s->u_error, "lo95", s->lo95,
                     "hi95", s->hi95);
}

static json_t *monte_carlo(const nr_monte_carlo *m)
{
    return json_pack("{s:I, s:I, s:I, s:o, s:o, s:o}", "trials", (json_int_t)m->trials, "failed",
                     (json_int_t)m->failed, "seed", (json_int_t)m->seed, "eta0", sampled(&m->eta0),
                     "a1", sampled(&m->a1), "run_efficiency", sampled(&m->run_efficiency));
}

static json_t *classical(const nr_classical *c)
{
    if (!c->known)
        return json_null();
    return json_pack("{s:I, s:b, s:o, s:o}", "points", (json_int_t)c->points, "steady_only",
                     c->steady_only, "eta0", nr_json_quantity(&c->eta0), "a1",
                     nr_json_quantity(&c->a1));
}

static json_t *means(const nr_means *m)
{
    if (!m->known)
        return json_null();
    return json_pack("{s:I, s:b, s:o, s:o, s:o}", "windows", (json_int_t)m->windows, "a5_held",
                     m->a5_held, "eta0", nr_json_quantity(&m->eta0), "a1", nr_json_quantity(&m->a1),
                     "a5", nr_json_quantity(&m->a5));
}

static void add_answers(json_t *root, const nr_fit *fit)
{
    json_object_set_new(root, "parameters",
                        json_pack("{s:o, s:o, s:o, s:o, s:o}", "eta0", nr_json_quantity(&fit->eta0),
                                  "a1", nr_json_quantity(&fit->a1), "a2",
                                  nr_json_quantity(&fit->a2), "a5", nr_json_quantity(&fit->a5),
                                  "store_loss", nr_json_quantity(&fit->store_loss)));
    json_object_set_new(root, "range",
                        json_pack("{s:o, s:o, s:o}", "reduced_temperature",
                                  nr_json_pair(fit->x_range), "temperature_difference_K",
                                  nr_json_pair(fit->dT_range), "irradiance_W_m2",
                                  nr_json_pair(fit->sun_range)));
    json_object_set_new(root, "curve", curve(fit, true));
    json_object_set_new(root, "extrapolation", curve(fit, false));
    json_object_set_new(root, "energy",
                        json_pack("{s:o, s:o, s:o, s:o, s:o}", "sun_J", nr_json_number(fit->sun_J),
                                  "water_J", nr_json_number(fit->water_J), "pump_J",
                                  nr_json_number(fit->pump_J), "run_efficiency",
                                  nr_json_quantity(&fit->run_efficiency), "counted_s",
                                  nr_json_number(fit->counted_s)));
    json_object_set_new(root, "stagnation_K", nr_json_quantity(&fit->stagnation_K));
    json_object_set_new(root, "time_constant_s", nr_json_quantity(&fit->time_constant_s));
    json_object_set_new(root, "residual_rms_K", nr_json_number(fit->residual_rms_K));
    json_object_set_new(root, "trust", nr_json_trust(&fit->trust));
    json_object_set_new(root, "warnings", nr_json_warnings(&fit->warnings));
}

/* What stagnation_K was read off. */
static json_t *standstill(const nr_standstill *s)
{
    return json_pack("{s:s, s:o, s:o, s:o, s:o, s:o, s:b, s:o}", "form",
                     "gain irradiance_W_m2 = loss_W_m2K d + loss2_W_m2K2 d^2; d: rise over the air "
                     "without flow, K",
                     "irradiance_W_m2", nr_json_number(s->sun_W_m2), "gain",
                     nr_json_number(s->gain), "loss_W_m2K", nr_json_number(s->loss_W_m2K),
                     "loss2_W_m2K2", nr_json_number(s->loss2_W_m2K2), "u_loss2_W_m2K2",
                     nr_json_number(s->loss2_u), "loss2_taken", s->loss2_taken, "straight_line_K",
                     nr_json_number(s->straight_K));
}

static void add_more(json_t *root, const nr_fit *fit)
{
    json_object_set_new(root, "eta0_normal", nr_json_quantity(&fit->eta0_normal));
    json_object_set_new(root, "incidence", incidence(&fit->incidence));
    json_object_set_new(root, "conditions",
                        json_pack("{s:o, s:o, s:o, s:o, s:o}", "irradiance_W_m2",
                                  nr_json_number(fit->mean_sun_W_m2), "air_degC",
                                  nr_json_number(fit->mean_air_degC), "flow_L_min",
                                  nr_json_number(fit->mean_flow_L_min), "wind_m_s",
                                  nr_json_number(fit->mean_wind_m_s), "constant_W_m2",
                                  nr_json_number(fit->constant_W_m2)));
    json_object_set_new(root, "points", points(fit));
    json_object_set_new(root, "monte_carlo",
                        fit->monte_carlo.trials ? monte_carlo(&fit->monte_carlo) : json_null());
    json_object_set_new(root, "regression", classical(&fit->classical));
    json_object_set_new(root, "means", means(&fit->means));
    json_object_set_new(root, "budget", budget(fit));
    json_object_set_new(root, "learned", learned(fit));
}

json_t *nr_json_fit_object(const nr_fit *fit)
{
    json_t *root = json_object();
    json_object_set_new(root, "program", json_string("noonfit"));
    json_object_set_new(root, "version", json_string(NOONRUN_VERSION));
    json_object_set_new(root, "runs", runs(fit));
    json_object_set_new(root, "collector",
                        json_pack("{s:o, s:o}", "name", nr_json_text(fit->collector_name),
                                  "gross_area_m2", nr_json_number(fit->gross_area_m2)));
    json_object_set_new(root, "model", json_string(model_name(fit->model)));
    json_object_set_new(root, "reference_temperature",
                        json_string(fit->reference == NR_REFERENCE_MEAN ? "mean" : "inlet"));
    json_object_set_new(root, "loss_includes_store", json_boolean(fit->loss_includes_store));
    add_answers(root, fit);
    add_more(root, fit);
    json_object_set_new(root, "covariance", covariance(fit));
    json_object_set_new(root, "curve_formula", curve_formula(fit));
    json_object_set_new(root, "stagnation", standstill(&fit->standstill));
    json_object_set_new(root, "a2_told", json_boolean(fit->a2.known && fit->a2_told));
    json_object_set_new(root, "standard",
                        fit->standard ? nr_json_standard(fit->standard) : json_null());
    return root;
}

nr_code nr_json_fit(FILE *to, const nr_fit *fit, nr_err *err)
{
    return nr_json_write(to, nr_json_fit_object(fit), err);
}

nr_code nr_json_fits(FILE *to, nr_fit *const *fit, size_t count, nr_err *err)
{
    json_t *list = json_array();
    for (size_t i = 0; i < count; i++)
        json_array_append_new(list, nr_json_fit_object(fit[i]));
    return nr_json_write(to,
                         json_pack("{s:s, s:s, s:o}", "program", "noonfit", "version",
                                   NOONRUN_VERSION, "collectors", list),
                         err);
}
