/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/live/told.h"

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

static nr_told_range range_of(const json_t *object, const char *key)
{
    const json_t *q = json_object_get(object, key);
    return (nr_told_range){number_of(q, "value"), number_of(q, "lo95"), number_of(q, "hi95")};
}

/* --- the fit ------------------------------------------------------------------------------- */

static bool take_collector(nr_told *told, const json_t *fit)
{
    const json_t *parameters = json_object_get(fit, "parameters");
    if (!json_is_object(parameters) || told->collectors == NR_TOLD_COLLECTORS)
        return false;
    nr_told_collector *c = &told->collector[told->collectors++];
    take_text(json_object_get(fit, "collector"), "name", c->name, sizeof c->name);
    c->efficiency = range_of(json_object_get(fit, "energy"), "run_efficiency");
    c->eta0 = range_of(parameters, "eta0");
    c->a1 = range_of(parameters, "a1");
    if (!told->grade[0] || strcmp(told->grade, "good") == 0) /* the worst counts */
        take_text(json_object_get(fit, "trust"), "grade", told->grade, sizeof told->grade);
    return true;
}

bool nr_told_fit(nr_told *told, const char *text, size_t length)
{
    json_t *root = json_loadb(text, length, 0, NULL), *each;
    size_t i;
    told->fitted = false;
    told->why_not[0] = told->grade[0] = '\0';
    told->collectors = 0;
    const json_t *several = json_object_get(root, "collectors");
    if (json_is_array(several)) {
        json_array_foreach(several, i, each) told->fitted |= take_collector(told, each);
    } else {
        told->fitted = take_collector(told, root);
    }
    json_decref(root);
    return told->fitted;
}

/* Takes a word and what follows it off the front. */
static const char *behind(const char *text, const char *start)
{
    size_t n = strlen(start);
    return n > 0 && strncmp(text, start, n) == 0 && strncmp(text + n, ": ", 2) == 0 ? text + n + 2
                                                                                    : text;
}

void nr_told_refused(nr_told *told, const char *message, size_t length, const char *folder)
{
    char line[2 * NR_TOLD_TEXT];
    const char *end = memchr(message, '\n', length);
    nr_clean(line, sizeof line, message, end ? (size_t)(end - message) : length);
    told->fitted = false;
    told->collectors = 0;
    told->grade[0] = '\0';
    nr_copy(told->why_not, sizeof told->why_not,
            line[0] ? behind(behind(line, "noonfit"), folder) : "noonfit ended without a word");
}

/* --- the findings -------------------------------------------------------------------------- */

static int weight(const char *severity)
{
    return strcmp(severity, "fault") == 0 ? 2 : strcmp(severity, "doubt") == 0;
}

static void take_findings(nr_told *told, const json_t *list, int of_weight)
{
    json_t *each;
    size_t i;
    json_array_foreach(list, i, each)
    {
        nr_told_finding f;
        take_text(each, "code", f.code, sizeof f.code);
        take_text(each, "severity", f.severity, sizeof f.severity);
        take_text(each, "text", f.text, sizeof f.text);
        if (f.text[0] && weight(f.severity) == of_weight && told->findings < NR_TOLD_FINDINGS)
            told->finding[told->findings++] = f;
    }
}

bool nr_told_inspect(nr_told *told, const char *text, size_t length)
{
    json_t *root = json_loadb(text, length, 0, NULL);
    const json_t *list = json_object_get(root, "findings");
    bool is_list = json_is_array(list);
    if (is_list) {
        told->findings = 0;
        for (int w = 2; w >= 0; w--)
            take_findings(told, list, w);
    }
    json_decref(root);
    return is_list;
}

/* --- words --------------------------------------------------------------------------------- */

static bool is_known(const nr_told_range *r)
{
    return isfinite(r->value) && isfinite(r->lo95) && isfinite(r->hi95) && r->hi95 > r->lo95;
}

static const nr_told_collector *pick(const nr_told *told, size_t i)
{
    return told && told->fitted && i < told->collectors ? &told->collector[i] : NULL;
}

/* "name: " where there are several. */
static void prefix(const nr_told *told, size_t i, char *out, size_t size)
{
    out[0] = '\0';
    if (told->collectors > 1)
        snprintf(out, size, "%.24s: ", told->collector[i].name);
}

void nr_told_efficiency_words(const nr_told *told, size_t i, char *out, size_t size)
{
    const nr_told_collector *c = pick(told, i);
    char name[NR_NAME];
    out[0] = '\0';
    if (!c || !is_known(&c->efficiency))
        return;
    prefix(told, i, name, sizeof name);
    snprintf(out, size, "%s%.0f %% of the sun so far in the water (%.0f to %.0f)", name,
             100.0 * c->efficiency.value, 100.0 * c->efficiency.lo95, 100.0 * c->efficiency.hi95);
}

void nr_told_stop_words(const nr_told *told, size_t i, bool recording, char *out, size_t size)
{
    const nr_told_collector *c = pick(told, i);
    char name[NR_NAME];
    out[0] = '\0';
    if (!c)
        return;
    prefix(told, i, name, sizeof name);
    const char *when = recording ? "if you stop now" : "this run";
    double half = (c->eta0.hi95 - c->eta0.lo95) / 2.0;
    if (is_known(&c->eta0) && half < WIDEST)
        snprintf(out, size, "%s%s: eta0 %.2f +- %.*f (95 %%)", name, when, c->eta0.value,
                 half < 0.0095 ? 3 : 2, half);
    else
        snprintf(out, size, "%s%s: nothing to tell the efficiency by", name, when);
}
