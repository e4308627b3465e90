/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/noonlog/bath_show.h"

#include "logger/base/paragraph.h"
#include "logger/base/text.h"

#include <jansson.h>
#include <math.h>
#include <string.h>

#define NORMAL_95 1.96

/* --- text ---------------------------------------------------------------------------------- */

typedef struct scale {
    double factor, offset; /* shown = degC * factor + offset */
    const char *degrees, *kelvin;
} scale;

static scale scale_of(bool fahrenheit)
{
    return fahrenheit ? (scale){1 / NR_DEGF_K, 32.0, "°F", "°F"} : (scale){1.0, 0.0, "°C", "K"};
}

static const char *kind_words(nr_bath_kind kind)
{
    switch (kind) {
    case NR_BATH_ICE:
        return "ice water";
    case NR_BATH_BOILING:
        return "boiling water";
    case NR_BATH_RELATIVE:
    case NR_BATH_CHANNEL:
    case NR_BATH_STATED:
        break;
    }
    return "one bath";
}

static double worst_K(const nr_bath_report *r, size_t b)
{
    double worst = 0.0;
    for (size_t i = 0; i < r->probes; i++)
        worst = fmax(worst, fabs(r->set[i].probe[b].difference_K));
    return worst;
}

static void headline(FILE *to, const nr_bath_report *r, const scale *s)
{
    const nr_bath_plan *plan = r->plan;
    bool absolute = plan->kind >= NR_BATH_STATED;
    double off = (absolute ? worst_K(r, 0) : nr_bath_spread_K(r)) * s->factor;
    char second[160] = "", agree[120] = "";
    if (r->baths == 2)
        snprintf(second, sizeof second, ", in %s of %.2f %s by %s%.2f %s", kind_words(plan[1].kind),
                 plan[1].degC * s->factor + s->offset, s->degrees, r->probes > 1 ? "up to " : "",
                 worst_K(r, 1) * s->factor, s->kelvin);
    if (r->probes > 1 || !absolute)
        snprintf(agree, sizeof agree, "; with the keys below they agree within %.2f %s (95 %%)",
                 nr_bath_left95_K(r) * s->factor, s->kelvin);
    nr_paragraph_of(to, "", "In %s of %.2f %s the %s %s by %s%.2f %s%s%s.", kind_words(plan->kind),
                    r->bath[0].bath_degC * s->factor + s->offset, s->degrees,
                    r->probes > 1 ? "thermometers" : "thermometer",
                    !absolute       ? r->probes > 1 ? "differ" : "differs"
                    : r->probes > 1 ? "are off"
                                    : "is off",
                    r->probes > 1 ? "up to " : "", off, s->kelvin, second, agree);
}

static void remark(FILE *to, const nr_bath_probe *p, const scale *s)
{
    if (p->constant)
        fprintf(to, "never changed: stuck, or a very coarse sensor");
    else if (p->drifts)
        fprintf(to, "still drifting, %+.2f %s over the bath", p->drift_K * s->factor, s->kelvin);
    else if (p->lag1 > 0.95)
        fprintf(to, "wanders slowly: a longer bath would tell more");
}

static void table(FILE *to, const nr_rig *rig, const nr_bath_report *r, size_t b, const scale *s)
{
    static const char *const against[] = {"the mean of all", "", "the stated bath", "ice water",
                                          "boiling water"};
    const nr_bath_plan *plan = &r->plan[b];
    fprintf(to, "\nAgainst %s, %.2f %s, %.0f s:\n",
            plan->kind == NR_BATH_CHANNEL ? rig->channel[plan->reference].name
                                          : against[plan->kind],
            r->bath[b].bath_degC * s->factor + s->offset, s->degrees, r->length_s[b]);
    fprintf(to, "  %-16s %10s %18s %9s\n", "", "differs", "95 % interval", "scatter");
    for (size_t i = 0; i < r->probes; i++) {
        const nr_bath_probe *p = &r->set[i].probe[b];
        double d = p->difference_K * s->factor, u95 = NORMAL_95 * p->u_own_K * s->factor;
        fprintf(to, "  %-16s %+8.2f %s %+8.2f .. %+6.2f %9.3f  ",
                rig->channel[r->set[i].channel].name, d, s->kelvin, d - u95, d + u95,
                p->sd_K * s->factor);
        remark(to, p, s);
        fputc('\n', to);
    }
}

static void keys(FILE *to, const nr_rig *rig, const nr_bath_report *r)
{
    fprintf(to, "\nFor the rig file (what its keys said before is counted in):\n");
    for (size_t i = 0; i < r->probes; i++) {
        nr_bath_entry entry[NR_BATH_KEYS_MOST];
        size_t n = nr_bath_entries(&r->set[i], entry);
        const nr_rig_channel *channel = &rig->channel[r->set[i].channel];
        fprintf(to, "\n[channel %s]\n", channel->name);
        for (size_t k = 0; k < n; k++)
            fprintf(to, "%s = %s\n", entry[k].key, entry[k].value);
    }
}

