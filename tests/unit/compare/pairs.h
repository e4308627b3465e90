/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For the tests of compare: two simulated builds side by side, and what is said of them. */
#ifndef NR_TESTS_PAIRS_H
#define NR_TESTS_PAIRS_H

#include "tests/unit/fit/truth.h"

/* Side by side on one day under one pyranometer of 5 % gain uncertainty; all other instruments of
 * their own. Same day_seed: the same clouds. */
static inline nr_virtual_params build_params(const char *name, unsigned long seed)
{
    nr_virtual_params p = nr_virtual_glazed();
    snprintf(p.build, sizeof p.build, "%s", name);
    p.rig_seed = seed;
    p.day_seed = seed + 500;
    p.interval_s = 5;
    p.duration_s = 3000;
    p.stated.iam_b0 = 0.1;
    p.sensor[NR_VC_SUN].u_gain = 0.05;
    snprintf(p.sensor[NR_VC_SUN].identity, sizeof p.sensor[0].identity, "roof pyranometer");
    return p;
}

static inline nr_compare *compare_runs(const nr_virtual_run *a, const nr_virtual_run *b)
{
    const nr_run *first = &a->run, *second = &b->run;
    const nr_run *const *const groups[2] = {&first, &second};
    static const size_t counts[2] = {1, 1};
    nr_fit_options options = nr_fit_defaults();
    nr_compare *c = NULL;
    nr_err err = {0};
    nr_code code = nr_compare_builds(groups, counts, 2, NULL, &options, &c, &err);
    ck_assert_msg(code == NR_OK, "%s", err.text);
    ck_assert_uint_eq(c->builds, 2);
    ck_assert_uint_eq(c->differences, 1);
    return c;
}

typedef struct pair {
    nr_virtual_run *a, *b;
    nr_compare *compare;
} pair;

static inline pair make_pair(const nr_virtual_params *p, const nr_virtual_params *q)
{
    pair x = {.a = simulate(p), .b = simulate(q)};
    x.compare = compare_runs(x.a, x.b);
    return x;
}

static inline void drop(pair *x)
{
    nr_compare_free(x->compare);
    nr_virtual_run_free(x->a);
    nr_virtual_run_free(x->b);
}

#endif
