/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For the tests of quality, steady windows and inspect: clean simulated records, and the means to
 * spoil them. Seeds are fixed; every failure names its seed. */
#ifndef NR_TESTS_RECORDS_H
#define NR_TESTS_RECORDS_H

#include "analyze/quality/quality.h"
#include "sample-runs/rig/virtual.h"
#include "tests/unit/near.h"

/* What a check looks at, as arrays. */
typedef struct nr_quality_input {
    size_t rows;
    const double *elapsed_s;              /* [rows] strictly increasing */
    const double *utc_s;                  /* [rows] or NULL */
    const double *value[NR_ROLES];        /* [rows] or NULL; canonical units; NAN: no reading */
    double low[NR_ROLES], high[NR_ROLES]; /* NAN: not stated */
    const nr_notes *notes;                /* or NULL */
} nr_quality_input;

static inline nr_code nr_quality_check_arrays(const nr_quality_input *input, nr_quality **out,
                                              nr_err *err)
{
    nr_quality_source source = {.rows = input->rows,
                                .elapsed_s = {.plain = input->elapsed_s},
                                .utc_s = {.plain = input->utc_s},
                                .notes = input->notes};
    for (int role = 0; role < NR_ROLES; role++) {
        source.value[role] = (nr_values){.plain = input->value[role]};
        source.low[role] = input->low[role];
        source.high[role] = input->high[role];
    }
    return nr_quality_check_values(&source, out, err);
}

typedef enum day { CLEAR, CLOUDY, STALLING, DAYS } day;
static const char *const day_name[DAYS] = {"clear", "cloudy", "stalling"};

static inline nr_virtual_params day_params(day kind, unsigned long seed)
{
    nr_virtual_params p = seed % 2 ? nr_virtual_glazed() : nr_virtual_bare();
    p.rig_seed = 100 + seed;
    p.day_seed = seed;
    if (kind == CLOUDY)
        p.sky = NR_SKY_CLOUDY;
    if (kind == STALLING)
        nr_virtual_stall_day(&p);
    return p;
}

static inline nr_virtual_run *simulate(const nr_virtual_params *p)
{
    nr_virtual_run *run = NULL;
    nr_err err = {0};
    ck_assert_msg(nr_virtual_simulate(p, &run, &err) == NR_OK, "%s", err.text);
    return run;
}

static inline nr_virtual_run *clean_record(day kind, unsigned long seed)
{
    nr_virtual_params p = day_params(kind, seed);
    return simulate(&p);
}

/* A column, writable. */
static inline double *column(nr_virtual_run *run, const char *name)
{
    nr_readings *r = run->run.readings;
    for (size_t c = 0; c < r->columns; c++)
        if (strcmp(r->column[c].channel, name) == 0)
            return r->column[c].value;
    ck_abort_msg("no column %s", name);
    return NULL;
}

static inline nr_quality *check(const nr_virtual_run *run)
{
    nr_quality *q = NULL;
    nr_err err = {0};
    ck_assert_msg(nr_quality_check(&run->run, &q, &err) == NR_OK, "%s", err.text);
    return q;
}

/* Takes rows from..to-1 out. */
static inline void cut_rows(nr_virtual_run *run, size_t from, size_t to)
{
    nr_readings *r = run->run.readings;
    size_t rest = (r->rows - to) * sizeof(double);
    memmove(r->utc_s + from, r->utc_s + to, rest);
    memmove(r->elapsed_s + from, r->elapsed_s + to, rest);
    for (size_t c = 0; c < r->columns; c++)
        memmove(r->column[c].value + from, r->column[c].value + to, rest);
    r->rows -= to - from;
}

/* A small generator of its own, so that what is injected does not hang on a library's version
 * (64-bit linear congruential, Knuth's constants). Uniform in 0..1. */
static inline double chance(unsigned long long *state)
{
    *state = *state * 6364136223846793005ULL + 1442695040888963407ULL;
    return (double)(*state >> 11) / 9007199254740992.0;
}

static inline double normal(unsigned long long *state)
{
    double u = chance(state), v = chance(state);
    return sqrt(-2.0 * log(u + 1e-300)) * cos(2.0 * M_PI * v);
}

static inline double stepped(double value, double step)
{
    return step * round(value / step);
}

#endif
