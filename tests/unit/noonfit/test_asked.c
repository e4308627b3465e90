/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is asked of a command is what the rooms behind it are asked: each answer as JSON beside the
 * one that the same question has when it is put to them here. Of the sample runs. */
#include "analyze/fit/montecarlo.h"
#include "analyze/plan/plan.h"
#include "analyze/pump/pump.h"
#include "analyze/show/budget.h"
#include "tests/unit/noonfit/asked.h"

/* main.c's table, for `check`. */
const nr_command *nr_noonfit_command(const char *name);
const nr_command *nr_noonfit_command(const char *name)
{
    (void)name;
    return NULL;
}

/* ---- fit ---- */

static void fit_is(const nr_fit_options *options)
{
    nr_fit *fit = NULL;
    const nr_run *const *of = opened("wash-stand-glazed");
    DUE_BEGINS;
    ck_assert_msg(nr_fit_runs(of, count, options, &fit, &err) == NR_OK, "%s", err.text);
    ck_assert_int_eq(nr_json_fit(to, fit, &err), NR_OK);
    DUE_ENDS;
    nr_fit_free(fit);
}

START_TEST(fits_as_asked)
{
    const char *run = sample("wash-stand-glazed");
    nr_fit_options usual = nr_fit_defaults(), o;
    usual.at_once = true;
    usual.seed = 1;
    o = usual;
    o.force_reference = true;
    o.reference = NR_REFERENCE_INLET;
    ENDS(NR_OK, &nr_cmd_fit, "", run, PART, "--json", "--reference", "inlet", "--curve",
         "straight");
    fit_is(&o);
    o.reference = NR_REFERENCE_MEAN;
    o.quadratic = true;
    o.use_loop = false;
    ENDS(NR_OK, &nr_cmd_fit, "", run, PART, "--json", "--reference", "mean", "--curve", "quadratic",
         "--store-only", "--anyway");
    o.at_once = false;
    fit_is(&o);
    o = usual;
    o.use_store = false;
    o.monte_carlo = 20;
    o.seed = 5;
    ENDS(NR_OK, &nr_cmd_fit, "", run, PART, "--json", "--loop-only", "--monte-carlo", "20",
         "--seed", "5");
    fit_is(&o);
}
END_TEST

START_TEST(fits_side_by_side)
{
    nr_fit *fit[2] = {NULL};
    nr_fit_options o = nr_fit_defaults();
    o.at_once = true;
    o.seed = 1;
    o.use_loop = false;
    ENDS(NR_OK, &nr_cmd_fit, "", sample("wash-stand-side-by-side"), "--json", "--store-only", PART);
    const nr_run *const *of = opened("wash-stand-side-by-side");
    ck_assert_uint_eq(count, 2);
    DUE_BEGINS;
    for (size_t i = 0; i < 2; i++)
        ck_assert_int_eq(nr_fit_runs(of + i, 1, &o, &fit[i], &err), NR_OK);
    ck_assert_int_eq(nr_json_fits(to, fit, 2, &err), NR_OK);
    DUE_ENDS;
    for (size_t i = 0; i < 2; i++)
        nr_fit_free(fit[i]);
}
END_TEST

/* ---- budget ---- */

START_TEST(budgets_as_asked)
{
    static const char *const name[] = {"eta0", "a1", "a5", "store_loss", "stagnation"};
    static const nr_budget_of which[] = {NR_BUDGET_ETA0, NR_BUDGET_A1, NR_BUDGET_A5,
                                         NR_BUDGET_STORE_LOSS, NR_BUDGET_STAGNATION};
    const char *run = sample("wash-stand-bare-store-only");
    nr_fit_options options = nr_fit_defaults();
    nr_solved s;
    const nr_run *const *of = opened("wash-stand-bare-store-only");
    ck_assert_int_eq(nr_solve_runs(of, count, &options, &s, &err), NR_OK);
    for (int i = 0; i < 6; i++) {
        nr_gum_budget b[2];
        size_t n = i < 5 ? 1 : 2;
        nr_code code =
            i < 5 ? command_run(&nr_cmd_budget, "", run, PART, "--json", "--of", name[i], NULL)
                  : command_run(&nr_cmd_budget, "", run, PART, "--json", NULL);
        nr_code due_code = nr_gum_budget_make(&s, i < 5 ? which[i] : NR_BUDGET_ETA0, &b[0], &err);
        if (n == 2)
            due_code = nr_gum_budget_make(&s, NR_BUDGET_A1, &b[1], &err);
        ck_assert_int_eq(code, due_code);
        if (!code) {
            DUE_BEGINS;
            ck_assert_int_eq(nr_json_budget(to, b, n, NULL, &err), NR_OK);
            DUE_ENDS;
        }
        for (size_t k = 0; k < n; k++)
            nr_gum_budget_free(&b[k]);
    }
    nr_solved_free(&s);
}
END_TEST

