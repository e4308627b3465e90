/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Does a comparison call a difference where there is one, and none where there is none, and are its
 * intervals as wide as its errors?
 *
 * Pairs of builds are simulated by the virtual rig, whose physics is not the fit's. Each build has
 * thermometers, flow meter, masses, area and container of its own, drawn from what its rig file
 * says of them, and probes that drift; one pyranometer of 5 % gain uncertainty and one air probe
 * stand over both.
 *
 *   equal    two of one drawing, side by side under one sky: the same in truth, each measured and
 *            weighed by itself (in all kinds but mixed)
 *   better   the second absorbs 3 % more
 *   unsaid   the same, and the rig file says nothing of back, lid, pump, plane and shade
 *   tenth    ... 10 % more
 *   mixed    the second differs at random: gain, loss, heat capacity, container, flow
 *   bare     the second has no glass
 *   apart    two of one drawing on days of their own: other clouds, another mean wind, not measured
 *
 *     bench-versus [--runs N] [--first SEED] [--kind NAME] [--short]
 *
 * More than half of the variance of a time's difference is the weighing of the water, once a build:
 * so it is told, too, how far those that were drawn are off by what was stated (1: as stated). With
 * few seeds a rms error follows them.
 *
 * Told: answered; how often the 95 % interval of the difference is wholly above or below zero; how
 * often it holds the true difference; mean error, rms error, mean u. --short: a few, within limits
 * that chance does not cross; a test.
 */
#include "analyze/compare/compare.h"
#include "sample-runs/rig/virtual.h"
#include "tests/bench/spread/spread.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

#include <getopt.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define PYRANOMETER_U 0.05
/* Probes drift: EN ISO 9806 lets the difference of two change by 0.05 K (from memory). */
#define PROBE_DRIFT_U_K 0.035

typedef struct kind {
    const char *name;
    double better; /* factor of what the second absorbs */
    bool mixed, bare, apart, unsaid;
} kind;

static const kind kinds[] = {{.name = "equal", .better = 1},
                             {.name = "better", .better = 1.03},
                             {.name = "unsaid", .better = 1.03, .unsaid = true},
                             {.name = "tenth", .better = 1.1},
                             {.name = "mixed", .better = 1, .mixed = true},
                             {.name = "bare", .better = 1, .bare = true},
                             {.name = "apart", .better = 1, .apart = true}};
#define KINDS (sizeof kinds / sizeof *kinds)

typedef struct pair {
    int answered;
    char why[200];                             /* not */
    double probability_better;                 /* stated, of the second */
    double weighing;                           /* drawn difference of it, in stated u */
    int second_is_faster;                      /* in truth */
    double error[NR_COMPARED], u[NR_COMPARED]; /* NAN: not known */
    int side[NR_COMPARED];                     /* the interval is above zero, below: -1, else 0 */
    int inside[NR_COMPARED];
} pair;

typedef struct request {
    const kind *kind;
    unsigned long first;
    bool quick;
} request;

static double between(gsl_rng *rng, double low, double high)
{
    return low + (high - low) * gsl_rng_uniform(rng);
}

/* What makes one box another. */
static void differ(nr_virtual_device *d, gsl_rng *rng)
{
    d->optical *= between(rng, 0.88, 1.08);
    d->gap0 *= between(rng, 0.75, 1.3);
    d->u0 *= between(rng, 0.6, 1.6);
    d->absorber_J_K *= between(rng, 0.6, 1.8);
    d->bond_W_K *= between(rng, 0.7, 1.4);
    d->water_kg *= between(rng, 0.8, 1.3);
    d->store_loss_W_K *= between(rng, 0.6, 1.8);
}

/* The second build is in truth what the first is; what its rig file says of it is off by errors of
 * its own. */
static void same_truth(const nr_virtual_params *first, nr_virtual_params *p)
{
    nr_virtual_device truth = nr_virtual_actual(first), here = nr_virtual_actual(p);
    p->stated.area_m2 *= truth.area_m2 / here.area_m2;
    p->stated.water_kg *= truth.water_kg / here.water_kg;
    p->stated.fluid_kg *= truth.fluid_kg / here.fluid_kg;
    p->stated.store_dry_J_K *= truth.store_dry_J_K / here.store_dry_J_K;
    p->stated.absorber_J_K *= truth.absorber_J_K / here.absorber_J_K;
}

