/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The uncertainty budget in the form of the GUM. */
#include "analyze/estimate/linfit.h"
#include "analyze/fit/budget.h"
#include "analyze/fit/montecarlo.h"
#include "analyze/result/coverage.h"
#include "tests/unit/fit/simulated.h"

#include <check.h>
#include <math.h>
#include <stdlib.h>

/* JCGM 100:2008, H.1 (end gauge; from memory, recomputed): u 25 (18), 9.7 (25.6), 2.9 (50) and
 * 16.6 nm (2): nu_eff 16.7, cut to 16, t99 2.92, U99 93 nm. */
START_TEST(degrees_of_freedom_of_the_end_gauge)
{
    const double u[] = {25, 9.7, 2.9, 16.6}, dof[] = {18, 25.6, 50, 2};
    double effective = nr_effective_dof(4, u, dof), sum = 0;
    for (int i = 0; i < 4; i++)
        sum += u[i] * u[i];
    NEAR(effective, 16.8, 0.1);
    double k = nr_coverage_factor(0.99, effective);
    NEAR(k, 2.921, 0.0005); /* t 0.995 of 16, any handbook's table */
    NEAR(k * sqrt(sum), 93, 1);
    NEAR(nr_coverage_factor(0.95, 10.9), 2.228, 0.0005); /* cut, not rounded: t 0.975 of 10 */
    NEAR(nr_coverage_factor(0.95, INFINITY), 1.960, 0.0005);
    NEAR(nr_dof_of_reliability(0.25), 8, 1e-12); /* JCGM 100, G.4.2, its example */
}
END_TEST

static void solve(const nr_run *run, nr_solved *s)
{
    nr_err err = {.text = ""};
    nr_fit_options options = nr_fit_defaults();
    ck_assert_msg(!nr_solve_runs(&run, 1, &options, s, &err), "%s", err.text);
}

static nr_gum_budget budget_of(const nr_solved *s, nr_budget_of of)
{
    nr_gum_budget b;
    nr_err err = {.text = ""};
    ck_assert_msg(!nr_gum_budget_make(s, of, &b, &err), "%s", err.text);
    return b;
}

static const nr_budget_row *row_of(const nr_gum_budget *b, const char *label)
{
    for (size_t i = 0; i < b->rows; i++)
        if (!strcmp(b->row[i].label, label))
            return &b->row[i];
    ck_abort_msg("no row \"%s\"", label);
    return NULL;
}

/* Contributions add up to the result's uncertainty, those of the readings to its random part. */
START_TEST(contributions_add_up)
{
    nr_virtual_params p = exact_glazed();
    nr_virtual_run *run = simulated(&p);
    nr_solved s;
    solve(&run->run, &s);
    for (int of = 0; of < NR_BUDGET_OFS; of++) {
        nr_gum_budget b = budget_of(&s, (nr_budget_of)of);
        double all = 0, noise = 0, shares = 0;
        for (size_t i = 0; i < b.rows; i++) {
            const nr_budget_row *r = &b.row[i];
            all += r->contribution * r->contribution;
            noise += r->type_a ? r->contribution * r->contribution : 0;
            shares += r->share;
            NEAR(r->contribution, fabs(r->sensitivity) * r->u, 1e-9 * b.result.u);
            ck_assert(r->degrees_of_freedom >= 1);
            ck_assert(i == 0 || r->contribution <= b.row[i - 1].contribution);
        }
        NEAR(sqrt(all), b.result.u, 1e-4 * b.result.u);
        NEAR(sqrt(noise), b.result.u_random, 2e-3 * b.result.u);
        NEAR(shares, 1, 1e-9);
        NEAR(b.expanded, b.k95 * b.result.u, 1e-12);
        nr_gum_budget_free(&b);
    }
    nr_solved_free(&s);
    nr_virtual_run_free(run);
}
END_TEST

/* A sensitivity says what happens when the input is stated otherwise and all is fitted again: so
 * state it otherwise and fit again. */
