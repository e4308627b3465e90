/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is said beside a prediction, each limit from both sides: a made-up answer beside the
 * estimate of a short simulated record, set up and not solved. */
#include "analyze/forecast/predict_advice.h"
#include "analyze/joint/inside.h"
#include "tests/unit/quality/records.h"

static nr_virtual_run *run;
static nr_solved solved;
static nr_fit fit;
static nr_predict p;
static nr_heatup_case asked;

static void set_up(void)
{
    static const size_t build_of[1] = {0};
    nr_virtual_params params = nr_virtual_glazed();
    nr_joint_options options = {.use_store = true, .use_loop = true};
    nr_err err = {.text = ""};
    params.duration_s = 900;
    params.interval_s = 10;
    run = simulate(&params);
    solved = (nr_solved){
        .runs = 1, .fit = &fit, .wind_m_s = 1.5, .panel_start_W_m2 = NAN, .panel_stall_W_m2 = NAN};
    ck_assert_msg(!nr_series_build(&run->run, &solved.series[0], &err), "%s", err.text);
    const nr_series *one = solved.series[0];
    ck_assert_msg(!nr_joint_setup(&one, build_of, 1, 1, &options, &solved.joint, &err), "%s",
                  err.text);
    fit = (nr_fit){.mean_flow_L_min = 1.1, .dT_range = {-4, 13}, .sun_range = {790, 925}};
    p = (nr_predict){.fit = &fit, .reached = true};
    p.day = (nr_day){.sun_W_m2 = 850, .wind_m_s = NAN, .u_sun = 0.05};
    asked = (nr_heatup_case){.water_kg = 40};
}

static void tear_down(void)
{
    nr_joint_free(solved.joint);
    nr_series_free(solved.series[0]);
    nr_virtual_run_free(run);
}

static const nr_warning *said(nr_warning_code code)
{
    memset(&p.cautions, 0, sizeof p.cautions);
    nr_predict_advise(&solved, &asked, &p);
    for (size_t i = 0; i < p.cautions.count; i++)
        if (p.cautions.item[i].code == code)
            return &p.cautions.item[i];
    return NULL;
}

/* A wind within half a metre a second of the records' own needs no word. */
START_TEST(winds)
{
    static const struct {
        double wind, records;
        bool said;
    } of[] = {{NAN, 1.5, false},  {1.01, 1.5, false}, {0.99, 1.5, true},
              {1.99, 1.5, false}, {2.01, 1.5, true},  {1.5, NAN, true}};
    ck_assert_int_lt(nr_joint_index(solved.joint, 0, NR_TERM_WIND), 0);
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        p.day.wind_m_s = of[i].wind;
        solved.wind_m_s = of[i].records;
        ck_assert_msg((said(NR_WARN_WIND_UNUSED) != NULL) == of[i].said, "%g for %g", of[i].wind,
                      of[i].records);
    }
}
END_TEST

START_TEST(suns)
{
    ck_assert(said(NR_WARN_TRUE_IRRADIANCE) && !said(NR_WARN_CLEAR_SKY) &&
              !said(NR_WARN_SAME_METER));
    p.day.same_meter = true;
    ck_assert(!said(NR_WARN_TRUE_IRRADIANCE) && said(NR_WARN_SAME_METER));
    p.day.clear_sky = true;
    ck_assert(!said(NR_WARN_TRUE_IRRADIANCE) && !said(NR_WARN_SAME_METER));
    ck_assert(said(NR_WARN_CLEAR_SKY)->number[0] == 0.05);
    ck_assert(!said(NR_WARN_PANEL_PUMP));
    solved.panel_start_W_m2 = 380;
    solved.panel_stall_W_m2 = 260;
    const nr_warning *w = said(NR_WARN_PANEL_PUMP);
    ck_assert(w && w->number[0] == 380 && w->number[1] == 260 && w->number[2] == 1.1);
}
END_TEST

START_TEST(what_was_not_tested)
{
    ck_assert(!said(NR_WARN_OUTSIDE_TESTED) && !said(NR_WARN_OTHER_CONTAINER));
    p.outside_tested = true;
    const nr_warning *w = said(NR_WARN_OUTSIDE_TESTED);
    ck_assert(w && w->number[0] == -4 && w->number[1] == 13 && w->number[2] == 790 &&
              w->number[3] == 925);
    asked.u_contained_W_K = 0.4;
    asked.contained_W_K = 1.6;
    w = said(NR_WARN_OTHER_CONTAINER);
    ck_assert(w && w->number[0] == 1.6 && w->number[1] == 0.4);
}
END_TEST

/* Below what a pump on its panel starts at, more sun is the only remedy. */
START_TEST(too_little_sun_for_the_pump)
{
    solved.panel_start_W_m2 = 380;
    solved.panel_stall_W_m2 = 260;
    p.reached = false;
    p.day.sun_W_m2 = 379;
    nr_predict_advise(&solved, &asked, &p);
    ck_assert_int_eq(p.remedy.kind, NR_REMEDY_PANEL);
    ck_assert(p.remedy.panel_start_W_m2 == 380 && isnan(p.remedy.start_degC));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {winds, suns, what_was_not_tested, too_little_sun_for_the_pump,
                                  NULL};
    return run_tests_in("advice", tests, set_up, tear_down);
}
