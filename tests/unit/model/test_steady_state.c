/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The steady state: that of the simulation left running, the handbook's heat removal factor, a
 * certified data sheet's powers, and stagnation. */
#include "analyze/model/steady.h"
#include "tests/unit/model/heater.h"

/* ---- the simulation left alone ---- */

START_TEST(the_simulation_ends_there)
{
    enum { STEPS = 4000 };
    static double sun[STEPS], air[STEPS], flow[STEPS], wind[STEPS], oblique[STEPS];
    static double inlet[STEPS], outlet[STEPS], to_water[STEPS], lost[STEPS], absorbed[STEPS];
    nr_loop_params p = heater(_i);
    p.store_J_K = 1e15; /* never warms */
    p.t_store_degC = 45;
    for (int k = 0; k < STEPS; k++) {
        sun[k] = 900;
        air[k] = 24;
        flow[k] = 42;
        wind[k] = 0.7;
        oblique[k] = 0.15;
    }
    nr_loop_input in = {.blocks = STEPS,
                        .steps_per_block = 1,
                        .step_s = 20,
                        .sun_W_m2 = sun,
                        .air_degC = air,
                        .flow_W_K = flow,
                        .wind_m_s = wind,
                        .obliquity = oblique};
    nr_loop_output out = {.reading = {NULL, inlet, outlet},
                          .absorbed_W = absorbed,
                          .to_water_W = to_water,
                          .collector_loss_W = lost};
    nr_loop_run(&in, &p, &out);
    /* The conditions are true values; the input of the simulation is what sensors said. */
    nr_steady_conditions c = {.sun_W_m2 = (900 - p.sun_offset_W_m2) / (1 + p.sun_gain),
                              .air_degC = 24 - p.air_offset_K,
                              .flow_W_K = 42,
                              .wind_m_s = 0.7,
                              .obliquity = 0.15};
    nr_operating_point at = nr_steady_state(&p, &c, 45);
    NEAR(inlet[STEPS - 1], 45, 1e-6);
    NEAR(at.outlet_degC, outlet[STEPS - 1], 1e-7);
    NEAR(at.power_W, to_water[STEPS - 1], 1e-5);
    NEAR(absorbed[STEPS - 1] - lost[STEPS - 1], at.power_W, 1e-5);
    double x = (45 - c.air_degC) / c.sun_W_m2;
    NEAR(nr_steady_efficiency(&p, &c, x, false), at.power_W / (c.sun_W_m2 * p.area_m2), 1e-12);
    /* On the other basis it is the same operating point under another name. */
    double mean_x = ((45 + at.outlet_degC) / 2 - c.air_degC) / c.sun_W_m2;
    NEAR(nr_steady_efficiency(&p, &c, mean_x, true), at.power_W / (c.sun_W_m2 * p.area_m2), 1e-9);
}
END_TEST

/* ---- Duffie and Beckman ---- */

#define FLOW_W_K (0.03 * 4190)

/* Example 6.7.1 (inputs and printed answer from memory): 2 m2, UL 8.0 W/(m2 K), F' 0.841, 0.03
 * kg/s of 4190 J/(kg K). F' = h/(h + UL) gives the exchange. */
static nr_loop_params example(void)
{
    return (nr_loop_params){.area_m2 = 2,
                            .optical = 0.8,
                            .loss_W_m2K = 8.0,
                            .exchange_W_m2K = 8.0 * 0.841 / (1 - 0.841),
                            .flow_factor = 1};
}

/* From two points of the straight line q/A = FR (S - UL (Ti - Ta)). */
static double removal_factor(const nr_loop_params *p, double flow_W_K)
{
    nr_steady_conditions c = {.sun_W_m2 = 1000, .air_degC = 20, .flow_W_K = flow_W_K};
    double cold = nr_steady_state(p, &c, 20).power_W, hot = nr_steady_state(p, &c, 60).power_W;
    double by_gain = cold / (p->area_m2 * p->optical * 1000);
    double by_loss = (cold - hot) / (p->area_m2 * p->loss_W_m2K * 40);
    NEAR_AT("one factor for gain and loss", by_gain, by_loss, 1e-9);
    return by_gain;
}

/* n mixed cells in a row: each lowers the excess by 1 + 1/(n x), x = m cp/(A UL F'). */
static double cells_in_a_row(double n, double x)
{
    return x * (1 - pow(1 + 1 / (n * x), -n));
}

