/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/serve/state.h"

#include "analyze/physics/cautions.h"
#include "logger/watch/heat.h"
#include "logger/watch/target.h"
#include "logger/watch/view_words.h"

#include <jansson.h>
#include <math.h>
#include <string.h>

#define NOTES_SHOWN 20
#define FORECAST_POINTS 24
/* Ahead: at least so far, at most so far; to the target where it is in between. */
#define FORECAST_LEAST_S 900.0
#define FORECAST_MOST_S 10800.0

const char *const nr_topic_name[NR_TOPICS] = {"state", "curve", "told"};

static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static double shown_degC(const nr_view_options *o, double degC)
{
    return o->fahrenheit ? degC * 1.8 + 32.0 : degC;
}

/* Text that is not UTF-8 is no text: nr_clean has seen to it. */
static void put(json_t *to, const char *key, const char *text)
{
    json_t *string = json_string(text);
    json_object_set_new(to, key, string ? string : json_string(""));
}

/* --- state ---------------------------------------------------------------------------------- */

static json_t *forecast(const nr_tail *t, const nr_view_options *o)
{
    const nr_tail_channel *store = nr_tail_find(t, "store");
    json_t *points = json_array();
    if (!store || !t->recording || nr_pump_seen_in(t).state == NR_PUMP_STOPPED)
        return points;
    nr_trend trend = nr_trend_of(t->time_s, store->value, t->rows);
    if (!trend.known)
        return points;
    nr_slowing slowing = nr_heat_slowing(t->has_rig ? &t->rig : NULL);
    nr_time_to eta = nr_trend_time_to(&trend, o->target_degC, slowing);
    double ahead = eta.kind == NR_TIME_TO_COMING ? 1.1 * fmin(eta.hi95_s, 1.5 * eta.seconds) : 0.0;
    ahead = fmin(fmax(ahead, FORECAST_LEAST_S), FORECAST_MOST_S);
    for (int i = 0; i <= FORECAST_POINTS; i++) {
        double after = ahead * i / FORECAST_POINTS, lo, hi;
        double mid = nr_trend_ahead(&trend, slowing, after, &lo, &hi);
        json_t *point = json_array();
        json_array_append_new(point, number(trend.at_s + after));
        json_array_append_new(point, number(shown_degC(o, mid)));
        json_array_append_new(point, number(shown_degC(o, lo)));
        json_array_append_new(point, number(shown_degC(o, hi)));
        json_array_append_new(points, point);
    }
    return points;
}

static json_t *channels(const nr_tail *t, const nr_view_options *o)
{
    json_t *list = json_array();
    for (size_t i = 0; i < t->channels; i++) {
        const nr_tail_channel *c = &t->channel[i];
        char now[24], remark[80];
        json_t *one = json_object();
        nr_view_remark(t, c, remark, sizeof remark);
        nr_view_number(c, o->fahrenheit, remark[0] ? NAN : c->last, now, sizeof now);
        put(one, "name", c->name);
        put(one, "now", now);
        put(one, "unit", nr_view_label(c, o));
        put(one, "remark", remark);
        json_array_append_new(list, one);
    }
    return list;
}

static bool scalds(const nr_tail *t)
{
    static const char *const wet[] = {"store", "outlet", "inlet"};
    for (int i = 0; i < 3; i++) {
        const nr_tail_channel *c = nr_tail_find(t, wet[i]);
        if (c && c->last >= NR_SCALD_FROM_DEGC)
            return true;
    }
    return false;
}

static json_t *state(const nr_tail *t, const nr_view_options *o)
{
    nr_view_words w;
    json_t *root = json_object();
    const char *slash = strrchr(t->folder, '/');
    const char *name = slash && slash[1] ? slash + 1 : t->folder;
    nr_view_say(t, o, &w);
    put(root, "title", t->has_rig && t->rig.title[0] ? t->rig.title : name);
    put(root, "water", w.water);
    put(root, "unit", w.unit);
    put(root, "rate", w.rate);
    put(root, "heat", w.heat);
    put(root, "target", w.target);
    put(root, "sun", w.sun);
    put(root, "pump", w.pump);
    put(root, "state", w.state);
    put(root, "warning", w.warning);
    put(root, "trouble", t->trouble);
    json_object_set_new(root, "strange", json_boolean(w.state_strange));
    json_object_set_new(root, "recording", json_boolean(t->recording));
    json_object_set_new(root, "stopped", json_boolean(nr_pump_seen_in(t).state == NR_PUMP_STOPPED));
    json_object_set_new(root, "scald", json_boolean(scalds(t)));
    json_object_set_new(root, "target_value", number(shown_degC(o, o->target_degC)));
    json_object_set_new(
        root, "reached",
        json_boolean(!isnan(o->target_degC) && nr_target_reached(t, o->target_degC)));
    json_object_set_new(root, "forecast", forecast(t, o));
    json_object_set_new(root, "channels", channels(t, o));
    return root;
}

