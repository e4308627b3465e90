/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/show/json.h"

#include "analyze/tell/tell.h"
#include "logger/base/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

json_t *nr_json_number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

json_t *nr_json_text(const char *text)
{
    size_t length = strlen(text), size = 4 * length + 1;
    char *clean = malloc(size);
    if (clean == NULL)
        return NULL;
    nr_clean(clean, size, text, length);
    json_t *out = json_string(clean);
    free(clean);
    return out;
}

json_t *nr_json_pair(const double pair[2])
{
    return json_pack("[o, o]", nr_json_number(pair[0]), nr_json_number(pair[1]));
}

json_t *nr_json_quantity(const nr_quantity *q)
{
    if (!q->known)
        return json_null();
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:s}", "value", nr_json_number(q->value), "u",
                     nr_json_number(q->u), "u_random", nr_json_number(q->u_random), "u_systematic",
                     nr_json_number(q->u_systematic), "lo95", nr_json_number(q->lo95), "hi95",
                     nr_json_number(q->hi95), "unit", nr_unit_word(q->unit));
}

json_t *nr_json_warnings(const nr_warnings *warnings)
{
    json_t *out = json_array();
    for (size_t i = 0; i < warnings->count; i++) {
        const nr_warning *w = &warnings->item[i];
        char text[NR_TELL];
        nr_tell_warning(text, sizeof text, w, warnings, NR_UNITS_SI);
        json_array_append_new(out, json_pack("{s:s, s:o}", "code", nr_warning_name(w->code), "text",
                                             nr_json_text(text)));
    }
    return out;
}

json_t *nr_json_trust(const nr_trust *trust)
{
    json_t *reasons = json_array();
    for (size_t i = 0; i < trust->count; i++) {
        const nr_trust_reason *r = &trust->reason[i];
        char text[NR_TELL];
        nr_tell_trust(text, sizeof text, r, NR_UNITS_SI);
        json_array_append_new(reasons,
                              json_pack("{s:s, s:o, s:o}", "code", nr_trust_name(r), "text",
                                        nr_json_text(text), "weight", nr_json_number(r->weight)));
    }
    return json_pack("{s:s, s:o}", "grade", nr_trust_grade(trust), "reasons", reasons);
}

nr_code nr_json_write(FILE *to, json_t *root, nr_err *err)
{
    if (root == NULL)
        return nr_fail(err, NR_BAD, NULL, 0, "not enough memory for the JSON document");
    /* 17 digits give back the same double. */
    int failed = json_dumpf(root, to, JSON_INDENT(2) | JSON_REAL_PRECISION(17));
    json_decref(root);
    if (failed != 0 || fputc('\n', to) == EOF || fflush(to) != 0)
        return nr_fail(err, NR_BAD, NULL, 0, "could not write the JSON document");
    return NR_OK;
}