static nr_virtual_params build(const char *name, unsigned long seed, const request *q, int which)
{
    const kind *k = q->kind;
    nr_virtual_params p = which && k->bare ? nr_virtual_bare() : nr_virtual_glazed();
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    snprintf(p.build, sizeof p.build, "%s", name);
    p.rig_seed = p.day_seed = seed;
    p.stated.iam_b0 = k->bare && which ? 0 : 0.1;
    p.sensor[NR_VC_SUN].u_gain = PYRANOMETER_U;
    p.sensor[NR_VC_INLET].u_drift = p.sensor[NR_VC_OUTLET].u_drift = PROBE_DRIFT_U_K;
    if (q->quick) {
        p.duration_s = 3600;
        p.interval_s = 5;
    }
    if (rng) {
        gsl_rng_set(rng, 2 * seed + (unsigned long)which);
        if (which)
            p.stated.optical *= k->better;
        if (which && k->mixed)
            differ(&p.stated, rng);
        if (k->apart) {
            p.day_seed = 100000 + 2 * seed + (unsigned long)which;
            p.start_utc_s += which * 3 * 86400.0;
            p.wind_m_s = between(rng, 0.5, 3);
            p.sky = gsl_rng_uniform(rng) < 0.5 ? NR_SKY_CLEAR : NR_SKY_CLOUDY;
            p.air_degC += gsl_ran_gaussian(rng, 4);
        }
    }
    gsl_rng_free(rng);
    return p;
}

/* ---- truth ---- */

static nr_virtual_device seen_at(const nr_virtual_run *run, const nr_fit *fit)
{
    nr_virtual_device d = run->device;
    d.optical *= 1 - d.iam_b0 * (1 / cos(fit->incidence.mean_deg * M_PI / 180) - 1);
    return d;
}

/* The wind that the comparison is for: the mean of both days. */
typedef struct day {
    const nr_compare *compare;
    double wind_m_s;
} day;

static double curve_of(const nr_virtual_run *run, const nr_fit *fit, const day *on, double x)
{
    nr_virtual_device d = seen_at(run, fit);
    nr_virtual_conditions c = run->mean;
    c.wind_m_s = on->wind_m_s;
    return nr_virtual_steady(&d, &c, x, NR_BASIS_MEAN, false).eta;
}

static double time_of(const nr_virtual_run *run, const nr_fit *fit, const day *on)
{
    nr_virtual_device d = seen_at(run, fit);
    const nr_reference_day *use = &on->compare->day;
    nr_virtual_conditions c = run->mean;
    c.sun_W_m2 = use->sun_W_m2;
    c.air_degC = use->air_degC;
    c.wind_m_s = on->wind_m_s;
    return nr_virtual_heat_up_s(&d, &c, use->store_kg, use->from_degC, use->to_degC, 12 * 3600);
}

static double slope_of(const nr_virtual_run *run, const nr_fit *fit, const day *on)
{
    double span = fmax(fmax(fit->x_range[1], fabs(fit->x_range[0])), 0.01);
    return (curve_of(run, fit, on, 0) - curve_of(run, fit, on, span)) / span;
}

static void judge(const nr_virtual_run *run[2], const nr_compare *c, pair *o)
{
    const nr_difference *d = &c->difference[0];
    day on = {c, (run[0]->mean.wind_m_s + run[1]->mean.wind_m_s) / 2};
    double truth[NR_COMPARED] = {0};
    for (int b = 0; b < 2; b++) {
        double sign = b ? 1 : -1;
        truth[NR_BY_ETA0] += sign * curve_of(run[b], c->build[b], &on, 0);
        truth[NR_BY_A1] += sign * slope_of(run[b], c->build[b], &on);
        truth[NR_BY_TIME] += sign * time_of(run[b], c->build[b], &on);
    }
    o->answered = 1;
    o->probability_better = d->probability_better;
    o->second_is_faster = truth[NR_BY_TIME] < 0;
    for (int by = 0; by < NR_COMPARED; by++) {
        const nr_quantity *q = nr_difference_by(d, (nr_compared)by);
        o->error[by] = q->value - truth[by];
        o->u[by] = q->u;
        o->side[by] = !q->known ? 0 : q->lo95 > 0 ? 1 : q->hi95 < 0 ? -1 : 0;
        o->inside[by] = q->known && truth[by] >= q->lo95 && truth[by] <= q->hi95;
    }
}