START_TEST(sensitivities_are_what_another_statement_does)
{
    nr_virtual_params p = exact_glazed();
    nr_virtual_run *run = simulated(&p);
    nr_solved before, after;
    solve(&run->run, &before);
    nr_gum_budget eta0 = budget_of(&before, NR_BUDGET_ETA0), a1 = budget_of(&before, NR_BUDGET_A1);
    nr_value *area = &run->run.rig.collector.gross_area_m2;
    double relative = 0.004, u = area->u / area->value;
    area->value *= 1 + relative;
    area->u = u * area->value;
    solve(&run->run, &after);
    NEAR(after.fit->eta0.value - before.fit->eta0.value,
         relative * row_of(&eta0, "gross area")->sensitivity,
         0.03 * fabs(relative * row_of(&eta0, "gross area")->sensitivity));
    NEAR(after.fit->a1.value - before.fit->a1.value,
         relative * row_of(&a1, "gross area")->sensitivity,
         0.05 * fabs(relative * row_of(&a1, "gross area")->sensitivity));
    nr_solved_free(&after);
    area->value /= 1 + relative;
    area->u = u * area->value;
    /* And the heat capacity, which is fitted as a logarithm. */
    nr_value *dry = &run->run.rig.collector.heat_capacity_J_K;
    double per_m2 = 0.05 * dry->value / area->value, ratio = dry->u / dry->value;
    dry->value *= 1.05;
    dry->u = ratio * dry->value;
    solve(&run->run, &after);
    const nr_budget_row *r = row_of(&eta0, "collector heat capacity");
    ck_assert_str_eq(r->unit, "J/(m2 K)");
    NEAR(after.fit->eta0.value - before.fit->eta0.value, per_m2 * r->sensitivity,
         0.1 * fabs(per_m2 * r->sensitivity));
    nr_solved_free(&after);
    nr_gum_budget_free(&eta0);
    nr_gum_budget_free(&a1);
    nr_solved_free(&before);
    nr_virtual_run_free(run);
}
END_TEST

/* Type, distribution and degrees of freedom by where the knowledge is from. */
START_TEST(kinds_of_knowledge)
{
    nr_virtual_params p = exact_glazed();
    nr_virtual_run *run = simulated(&p);
    nr_solved s;
    solve(&run->run, &s);
    nr_gum_budget b = budget_of(&s, NR_BUDGET_ETA0);
    const nr_budget_row *sun = row_of(&b, "irradiance sensor, gain");
    ck_assert(!sun->type_a && sun->stated && isinf(sun->degrees_of_freedom));
    NEAR(sun->u, 0.03, 1e-12); /* as the rig states */
    const nr_budget_row *bend = row_of(&b, "collector loss, rise with temperature");
    ck_assert(!bend->type_a && !bend->stated);
    NEAR(bend->degrees_of_freedom, 8, 1e-12);
    NEAR(row_of(&b, "the model itself, gain")->degrees_of_freedom, 8, 1e-12);
    const nr_budget_row *noise = row_of(&b, "noise of the outlet's readings");
    ck_assert(noise->type_a && isnan(noise->estimate));
    ck_assert_double_gt(noise->degrees_of_freedom, 5);
    ck_assert_double_lt(noise->degrees_of_freedom, 420); /* blocks of ten seconds in 70 min */
    nr_gum_budget_free(&b);
    nr_solved_free(&s);
    nr_virtual_run_free(run);
}
END_TEST

/* JCGM 101: distributions of all inputs propagated; three standard errors of the sampling. */
START_TEST(monte_carlo_agrees)
{
    nr_virtual_params p = exact_glazed();
    p.duration_s = 3000;
    nr_virtual_run *run = simulated(&p);
    nr_solved s;
    solve(&run->run, &s);
    nr_gum_budget eta0 = budget_of(&s, NR_BUDGET_ETA0), a1 = budget_of(&s, NR_BUDGET_A1);
    nr_curve_at at = s.at;
    at.span = nr_derive_span(s.fit);
    nr_sampled sampled[2];
    const nr_sample_of what[] = {{nr_result_efficiency, &at, &sampled[0]},
                                 {nr_result_a1, &at, &sampled[1]}};
    size_t failed;
    nr_err err = {.text = ""};
    ck_assert(!nr_monte_carlo_run(s.joint, what, 2, 60, 1, NULL, &failed, &err));
    NEAR(sampled[0].u, eta0.result.u, 3 * sampled[0].u_error);
    NEAR(sampled[1].u, a1.result.u, 3 * sampled[1].u_error);
    nr_gum_budget_free(&eta0);
    nr_gum_budget_free(&a1);
    nr_solved_free(&s);
    nr_virtual_run_free(run);
}
END_TEST

/* The same numbers for any number of threads, other ones for another seed, and the estimate
 * untouched. */
