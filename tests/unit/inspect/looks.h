/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For the tests of inspect: ask and find, and a few ways to spoil that several tests share. */
#ifndef NR_TESTS_LOOKS_H
#define NR_TESTS_LOOKS_H

#include "analyze/inspect/inspect.h"
#include "tests/unit/quality/records.h"

/* Not inlined: gcc 12 then takes the local pointer for a dangling one. */
__attribute__((noinline, unused)) static nr_inspect *look(const nr_virtual_run *run)
{
    nr_inspect *x = NULL;
    nr_err err = {0};
    ck_assert_msg(nr_inspect_run(&run->run, &x, &err) == NR_OK, "%s", err.text);
    return x;
}

static inline const nr_finding *finding(const nr_inspect *x, const char *code)
{
    for (size_t i = 0; i < x->findings; i++)
        if (strcmp(nr_finding_name(x->finding[i].code), code) == 0)
            return &x->finding[i];
    return NULL;
}

static inline void hold(double *v, size_t from, size_t to)
{
    for (size_t i = from + 1; i < to; i++)
        v[i] = v[from];
}

static inline void no_value(double *v, size_t from, size_t to)
{
    for (size_t i = from; i < to; i++)
        v[i] = NAN;
}

static inline void few_spikes(nr_virtual_run *r)
{
    double *v = column(r, "inlet");
    v[900] += 5.0, v[2100] -= 3.0, v[4000] += 40.0;
}

static inline void stuck_store(nr_virtual_run *r)
{
    hold(column(r, "store"), 1500, 2300);
}

#endif