static double weighed_wrong(const nr_virtual_params *p)
{
    return (nr_virtual_actual(p).water_kg / p->stated.water_kg - 1) / p->u_water;
}

static void say_nothing(nr_rig *rig)
{
    rig->collector.back.kind = NR_BACK_UNKNOWN;
    rig->store.lid = NR_LID_UNKNOWN;
    rig->store.pump_W.given = false;
    for (size_t c = 0; c < rig->channels; c++) {
        rig->channel[c].shaded = NR_SHADED_UNKNOWN;
        rig->channel[c].plane = NR_PLANE_UNKNOWN;
    }
}

static void trial(size_t index, const void *context, void *to)
{
    const request *q = context;
    pair o = {0};
    nr_virtual_params pa = build("bench-a", q->first + index, q, 0);
    nr_virtual_params pb = build("bench-b", q->first + index, q, 1);
    if (!q->kind->mixed && !q->kind->bare)
        same_truth(&pa, &pb);
    nr_virtual_run *a = NULL, *b = NULL;
    nr_compare *compare = NULL;
    nr_fit_options options = nr_fit_defaults();
    if (!nr_virtual_simulate(&pa, &a, NULL) && !nr_virtual_simulate(&pb, &b, NULL)) {
        if (q->kind->unsaid) {
            say_nothing(&a->run.rig);
            say_nothing(&b->run.rig);
        }
        const nr_run *ra = &a->run, *rb = &b->run;
        const nr_run *const *groups[2] = {&ra, &rb};
        size_t counts[2] = {1, 1};
        nr_err err = {.text = ""};
        if (nr_compare_builds(groups, counts, 2, NULL, &options, &compare, &err))
            snprintf(o.why, sizeof o.why, "%.199s", err.text);
        else
            judge((const nr_virtual_run *[]){a, b}, compare, &o);
    }
    o.weighing = (weighed_wrong(&pb) - weighed_wrong(&pa)) / M_SQRT2;
    nr_compare_free(compare);
    nr_virtual_run_free(a);
    nr_virtual_run_free(b);
    memcpy(to, &o, sizeof o);
}

/* ---- sums ---- */

typedef struct sums {
    size_t answered, known[NR_COMPARED], above[NR_COMPARED], below[NR_COMPARED];
    size_t inside[NR_COMPARED];
    double error[NR_COMPARED], square[NR_COMPARED], u[NR_COMPARED];
    double stated, brier; /* of probability_better */
    double weighing;      /* sum of squares */
} sums;

static sums add_up(const pair *all, size_t runs)
{
    sums s = {0};
    for (size_t i = 0; i < runs; i++) {
        const pair *o = &all[i];
        if (!o->answered)
            continue;
        s.answered++;
        s.weighing += o->weighing * o->weighing;
        s.stated += fabs(o->probability_better - 0.5) + 0.5;
        s.brier += (o->probability_better > 0.5) == (o->second_is_faster != 0);
        for (int by = 0; by < NR_COMPARED; by++) {
            if (!isfinite(o->error[by]))
                continue;
            s.known[by]++;
            s.above[by] += o->side[by] > 0;
            s.below[by] += o->side[by] < 0;
            s.inside[by] += (size_t)o->inside[by];
            s.error[by] += o->error[by];
            s.square[by] += o->error[by] * o->error[by];
            s.u[by] += o->u[by];
        }
    }
    return s;
}

static void print_unanswered(const pair *all, size_t runs, unsigned long first)
{
    for (size_t i = 0; i < runs; i++)
        if (!all[i].answered)
            printf("seed %lu: %s\n", first + i, all[i].why);
}

