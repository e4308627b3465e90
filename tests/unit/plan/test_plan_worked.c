/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A plan worked out a second time from its parts, each tested elsewhere: the test simulated and
 * fitted (simulate.h, fit.h), each improvement (improve.h) a fit of its own, two builds compared by
 * records as plan.h describes them. What becomes of the numbers is by the words of plan.h; worth a
 * step is what takes a twentieth off an uncertainty. */
#include "analyze/compare/compare.h"
#include "analyze/joint/joint.h"
#include "analyze/plan/improve.h"
#include "tests/unit/plan/planned.h"

#define WEATHER                                                                                    \
    "[channel sun]\nunit = W_m2\nu_gain = 0.05\n[channel air]\nunit = degC\nu_offset = 0.3\n"
static const char store_alone[] =
    "[collector]\ngross_area_m2 = 1.2\nglazing = single\n[store]\nwater_kg = 30\nlid = no\n" WEATHER
    "[channel store]\nunit = degC\nu_offset = 0.3\n";
static const char bare_loop[] =
    "[collector]\ngross_area_m2 = 1.2\nglazing = none\n[store]\nwater_kg = 30\nlid = yes\n" WEATHER
    "[channel store]\nunit = degC\n[channel inlet]\nunit = degC\n[channel outlet]\nunit = degC\n"
    "[channel flow]\nunit = L_min\n";
static const char *rig_text;

static nr_plan *plan;
static nr_rig rig;
static nr_joint_begin *begin;
static nr_err err;

/* --- one record ------------------------------------------------------------------------------- */

/* Whose sensors; and what an idea does to the rig. */
typedef struct sensors {
    bool others_water, others_weather;
    const nr_plan_idea *idea;
    const nr_plan_test *test;
} sensors;

static void name_them(nr_rig *r, const void *context)
{
    const sensors *s = context;
    for (size_t i = 0; i < r->channels; i++) {
        nr_rig_channel *c = &r->channel[i];
        bool of_weather = !strcmp(c->name, "sun") || !strcmp(c->name, "air");
        bool other = of_weather ? s->others_weather : s->others_water;
        snprintf(c->sensor, sizeof c->sensor, "%s %.40s", other ? "other" : "planned", c->name);
    }
    if (s->idea && s->idea->rig)
        s->idea->rig(r, s->test);
}

static nr_run *recorded(const char *text, sensors s, nr_plan_test *test)
{
    nr_run *run = NULL;
    s.test = test;
    ck_assert_msg(nr_plan_simulate(text, "rig.ini", name_them, &s, test, &run, &err) == NR_OK, "%s",
                  err.text);
    return run;
}

/* --- improvements ----------------------------------------------------------------------------- */

/* false: it is not to be had. */
static bool tried(const nr_plan_idea *idea, nr_plan_step *s, bool *with_store)
{
    if (!idea->applies(&rig, &plan->test))
        return false;
    char text[2000];
    nr_run *run[2] = {NULL, NULL};
    nr_fit *fit = NULL;
    nr_plan_test test = plan->test;
    sensors own = {.idea = idea};
    nr_fit_options options = nr_fit_defaults();
    options.plain = options.brief = options.expected = options.force_reference = true;
    options.begin = begin;
    options.reference = plan->fit->reference;
    snprintf(text, sizeof text, "%s%s", rig_text, idea->more_rig ? idea->more_rig : "");
    if (idea->test)
        idea->test(&test);
    run[0] = recorded(text, own, &test);
    if (idea->second) {
        idea->second(&test);
        run[1] = recorded(text, own, &test);
    }
    ck_assert_msg(nr_fit_runs((const nr_run *const *)run, run[1] ? 2 : 1, &options, &fit, &err) ==
                      NR_OK,
                  "%s", err.text);
    *s = (nr_plan_step){.u_eta0 = fit->eta0.u, .u_a1 = fit->a1.u};
    *with_store = fit->loss_includes_store;
    nr_fit_free(fit);
    nr_run_free(run[0]);
    nr_run_free(run[1]);
    return true;
}