START_TEST(threads_do_not_matter)
{
    nr_virtual_params p = exact_glazed();
    p.duration_s = 2400;
    p.interval_s = 5;
    nr_virtual_run *run = simulated(&p);
    nr_solved s;
    solve(&run->run, &s);
    nr_curve_at at = s.at;
    at.span = nr_derive_span(s.fit);
    double before = nr_result_a1(s.joint, nr_joint_x(s.joint), &at);
    nr_sampled of[4];
    for (int k = 0; k < 4; k++) {
        static const size_t threads[] = {1, 2, 5, 2};
        const nr_sample_of what[] = {{nr_result_a1, &at, &of[k]}};
        size_t failed;
        nr_err err = {.text = ""};
        ck_assert(!nr_monte_carlo_threads(s.joint, what, 1, 24, k == 3 ? 2 : 1, threads[k], NULL,
                                          &failed, &err));
    }
    for (int k = 1; k < 3; k++)
        ck_assert(of[k].u == of[0].u && of[k].lo95 == of[0].lo95 && of[k].hi95 == of[0].hi95);
    ck_assert(of[3].u != of[0].u);
    ck_assert(nr_result_a1(s.joint, nr_joint_x(s.joint), &at) == before);
    nr_solved_free(&s);
    nr_virtual_run_free(run);
}
END_TEST

static double efficiency(const nr_joint *j, const double *x, const void *at)
{
    return nr_result_efficiency(j, x, at);
}
static double a1(const nr_joint *j, const double *x, const void *at)
{
    return nr_result_a1(j, x, at);
}
static double a2(const nr_joint *j, const double *x, const void *at)
{
    return nr_result_a2(j, x, at);
}
static double a5(const nr_joint *j, const double *x, const void *at)
{
    return nr_result_a5(j, x, at);
}
static double stagnation(const nr_joint *j, const double *x, const void *at)
{
    return nr_result_stagnation_K(j, x, at);
}
static double constant(const nr_joint *j, const double *x, const void *at)
{
    return nr_result_constant_W_m2(j, x, at);
}
static double store_loss(const nr_joint *j, const double *x, const void *at)
{
    return nr_result_store_loss(j, x, at);
}

/* What has no part in a piece is left out of its results' gradients: the same numbers as when,
 * under another name, every parameter is tried. */
START_TEST(gradients_leave_out_what_has_no_part)
{
    static const nr_result_fn quick[] = {
        nr_result_efficiency,   nr_result_a1,         nr_result_a2,           nr_result_a5,
        nr_result_stagnation_K, nr_result_store_loss, nr_result_constant_W_m2};
    static const nr_result_fn full[] = {efficiency, a1, a2, a5, stagnation, store_loss, constant};
    nr_virtual_params p = exact_glazed();
    p.duration_s = 1500;
    p.interval_s = 5;
    nr_virtual_run *run[2] = {simulated(&p)};
    p.day_seed = 2;
    p.store_above_air_K = 15;
    run[1] = simulated(&p);
    const nr_run *runs[2] = {&run[0]->run, &run[1]->run};
    nr_solved s;
    nr_err err = {.text = ""};
    nr_fit_options options = nr_fit_defaults();
    ck_assert_msg(!nr_solve_runs(runs, 2, &options, &s, &err), "%s", err.text);
    size_t m = nr_joint_parameters(s.joint);
    double *one = malloc(m * sizeof *one), *other = malloc(m * sizeof *other);
    nr_curve_at at = s.at;
    at.span = 0.05;
    for (size_t f = 0; f < sizeof quick / sizeof quick[0]; f++)
        for (at.piece = 0; at.piece < nr_joint_pieces(s.joint); at.piece++) {
            ck_assert(nr_result_gradient(s.joint, quick[f], &at, one));
            ck_assert(nr_result_gradient(s.joint, full[f], &at, other));
            size_t moving = 0;
            for (size_t i = 0; i < m; i++) {
                ck_assert_msg(one[i] == other[i], "%zu: %s", f,
                              nr_joint_parameter(s.joint, i).label);
                moving += one[i] != 0;
            }
            ck_assert_uint_gt(moving, 0);
        }
    free(one);
    free(other);
    nr_solved_free(&s);
    nr_virtual_run_free(run[0]);
    nr_virtual_run_free(run[1]);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {degrees_of_freedom_of_the_end_gauge,
                                  contributions_add_up,
                                  sensitivities_are_what_another_statement_does,
                                  kinds_of_knowledge,
                                  monte_carlo_agrees,
                                  threads_do_not_matter,
                                  gradients_leave_out_what_has_no_part,
                                  NULL};
    return run_tests("budget", tests);
}