/* By simulated records, so many and from this seed; the same on paper and in the table. */
START_TEST(a_budget_by_chance)
{
    const char *run = sample("wash-stand-bare-store-only");
    nr_fit_options options = nr_fit_defaults();
    nr_solved s;
    nr_monte_carlo m = {.trials = 20, .seed = 9};
    nr_gum_budget b[2];
    ENDS(NR_OK, &nr_cmd_budget, "", run, PART, "--json", "--monte-carlo", "20", "--seed", "9",
         "--csv", in_scratch("b.csv"));
    const nr_run *const *of = opened("wash-stand-bare-store-only");
    ck_assert_int_eq(nr_solve_runs(of, count, &options, &s, &err), NR_OK);
    nr_curve_at at = s.at;
    at.span = nr_derive_span(s.fit);
    at.bend = s.fit->a2.known;
    const nr_sample_of what[] = {{nr_result_efficiency, &at, &m.eta0}, {nr_result_a1, &at, &m.a1}};
    ck_assert_int_eq(nr_monte_carlo_run(s.joint, what, 2, 20, 9, NULL, &m.failed, &err), NR_OK);
    ck_assert_int_eq(nr_gum_budget_make(&s, NR_BUDGET_ETA0, &b[0], &err), NR_OK);
    ck_assert_int_eq(nr_gum_budget_make(&s, NR_BUDGET_A1, &b[1], &err), NR_OK);
    DUE_BEGINS;
    ck_assert_int_eq(nr_json_budget(to, b, 2, &m, &err), NR_OK);
    DUE_ENDS;
    to = open_memstream(&due, &due_size);
    nr_csv_budget(to, b, 2);
    fclose(to);
    same_text(scratch_read("b.csv"), due);
    free(due);
    for (size_t k = 0; k < 2; k++)
        nr_gum_budget_free(&b[k]);
    nr_solved_free(&s);
}
END_TEST

/* ---- predict, pump, plan ---- */

START_TEST(a_day_as_asked)
{
    nr_fit_options options = nr_fit_defaults();
    nr_predict *p = NULL;
    nr_day d = nr_day_stated();
    d.sun_W_m2 = 750;
    d.air_degC = 18;
    d.from_degC = 12;
    d.to_degC = 35;
    d.water_kg = 25;
    d.area_m2 = 1.1;
    d.u_sun = 0.04;
    d.u_air_K = 0.5;
    d.limit_s = 4 * 3600;
    options.use_loop = false;
    ENDS(NR_OK, &nr_cmd_predict, "", sample("wash-stand-bare-store-only"), PART, "--json",
         "--sun=750", "--air=18C", "--from=12C", "--to=95F", "--water=25", "--area=1.1",
         "--u-sun=4", "--u-air=0.5", "--within=4h", "--store-only");
    const nr_run *const *of = opened("wash-stand-bare-store-only");
    DUE_BEGINS;
    ck_assert_int_eq(nr_predict_runs(of, count, &d, &options, &p, &err), NR_OK);
    ck_assert_int_eq(nr_json_predict(to, p, &err), NR_OK);
    DUE_ENDS;
    nr_predict_free(p);
}
END_TEST

START_TEST(a_pump_as_asked)
{
    nr_fit_options options = nr_fit_defaults();
    nr_pump *p = NULL;
    ENDS(NR_OK, &nr_cmd_pump, "", sample("wash-stand-glazed"), PART, "--json", "--coil=300");
    const nr_run *const *of = opened("wash-stand-glazed");
    DUE_BEGINS;
    ck_assert_int_eq(nr_pump_runs(of, count, 0.3, &options, &p, &err), NR_OK);
    ck_assert_int_eq(nr_json_pump(to, p, &err), NR_OK);
    DUE_ENDS;
    nr_pump_free(p);
}
END_TEST

START_TEST(a_plan_as_asked)
{
    char path[400];
    nr_plan_test test = nr_plan_test_open();
    nr_plan *plan = NULL;
    snprintf(path, sizeof path, "%s/rig.ini", sample("wash-stand-bare-store-only"));
    test.day = nr_day_stated();
    test.day.air_degC = 24;
    test.duration_s = 900;
    ENDS(NR_OK, &nr_cmd_plan, "", sample("wash-stand-bare-store-only"), "--json", "--air=24C",
         "--for=15m");
    DUE_BEGINS;
    ck_assert_msg(nr_plan_rig(path, &test, &plan, &err) == NR_OK, "%s", err.text);
    ck_assert_int_eq(nr_json_plan(to, plan, &err), NR_OK);
    DUE_ENDS;
    nr_plan_free(plan);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        fits_as_asked,  fits_side_by_side, budgets_as_asked, a_budget_by_chance,
        a_day_as_asked, a_pump_as_asked,   a_plan_as_asked,  NULL};
    return run_tests_in("asked", tests, set_up, scratch_remove);
}