/* --- curve ---------------------------------------------------------------------------------- */

static json_t *series(const nr_tail *t, const char *name, bool fahrenheit)
{
    const nr_tail_channel *c = nr_tail_find(t, name);
    if (!c)
        return json_null();
    json_t *list = json_array();
    for (size_t i = 0; i < t->history.count; i++) {
        double value = nr_history_value(&t->history, (size_t)(c - t->channel), i);
        json_array_append_new(list, number(nr_view_shown(c, fahrenheit, value)));
    }
    return list;
}

static json_t *curve(const nr_tail *t, const nr_view_options *o)
{
    json_t *root = json_object();
    static const char *const names[] = {"store", "outlet", "air", "sun", "flow"};
    json_object_set_new(root, "span_s", number(t->history.span_s));
    put(root, "unit", o->fahrenheit ? "°F" : "°C");
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        json_object_set_new(root, names[i], series(t, names[i], o->fahrenheit));
    const nr_tail_channel *sun = nr_tail_find(t, "sun");
    put(root, "sun_unit", sun ? nr_view_label(sun, o) : "");
    return root;
}

/* --- told ----------------------------------------------------------------------------------- */

static json_t *notes(const nr_tail *t)
{
    json_t *list = json_array();
    size_t count = t->notes ? t->notes->count : 0;
    for (size_t i = count > NOTES_SHOWN ? count - NOTES_SHOWN : 0; i < count; i++) {
        const nr_note *n = &t->notes->note[i];
        char clock[32];
        json_t *one = json_object();
        nr_view_clock(n->elapsed_s, clock, sizeof clock);
        put(one, "at", clock);
        json_object_set_new(one, "s", number(n->elapsed_s));
        put(one, "kind", nr_note_kind_name(n->kind));
        put(one, "text", n->text);
        json_array_append_new(list, one);
    }
    return list;
}

static json_t *told(const nr_tail *t, const nr_view_options *o)
{
    json_t *root = json_object(), *efficiency = json_array(), *stop = json_array(),
           *findings = json_array();
    const nr_interim *from = o->interim;
    char text[NR_VIEW_WORDS];
    for (size_t i = 0; from && i < from->collectors; i++) {
        nr_interim_efficiency_words(from, i, text, sizeof text);
        if (text[0])
            json_array_append_new(efficiency, json_string(text));
        nr_interim_stop_words(from, i, t->recording, text, sizeof text);
        json_array_append_new(stop, json_string(text));
    }
    for (size_t i = 0; from && i < from->findings; i++) {
        json_t *one = json_object();
        if (t->recording && strcmp(from->finding[i].code, "too-short") == 0)
            put(one, "severity", "note"); /* it has only begun */
        else
            put(one, "severity", from->finding[i].severity);
        put(one, "text", from->finding[i].text);
        json_array_append_new(findings, one);
    }
    put(root, "why_not", from && !from->fitted ? from->why_not : "");
    put(root, "grade", from ? from->grade : "");
    json_object_set_new(root, "efficiency", efficiency);
    json_object_set_new(root, "stop", stop);
    json_object_set_new(root, "findings", findings);
    json_object_set_new(root, "notes", notes(t));
    return root;
}

char *nr_state_json(nr_topic topic, const nr_tail *t, const nr_view_options *o)
{
    json_t *root = topic == NR_TOPIC_CURVE  ? curve(t, o)
                   : topic == NR_TOPIC_TOLD ? told(t, o)
                                            : state(t, o);
    char *text = json_dumps(root, JSON_COMPACT | JSON_REAL_PRECISION(6));
    json_decref(root);
    return text;
}