START_TEST(heat_removal_factor)
{
    nr_loop_params p = example();
    double x = FLOW_W_K / (2 * 8.0 * 0.841);
    NEAR_AT("example 6.7.1: m cp/(A UL F')", x, 9.34, 0.005);
    double fr = removal_factor(&p, FLOW_W_K);
    NEAR_AT("the chain of eight cells, exactly", fr, 0.841 * cells_in_a_row(NR_SEGMENTS, x), 1e-9);
    /* A tube without end-to-end mixing has F'' = x (1 - exp(-1/x)): FR 0.797 printed, 0.7976
     * unrounded. Eight cells are 0.63 % below that (by the two formulas): what the model gives
     * away at this flow, in proportion to 1/(cells x). */
    double tube = 0.841 * x * (1 - exp(-1 / x));
    NEAR(tube, 0.7976, 0.0001);
    NEAR_AT("eight cells against the tube", fr / tube, 0.9937, 0.0001);
    NEAR_AT("eight cells against the printed 0.797", fr, 0.797, 0.797 * 0.0065);
}
END_TEST

/* Check values of the tube (computed): half flow 0.9493, a quarter 0.8579, double 1.0267 of FR.
 * Slow flow gathers less, and the chain overstates it by what its cells give away. */
START_TEST(slow_flow_gathers_less)
{
    nr_loop_params p = example();
    double fr = removal_factor(&p, FLOW_W_K);
    static const double times[] = {0.25, 0.5, 2}, ratio[] = {0.8579, 0.9493, 1.0267};
    for (int i = 0; i < 3; i++) {
        double x = times[i] * FLOW_W_K / (2 * 8.0 * 0.841);
        double x1 = FLOW_W_K / (2 * 8.0 * 0.841);
        double got = removal_factor(&p, times[i] * FLOW_W_K) / fr;
        NEAR(got, ratio[i], 1.2 * fabs(1 / x - 1 / x1) / (2 * NR_SEGMENTS) * ratio[i]);
        NEAR(got, cells_in_a_row(NR_SEGMENTS, x) / cells_in_a_row(NR_SEGMENTS, x1), 1e-9);
    }
}
END_TEST

/* Both bases of one straight line: a1 = a1_in / (1 - a1_in A/(2 m cp)), the intercept by the same
 * factor; exact for the arithmetic mean, whatever lies between the ends. */
START_TEST(inlet_basis_to_mean_basis)
{
    nr_loop_params p = example();
    nr_steady_conditions c = {.sun_W_m2 = 1000, .air_degC = 20, .flow_W_K = FLOW_W_K};
    double line[2][2]; /* basis; intercept, slope */
    for (int mean = 0; mean < 2; mean++) {
        double at0 = nr_steady_efficiency(&p, &c, 0, mean);
        line[mean][0] = at0;
        line[mean][1] = (at0 - nr_steady_efficiency(&p, &c, 0.05, mean)) / 0.05;
    }
    double factor = 1 / (1 - line[0][1] * 2 / (2 * FLOW_W_K));
    NEAR(line[1][1], line[0][1] * factor, 1e-8);
    NEAR(line[1][0], line[0][0] * factor, 1e-9);
    NEAR_AT("and it is worth a conversion", factor, 1.053, 0.002);
}
END_TEST

/* ---- a certified data sheet ---- */

/* ISO 9806:2017 flat plate, gross area (public certificate annex): eta0,hem 0.729, a1 3.51, a2
 * 0.017; printed at 1000 W/m2 for Tm - Ta = 0, 10, 30, 50, 70 and 83 K: 729, 692, 608, 511, 400 and
 * 321 W/m2. With a perfect bond and a flow without limit the model is that curve. */
static nr_loop_params data_sheet(void)
{
    return (nr_loop_params){.area_m2 = 1,
                            .optical = 0.729,
                            .loss_W_m2K = 3.51,
                            .loss2_W_m2K2 = 0.017,
                            .exchange_W_m2K = 1e7,
                            .flow_factor = 1};
}

START_TEST(certified_curve)
{
    static const double rise[] = {0, 10, 30, 50, 70, 83};
    static const double printed[] = {729, 692, 608, 511, 400, 321};
    nr_loop_params p = data_sheet();
    nr_steady_conditions c = {.sun_W_m2 = 1000, .air_degC = 20, .flow_W_K = 1e6};
    for (int i = 0; i < 6; i++)
        for (int mean = 0; mean < 2; mean++)
            NEAR(1000 * nr_steady_efficiency(&p, &c, rise[i] / 1000, mean), printed[i], 0.5);
}
END_TEST

