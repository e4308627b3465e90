/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is far beyond the usual is found from the record: water that leaks away is told, with a
 * container that keeps its water nothing is. */
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

static bool asked_of(nr_virtual_run *run, nr_joint_options *options)
{
    static const size_t build_of[1] = {0};
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

static bool asked(bool leaks, bool weighed, nr_joint_options *options)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.duration_s = 4500;
    p.interval_s = 10;
    nr_virtual_run *run = simulate(&p);
    nr_value water = run->run.rig.store.water_kg;
    run->run.rig.store.water_end_kg = weighed ? water : (nr_value){.given = false};
    if (leaks)
        leak(column(run, "store"), run->run.readings->rows);
    return asked_of(run, options);
}

/* A bare plate, whose loss, of 12 W/(m2 K), is less by a third at first and more by a third at the
 * end: what that takes from the outlet at once, and from all the water added up. */
static bool in_the_wind(double trend, bool loop, nr_joint_options *options)
{
    nr_virtual_params p = nr_virtual_bare();
    p.duration_s = 5400;
    p.interval_s = 10;
    p.channels =
        NR_VC_STORE_SET |
        (loop ? NR_VC_BIT(NR_VC_INLET) | NR_VC_BIT(NR_VC_OUTLET) | NR_VC_BIT(NR_VC_FLOW) : 0);
    nr_virtual_run *run = simulate(&p);
    double *store = column(run, "store"), *air = column(run, "air"), taken = 0;
    double *inlet = loop ? column(run, "inlet") : NULL,
           *outlet = loop ? column(run, "outlet") : NULL;
    double *flow = loop ? column(run, "flow") : NULL;
    double area = run->run.rig.collector.gross_area_m2.value;
    double heat = 4186 * run->run.rig.store.water_kg.value;
    size_t rows = run->run.readings->rows;
    for (size_t i = 1; i < rows; i++) {
        double more = 12 * trend * ((double)i / (double)rows - 0.5);
        double W = more * area * (store[i] - taken - air[i]);
        taken += 10 * W / heat;
        store[i] -= taken;
        if (loop) {
            inlet[i] -= taken;
            outlet[i] -= taken + W / (flow[i] / 60 * 4186);
        }
    }
    return asked_of(run, options);
}

/* Twice what is usual (0.08) and more, whether it rises or falls. */
START_TEST(a_breeze_is_heard)
{
    nr_joint_options o;
    in_the_wind(0, true, &o);
    ck_assert_msg(o.trend_u[0] < 0.08, "%g", o.trend_u[0]);
    ck_assert(in_the_wind(0.67, true, &o));
    ck_assert_msg(o.trend_u[0] > 0.16 && o.trend_u[0] < 1, "%g", o.trend_u[0]);
    ck_assert(in_the_wind(-0.67, true, &o));
    ck_assert_msg(o.trend_u[0] > 0.16 && o.trend_u[0] < 1, "%g", o.trend_u[0]);
    ck_assert(!in_the_wind(0.67, false, &o) && o.trend_u[0] == 0);
}
END_TEST

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

START_TEST(a_part_has_its_own)
{
    static nr_joint_options whole, alone; /* large */
    static const size_t run[2] = {3, 5};
    whole.gone_u[3] = 0.1;
    whole.gone_u[5] = 0.2;
    whole.trend_u[3] = 0.4;
    whole.trend_u[5] = 0.5;
    whole.open_u_m2[2] = 0.3;
    whole.without_container[2] = true;
    nr_far_options_of(&whole, 2, run, 2, &alone);
    ck_assert(alone.gone_u[0] == 0.1 && alone.gone_u[1] == 0.2 && alone.open_u_m2[0] == 0.3);
    ck_assert(alone.trend_u[0] == 0.4 && alone.trend_u[1] == 0.5);
    ck_assert(alone.without_container[0] && !alone.without_container[2]);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_leak_is_heard, a_breeze_is_heard, a_part_has_its_own, NULL};
    return run_tests("far", tests);
}
