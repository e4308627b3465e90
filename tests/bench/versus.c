/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Does a comparison call a difference where there is one, and none where there is none?
 *
 * Pairs of builds are simulated side by side under one sky, one pyranometer (5 % gain uncertainty)
 * and one air probe: identical builds, and builds of which one absorbs 10 % more. Each has its own
 * thermometers, flow meter, masses and container. Counted: how often the 95 % interval of the
 * difference leaves zero, and how often it holds the true difference.
 *
 *     bench-versus [--runs N] [--first SEED]
 */
#include "analyze/compare/compare.h"
#include "sample-runs/rig/virtual.h"
#include "tests/bench/spread/spread.h"

#include <getopt.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define PYRANOMETER_U 0.05

typedef struct pair {
    int answered;
    int called_eta0, called_time; /* the interval of B - A is above zero, below: -1, else 0 */
    int holds_eta0, holds_time;
    double eta0_u, power;
} pair;

static nr_virtual_params build(const char *name, unsigned long seed, double better)
{
    nr_virtual_params p = nr_virtual_glazed();
    snprintf(p.build, sizeof p.build, "%s", name);
    p.rig_seed = p.day_seed = seed;
    p.stated.iam_b0 = 0.1;
    p.stated.optical *= better;
    p.exact_device = true; /* identical builds are identical, whatever their builder is unsure of */
    p.sensor[NR_VC_SUN].u_gain = PYRANOMETER_U;
    return p;
}

static int side(const nr_quantity *q)
{
    return !q->known ? 0 : q->lo95 > 0 ? 1 : q->hi95 < 0 ? -1 : 0;
}

static double eta0_of(const nr_virtual_run *run, const nr_fit *fit)
{
    nr_virtual_device d = run->device;
    d.optical *= 1 - d.iam_b0 * (1 / cos(fit->incidence.mean_deg * M_PI / 180) - 1);
    nr_virtual_conditions c = run->mean;
    return nr_virtual_steady(&d, &c, 0, NR_BASIS_MEAN, false).eta;
}

static double time_of(const nr_virtual_run *run, const nr_compare *c)
{
    nr_virtual_device d = run->device;
    d.optical *= 1 - d.iam_b0 * (1 / cos(c->build[0]->incidence.mean_deg * M_PI / 180) - 1);
    nr_virtual_conditions day = run->mean;
    day.sun_W_m2 = c->day.sun_W_m2;
    day.air_degC = c->day.air_degC;
    return nr_virtual_heat_up_s(&d, &day, c->day.store_kg, c->day.from_degC, c->day.to_degC,
                                12 * 3600);
}

static void judge(const nr_virtual_run *a, const nr_virtual_run *b, const nr_compare *c, pair *o)
{
    const nr_difference *d = &c->difference[0];
    double eta0 = eta0_of(b, c->build[1]) - eta0_of(a, c->build[0]);
    double time = time_of(b, c) - time_of(a, c);
    o->answered = 1;
    o->called_eta0 = side(&d->eta0);
    o->called_time = side(&d->heat_up_s);
    o->holds_eta0 = eta0 >= d->eta0.lo95 && eta0 <= d->eta0.hi95;
    o->holds_time = d->heat_up_s.known && time >= d->heat_up_s.lo95 && time <= d->heat_up_s.hi95;
    o->eta0_u = d->eta0.u;
    o->power = d->power;
}

static pair try_pair(unsigned long seed, double better)
{
    pair o = {0};
    nr_virtual_params pa = build("bench-a", seed, 1), pb = build("bench-b", seed, better);
    nr_virtual_run *a = NULL, *b = NULL;
    nr_compare *compare = NULL;
    nr_fit_options options = nr_fit_defaults();
    if (!nr_virtual_simulate(&pa, &a, NULL) && !nr_virtual_simulate(&pb, &b, NULL)) {
        const nr_run *ra = &a->run, *rb = &b->run;
        const nr_run *const *groups[2] = {&ra, &rb};
        size_t counts[2] = {1, 1};
        if (!nr_compare_builds(groups, counts, 2, NULL, &options, &compare, NULL))
            judge(a, b, compare, &o);
    }
    nr_compare_free(compare);
    nr_virtual_run_free(a);
    nr_virtual_run_free(b);
    return o;
}

typedef struct request {
    double better;
    unsigned long first;
} request;

static void trial(size_t index, const void *context, void *to)
{
    const request *q = context;
    pair o = try_pair(q->first + index, q->better);
    memcpy(to, &o, sizeof o);
}

static bool run_pairs(double better, size_t runs, unsigned long first)
{
    request q = {better, first};
    pair *all = calloc(runs, sizeof *all);
    bool good = all && nr_spread(runs, sizeof *all, trial, &q, "pairs", all);
    size_t answered = 0, eta0 = 0, time_called = 0, holds_eta0 = 0, holds_time = 0;
    double u = 0, power = 0;
    for (size_t i = 0; good && i < runs; i++) {
        const pair *o = &all[i];
        answered += (size_t)o->answered;
        eta0 += better > 1 ? o->called_eta0 > 0 : o->called_eta0 != 0;
        time_called += better > 1 ? o->called_time < 0 : o->called_time != 0;
        holds_eta0 += (size_t)o->holds_eta0;
        holds_time += (size_t)o->holds_time;
        u += o->eta0_u;
        power += o->power;
    }
    free(all);
    double m = (double)(answered ? answered : 1);
    printf("B absorbs %.2f times A: %zu of %zu answered; called different: eta0 %.3f, heat-up time "
           "%.3f; interval holds the true difference: eta0 %.3f, time %.3f; mean u(eta0 "
           "difference) %.4f, mean stated power for 10 %% %.2f\n",
           better, answered, runs, (double)eta0 / m, (double)time_called / m,
           (double)holds_eta0 / m, (double)holds_time / m, u / m, power / m);
    return good;
}

int main(int argc, char **argv)
{
    size_t runs = 500;
    unsigned long first = 1;
    static const struct option options[] = {{"runs", required_argument, NULL, 'n'},
                                            {"first", required_argument, NULL, 'f'},
                                            {NULL, 0, NULL, 0}};
    for (int c; (c = getopt_long(argc, argv, "", options, NULL)) != -1;) {
        if (c == 'n')
            runs = strtoul(optarg, NULL, 10);
        else if (c == 'f')
            first = strtoul(optarg, NULL, 10);
        else
            return 2;
    }
    printf("seeds %lu to %lu\n", first, first + runs - 1);
    bool good = run_pairs(1.0, runs, first);
    return run_pairs(1.1, runs, first) && good ? 0 : 1;
}
