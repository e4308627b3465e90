/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/plan/plan.h"

#include "analyze/compare/compare.h"
#include "analyze/estimate/workers.h"
#include "analyze/forecast/day.h"
#include "analyze/plan/improve.h"
#include "analyze/plan/warnings.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A reduction smaller than this is not worth a step. */
#define WORTH 0.05
#define USUAL_SUN_W_M2 850.0
#define USUAL_AIR_DEGC 20.0
#define DURATION_S 5400.0
#define MOST_RIG 200000

nr_plan_test nr_plan_test_open(void)
{
    return (nr_plan_test){.day = nr_day_stated(),
                          .duration_s = DURATION_S,
                          .optical = NAN,
                          .loss_W_m2K = NAN,
                          .store_loss_W_K = NAN,
                          .flow_L_min = NAN,
                          .seed = 1};
}

void nr_plan_free(nr_plan *p)
{
    if (!p)
        return;
    nr_fit_free(p->fit);
    free(p);
}

typedef struct plan_problem {
    const char *path;
    char *text; /* of the rig file */
    nr_plan_test test;
    nr_joint_begin *begin; /* the plan's own solution: changes of it are not far */
} plan_problem;

static nr_code read_text(const char *path, char **out, nr_err *err)
{
    FILE *f = fopen(path, "rb");
    if (!f)
        return nr_fail(err, NR_BAD, path, 0, "cannot be opened");
    char *text = calloc(1, MOST_RIG + 1);
    size_t n = text ? fread(text, 1, MOST_RIG, f) : 0;
    fclose(f);
    if (!text || n == MOST_RIG) {
        free(text);
        return nr_fail(err, NR_BAD, path, 0, "too large for a rig file");
    }
    *out = text;
    return NR_OK;
}

typedef struct edits {
    const nr_plan_idea *idea; /* may be NULL */
    const nr_plan_test *test;
} edits;

static void edit_rig(nr_rig *rig, const void *context)
{
    const edits *e = context;
    nr_plan_name_sensors(rig);
    if (e->idea && e->idea->rig)
        e->idea->rig(rig, e->test);
}

/* Simulates the test with one idea, one or two runs. */
static nr_code simulate(const plan_problem *p, const nr_plan_idea *idea, nr_run *runs[2],
                        size_t *count, nr_err *err)
{
    nr_plan_test test = p->test;
    edits e = {idea, &test};
    const char *more = idea && idea->more_rig ? idea->more_rig : "";
    size_t size = strlen(p->text) + strlen(more) + 1;
    char *text = malloc(size);
    *count = 0;
    if (!text)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    snprintf(text, size, "%s%s", p->text, more);
    if (idea && idea->test)
        idea->test(&test);
    nr_code code = nr_plan_simulate(text, p->path, edit_rig, &e, &test, &runs[0], err);
    if (!code)
        ++*count;
    if (!code && idea && idea->second) {
        idea->second(&test);
        code = nr_plan_simulate(text, p->path, edit_rig, &e, &test, &runs[1], err);
        *count += !code;
    }
    free(text);
    return code;
}

/* begin: gets where the search ended; NULL: not wanted. like: on the same reference temperature,
 * or u would be of another eta0; NULL: the usual one. */
static nr_code fit_with(const plan_problem *p, const nr_plan_idea *idea, const nr_fit *like,
                        nr_joint_begin **begin, nr_fit **fit, nr_err *err)
{
    nr_run *runs[2] = {NULL, NULL};
    size_t count;
    nr_fit_options options = nr_fit_defaults();
    options.plain = true;             /* a test that is simulated is not to be doubted */
    options.brief = p->begin != NULL; /* of a change of the plan its uncertainties are wanted */
    options.begin = p->begin;
    options.expected = p->begin != NULL;
    options.leave = begin;
    options.force_reference = like != NULL;
    options.reference = like ? like->reference : NR_REFERENCE_INLET;
    *fit = NULL;
    nr_code code = simulate(p, idea, runs, &count, err);
    if (!code)
        code = nr_fit_runs((const nr_run *const *)runs, count, &options, fit, err);
    for (size_t i = 0; i < count; i++)
        nr_run_free(runs[i]);
    return code;
}

static int cheapest_first(const void *a, const void *b)
{
    const nr_plan_step *x = a, *y = b;
    if (x->cost != y->cost)
        return (int)x->cost - (int)y->cost;
    return (x->gain < y->gain) - (x->gain > y->gain);
}

/* What an idea gives; `tried` false: it does not apply, or the test could not be fitted. */
typedef struct outcome {
    bool tried, includes_store;
    double u_eta0, u_a1;
} outcome;

