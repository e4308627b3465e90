/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The JSON document of `noonfit budget`. */
#include "analyze/show/budget.h"
#include "analyze/show/json.h"

#include <math.h>

static json_t *row(const nr_budget_row *r)
{
    json_t *o =
        json_pack("{s:o, s:o, s:o, s:o, s:o, s:o}", "input", nr_json_text(r->label), "channel",
                  nr_json_text(r->channel), "belongs_to", nr_json_text(r->key), "estimate",
                  nr_json_number(r->estimate), "u", nr_json_number(r->type_a ? NAN : r->u), "unit",
                  nr_json_text(r->type_a ? "" : r->unit));
    json_object_set_new(o, "distribution", json_string(r->type_a ? "t" : "normal"));
    json_object_set_new(o, "type", json_string(r->type_a ? "A" : "B"));
    json_object_set_new(o, "stated", r->type_a ? json_null() : json_boolean(r->stated));
    json_object_set_new(o, "degrees_of_freedom", nr_json_number(r->degrees_of_freedom));
    json_object_set_new(o, "sensitivity", nr_json_number(r->type_a ? NAN : r->sensitivity));
    json_object_set_new(o, "contribution", nr_json_number(r->contribution));
    json_object_set_new(o, "share", nr_json_number(r->share));
    return o;
}

static json_t *one(const nr_gum_budget *b)
{
    json_t *rows = json_array();
    for (size_t i = 0; i < b->rows; i++)
        json_array_append_new(rows, row(&b->row[i]));
    return json_pack("{s:s, s:o, s:o, s:o, s:o, s:o}", "of", nr_budget_of_name(b->of), "result",
                     nr_json_quantity(&b->result), "degrees_of_freedom",
                     nr_json_number(b->degrees_of_freedom), "coverage_factor",
                     nr_json_number(b->k95), "expanded_u", nr_json_number(b->expanded), "inputs",
                     rows);
}

static json_t *sampled(const nr_sampled *s)
{
    return json_pack("{s:o, s:o}", "u", nr_json_number(s->u), "u_error",
                     nr_json_number(s->u_error));
}

nr_code nr_json_budget(FILE *to, const nr_gum_budget *b, size_t count, const nr_monte_carlo *check,
                       nr_err *err)
{
    json_t *root = json_object(), *list = json_array();
    for (size_t i = 0; i < count; i++)
        json_array_append_new(list, one(&b[i]));
    json_object_set_new(root, "program", json_string("noonfit"));
    json_object_set_new(root, "version", json_string(NOONRUN_VERSION));
    json_object_set_new(root, "budgets", list);
    json_object_set_new(root, "monte_carlo",
                        check && check->trials
                            ? json_pack("{s:I, s:I, s:I, s:o, s:o}", "trials",
                                        (json_int_t)check->trials, "failed",
                                        (json_int_t)check->failed, "seed", (json_int_t)check->seed,
                                        "eta0", sampled(&check->eta0), "a1", sampled(&check->a1))
                            : json_null());
    return nr_json_write(to, root, err);
}
