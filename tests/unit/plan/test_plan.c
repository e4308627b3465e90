/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a plan proposes, and what it refuses; whether it keeps what it promises:
 * test_plan_promise.c. */
#include "analyze/joint/joint.h"
#include "tests/unit/plan/planned.h"

static const nr_plan_step *step(const nr_plan *plan, const char *code)
{
    for (size_t i = 0; i < plan->steps; i++)
        if (!strcmp(nr_plan_action_name(plan->step[i].action), code))
            return &plan->step[i];
    return NULL;
}

START_TEST(improvements)
{
    nr_virtual_params q = nr_virtual_glazed();
    q.channels = NR_VC_STORE_SET;
    q.sensor[NR_VC_STORE].u_offset = 0.5;
    char *text = nr_virtual_rig_text(&q);
    write_rig(text);
    free(text);
    nr_plan_test test = nr_plan_test_open();
    test.duration_s = 1800;
    nr_plan *plan = plan_with(&test);
    /* Where nothing is said of the day: 850 W/m2 and 20 degC (common practice, no source). */
    NEAR(plan->test.day.sun_W_m2, 850, 0);
    NEAR(plan->test.day.air_degC, 20, 0);
    ck_assert(plan->loss_includes_store);
    ck_assert_ptr_nonnull(warned(&plan->warnings, "loss-includes-store"));
    ck_assert_ptr_nonnull(step(plan, "hot-start"));
    const nr_plan_step *sun = step(plan, "better-sun"), *loop = step(plan, "loop-sensors");
    ck_assert(sun && loop && loop->separates);
    ck_assert(sun->u_eta0 < plan->fit->eta0.u);
    for (size_t i = 1; i < plan->steps; i++) {
        const nr_plan_step *a = &plan->step[i - 1], *b = &plan->step[i];
        ck_assert(a->cost < b->cost || (a->cost == b->cost && a->gain >= b->gain));
    }
    /* The shared pyranometer cancels: 3 % of 0.73 no longer counts twice. */
    ck_assert(plan->u_side_by_side < 0.6 * plan->u_apart);
    /* With sensors of its own for each, two records keep their errors in the difference; exchanged
     * for the second, the errors cancel in the mean of both, pyranometers included. */
    ck_assert(plan->u_twice > 0.85 * plan->u_apart);
    ck_assert(plan->u_swapped < 0.5 * plan->u_twice);
    ck_assert(plan->u_swapped < 1.2 * plan->u_side_by_side);
    /* The same plan again is the same. */
    nr_plan *again = plan_with(&test);
    NEAR(again->fit->eta0.u, plan->fit->eta0.u, 0);
    nr_plan_free(again);
    nr_plan_free(plan);
}
END_TEST

/* A bare one sees the sky that its fit supposes. By hand, of an ordinary one tilted by 35 degrees
 * at 20 degC: it sees (1 + cos 35)/2 of a sky of emissivity 0.81 and for the rest ground of 0.95:
 * -75 W/m2 of 419, of which it takes 0.8. Of 0.90 of 850 W/m2 less that, 110/(110 + U) come to the
 * water (bond and loss). And it feels the wind that somebody tells: U is 7.7 + 3.8 v, so 11.5 and
 * 19.1 W/(m2 K), and of that the same share is the slope. Without a sky 0.07 more. */
static const struct {
    double wind_m_s, eta0, a1;
} windy[] = {{1, 0.751, 10.4}, {3, 0.707, 16.3}};

START_TEST(a_bare_one_sees_sky_and_wind)
{
    nr_virtual_params q = nr_virtual_bare();
    char *text = nr_virtual_rig_text(&q);
    nr_plan_test test = nr_plan_test_open();
    test.day.sun_W_m2 = 850;
    test.day.air_degC = 20;
    test.day.wind_m_s = windy[_i].wind_m_s;
    nr_run *run;
    nr_fit *fit = NULL;
    nr_err err = {.text = ""};
    nr_fit_options options = nr_fit_defaults();
    options.plain = true;
    ck_assert_int_eq(nr_plan_simulate(text, "plan", NULL, NULL, &test, &run, &err), NR_OK);
    const nr_run *one = run;
    ck_assert_int_eq(nr_fit_runs(&one, 1, &options, &fit, &err), NR_OK);
    NEAR(fit->eta0.value, windy[_i].eta0, 0.02);
    NEAR(fit->a1.value, windy[_i].a1, 1.5);
    printf("wind %g: eta0 %.3f a1 %.2f\n", windy[_i].wind_m_s, fit->eta0.value, fit->a1.value);
    nr_fit_free(fit);
    nr_run_free(run);
    free(text);
}
END_TEST

