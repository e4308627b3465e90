/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A rig that states its incidence angle modifier as a table and one that states the same by b0 get
 * the same answers: the curve, the heat-up of steady and clear days, the comparison. The tables'
 * points stand every six degrees; straight lines between them are 0.3 % off at most where the sun
 * of these records and days stands (by the second derivative of 1/cos below 60 degrees). */
#include "analyze/compare/compare.h"
#include "analyze/forecast/predict.h"
#include "tests/unit/fit/simulated.h"

static const double b0 = 0.2; /* more than glass has, to be seen */
static nr_virtual_run *by_b0, *by_table;

static void set_up(void)
{
    nr_virtual_params p = exact_glazed();
    p.duration_s = 2400;
    p.interval_s = 30;
    p.start_utc_s -= 2 * 3600; /* the sun stands aslant */
    by_b0 = simulated(&p);
    by_table = simulated(&p);
    by_b0->run.rig.collector.iam_b0 = (nr_value){.given = true, .value = b0, .u_given = true};
    nr_rig_collector *c = &by_table->run.rig.collector;
    c->iam_b0 = (nr_value){.value = NAN, .u = NAN};
    for (int i = 0; i < 14; i++) {
        c->iam.angle_deg[i] = 6.0 * i;
        c->iam.factor[i] = fmax(1 - b0 * (1 / cos(6 * i * M_PI / 180) - 1), 0);
    }
    c->iam.points = 14;
}

static void tear_down(void)
{
    nr_virtual_run_free(by_b0);
    nr_virtual_run_free(by_table);
}

static nr_predict *predict(const nr_virtual_run *run, const nr_day *day)
{
    const nr_run *one = &run->run;
    nr_fit_options options = nr_fit_defaults();
    nr_predict *p = NULL;
    nr_err err = {.text = ""};
    ck_assert_msg(nr_predict_runs(&one, 1, day, &options, &p, &err) == NR_OK, "%s", err.text);
    return p;
}

START_TEST(predictions)
{
    nr_day days[] = {steady_day(800, 20, 15, 32), clear_day(9, 22, 14, 34),
                     clear_day(13.5, 22, 14, 34), clear_day(9, 22, 14, 34)};
    days[3].re_aimed = true;
    for (int i = 0; i < 4; i++) {
        nr_predict *a = predict(by_b0, &days[i]), *b = predict(by_table, &days[i]);
        ck_assert(a->reached && b->reached);
        NEAR_RELATIVE(b->fit->eta0.value, a->fit->eta0.value, 0.004);
        NEAR_RELATIVE(b->time_s.value, a->time_s.value, 0.006);
        NEAR_RELATIVE(b->time_s.u, a->time_s.u, 0.05);
        NEAR(b->trace[60].sun_W_m2, a->trace[60].sun_W_m2, 0.01 * a->trace[60].sun_W_m2);
        nr_predict_free(a);
        nr_predict_free(b);
    }
}
END_TEST

START_TEST(comparisons)
{
    const nr_run *one[] = {&by_b0->run}, *other[] = {&by_table->run};
    const nr_run *const *groups[] = {one, other};
    const size_t counts[] = {1, 1};
    nr_fit_options options = nr_fit_defaults();
    nr_compare *c = NULL;
    nr_err err = {.text = ""};
    ck_assert_msg(nr_compare_builds(groups, counts, 2, NULL, &options, &c, &err) == NR_OK, "%s",
                  err.text);
    const nr_quantity *a = &c->heat_up[0].time_s, *b = &c->heat_up[1].time_s;
    ck_assert(a->known && b->known);
    NEAR_RELATIVE(b->value, a->value, 0.006);
    nr_compare_free(c);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {predictions, comparisons, NULL};
    return run_tests_in("table of angles", tests, set_up, tear_down);
}
