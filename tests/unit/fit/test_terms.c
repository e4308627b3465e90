/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two columns of the table of terms by what they do: which terms last beyond their record, and
 * where the model's own error turns the curve. */
#include "analyze/fit/derive.h"
#include "analyze/forecast/heatup.h"
#include "tests/unit/fit/simulated.h"

#define RUNS 2

typedef struct fitted {
    nr_virtual_run *run[RUNS];
    nr_series *series[RUNS];
    nr_joint *joint;
} fitted;

/* A heat-up and a run from hot water, all channels: every term of a usual record is there. Without
 * `outlet` the probes do not drive the collector, and layers in the container are a term. */
static void fit_two(fitted *f, bool outlet)
{
    static const size_t build_of[RUNS] = {0, 0};
    nr_err err = {.text = ""};
    for (int i = 0; i < RUNS; i++) {
        nr_virtual_params p = exact_glazed();
        p.day_seed = (unsigned long)i + 1;
        p.duration_s = 2400;
        p.interval_s = 5;
        p.store_above_air_K = i ? 20 : -5;
        p.channels |= NR_VC_BIT(NR_VC_WIND);
        if (!outlet)
            p.channels &= ~NR_VC_BIT(NR_VC_OUTLET);
        f->run[i] = simulated(&p);
        ck_assert_int_eq(nr_series_build(&f->run[i]->run, &f->series[i], &err), NR_OK);
    }
    nr_fit_options options = nr_fit_defaults();
    ck_assert_msg(!nr_fit_joint(f->series, build_of, RUNS, 1, &options, &f->joint, &err), "%s",
                  err.text);
}

static void free_two(fitted *f)
{
    nr_joint_free(f->joint);
    for (int i = 0; i < RUNS; i++) {
        nr_series_free(f->series[i]);
        nr_virtual_run_free(f->run[i]);
    }
}

/* The heat-up of another day, with the collector and the container of the record. */
static double store_after(const nr_joint *j, const double *x)
{
    static const double sun = 800, air = 20, oblique = 0.05;
    nr_heatup_case c = {.weather = {.count = 1,
                                    .every_s = 1,
                                    .sun_W_m2 = &sun,
                                    .air_degC = &air,
                                    .obliquity = &oblique,
                                    .wind_above_mean_m_s = 1},
                        .water_kg = NAN,
                        .store_loss_W_K = NAN,
                        .flow_W_K = 70,
                        .from_degC = 25,
                        .to_degC = 60,
                        .limit_s = 3600};
    double trace[2];
    ck_assert(nr_heatup_trace(j, x, &c, 2, trace));
    return trace[1];
}

/* What moves a prediction of another day lasts, and nothing else does. The layers, too: what the
 * pump draws is below the store's mean on any day. */
START_TEST(what_moves_another_day_lasts)
{
    fitted f;
    fit_two(&f, _i);
    const nr_joint *j = f.joint;
    size_t m = nr_joint_parameters(j);
    double *x = malloc(m * sizeof *x);
    memcpy(x, nr_joint_x(j), m * sizeof *x);
    double still = store_after(j, x);
    bool layers = false;
    for (size_t i = 0; i < m; i++) {
        nr_parameter_view p = nr_joint_parameter(j, i);
        if (!nr_joint_concerns(j, 0, i))
            continue;
        x[i] += 0.3 * p.scale;
        bool moves = fabs(store_after(j, x) - still) > 1e-6;
        x[i] = p.value;
        /* Of the water, only the first run's mass is in this piece. */
        if (p.term != NR_TERM_WATER)
            ck_assert_msg(moves == nr_term_lasts(p.term), "%s %s but is%s called lasting", p.label,
                          moves ? "moves another day" : "moves nothing",
                          nr_term_lasts(p.term) ? "" : " not");
        layers = layers || p.term == NR_TERM_LAYERS;
    }
    ck_assert(layers == !_i);
    free(x);
    free_two(&f);
}
END_TEST

/* Of two runs, a cold and a hot one, too, a wrong loss turns the curve about the mean of the water
 * that entered: there the answer stays, and beyond it is as much less as it is more before it. */
START_TEST(the_models_error_turns_about_the_middle)
{
    fitted f;
    fit_two(&f, true);
    nr_joint *j = f.joint;
    nr_curve_at at = nr_derive_conditions(j, 0, false);
    double middle = 0;
    for (int i = 0; i < RUNS; i++)
        middle += (f.series[i]->mean_sunny_store_degC - f.series[i]->mean_air_degC) /
                  f.series[i]->mean_sun_W_m2 / RUNS;
    at.conditions.obliquity = at.conditions.iam = 0; /* straight on, for which optical stands */
    ck_assert_double_gt(middle, 0.005); /* else the test could not fail */
    int wrong = nr_joint_index(j, at.piece, NR_TERM_MODEL_LOSS);
    ck_assert_int_ge(wrong, 0);
    size_t m = nr_joint_parameters(j);
    double *x = malloc(m * sizeof *x);
    memcpy(x, nr_joint_x(j), m * sizeof *x);
    double moved[3];
    for (int k = 0; k < 3; k++) {
        at.x = middle * k;
        x[wrong] = 0;
        moved[k] = nr_result_efficiency(j, x, &at);
        x[wrong] = 0.1;
        moved[k] = nr_result_efficiency(j, x, &at) - moved[k];
    }
    ck_assert_double_gt(moved[0], 0.05 * nr_joint_term(j, at.piece, NR_TERM_LOSS, x) * middle);
    NEAR_AT("turned curve, in the middle", moved[1], 0, 0.02 * moved[0]);
    NEAR_AT("turned curve, beyond", moved[2], -moved[0], 0.05 * moved[0]);
    free(x);
    free_two(&f);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("terms");
    TCase *all = tcase_create("all");
    tcase_add_loop_test(all, what_moves_another_day_lasts, 0, 2);
    tcase_add_test(all, the_models_error_turns_about_the_middle);
    suite_add_tcase(suite, all);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
