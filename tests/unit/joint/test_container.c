/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The container's balance beside a driven collector: kept where it is one, left out where water
 * leaks away or its temperature wanders. */
#include "analyze/joint/joint.h"
#include "tests/unit/quality/records.h"

enum { HEALTHY, LEAKING, WANDERING };

/* Of water that becomes less by an eighth each step of warming is that much larger; layers that
 * come and go every ten minutes by 0.5 K. */
static void spoil(double *v, size_t rows, int how)
{
    double before = v[0], now = v[0];
    for (size_t i = 1; i < rows; i++) {
        double along = (double)i / (double)rows, step = v[i] - before;
        before = v[i];
        now += how == LEAKING ? step / (1 - along / 8) : step;
        v[i] = now + (how == WANDERING ? 0.5 * sin(along * 2 * M_PI * 9) : 0);
    }
}

static nr_container_view looked_at(int how)
{
    static const size_t build_of[1] = {0};
    nr_virtual_params p = nr_virtual_glazed();
    p.duration_s = 5400;
    p.interval_s = 5;
    nr_virtual_run *run = simulate(&p);
    run->run.rig.store.loss_W_K.given = false;
    spoil(column(run, "store"), run->run.readings->rows, how);
    nr_joint_options options = {.use_store = true, .use_loop = true};
    nr_series *series = NULL;
    nr_joint *joint = NULL;
    nr_err err = {.text = ""};
    nr_container_view view = {.known = false};
    ck_assert_msg(!nr_series_build(&run->run, &series, &err), "%s", err.text);
    const nr_series *all[1] = {series};
    ck_assert_msg(!nr_joint_setup(all, build_of, 1, 1, &options, &joint, &err), "%s", err.text);
    ck_assert_msg(!nr_joint_solve(joint, &err), "%s", err.text);
    ck_assert_int_eq(nr_joint_container(joint, 0, &view, &err), NR_OK);
    nr_joint_free(joint);
    nr_series_free(series);
    nr_virtual_run_free(run);
    return view;
}

START_TEST(a_healthy_one_is_kept)
{
    nr_container_view v = looked_at(HEALTHY);
    ck_assert_msg(v.known && v.consistent, "score %g, pull %g, loss %g, wander %g", v.score, v.pull,
                  v.loss_W_K, v.wander_K);
    ck_assert(v.loss_W_K > v.least_loss_W_K && v.wander_K < v.wander_limit_K);
}
END_TEST

START_TEST(one_that_leaks_loses_nothing)
{
    nr_container_view v = looked_at(LEAKING);
    ck_assert(v.known && !v.consistent);
    ck_assert_msg(v.loss_W_K + 2 * v.u_loss_W_K < v.least_loss_W_K, "%g (%g), least %g", v.loss_W_K,
                  v.u_loss_W_K, v.least_loss_W_K);
}
END_TEST

START_TEST(one_in_layers_wanders)
{
    nr_container_view v = looked_at(WANDERING);
    ck_assert(v.known && !v.consistent);
    ck_assert_msg(v.wander_K > v.wander_limit_K, "%g, limit %g", v.wander_K, v.wander_limit_K);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_healthy_one_is_kept, one_that_leaks_loses_nothing,
                                  one_in_layers_wanders, NULL};
    return run_tests("container", tests);
}