START_TEST(modifier_and_wind)
{
    nr_loop_params p = data_sheet();
    p.b0 = 0.1;
    p.wind_Ws_m3K = 0.5;
    nr_steady_conditions c = {.sun_W_m2 = 1000, .air_degC = 20, .flow_W_K = 1e6};
    c.obliquity = 1 / cos(M_PI / 3) - 1; /* at 60 degrees K = 1 - b0 */
    NEAR(nr_steady_efficiency(&p, &c, 0, false), 0.729 * 0.9, 1e-4);
    c.obliquity = 0;
    double calm = nr_steady_efficiency(&p, &c, 0.03, false);
    c.wind_m_s = 2;
    NEAR(calm - nr_steady_efficiency(&p, &c, 0.03, false), 0.5 * 2 * 0.03, 1e-4);
    c.wind_m_s = 0;
    c.flow_W_K = 60; /* the factor is on the recorded flow */
    nr_steady_conditions other = c;
    other.flow_W_K = 50;
    nr_loop_params q = p;
    q.flow_factor = 1.2;
    NEAR(nr_steady_state(&q, &other, 30).power_W, nr_steady_state(&p, &c, 30).power_W, 1e-9);
}
END_TEST

/* ---- stagnation ---- */

START_TEST(stagnation)
{
    nr_loop_params linear = {.optical = 0.7, .loss_W_m2K = 7};
    NEAR_AT("eta0 G/a1", nr_stagnation_rise_K(&linear, 1000), 100, 1e-9);
    /* The data sheet's own zero lies 128.2 K above the air; printed stagnation is 159.4 K above
     * it: why this is "at least". */
    nr_loop_params p = data_sheet();
    NEAR(nr_stagnation_rise_K(&p, 1000), 128.2, 0.05);
    ck_assert_double_lt(nr_stagnation_rise_K(&p, 1000), 159.4);
    p.loss2_W_m2K2 = 1e-15; /* no cancellation on the way to the straight line */
    NEAR_RELATIVE(nr_stagnation_rise_K(&p, 1000), 729 / 3.51, 1e-9);
    p.loss2_W_m2K2 = -0.1; /* a loss that falls: never balances */
    ck_assert(isinf(nr_stagnation_rise_K(&p, 1000)));
    p.loss2_W_m2K2 = 0;
    p.loss_W_m2K = 0;
    ck_assert(isinf(nr_stagnation_rise_K(&p, 1000)));
    p.loss_W_m2K = -2;
    ck_assert(isinf(nr_stagnation_rise_K(&p, 1000)));
    p.loss2_W_m2K2 = -1e-4;
    ck_assert(isinf(nr_stagnation_rise_K(&p, 1000)));
    p.loss2_W_m2K2 = 0.02;
    double d = nr_stagnation_rise_K(&p, 1000);
    NEAR_AT("it solves its equation", -2 * d + 0.02 * d * d, 729, 1e-9);
}
END_TEST

/* ---- time constant ---- */

/* 63.2 % of the step of the outlet after the sun is let in, from GSL's integrator. */
static double time_constant(nr_loop_params p, double sun, double flow)
{
    p.t_store_degC = p.t_collector_degC = 0;
    p.sun_offset_W_m2 = p.sun_gain = p.air_offset_K = 0;
    moment m = {.p = &p, .sun = sun, .flow = flow, .fixed_store = true};
    double y[STATES], last = 0, end[STATES];
    start_states(&m, end);
    integrate(&m, 20000, end);
    double goal = (1 - exp(-1)) * end[BOARDS - 1];
    start_states(&m, y);
    for (double t = 0; t < 2000; t += 1) {
        integrate(&m, 1, y);
        if (y[BOARDS - 1] >= goal)
            return t + (goal - last) / (y[BOARDS - 1] - last);
        last = y[BOARDS - 1];
    }
    return NAN;
}

START_TEST(time_constant_of_the_outlet)
{
    for (int cover = 0; cover < 2; cover++) {
        nr_loop_params p = heater(cover);
        nr_steady_conditions c = {.sun_W_m2 = 900, .air_degC = 20, .flow_W_K = 60};
        double expected = time_constant(p, 900, 60);
        ck_assert_double_gt(expected, 60);
        /* Backward Euler at steps of 1 s is half a step late. */
        NEAR(nr_time_constant_s(&p, &c), expected + 0.5, 0.1);
    }
    nr_loop_params slow = heater(true);
    slow.capacity_J_m2K = 1e6;
    nr_steady_conditions c = {.sun_W_m2 = 900, .air_degC = 20, .flow_W_K = 60};
    ck_assert_msg(isnan(nr_time_constant_s(&slow, &c)), "longer than half an hour");
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("steady");
    TCase *all = tcase_create("steady");
    tcase_set_timeout(all, 60);
    tcase_add_loop_test(all, the_simulation_ends_there, 0, 2); /* bare, glazed */
    tcase_add_test(all, heat_removal_factor);
    tcase_add_test(all, slow_flow_gathers_less);
    tcase_add_test(all, inlet_basis_to_mean_basis);
    tcase_add_test(all, certified_curve);
    tcase_add_test(all, modifier_and_wind);
    tcase_add_test(all, stagnation);
    tcase_add_test(all, time_constant_of_the_outlet);
    suite_add_tcase(suite, all);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
