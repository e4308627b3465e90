/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The JSON document of `noonfit inspect`. */
#include "analyze/show/json.h"
#include "analyze/show/show.h"
#include "analyze/tell/tell.h"

static json_t *channels(const nr_inspect *x)
{
    json_t *out = json_array();
    for (size_t i = 0; i < x->channels; i++) {
        const nr_channel_summary *c = &x->channel[i];
        json_array_append_new(
            out, json_pack("{s:o, s:o, s:I, s:o, s:o, s:o, s:o, s:I, s:o}", "name",
                           nr_json_text(c->name), "unit", nr_json_text(c->unit), "valid",
                           (json_int_t)c->valid, "min", nr_json_number(c->min), "max",
                           nr_json_number(c->max), "mean", nr_json_number(c->mean), "stuck_s",
                           nr_json_number(c->stuck_s), "spikes", (json_int_t)c->spikes, "noise",
                           nr_json_number(c->noise)));
    }
    return out;
}

static json_t *gaps(const nr_inspect *x)
{
    json_t *out = json_array();
    for (size_t i = 0; i < x->gaps; i++)
        json_array_append_new(out,
                              json_pack("{s:o, s:o}", "start_s", nr_json_number(x->gap[i].start_s),
                                        "length_s", nr_json_number(x->gap[i].length_s)));
    return out;
}

static json_t *findings(const nr_inspect *x)
{
    json_t *out = json_array();
    for (size_t i = 0; i < x->findings; i++) {
        const nr_finding *f = &x->finding[i];
        char text[NR_TELL], advice[NR_TELL];
        nr_tell_finding(text, sizeof text, f, NR_UNITS_SI);
        nr_tell_finding_advice(advice, sizeof advice, f, NR_UNITS_SI);
        json_array_append_new(
            out, json_pack("{s:s, s:s, s:o, s:o, s:o, s:o, s:o}", "code", nr_finding_name(f->code),
                           "severity", nr_severity_word(f->severity), "text", nr_json_text(text),
                           "advice", nr_json_text(advice), "channel", nr_json_text(f->channel),
                           "from_s", nr_json_number(f->from_s), "to_s", nr_json_number(f->to_s)));
    }
    return out;
}

static json_t *refusal(const nr_inspect *x)
{
    if (!x->refusal[0])
        return json_null();
    return json_pack("{s:o, s:o}", "code", nr_json_text(x->refusal_code), "text",
                     nr_json_text(x->refusal));
}

static json_t *document(const nr_inspect *x)
{
    json_t *root = json_object(), *usable = json_array();
    char text[NR_TELL];
    nr_tell_inspect(text, sizeof text, x, NR_UNITS_SI);
    const double incidence[2] = {x->incidence_lo_deg, x->incidence_hi_deg};
    if (x->usable_for_store)
        json_array_append_new(usable, json_string("store"));
    if (x->usable_for_loop)
        json_array_append_new(usable, json_string("loop"));
    json_object_set_new(root, "program", json_string("noonfit"));
    json_object_set_new(root, "version", json_string(NOONRUN_VERSION));
    json_object_set_new(root, "folder", nr_json_text(x->folder));
    json_object_set_new(root, "title", nr_json_text(x->title));
    json_object_set_new(root, "rows", json_integer((json_int_t)x->rows));
    json_object_set_new(root, "duration_s", nr_json_number(x->duration_s));
    json_object_set_new(root, "interval_s", nr_json_number(x->interval_s));
    json_object_set_new(root, "channels", channels(x));
    json_object_set_new(root, "gaps", gaps(x));
    json_object_set_new(root, "findings", findings(x));
    json_object_set_new(root, "usable_for", usable);
    json_object_set_new(root, "refusal", refusal(x));
    json_object_set_new(root, "steady_windows", json_integer((json_int_t)x->steady_windows));
    json_object_set_new(root, "incidence_deg", nr_json_pair(incidence));
    json_object_set_new(root, "sentence", nr_json_text(text));
    return root;
}

nr_code nr_json_inspect(FILE *to, const nr_inspect *x, nr_err *err)
{
    return nr_json_write(to, document(x), err);
}

nr_code nr_json_inspects(FILE *to, nr_inspect *const *x, size_t count, nr_err *err)
{
    json_t *list = json_array();
    for (size_t i = 0; i < count; i++)
        json_array_append_new(list, document(x[i]));
    return nr_json_write(to,
                         json_pack("{s:s, s:s, s:o}", "program", "noonfit", "version",
                                   NOONRUN_VERSION, "collectors", list),
                         err);
}