static void print(const kind *k, const sums *s, size_t runs)
{
    static const char *const name[NR_COMPARED] = {"eta0", "a1, W/(m2 K)", "heat-up, s"};
    double n = (double)(s->answered ? s->answered : 1);
    printf("%s: %zu of %zu answered; the faster one named with %.2f on average, right in %.2f; "
           "water weighed %.2f as wrong as stated\n",
           k->name, s->answered, runs, s->stated / n, s->brier / n, sqrt(s->weighing / n));
    for (int by = 0; by < NR_COMPARED; by++) {
        double m = (double)(s->known[by] ? s->known[by] : 1);
        double rms = sqrt(s->square[by] / m), u = s->u[by] / m;
        printf("  %-14s above 0 %.3f, below %.3f; inside %.3f; error %+.3g, rms %.3g, u %.3g, "
               "u/rms %.2f\n",
               name[by], (double)s->above[by] / m, (double)s->below[by] / m,
               (double)s->inside[by] / m, s->error[by] / m, rms, u, u / rms);
    }
}

static bool run_kind(const kind *k, size_t runs, unsigned long first, bool quick, sums *out)
{
    request q = {k, first, quick};
    pair *all = calloc(runs, sizeof *all);
    bool good = all && nr_spread(runs, sizeof *all, trial, &q, k->name, all);
    *out = good ? add_up(all, runs) : (sums){0};
    if (good)
        print_unanswered(all, runs, first);
    free(all);
    print(k, out, runs);
    return good;
}

/* ---- the short form ---- */

#define SHORT_RUNS 12

/* Of twelve at 95 % eight or fewer are inside in 1 of 2,000, five or more outside zero in 1 of
 * 4,000; of a difference that shows four times in five, four or fewer in 1 of 1,700. */
#define LEAST_INSIDE 9
#define MOST_CALLED 4
#define LEAST_FOUND 5

static bool hold(const char *what, size_t got, size_t least, size_t most)
{
    bool good = got >= least && got <= most;
    if (!good)
        printf("FAILED: %s: %zu of %d\n", what, got, SHORT_RUNS);
    return good;
}

static int run_short(void)
{
    sums equal, better;
    bool good = run_kind(&kinds[0], SHORT_RUNS, 1, true, &equal);
    good = run_kind(&kinds[1], SHORT_RUNS, 101, true, &better) && good;
    for (int by = 0; by < NR_COMPARED; by++) {
        good = hold("intervals that hold", equal.inside[by], LEAST_INSIDE, SHORT_RUNS) && good;
        good = hold("intervals that hold", better.inside[by], LEAST_INSIDE, SHORT_RUNS) && good;
    }
    for (int by = 0; by < NR_COMPARED; by++)
        good = hold("equal builds called different", equal.above[by] + equal.below[by], 0,
                    MOST_CALLED) &&
               good;
    good = hold("3 % found in the time", better.below[NR_BY_TIME], LEAST_FOUND, SHORT_RUNS) && good;
    return good ? 0 : 1;
}

int main(int argc, char **argv)
{
    size_t runs = 200;
    unsigned long first = 1;
    const char *only = NULL;
    static const struct option options[] = {{"runs", required_argument, NULL, 'n'},
                                            {"first", required_argument, NULL, 'f'},
                                            {"kind", required_argument, NULL, 'k'},
                                            {"short", no_argument, NULL, 'S'},
                                            {NULL, 0, NULL, 0}};
    for (int c; (c = getopt_long(argc, argv, "", options, NULL)) != -1;) {
        if (c == 'n')
            runs = strtoul(optarg, NULL, 10);
        else if (c == 'f')
            first = strtoul(optarg, NULL, 10);
        else if (c == 'k')
            only = optarg;
        else if (c == 'S')
            return run_short();
        else
            return 2;
    }
    printf("seeds %lu to %lu\n", first, first + runs - 1);
    bool good = true, any = false;
    for (size_t i = 0; i < KINDS; i++) {
        sums s;
        if (only && strcmp(only, kinds[i].name))
            continue;
        any = true;
        good = run_kind(&kinds[i], runs, first, false, &s) && good;
    }
    return any && good ? 0 : any ? 1 : 2;
}
