/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several collectors on one rig: whose is which channel, and the view of one of them. */
#include "logger/base/text.h"
#include "logger/run/meaning.h"
#include "logger/run/rig_parse.h"

#include <string.h>

/* --- sections to builds -------------------------------------------------------------------- */

static void plain_store(nr_rig *rig, nr_rig_problems *problems)
{
    nr_rig_build *only = &rig->build[0];
    if (rig->store.line_number == 0)
        return;
    if (rig->builds == 1 && only->store.line_number == 0)
        only->store = rig->store;
    else if (rig->builds == 1)
        nr_rig_problem(problems, rig->store.line_number,
                       "[store]: [store %s] is there as well, on line %ld; keep one of them",
                       only->name, only->store.line_number);
    else
        nr_rig_problem(problems, rig->store.line_number,
                       "[store]: several collectors cannot heat one container: nothing in the "
                       "record would tell how much heat is whose; write [store %s] and so on, one "
                       "for each",
                       only->name);
}

static void check_names(const nr_rig_build *b, const nr_rig *rig, nr_rig_problems *problems)
{
    if (b->collector.line_number == 0)
        nr_rig_problem(problems, b->store.line_number,
                       "[store %s]: there is no [collector %s] that heats it", b->name, b->name);
    else if (rig->collector.line_number > 0 && b == rig->build)
        nr_rig_problem(problems, rig->collector.line_number,
                       "[collector]: [collector %s] has a name, on line %ld; with several, each "
                       "needs one",
                       b->name, b->collector.line_number);
    else if (strcmp(b->name, b->collector.name) != 0)
        nr_rig_problem(problems, b->collector.line_number,
                       "[collector %s]: its name stands in the heading; leave out name = %s",
                       b->name, b->collector.name);
}

void nr_rig_join_builds(nr_rig *rig, nr_rig_problems *problems)
{
    for (size_t i = 0; i < rig->builds; i++)
        check_names(&rig->build[i], rig, problems);
    if (rig->builds == 0) {
        rig->builds = 1;
        rig->build[0].collector = rig->collector;
        rig->build[0].store = rig->store;
        return;
    }
    plain_store(rig, problems);
    rig->collector = rig->build[0].collector;
    rig->store = rig->build[0].store;
}

size_t nr_rig_build_find(const nr_rig *rig, const char *name)
{
    for (size_t i = 0; i < rig->builds; i++)
        if (strcmp(rig->build[i].name, name) == 0 ||
            strcmp(rig->build[i].collector.name, name) == 0)
            return i;
    return rig->builds;
}

void nr_rig_build_names(const nr_rig *rig, char *out, size_t size)
{
    size_t used = 0;
    nr_copy(out, size, "");
    for (size_t i = 0; i < rig->builds && used < size; i++) {
        int more = snprintf(out + used, size - used, "%s%s", i > 0 ? ", " : "",
                            rig->build[i].collector.name);
        used += more > 0 ? (size_t)more : 0;
    }
}

/* --- channels to builds -------------------------------------------------------------------- */

static const nr_meaning *meaning_of(const nr_rig_channel *c)
{
    return nr_meaning_find(c->role[0] ? c->role : c->name);
}

/* The channel that has this meaning in a build: the build's own before a shared one. */
static const nr_rig_channel *stands_for(const nr_rig *rig, const nr_meaning *meaning, size_t build)
{
    const nr_rig_channel *shared = NULL;
    for (size_t i = 0; i < rig->channels; i++) {
        const nr_rig_channel *c = &rig->channel[i];
        if (meaning_of(c) != meaning)
            continue;
        if (c->of[0] && nr_rig_build_find(rig, c->of) == build)
            return c;
        if (!c->of[0])
            shared = c;
    }
    return shared;
}

const nr_rig_channel *nr_rig_channel_of(const nr_rig *rig, size_t build, const char *role)
{
    const nr_meaning *meaning = nr_meaning_find(role);
    return meaning ? stands_for(rig, meaning, build) : NULL;
}

const char *nr_rig_channel_role(const nr_rig_channel *c)
{
    const nr_meaning *meaning = meaning_of(c);
    return meaning ? meaning->channel : NULL;
}

static void list_meanings(char *out, size_t size)
{
    size_t used = 0;
    const nr_meaning *m;
    nr_copy(out, size, "");
    for (size_t i = 0; (m = nr_meaning_at(i)) != NULL && used < size; i++) {
        int more = snprintf(out + used, size - used, "%s%s", i > 0 ? ", " : "", m->channel);
        used += more > 0 ? (size_t)more : 0;
    }
}

static void check_role(const nr_rig_channel *c, nr_rig_problems *problems)
{
    const nr_meaning *meaning = nr_meaning_find(c->role);
    char names[200], units[200];
    if (!meaning) {
        list_meanings(names, sizeof names);
        nr_rig_problem(problems, c->line_number,
                       "[channel %s] role = \"%s\": no channel has that meaning; use one of: %s",
                       c->name, c->role, names);
    } else if (!nr_meaning_accepts(meaning, c->unit->dimension)) {
        nr_meaning_units(meaning, units, sizeof units);
        nr_rig_problem(problems, c->line_number,
                       "[channel %s] role = %s is %s: its unit is one of %s, not %s", c->name,
                       c->role, meaning->text, units, c->unit->name);
    }
}

