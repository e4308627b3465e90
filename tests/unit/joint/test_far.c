/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is far beyond the usual is found from the record: water that leaks away is told, with a
 * container that keeps its water nothing is; so is a mass that is not the one stated. */
#include "analyze/joint/far.h"
#include "tests/unit/quality/records.h"

/* Warms as if an eighth of its water were gone by the end. */
static void leak(double *v, size_t rows)
{
    double before = v[0], now = v[0];
    for (size_t i = 1; i < rows; i++) {
        double step = v[i] - before;
        before = v[i];
        v[i] = now += step / (1 - (double)i / (double)rows / 8);
    }
}

static bool asked(bool leaks, bool weighed, nr_joint_options *options)
{
    static const size_t build_of[1] = {0};
    nr_virtual_params p = nr_virtual_glazed();
    p.duration_s = 4500;
    p.interval_s = 10;
    nr_virtual_run *run = simulate(&p);
    nr_value water = run->run.rig.store.water_kg;
    run->run.rig.store.water_end_kg = weighed ? water : (nr_value){.given = false};
    if (leaks)
        leak(column(run, "store"), run->run.readings->rows);
    *options = (nr_joint_options){.use_store = true, .use_loop = true};
    nr_series *series = NULL;
    nr_joint *joint = NULL;
    nr_err err = {.text = ""};
    ck_assert_msg(!nr_series_build(&run->run, &series, &err), "%s", err.text);
    const nr_series *all[1] = {series};
    ck_assert_msg(!nr_joint_setup(all, build_of, 1, 1, options, &joint, &err), "%s", err.text);
    ck_assert_msg(!nr_joint_solve(joint, &err), "%s", err.text);
    bool far = nr_joint_far(joint, options);
    nr_joint_free(joint);
    nr_series_free(series);
    nr_virtual_run_free(run);
    return far;
}

START_TEST(a_leak_is_heard)
{
    nr_joint_options o;
    ck_assert(asked(true, false, &o));
    ck_assert_msg(o.gone_u[0] > 0.06 && o.gone_u[0] < 0.25, "%g", o.gone_u[0]); /* an eighth */
    asked(false, false, &o);
    ck_assert_msg(o.gone_u[0] < 0.02, "%g", o.gone_u[0]);
    ck_assert(!asked(true, true, &o)); /* who weighed it again knows better */
}
END_TEST

/* The rig file says `times` the water there was, and the flow is by `swing` more, then less; the
 * prior's options and, solved again with them, the mass relative to what is said. */
static nr_parameter_view weighed_as(double times, double swing, nr_joint_options *options,
                                    bool *far)
{
    static const size_t build_of[1] = {0};
    nr_virtual_params p = nr_virtual_glazed();
    p.duration_s = 4500;
    p.interval_s = 10;
    nr_virtual_run *run = simulate(&p);
    for (size_t i = 0; i < run->run.readings->rows; i++)
        column(run, "flow")[i] *= 1 + (i / 50 % 2 ? swing : -swing);
    nr_value *water = &run->run.rig.store.water_kg;
    *water = (nr_value){
        .given = true, .value = times * water->value, .u = 0.005 * water->value, .u_given = true};
    run->run.rig.store.water_end_kg = *water;
    *options = (nr_joint_options){.use_store = true, .use_loop = true};
    nr_series *series = NULL;
    nr_err err = {.text = ""};
    nr_parameter_view found = {0};
    ck_assert_msg(!nr_series_build(&run->run, &series, &err), "%s", err.text);
    const nr_series *all[1] = {series};
    for (int again = 0; again < 2; again++) {
        nr_joint *joint = NULL;
        ck_assert_msg(!nr_joint_setup(all, build_of, 1, 1, options, &joint, &err), "%s", err.text);
        ck_assert_msg(!nr_joint_solve(joint, &err), "%s", err.text);
        if (!again)
            *far = nr_joint_far(joint, options);
        found = nr_joint_parameter(joint, (size_t)nr_joint_index(joint, 0, NR_TERM_WATER));
        nr_joint_free(joint);
    }
    nr_series_free(series);
    nr_virtual_run_free(run);
    return found;
}

START_TEST(a_mass_that_is_not_the_one_stated)
{
    static const double times[] = {0.8, 1.2};
    nr_joint_options o;
    bool far;
    for (int k = 0; k < 2; k++) {
        double off = 1 / times[k] - 1; /* what there was, relative to what is said */
        nr_parameter_view p = weighed_as(times[k], 0, &o, &far);
        ck_assert_msg(far && o.water_u[0] > fabs(off) / 2 && o.water_u[0] < 2 * fabs(off), "%g: %g",
                      times[k], o.water_u[0]);
        NEAR_AT("as stated", p.said_u, 0.005 / times[k], 1e-9);
        NEAR_AT("and beyond", p.prior_u, hypot(p.said_u, o.water_u[0]), 1e-12);
        ck_assert_msg(fabs(p.value - off) < 2 * p.u && p.u < 0.09, "%g: %g +- %g", off, p.value,
                      p.u);
    }
    weighed_as(1, 0, &o, &far);
    ck_assert_msg(o.water_u[0] < 0.01, "%g", o.water_u[0]);
    /* Of a flow that swings by more than a twentieth the loop is no witness. */
    weighed_as(1.2, 0.045, &o, &far);
    ck_assert_msg(o.water_u[0] > 0.05, "%g", o.water_u[0]);
    weighed_as(1.2, 0.065, &o, &far);
    ck_assert_msg(o.water_u[0] == 0, "%g", o.water_u[0]);
}
END_TEST

START_TEST(a_part_has_its_own)
{
    static nr_joint_options whole, alone; /* large */
    static const size_t run[2] = {3, 5};
    whole.gone_u[3] = 0.1;
    whole.gone_u[5] = 0.2;
    whole.open_u_m2[2] = 0.3;
    whole.water_u[5] = 0.4;
    whole.without_container[2] = true;
    nr_far_options_of(&whole, 2, run, 2, &alone);
    ck_assert(alone.gone_u[0] == 0.1 && alone.gone_u[1] == 0.2 && alone.open_u_m2[0] == 0.3);
    ck_assert(alone.water_u[0] == 0 && alone.water_u[1] == 0.4);
    ck_assert(alone.without_container[0] && !alone.without_container[2]);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_leak_is_heard, a_mass_that_is_not_the_one_stated,
                                  a_part_has_its_own, NULL};
    return run_tests("far", tests);
}