/* Of a change of a plan steps from the plan's own solution tell what a whole search does. Loops
 * only: two thermometers' noise has several answers, each by chance. */
START_TEST(steps_tell_what_a_search_does)
{
    nr_virtual_params q = nr_virtual_glazed();
    char *text = nr_virtual_rig_text(&q);
    nr_plan_test test = nr_plan_test_open();
    test.day.sun_W_m2 = 850;
    test.day.air_degC = 20;
    test.day.from_degC = 16;
    nr_run *run[2];
    nr_err err = {.text = ""};
    nr_joint_begin *begin = NULL;
    nr_fit *fit = NULL, *step = NULL;
    nr_fit_options options = nr_fit_defaults();
    options.plain = true;
    options.leave = &begin;
    ck_assert_int_eq(nr_plan_simulate(text, "plan", NULL, NULL, &test, &run[0], &err), NR_OK);
    ck_assert_int_eq(nr_fit_runs((const nr_run *const *)run, 1, &options, &fit, &err), NR_OK);
    nr_fit_free(fit);
    test.day.from_degC = 45; /* far from where it begins */
    test.seed++;
    ck_assert_int_eq(nr_plan_simulate(text, "plan", NULL, NULL, &test, &run[1], &err), NR_OK);
    options.leave = NULL;
    options.brief = true;
    ck_assert_int_eq(nr_fit_runs((const nr_run *const *)run, 2, &options, &fit, &err), NR_OK);
    options.begin = begin;
    options.expected = true;
    ck_assert_int_eq(nr_fit_runs((const nr_run *const *)run, 2, &options, &step, &err), NR_OK);
    printf("search: u(eta0) %.5f u(a1) %.4f; steps: %.5f %.4f\n", fit->eta0.u, fit->a1.u,
           step->eta0.u, step->a1.u);
    NEAR_AT("eta0", step->eta0.u, fit->eta0.u, 0.01 * fit->eta0.u);
    NEAR_AT("a1", step->a1.u, fit->a1.u, 0.01 * fit->a1.u);
    nr_fit_free(fit);
    nr_fit_free(step);
    nr_joint_begin_free(begin);
    nr_run_free(run[0]);
    nr_run_free(run[1]);
    free(text);
}
END_TEST

START_TEST(cannot)
{
    write_rig("[collector]\ngross_area_m2 = 1\n[store]\nwater_kg = 20\n"
              "[channel air]\nunit = degC\n[channel sun]\nunit = W_m2\n");
    nr_plan *plan = NULL;
    nr_plan_test test = nr_plan_test_open();
    nr_err err = {.text = ""};
    ck_assert_int_eq(nr_plan_rig(rig_file, &test, &plan, &err), NR_CANNOT);
    ck_assert_ptr_null(plan);
    write_rig("[collector]\ngross_area_m2 = many\n");
    ck_assert_int_eq(nr_plan_rig(rig_file, &test, &plan, &err), NR_BAD);
    ck_assert_int_eq(nr_plan_rig("/no/such/rig.ini", &test, &plan, &err), NR_BAD);
}
END_TEST

int main(void)
{
    int fd = mkstemp(rig_file);
    if (fd < 0)
        return EXIT_FAILURE;
    close(fd);
    Suite *suite = suite_create("plan");
    TCase *all = tcase_create("plan");
    tcase_set_timeout(all, 120);
    tcase_add_test(all, improvements);
    tcase_add_test(all, steps_tell_what_a_search_does);
    tcase_add_loop_test(all, a_bare_one_sees_sky_and_wind, 0, (int)(sizeof windy / sizeof *windy));
    tcase_add_test(all, cannot);
    suite_add_tcase(suite, all);
    int status = run_suite(suite);
    unlink(rig_file);
    return status;
}