/* Adding readings cannot tell less: then the plan's own u stands, and says so. */
static void expected_step(const nr_plan_idea *idea, nr_plan_step *s, bool with_store)
{
    const nr_fit *f = plan->fit;
    bool adds = idea->action == NR_PLAN_LONGER || idea->action == NR_PLAN_HOT_START ||
                idea->action == NR_PLAN_LOOP_SENSORS;
    s->separates = f->loss_includes_store && !with_store;
    if (adds && s->u_eta0 > f->eta0.u) {
        s->eta0_by_part = true;
        s->u_eta0 = f->eta0.u;
    }
    if (adds && s->u_a1 > f->a1.u && !s->separates) { /* separated, it is another quantity's u */
        s->a1_by_part = true;
        s->u_a1 = f->a1.u;
    }
    double off_eta0 = (f->eta0.u - s->u_eta0) / f->eta0.u, off_a1 = (f->a1.u - s->u_a1) / f->a1.u;
    s->gain = off_eta0 > off_a1 ? off_eta0 : off_a1;
}

static size_t improvements_are(void)
{
    size_t useful = 0, useless = 0, parts = 0;
    for (int a = 0; a < NR_PLAN_ACTIONS; a++) {
        const nr_plan_idea *idea = &nr_plan_ideas[a];
        const nr_plan_step *got = NULL;
        nr_plan_step s;
        bool with_store;
        for (size_t i = 0; i < plan->steps; i++)
            got = plan->step[i].action == idea->action ? &plan->step[i] : got;
        const char *name = nr_plan_action_name(idea->action);
        if (!tried(idea, &s, &with_store)) {
            ck_assert_msg(!got, "%s", name);
            continue;
        }
        expected_step(idea, &s, with_store);
        bool worth = s.separates || s.gain >= 0.05;
        ck_assert_msg((got != NULL) == worth, "%s: gain %g", name, s.gain);
        useful += worth;
        useless += !worth;
        if (!worth)
            continue;
        NEAR_AT(name, got->u_eta0, s.u_eta0, 1e-6 * s.u_eta0);
        NEAR_AT(name, got->u_a1, s.u_a1, 1e-6 * s.u_a1);
        NEAR_AT(name, got->gain, s.gain, 1e-6);
        ck_assert_msg(got->cost == idea->cost && got->separates == s.separates &&
                          got->eta0_by_part == s.eta0_by_part && got->a1_by_part == s.a1_by_part,
                      "%s", name);
        parts += s.eta0_by_part + s.a1_by_part;
    }
    ck_assert(useful == plan->steps && useless == plan->useless && useful > 2 && useless > 0);
    for (size_t i = 1; i < plan->steps; i++) {
        const nr_plan_step *a = &plan->step[i - 1], *b = &plan->step[i];
        ck_assert(a->cost < b->cost || (a->cost == b->cost && a->gain >= b->gain));
    }
    return parts;
}

/* --- against a second build ------------------------------------------------------------------- */

/* The record's build, sensors and day. */
typedef struct record {
    int build;
    bool others_water, others_weather;
    int day;
} record;

static double u_of(const record *records, size_t count, double *power)
{
    nr_run *run[4];
    const nr_run *of[2][2];
    const nr_run *const *groups[] = {of[0], of[1]};
    size_t counts[2] = {0, 0};
    nr_compare *c = NULL;
    nr_fit_options options = nr_fit_defaults();
    options.brief = options.expected = true;
    options.begin = begin;
    for (size_t i = 0; i < count; i++) {
        const record *r = &records[i];
        nr_plan_test test = plan->test;
        test.seed += i; /* other weather and noise each */
        run[i] =
            recorded(rig_text, (sensors){r->others_water, r->others_weather, NULL, NULL}, &test);
        for (size_t k = 0; k < run[i]->readings->rows; k++)
            run[i]->readings->utc_s[k] += 86400.0 * r->day;
        of[r->build][counts[r->build]++] = run[i];
    }
    ck_assert_msg(nr_compare_builds(groups, counts, 2, NULL, &options, &c, &err) == NR_OK, "%s",
                  err.text);
    double u = c->difference[0].eta0.u;
    *power = c->difference[0].power;
    nr_compare_free(c);
    for (size_t i = 0; i < count; i++)
        nr_run_free(run[i]);
    return u;
}

/* Side by side: probes of its own, sun and air shared. Else all sensors of its own: on another day;
 * under one sky, twice; and exchanged for the second time. */
static void comparisons_are(void)
{
    static const record together[] = {{0, false, false, 0}, {1, true, false, 0}},
                        apart[] = {{0, false, false, 0}, {1, true, true, 1}},
                        twice[] = {{0, false, false, 0},
                                   {1, true, true, 0},
                                   {0, false, false, 1},
                                   {1, true, true, 1}},
                        swapped[] = {{0, false, false, 0},
                                     {1, true, true, 0},
                                     {0, true, true, 1},
                                     {1, false, false, 1}};
    double power, other;
    NEAR_RELATIVE(plan->u_side_by_side, u_of(together, 2, &power), 1e-6);
    NEAR_RELATIVE(plan->power_side_by_side, power, 1e-6);
    NEAR_RELATIVE(plan->u_apart, u_of(apart, 2, &other), 1e-6);
    NEAR_RELATIVE(plan->u_twice, u_of(twice, 4, &other), 1e-6);
    NEAR_RELATIVE(plan->u_swapped, u_of(swapped, 4, &other), 1e-6);
}