static void about_common(FILE *to, const nr_bath_report *r, const scale *s)
{
    double u95 = NORMAL_95 * r->bath[0].u_common_K * s->factor;
    if (r->bath[0].relative)
        nr_paragraph_of(
            to, "",
            "There was no reference: the thermometers now agree with each other, and all may "
            "be off by the same unknown amount. Efficiencies only need their differences.");
    else if (r->whole)
        nr_paragraph_of(
            to, "",
            "All may still be off together by %.2f %s (95 %%), as the reference is; u_offset "
            "leaves that out, since it is in no difference between them.",
            u95, s->kelvin);
    else
        nr_paragraph_of(
            to, "",
            "u_offset contains the reference's own uncertainty, %.2f %s (95 %%): not all "
            "thermometers of the rig were in the bath.",
            u95, s->kelvin);
}

static void warnings(FILE *to, const nr_rig *rig, const nr_bath_report *r, const scale *s)
{
    for (size_t b = 0; b < r->baths; b++)
        if (fabs(r->bath[b].bath_rate_K_min) > 0.05)
            nr_paragraph_of(
                to, "",
                "The bath changed by %.2f %s a minute: a slow probe then reads %.3f %s beside a "
                "quick one for each second of lag. Insulate it and stir.",
                r->bath[b].bath_rate_K_min * s->factor, s->kelvin,
                fabs(r->bath[b].bath_rate_K_min) / 60.0 * s->factor, s->kelvin);
    for (size_t i = 0; i < r->probes; i++)
        if (fabs(r->set[i].rest_K) > 0.1)
            nr_paragraph_of(
                to, "",
                "%s: the error at the two baths differs by %.2f %s; convert = %s has no gain to "
                "take that up. Its offset is right half way; better: new coefficients.",
                rig->channel[r->set[i].channel].name, 2.0 * fabs(r->set[i].rest_K) * s->factor,
                s->kelvin, rig->channel[r->set[i].channel].law->name);
}

void nr_bath_show(FILE *to, const nr_rig *rig, const nr_bath_report *r, bool fahrenheit)
{
    scale s = scale_of(fahrenheit);
    headline(to, r, &s);
    for (size_t b = 0; b < r->baths; b++)
        table(to, rig, r, b, &s);
    fputc('\n', to);
    about_common(to, r, &s);
    warnings(to, rig, r, &s);
    keys(to, rig, r);
}

/* --- JSON ---------------------------------------------------------------------------------- */

static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *quantity(double value, double u, const char *unit)
{
    return json_pack("{s:o,s:o,s:o,s:o,s:s}", "value", number(value), "u", number(u), "lo95",
                     number(value - NORMAL_95 * u), "hi95", number(value + NORMAL_95 * u), "unit",
                     unit);
}

static json_t *bath_json(const nr_rig *rig, const nr_bath_report *r, size_t b)
{
    static const char *const kinds[] = {"relative", "channel", "stated", "ice", "boiling"};
    const nr_bath_plan *plan = &r->plan[b];
    json_t *o = json_pack("{s:s,s:o,s:o,s:o,s:o}", "kind", kinds[plan->kind], "bath_degC",
                          number(r->bath[b].bath_degC), "u_common_K", number(r->bath[b].u_common_K),
                          "rate_K_min", number(r->bath[b].bath_rate_K_min), "length_s",
                          number(r->length_s[b]));
    if (plan->kind == NR_BATH_CHANNEL)
        json_object_set_new(o, "reference", json_string(rig->channel[plan->reference].name));
    return o;
}

static json_t *probe_json(const nr_bath_probe *p)
{
    return json_pack("{s:I,s:o,s:o,s:o,s:o,s:b,s:b}", "readings", (json_int_t)p->count,
                     "difference", quantity(p->difference_K, p->u_own_K, "K"), "scatter_K",
                     number(p->sd_K), "lag1", number(p->lag1), "drift",
                     quantity(p->drift_K, p->u_drift_K, "K"), "drifts", p->drifts, "constant",
                     p->constant);
}

static json_t *set_json(const nr_rig *rig, const nr_bath_report *r, const nr_bath_key_set *set)
{
    nr_bath_entry entry[NR_BATH_KEYS_MOST];
    size_t n = nr_bath_entries(set, entry);
    json_t *baths = json_array(), *key_object = json_object();
    for (size_t b = 0; b < r->baths; b++)
        json_array_append_new(baths, probe_json(&set->probe[b]));
    for (size_t k = 0; k < n; k++) {
        double value;
        bool numeric = nr_parse_double(entry[k].value, &value);
        json_object_set_new(key_object, entry[k].key,
                            numeric ? json_real(value) : json_string(entry[k].value));
    }
    return json_pack("{s:s,s:o,s:o}", "channel", rig->channel[set->channel].name, "baths", baths,
                     "keys", key_object);
}

int nr_bath_show_json(FILE *to, const nr_rig *rig, const nr_bath_report *r)
{
    json_t *baths = json_array(), *channels = json_array();
    for (size_t b = 0; b < r->baths; b++)
        json_array_append_new(baths, bath_json(rig, r, b));
    for (size_t i = 0; i < r->probes; i++)
        json_array_append_new(channels, set_json(rig, r, &r->set[i]));
    json_t *top = json_pack("{s:o,s:o,s:o,s:b}", "baths", baths, "channels", channels, "spread_K",
                            number(nr_bath_spread_K(r)), "common_left_out", r->whole);
    int failed = !top || json_dumpf(top, to, JSON_INDENT(2) | JSON_REAL_PRECISION(8)) != 0;
    fputc('\n', to);
    json_decref(top);
    return failed ? NR_BAD : NR_OK;
}