static outcome try_idea(const plan_problem *p, const nr_rig *rig, const nr_plan_idea *idea,
                        const nr_fit *planned)
{
    nr_fit *fit = NULL;
    nr_err ignored;
    if (!idea->applies(rig, &p->test) || fit_with(p, idea, planned, NULL, &fit, &ignored))
        return (outcome){.tried = false};
    outcome o = {true, fit->loss_includes_store, fit->eta0.u, fit->a1.u};
    nr_fit_free(fit);
    return o;
}

/* More readings cannot tell less. Fitted together they may: hotter water turns the model's own error
 * about another middle, and a loop shows gusts that the container's water has averaged. Whoever has
 * them can still ask the part that was planned. */
static void keep_the_better(const nr_plan_idea *idea, const nr_fit *planned, nr_plan_step *s)
{
    if (!idea->second && !idea->more_rig && idea->action != NR_PLAN_LONGER)
        return;
    s->eta0_by_part = s->u_eta0 > planned->eta0.u;
    s->a1_by_part = !s->separates && s->u_a1 > planned->a1.u;
    s->u_eta0 = s->eta0_by_part ? planned->eta0.u : s->u_eta0;
    s->u_a1 = s->a1_by_part ? planned->a1.u : s->u_a1;
}

static void judge_ideas(const outcome *of, nr_plan *plan)
{
    for (size_t i = 0; i < NR_PLAN_ACTIONS; i++) {
        if (!of[i].tried)
            continue;
        nr_plan_step s = {.action = nr_plan_ideas[i].action,
                          .cost = nr_plan_ideas[i].cost,
                          .u_eta0 = of[i].u_eta0,
                          .u_a1 = of[i].u_a1};
        /* Separating the container's loss makes a1 another quantity: a gain whatever its u. */
        s.separates = plan->fit->loss_includes_store && !of[i].includes_store;
        keep_the_better(&nr_plan_ideas[i], plan->fit, &s);
        s.gain = fmax(1 - s.u_eta0 / plan->fit->eta0.u, 1 - s.u_a1 / plan->fit->a1.u);
        if (s.gain >= WORTH || s.separates)
            plan->step[plan->steps++] = s;
        else
            plan->useless++;
    }
    qsort(plan->step, plan->steps, sizeof plan->step[0], cheapest_first);
}

/* ---- against a second build ---- */

/* Which sensors a record is taken with. */
typedef enum set { FIRST_SET, OWN_PROBES, SECOND_SET } set;

/* Own probes: the flow meter, too; sun and air are shared. */
static void with_set(nr_rig *rig, const void *context)
{
    set which = *(const set *)context;
    nr_plan_name_sensors(rig);
    for (size_t i = 0; which != FIRST_SET && i < rig->channels; i++) {
        nr_rig_channel *c = &rig->channel[i];
        bool weather = !strcmp(c->name, "sun") || !strcmp(c->name, "air");
        if (which == SECOND_SET || !weather)
            nr_plan_name_sensor(c, "other");
    }
}

/* One record of a design: whose it is, with which sensors, on which day. */
typedef struct record {
    int build;
    set sensors;
    int day;
} record;

#define MOST_RECORDS 4
#define DAY_S 86400.0

static void on_day(nr_run *run, int day)
{
    for (size_t i = 0; i < run->readings->rows; i++)
        run->readings->utc_s[i] += day * DAY_S;
}

static void compare_as(const plan_problem *p, const record *design, size_t count, double *u,
                       double *power)
{
    nr_run *run[MOST_RECORDS] = {NULL};
    const nr_run *of[2][MOST_RECORDS];
    const nr_run *const *groups[] = {of[0], of[1]};
    size_t counts[2] = {0, 0};
    nr_err ignored;
    nr_compare *c = NULL;
    nr_fit_options options = nr_fit_defaults();
    nr_code code = NR_OK;
    options.brief = true;
    options.begin = p->begin;
    options.expected = p->begin != NULL;
    for (size_t i = 0; i < count && !code; i++) {
        nr_plan_test test = p->test;
        test.seed += i;
        code = nr_plan_simulate(p->text, p->path, with_set, &design[i].sensors, &test, &run[i],
                                &ignored);
        if (code)
            break;
        on_day(run[i], design[i].day);
        of[design[i].build][counts[design[i].build]++] = run[i];
    }
    if (!code)
        code = nr_compare_builds(groups, counts, 2, NULL, &options, &c, &ignored);
    *u = code ? NAN : c->difference[0].eta0.u;
    if (power)
        *power = code ? NAN : c->difference[0].power;
    nr_compare_free(c);
    for (size_t i = 0; i < count; i++)
        nr_run_free(run[i]);
}

/* Everything but the plan itself, a piece of work each: the designs of a comparison and the ideas.
 */
enum { SIDE_BY_SIDE, APART, TWICE, SWAPPED, FIRST_IDEA };