/* The plan itself is a fit of the simulated test; its solution is where the others begin. */
static void open_plan(const char *text)
{
    rig_text = text;
    write_rig(text);
    nr_plan_test test = nr_plan_test_open();
    NEAR(test.duration_s, 5400, 0);
    ck_assert(test.seed == 1 && isnan(test.optical) && isnan(test.loss_W_m2K) &&
              isnan(test.store_loss_W_K) && isnan(test.flow_L_min));
    test.duration_s = 900;
    plan = plan_with(&test);
    ck_assert(plan->test.day.sun_W_m2 == 850 && plan->test.day.air_degC == 20);
    nr_fit_options options = nr_fit_defaults();
    nr_fit *fit = NULL;
    options.plain = true;
    options.leave = &begin;
    test = plan->test;
    nr_run *run = recorded(text, (sensors){false, false, NULL, NULL}, &test);
    ck_assert(nr_fit_runs((const nr_run *const *)&run, 1, &options, &fit, &err) == NR_OK);
    NEAR_RELATIVE(plan->fit->eta0.value, fit->eta0.value, 1e-9);
    NEAR_RELATIVE(plan->fit->eta0.u, fit->eta0.u, 1e-9);
    NEAR_RELATIVE(plan->fit->a1.u, fit->a1.u, 1e-9);
    ck_assert(plan->loss_includes_store == fit->loss_includes_store);
    ck_assert(fit->budget_items > 2 && plan->fit->budget_items == fit->budget_items &&
              plan->fit->curve_points == fit->curve_points);
    nr_fit_free(fit);
    nr_run_free(run);
    ck_assert_int_eq(
        nr_rig_parse(text, strlen(text), "rig.ini", NR_RIG_FOR_ANALYSIS, &rig, NULL, &err), NR_OK);
}

static void close_plan(void)
{
    nr_joint_begin_free(begin);
    nr_plan_free(plan);
    begin = NULL;
}

START_TEST(a_store_alone)
{
    open_plan(store_alone);
    improvements_are();
    comparisons_are();
    close_plan();
}
END_TEST

/* Here a longer test tells eta0 less well: gusts. */
START_TEST(a_bare_loop)
{
    open_plan(bare_loop);
    ck_assert_uint_gt(improvements_are(), 0);
    close_plan();
}
END_TEST

/* --- what a plan lacks ------------------------------------------------------------------------ */

static void refused(nr_plan_test test, const char *words)
{
    nr_plan *none = NULL;
    err = (nr_err){.text = ""};
    ck_assert_int_eq(nr_plan_rig(rig_file, &test, &none, &err), NR_BAD);
    ck_assert_msg(strstr(err.text, words) && !none, "%s: %s", words, err.text);
}

/* A clear day needs a place, a plane and a start: each of them. */
START_TEST(what_is_missing)
{
    write_rig(store_alone);
    nr_plan_test whole = nr_plan_test_open();
    whole.duration_s = 900;
    whole.day = clear_day(10, 20, 15, NAN);
    whole.day.latitude_deg = 46;
    whole.day.longitude_deg = 7;
    whole.day.tilt_deg = 35;
    whole.day.azimuth_deg = 180;
    for (int i = 0; i < 5; i++) {
        nr_plan_test t = whole;
        double *part[] = {&t.day.latitude_deg, &t.day.longitude_deg, &t.day.tilt_deg,
                          &t.day.azimuth_deg, &t.day.start_s};
        *part[i] = NAN;
        refused(t, i < 4 ? "a place and the collector's plane" : "needs a start");
    }
    FILE *f = fopen(rig_file, "wb"); /* 200 kB: no rig file */
    ck_assert_ptr_nonnull(f);
    for (int i = 0; i < 200000; i++)
        fputc('#', f);
    fclose(f);
    refused(whole, "too large");
}
END_TEST

int main(void)
{
    int fd = mkstemp(rig_file);
    if (fd < 0)
        return EXIT_FAILURE;
    close(fd);
    const TTest *const tests[] = {a_store_alone, a_bare_loop, what_is_missing, NULL};
    int status = run_tests("plan worked", tests);
    unlink(rig_file);
    return status;
}
