/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A record that speaks of a leak is asked again with room for one (joint/far.h). Where that has no
 * answer the first stays: the loop beside a container that makes no sense measured the collector
 * all the same, and the container is doubted. */
#include "analyze/fit/fit.h"
#include "tests/unit/quality/records.h"

/* Warms as if so much of its water were gone by the end. */
static void leak(double *v, size_t rows, double share)
{
    double before = v[0], now = v[0];
    for (size_t i = 1; i < rows; i++) {
        double step = v[i] - before;
        before = v[i];
        v[i] = now += step / (1 - (double)i / (double)rows * share);
    }
}

static nr_fit *leaking(double share)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.duration_s = 4500;
    p.interval_s = 10;
    nr_virtual_run *run = simulate(&p);
    run->run.rig.store.water_end_kg = (nr_value){.given = false};
    leak(column(run, "store"), run->run.readings->rows, share);
    nr_fit_options options = nr_fit_defaults();
    const nr_run *one = &run->run;
    nr_fit *fit = NULL;
    nr_err err = {.text = ""};
    nr_code code = nr_fit_runs(&one, 1, &options, &fit, &err);
    ck_assert_msg(code == NR_OK, "a share of %g: %s", share, err.text);
    nr_virtual_run_free(run);
    return fit;
}

START_TEST(the_first_answer_stays)
{
    nr_fit *tight = leaking(0), *leaks = leaking(0.5), *nonsense = leaking(0.95);
    NEAR(leaks->eta0.value, tight->eta0.value, tight->eta0.u);
    NEAR(nonsense->eta0.value, tight->eta0.value, tight->eta0.u);
    ck_assert_str_eq(nr_trust_grade(&tight->trust), "good");
    ck_assert_str_eq(nr_trust_grade(&nonsense->trust), "doubtful");
    nr_fit_free(tight);
    nr_fit_free(leaks);
    nr_fit_free(nonsense);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {the_first_answer_stays, NULL};
    return run_tests("wider question", tests);
}
