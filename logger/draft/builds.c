/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/draft/builds.h"

#include "logger/base/text.h"
#include "logger/import/owners.h"
#include "logger/run/meaning.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

/* A key taken apart: "store_left" is the store of "left". */
typedef struct owned {
    const nr_meaning *role; /* NULL: it is no such key */
    char whose[NR_NAME];
} owned;

static bool is_name(const char *text)
{
    for (const char *p = text; *p; p++)
        if (!isalnum((unsigned char)*p) && *p != '_' && *p != '-')
            return false;
    return isalpha((unsigned char)text[0]) && strlen(text) < 32;
}

static bool is_joint(char c)
{
    return c == '_' || c == '-' || c == '.';
}

static bool digits(const char *text)
{
    return text[0] && text[strspn(text, "0123456789")] == '\0';
}

static owned take_apart(const char *key)
{
    const nr_meaning *m;
    size_t length = strlen(key);
    for (size_t i = 0; (m = nr_meaning_at(i)) != NULL; i++) {
        size_t n = strlen(m->channel);
        owned o = {.role = m};
        if (!m->own || n >= length)
            continue;
        const char *behind = key + n, *last = key + length - n;
        if (strncmp(key, m->channel, n) == 0 && is_joint(*behind) && digits(behind + 1))
            snprintf(o.whose, sizeof o.whose, "build-%.20s", behind + 1);
        else if (strncmp(key, m->channel, n) == 0 && digits(behind))
            snprintf(o.whose, sizeof o.whose, "build-%.20s", behind);
        else if (strncmp(key, m->channel, n) == 0 && is_joint(*behind))
            nr_copy(o.whose, sizeof o.whose, behind + 1);
        else if (strcmp(last, m->channel) == 0 && is_joint(last[-1]))
            snprintf(o.whose, sizeof o.whose, "%.*s", (int)(last - 1 - key), key);
        if (is_name(o.whose) && !nr_owner_is_place(o.whose))
            return o;
    }
    return (owned){.role = NULL};
}

/* Whether another field has the same role of somebody else. */
static bool has_a_neighbour(const nr_draft_guess *g, size_t index, const owned *o)
{
    for (size_t i = 0; i < g->fields; i++) {
        owned other = take_apart(g->field[i].name);
        if (i != index && other.role == o->role && strcmp(other.whose, o->whose) != 0)
            return true;
    }
    return false;
}

static size_t build_of(nr_draft_guess *g, const char *name)
{
    for (size_t i = 0; i < g->builds; i++)
        if (strcmp(g->build[i], name) == 0)
            return i + 1;
    if (g->builds == NR_RIG_BUILDS)
        return 0;
    nr_copy(g->build[g->builds++], NR_NAME, name);
    return g->builds;
}

void nr_draft_find_builds(nr_draft_guess *g)
{
    for (size_t i = 0; i < g->fields; i++) {
        owned o = take_apart(g->field[i].name);
        if (o.role && has_a_neighbour(g, i, &o))
            (void)build_of(g, o.whose);
    }
    for (size_t i = 0; i < g->fields; i++) {
        nr_draft_field *f = &g->field[i];
        owned o = take_apart(f->name);
        for (size_t b = 0; o.role && b < g->builds; b++)
            if (strcmp(g->build[b], o.whose) == 0) {
                f->role_name = o.role->channel;
                f->of = b + 1;
            }
    }
}

nr_code nr_draft_add_build(nr_draft_guess *g, const char *name, nr_err *err)
{
    if (!is_name(name))
        return nr_fail(err, NR_BAD, NULL, 0,
                       "\"%s\": a collector's name starts with a letter and goes on with letters, "
                       "digits, _ and -",
                       name);
    size_t before = g->builds;
    for (size_t i = 0; i < before; i++)
        if (strcmp(g->build[i], name) == 0)
            return NR_OK; /* the adapter's own keys named it, too */
    if (build_of(g, name) == 0)
        return nr_fail(err, NR_BAD, NULL, 0, "at most %d collectors", NR_RIG_BUILDS);
    return NR_OK;
}
