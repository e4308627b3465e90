/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/ask/interim.h"

#include "logger/base/text.h"

#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* A half-width of more than this is no answer: the efficiency is a number from 0 to 1. */
#define WIDEST 0.5

static void take_text(const json_t *object, const char *key, char *out, size_t size)
{
    const json_t *text = json_object_get(object, key);
    out[0] = '\0';
    if (json_is_string(text))
        nr_clean(out, size, json_string_value(text), json_string_length(text));
}

static double number_of(const json_t *object, const char *key)
{
    const json_t *n = json_object_get(object, key);
    return json_is_number(n) ? json_number_value(n) : NAN;
}

static nr_interim_range range_of(const json_t *object, const char *key)
{
    const json_t *q = json_object_get(object, key);
    return (nr_interim_range){number_of(q, "value"), number_of(q, "lo95"), number_of(q, "hi95")};
}

/* --- the fit ------------------------------------------------------------------------------- */

static bool take_collector(nr_interim *interim, const json_t *fit)
{
    const json_t *parameters = json_object_get(fit, "parameters");
    if (!json_is_object(parameters) || interim->collectors == NR_INTERIM_COLLECTORS)
        return false;
    nr_interim_collector *c = &interim->collector[interim->collectors++];
    take_text(json_object_get(fit, "collector"), "name", c->name, sizeof c->name);
    c->efficiency = range_of(json_object_get(fit, "energy"), "run_efficiency");
    c->eta0 = range_of(parameters, "eta0");
    c->a1 = range_of(parameters, "a1");
    if (!interim->grade[0] || strcmp(interim->grade, "good") == 0) /* the worst counts */
        take_text(json_object_get(fit, "trust"), "grade", interim->grade, sizeof interim->grade);
    return true;
}

bool nr_interim_fit(nr_interim *interim, const char *text, size_t length)
{
    json_t *root = json_loadb(text, length, 0, NULL), *each;
    size_t i;
    interim->fitted = false;
    interim->why_not[0] = interim->grade[0] = '\0';
    interim->collectors = 0;
    const json_t *several = json_object_get(root, "collectors");
    if (json_is_array(several)) {
        json_array_foreach(several, i, each) interim->fitted |= take_collector(interim, each);
    } else {
        interim->fitted = take_collector(interim, root);
    }
    json_decref(root);
    return interim->fitted;
}

/* Takes a word and what follows it off the front. */
static const char *behind(const char *text, const char *start)
{
    size_t n = strlen(start);
    return n > 0 && strncmp(text, start, n) == 0 && strncmp(text + n, ": ", 2) == 0 ? text + n + 2
                                                                                    : text;
}

void nr_interim_refused(nr_interim *interim, const char *message, size_t length, const char *folder)
{
    char line[2 * NR_INTERIM_TEXT];
    const char *end = memchr(message, '\n', length);
    nr_clean(line, sizeof line, message, end ? (size_t)(end - message) : length);
    interim->fitted = false;
    interim->collectors = 0;
    interim->grade[0] = '\0';
    nr_copy(interim->why_not, sizeof interim->why_not,
            line[0] ? behind(behind(line, "noonfit"), folder) : "noonfit ended without a word");
}

/* --- the findings -------------------------------------------------------------------------- */

static int weight(const char *severity)
{
    return strcmp(severity, "fault") == 0 ? 2 : strcmp(severity, "doubt") == 0;
}

static void take_findings(nr_interim *interim, const json_t *list, int of_weight)
{
    json_t *each;
    size_t i;
    json_array_foreach(list, i, each)
    {
        nr_interim_finding f;
        take_text(each, "code", f.code, sizeof f.code);
        take_text(each, "severity", f.severity, sizeof f.severity);
        take_text(each, "text", f.text, sizeof f.text);
        if (f.text[0] && weight(f.severity) == of_weight && interim->findings < NR_INTERIM_FINDINGS)
            interim->finding[interim->findings++] = f;
    }
}

bool nr_interim_inspect(nr_interim *interim, const char *text, size_t length)
{
    json_t *root = json_loadb(text, length, 0, NULL);
    const json_t *list = json_object_get(root, "findings");
    bool is_list = json_is_array(list);
    if (is_list) {
        interim->findings = 0;
        for (int w = 2; w >= 0; w--)
            take_findings(interim, list, w);
    }
    json_decref(root);
    return is_list;
}

/* --- words --------------------------------------------------------------------------------- */

static bool is_known(const nr_interim_range *r)
{
    return isfinite(r->value) && isfinite(r->lo95) && isfinite(r->hi95) && r->hi95 > r->lo95;
}

static const nr_interim_collector *pick(const nr_interim *interim, size_t i)
{
    return interim && interim->fitted && i < interim->collectors ? &interim->collector[i] : NULL;
}

/* "name: " where there are several. */
static void prefix(const nr_interim *interim, size_t i, char *out, size_t size)
{
    out[0] = '\0';
    if (interim->collectors > 1)
        snprintf(out, size, "%.24s: ", interim->collector[i].name);
}

void nr_interim_efficiency_words(const nr_interim *interim, size_t i, char *out, size_t size)
{
    const nr_interim_collector *c = pick(interim, i);
    char name[NR_NAME];
    out[0] = '\0';
    if (!c || !is_known(&c->efficiency))
        return;
    prefix(interim, i, name, sizeof name);
    snprintf(out, size, "%s%.0f %% of the sun so far in the water (%.0f to %.0f)", name,
             100.0 * c->efficiency.value, 100.0 * c->efficiency.lo95, 100.0 * c->efficiency.hi95);
}

void nr_interim_stop_words(const nr_interim *interim, size_t i, bool recording, char *out,
                           size_t size)
{
    const nr_interim_collector *c = pick(interim, i);
    char name[NR_NAME];
    out[0] = '\0';
    if (!c)
        return;
    prefix(interim, i, name, sizeof name);
    const char *when = recording ? "if you stop now" : "this run";
    double half = (c->eta0.hi95 - c->eta0.lo95) / 2.0;
    if (is_known(&c->eta0) && half < WIDEST)
        snprintf(out, size, "%s%s: eta0 %.2f +- %.*f (95 %%)", name, when, c->eta0.value,
                 half < 0.0095 ? 3 : 2, half);
    else
        snprintf(out, size, "%s%s: nothing to tell the efficiency by", name, when);
}