static void compare_design(const plan_problem *p, size_t which, nr_plan *plan)
{
    static const record side_by_side[] = {{0, FIRST_SET, 0}, {1, OWN_PROBES, 0}};
    static const record apart[] = {{0, FIRST_SET, 0}, {1, SECOND_SET, 1}};
    static const record twice[] = {
        {0, FIRST_SET, 0}, {1, SECOND_SET, 0}, {0, FIRST_SET, 1}, {1, SECOND_SET, 1}};
    static const record swapped[] = {
        {0, FIRST_SET, 0}, {1, SECOND_SET, 0}, {0, SECOND_SET, 1}, {1, FIRST_SET, 1}};
    if (which == SIDE_BY_SIDE)
        compare_as(p, side_by_side, 2, &plan->u_side_by_side, &plan->power_side_by_side);
    else if (which == APART)
        compare_as(p, apart, 2, &plan->u_apart, NULL);
    else if (which == TWICE)
        compare_as(p, twice, 4, &plan->u_twice, NULL);
    else
        compare_as(p, swapped, 4, &plan->u_swapped, NULL);
}

typedef struct trials {
    const plan_problem *problem;
    const nr_rig *rig;
    nr_plan *plan;
    outcome of[NR_PLAN_ACTIONS];
} trials;

static void try_one(void *context, size_t worker, size_t i)
{
    trials *t = context;
    (void)worker;
    if (i < FIRST_IDEA)
        compare_design(t->problem, i, t->plan);
    else
        t->of[i - FIRST_IDEA] =
            try_idea(t->problem, t->rig, &nr_plan_ideas[i - FIRST_IDEA], t->plan->fit);
}

static void try_all(const plan_problem *p, const nr_rig *rig, nr_plan *plan)
{
    trials t = {.problem = p, .rig = rig, .plan = plan};
    nr_workers_run(FIRST_IDEA + NR_PLAN_ACTIONS, 0, try_one, &t);
    judge_ideas(t.of, plan);
}

static nr_code complete(plan_problem *p, const nr_rig *rig, nr_err *err)
{
    nr_day *d = &p->test.day;
    if (isnan(d->air_degC))
        d->air_degC = USUAL_AIR_DEGC;
    if (d->clear_sky) {
        const nr_value *from[] = {&rig->latitude_deg, &rig->longitude_deg, &rig->elevation_m,
                                  &rig->collector.tilt_deg, &rig->collector.azimuth_deg};
        double *to[] = {&d->latitude_deg, &d->longitude_deg, &d->elevation_m, &d->tilt_deg,
                        &d->azimuth_deg};
        for (size_t i = 0; i < 5; i++)
            if (isnan(*to[i]) && from[i]->given)
                *to[i] = from[i]->value;
        if (isnan(d->elevation_m))
            d->elevation_m = 0;
        if (isnan(d->latitude_deg + d->longitude_deg + d->tilt_deg + d->azimuth_deg))
            return nr_fail_asked(
                err, "latitude,longitude,tilt,azimuth",
                "a clear-sky day needs a place and the collector's plane, here or as "
                "latitude_deg, longitude_deg in [site] and tilt_deg, azimuth_deg in "
                "[collector] of the rig file");
        if (isnan(d->start_s))
            return nr_fail_asked(err, "start", "a clear-sky day needs a start, too");
    } else if (isnan(d->sun_W_m2)) {
        d->sun_W_m2 = USUAL_SUN_W_M2;
    }
    return NR_OK;
}

static nr_code answer(plan_problem *p, nr_plan *plan, nr_err *err)
{
    nr_rig *rig = malloc(sizeof *rig);
    nr_code code =
        rig ? nr_rig_parse(p->text, strlen(p->text), p->path, NR_RIG_FOR_ANALYSIS, rig, NULL, err)
            : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (!code)
        code = complete(p, rig, err);
    nr_run *run = NULL;
    edits e = {NULL, &p->test};
    if (!code) /* fills in what the test leaves open */
        code = nr_plan_simulate(p->text, p->path, edit_rig, &e, &p->test, &run, err);
    nr_run_free(run);
    if (!code)
        code = fit_with(p, NULL, NULL, &p->begin, &plan->fit, err);
    if (!code) {
        plan->test = p->test;
        plan->loss_includes_store = plan->fit->loss_includes_store;
        try_all(p, rig, plan);
        nr_plan_warn(plan, rig);
    }
    free(rig);
    return code;
}

nr_code nr_plan_rig(const char *rig_path, const nr_plan_test *test, nr_plan **out, nr_err *err)
{
    *out = NULL;
    plan_problem p = {.path = rig_path, .test = *test};
    nr_plan *plan = calloc(1, sizeof *plan);
    nr_code code =
        plan ? read_text(rig_path, &p.text, err) : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (!code)
        code = answer(&p, plan, err);
    free(p.text);
    nr_joint_begin_free(p.begin);
    if (code)
        nr_plan_free(plan);
    else
        *out = plan;
    return code;
}
