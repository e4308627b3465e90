/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For the tests that work out a second time what inspect says: drawn numbers, and the records that
 * are made of them. */
#ifndef NR_TESTS_DRAWN_H
#define NR_TESTS_DRAWN_H

#include "tests/unit/chance.h"
#include "tests/unit/inspect/desk.h"

static uint64_t drawn_state;

static inline double draw(void)
{
    return chance_share(&drawn_state);
}

static inline double from_to(double least, double most)
{
    return least + (most - least) * draw();
}

static inline bool chance(double p)
{
    return draw() < p;
}

/* A value that may be stated, with or without its uncertainty. */
static inline nr_value perhaps(double value, double u)
{
    bool given = chance(0.6), u_given = given && chance(0.5);
    return (nr_value){
        .given = given, .value = given ? value : NAN, .u_given = u_given, .u = u_given ? u : NAN};
}

static inline nr_value surely(double value, double u)
{
    nr_value v = perhaps(value, u);
    return (nr_value){.given = true, .value = value, .u_given = v.u_given, .u = v.u};
}

static inline void state_of(desk *d, const char *name, double u_offset, double u_gain)
{
    nr_rig_channel *c = &d->run.rig.channel[d->run.rig.channels++];
    snprintf(c->name, sizeof c->name, "%s", name);
    c->u_offset = chance(0.5) ? u_offset : NAN;
    c->u_gain = chance(0.5) ? u_gain : NAN;
    c->law = nr_law_find("none");
}

static inline const nr_rig_channel *stated(const desk *d, const char *name)
{
    for (size_t i = 0; i < d->run.rig.channels; i++)
        if (strcmp(d->run.rig.channel[i].name, name) == 0)
            return &d->run.rig.channel[i];
    return NULL;
}

/* A reading that is there and not marked, else NAN. */
static inline double good(const desk *d, nr_role role, size_t i)
{
    return d->bad[role][i] ? NAN : d->value[role][i];
}

static inline void spoil(desk *d, nr_role role, double share)
{
    for (size_t i = 0; i < ROWS; i++) {
        if (chance(share))
            d->bad[role][i] = NR_BAD_SPIKE;
        else if (chance(share))
            d->value[role][i] = NAN;
    }
}

/* Not recorded for a while. */
static inline void hole(desk *d, nr_role role, size_t from, size_t rows)
{
    for (size_t i = from; i < from + rows && i < ROWS; i++)
        d->value[role][i] = NAN;
}

static inline void rows_every(desk *d, double interval_s)
{
    for (size_t i = 0; i < ROWS; i++)
        d->elapsed_s[i] = interval_s * (double)i;
    d->q.interval_s = interval_s;
    d->q.duration_s = interval_s * LAST;
    d->q.busy_s = d->q.elapsed_s;
}

static inline int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Compares what was found with what is expected, in any order: code, how bad, channel, when,
 * numbers. */
typedef struct expected {
    size_t count;
    nr_finding one[NR_FINDINGS];
} expected;

static inline void expect(expected *e, nr_finding_code code, nr_severity severity, const char *of,
                          double from_s, double to_s, double n0, double n1, double n2)
{
    nr_finding *f = &e->one[e->count++];
    *f = (nr_finding){
        .code = code, .severity = severity, .from_s = from_s, .to_s = to_s, .number = {n0, n1, n2}};
    snprintf(f->channel, sizeof f->channel, "%s", of);
}

static inline void same_number(const char *what, double a, double b)
{
    ck_assert_msg((isnan(a) && isnan(b)) || fabs(a - b) <= 1e-9 * (1 + fabs(b)),
                  "%s: %.12g for %.12g", what, a, b);
}

static inline void same_findings(int nth, const nr_inspect *x, const expected *e)
{
    char what[96];
    for (size_t i = 0; i < x->findings || i < e->count; i++) {
        const char *is = i < x->findings ? nr_finding_name(x->finding[i].code) : "nothing";
        const char *due = i < e->count ? nr_finding_name(e->one[i].code) : "nothing";
        snprintf(what, sizeof what, "record %d, %s", nth, due);
        ck_assert_msg(strcmp(is, due) == 0, "record %d: %s found for %s", nth, is, due);
        const nr_finding *f = &x->finding[i], *g = &e->one[i];
        ck_assert_msg(f->code == g->code && f->severity == g->severity &&
                          strcmp(f->channel, g->channel) == 0,
                      "%s: %d %d %s", what, (int)f->code, (int)f->severity, f->channel);
        same_number(what, f->from_s, g->from_s);
        same_number(what, f->to_s, g->to_s);
        for (int k = 0; k < NR_FINDING_NUMBERS; k++)
            same_number(what, f->number[k], g->number[k]);
    }
}

#endif