static void check_owner(const nr_rig *rig, const nr_rig_channel *c, nr_rig_problems *problems)
{
    const nr_meaning *meaning = meaning_of(c);
    char names[NR_RIG_BUILDS * (NR_NAME + 2)];
    nr_rig_build_names(rig, names, sizeof names);
    if (c->of[0] && nr_rig_build_find(rig, c->of) == rig->builds)
        nr_rig_problem(problems, c->line_number,
                       "[channel %s] of = \"%s\": there is no collector of that name%s%s", c->name,
                       c->of, names[0] ? "; there is: " : "", names);
    else if (!c->of[0] && rig->builds > 1 && meaning && meaning->own)
        nr_rig_problem(problems, c->line_number,
                       "[channel %s] whose is it? %s is read at one collector; write of = with one "
                       "of: %s",
                       c->name, meaning->channel, names);
}

/* The same meaning twice in a build: only one could be used. */
static void check_rivals(const nr_rig *rig, size_t index, nr_rig_problems *problems)
{
    const nr_rig_channel *c = &rig->channel[index];
    const nr_meaning *meaning = meaning_of(c);
    for (size_t i = 0; i < index && meaning; i++) {
        const nr_rig_channel *o = &rig->channel[i];
        bool same_owner = c->of[0] && o->of[0]
                              ? nr_rig_build_find(rig, c->of) == nr_rig_build_find(rig, o->of)
                              : c->of[0] == o->of[0];
        if (!same_owner || meaning_of(o) != meaning)
            continue;
        nr_rig_problem(problems, c->line_number,
                       "[channel %s] is %s, but so is [channel %s] on line %ld; give one of them "
                       "another role, or another collector with of =",
                       c->name, meaning->channel, o->name, o->line_number);
        return;
    }
}

/* A sensor is one thing in one place: the same word in two roles would tie two readings to one
 * error. (Of other channels it is the owner's business.) */
static void check_sensor(const nr_rig *rig, size_t index, nr_rig_problems *problems)
{
    const nr_rig_channel *c = &rig->channel[index];
    for (size_t i = 0; i < index && c->sensor[0] && meaning_of(c); i++) {
        const nr_rig_channel *o = &rig->channel[i];
        if (strcmp(o->sensor, c->sensor) != 0 || !meaning_of(o))
            continue;
        nr_rig_problem(
            problems, c->line_number,
            "[channel %s] sensor = \"%s\": that sensor is also [channel %s] on line %ld; "
            "one sensor cannot be in two places, give each its own word",
            c->name, c->sensor, o->name, o->line_number);
        return;
    }
}

void nr_rig_check_builds(const nr_rig *rig, nr_rig_problems *problems)
{
    for (size_t i = 0; i < rig->builds; i++) {
        const nr_rig_collector *c = &rig->build[i].collector;
        const char *name = rig->build[i].name;
        if (c->iam.line > 0 && c->iam_b0.line > 0)
            nr_rig_problem(problems, c->iam.line > c->iam_b0.line ? c->iam.line : c->iam_b0.line,
                           "[collector%s%s] iam and iam_b0 are the same thing, a table and a "
                           "constant; keep one of them",
                           name[0] ? " " : "", name);
    }
    for (size_t i = 0; i < rig->channels; i++) {
        const nr_rig_channel *c = &rig->channel[i];
        if (c->role[0])
            check_role(c, problems);
        check_owner(rig, c, problems);
        check_rivals(rig, i, problems);
        check_sensor(rig, i, problems);
    }
}

/* --- the view of one ----------------------------------------------------------------------- */

/* A unit of the channel's own points into the channel. */
static void move_channel(nr_rig_channel *to, const nr_rig_channel *from)
{
    bool own = from->unit == &from->own_unit;
    if (to == from)
        return;
    *to = *from;
    if (!own)
        return;
    to->unit = &to->own_unit;
    to->own_unit.name = to->own_unit.label = to->own_unit_name;
}

void nr_rig_choose(nr_rig *rig, size_t build)
{
    size_t kept = 0;
    bool in_view[NR_RIG_CHANNELS];
    for (size_t i = 0; i < rig->channels; i++) {
        const nr_rig_channel *c = &rig->channel[i];
        const nr_meaning *m = meaning_of(c);
        bool others = c->of[0] && nr_rig_build_find(rig, c->of) != build;
        in_view[i] = !others && (!m || stands_for(rig, m, build) == c);
    }
    for (size_t i = 0; i < rig->channels; i++) {
        if (!in_view[i])
            continue;
        const nr_meaning *m = meaning_of(&rig->channel[i]);
        move_channel(&rig->channel[kept], &rig->channel[i]);
        if (m)
            nr_copy(rig->channel[kept].name, NR_NAME, m->channel);
        kept++;
    }
    rig->channels = kept;
    if (build > 0)
        rig->build[0] = rig->build[build];
    rig->builds = 1;
    rig->collector = rig->build[0].collector;
    rig->store = rig->build[0].store;
}

void nr_rig_view(const nr_rig *rig, size_t build, nr_rig *view)
{
    *view = *rig;
    for (size_t i = 0; i < rig->channels; i++)
        move_channel(&view->channel[i], &rig->channel[i]);
    nr_rig_choose(view, build);
}
