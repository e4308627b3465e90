/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The virtual rig's heat balances against textbook cases and against themselves: only if its own
 * physics is right may it judge the fit. "Duffie and Beckman" is Solar Engineering of Thermal
 * Processes, inputs and printed answers from memory, recomputed from their formulas. */
#include "sample-runs/rig/thermal.h"
#include "sample-runs/rig/virtual.h"
#include "sample-runs/rig/weather.h"

#include <check.h>
#include <math.h>
#include <stdlib.h>

/* One node of absorber and fluid in all but name: no heat capacity to speak of, perfect bond. */
static nr_virtual_device plain_device(double area, double optical, double loss)
{
    return (nr_virtual_device){.area_m2 = area,
                               .optical = optical,
                               .absorber_J_K = 1.0,
                               .fluid_kg = 0.001,
                               .bond_W_K = 1e6,
                               .bond_flow_L_min = 1.0,
                               .u0 = loss,
                               .water_kg = 20.0};
}

/* A heat-up with one capacity and one loss: (m cp) dT/dt = A (eta0 G - U (T - Ta)).
 * A 0.5, eta0 0.7, U 10, G 900, Ta 22, T0 18, m cp 80000: 31.4994 degC after an hour (closed
 * form). The rig's loop has a flow, so its mean temperature is above the store's by half the rise
 * (280 W / 70 kW/K / 2 = 2 mK): 2 mK of tolerance. */
START_TEST(lumped_heat_up)
{
    nr_virtual_device d = plain_device(0.5, 0.7, 10.0);
    d.water_kg = (80000.0 - 1.0 - 0.001 * NR_VIRTUAL_CP) / NR_VIRTUAL_CP;
    nr_thermal s;
    nr_virtual_ledger ledger = {0};
    nr_thermal_input in = {900.0, 1.0, 22.0, 0.0, 1000.0};
    nr_thermal_start(&s, 18.0, 18.0);
    for (int i = 0; i < 72000; i++) {
        nr_thermal_step(&d, &s, &in, 0.05, &ledger);
    }
    ck_assert_double_eq_tol(nr_thermal_store_mean(&s), 31.4994, 0.002);
}
END_TEST

/* The same example's way to 40 degC: 6368.5 s; 2 mK late at 1.2 mK/s. */
START_TEST(lumped_heat_up_time)
{
    nr_virtual_device d = plain_device(0.5, 0.7, 10.0);
    nr_virtual_conditions c = {900.0, 22.0, 0.0, 100.0};
    double t = nr_virtual_heat_up_s(&d, &c, 80000.0 / NR_VIRTUAL_CP, 18.0, 40.0, 1e5);
    ck_assert_double_eq_tol(t, 6368.5, 20.0 * 0.5);
    ck_assert(isnan(nr_virtual_heat_up_s(&d, &c, NAN, 18.0, 90.0, 1e5)));
}
END_TEST

static double slope(const nr_virtual_device *d, const nr_virtual_conditions *c,
                    nr_virtual_basis basis)
{
    double at0 = nr_virtual_steady(d, c, 0.0, basis, false).eta;
    return (at0 - nr_virtual_steady(d, c, 0.02, basis, false).eta) / 0.02;
}

/* 0.03 kg/s through 2 m2, UL 8, F' 0.841, in water at 30 degC. */
static nr_virtual_device book_device(nr_virtual_conditions *c)
{
    nr_virtual_device d = plain_device(2.0, 1.0, 8.0);
    d.bond_W_K = 8.0 * 2.0 * 0.841 / (1.0 - 0.841);
    *c = (nr_virtual_conditions){800.0, 30.0, 0.0, 0.0};
    c->flow_L_min = 0.03 * 4190.0 / NR_VIRTUAL_CP * 60000.0 / nr_thermal_density(30.0);
    return d;
}

/* Duffie and Beckman 6.7.1: FR 0.797. 24 stirred segments instead of a continuous tube cost
 * 1/(2 * 24 * 9.34) = 0.2 % of it: tolerance 0.002. */
START_TEST(heat_removal_factor)
{
    nr_virtual_conditions c;
    nr_virtual_device d = book_device(&c);
    ck_assert_double_eq_tol(slope(&d, &c, NR_BASIS_INLET) / 8.0, 0.797, 0.002);
    ck_assert_double_eq_tol(nr_virtual_steady(&d, &c, 0.0, NR_BASIS_INLET, false).eta, 0.797,
                            0.002);
}
END_TEST

/* The same collector at other flows, ratio of FR: half 0.9493, quarter 0.8579, double 1.0267
 * (computed from F''). n stirred segments in a row have x (1 - (1 + 1/(n x))^-n) instead of
 * x (1 - exp(-1/x)), x = m cp/(A UL F'): to that the rig must hold exactly, and the tube's ratios
 * it meets within the 1/(2 n x) by which the two differ (0.9 % at quarter flow). */
START_TEST(less_flow_gathers_less)
{
    const double flow[] = {0.5, 0.25, 2.0}, ratio[] = {0.9493, 0.8579, 1.0267};
    nr_virtual_conditions c;
    nr_virtual_device d = book_device(&c);
    double full = nr_virtual_steady(&d, &c, 0.0, NR_BASIS_INLET, false).eta, nominal = c.flow_L_min;
    for (int i = 0; i < 3; i++) {
        c.flow_L_min = nominal * flow[i];
        double eta = nr_virtual_steady(&d, &c, 0.0, NR_BASIS_INLET, false).eta;
        double x = 9.34 * flow[i], n = NR_THERMAL_SEGMENTS;
        ck_assert_double_eq_tol(eta / full, ratio[i], 1.0 / (2.0 * n * x));
        x = 0.03 * 4190.0 * flow[i] / (2.0 * 8.0 * 0.841);
        ck_assert_double_eq_tol(eta, 0.841 * x * (1.0 - pow(1.0 + 1.0 / (n * x), -n)), 1e-9);
    }
}
END_TEST

/* From inlet to mean basis: a1 = a1_in / (1 - a1_in A / (2 m cp)), Duffie and Beckman 6.19. It is
 * an identity for any linear collector, so it must hold to the solver's precision. */
START_TEST(basis_of_the_mean)
{
    nr_virtual_conditions c;
    nr_virtual_device d = book_device(&c);
    /* Next to no sun, so that the inlet stays at 30 degC: the flow's mass follows its density. */
    c.sun_W_m2 = 1.0;
    double a_in = slope(&d, &c, NR_BASIS_INLET);
    double flow = nr_thermal_flow_W_K(c.flow_L_min, 30.0) / d.area_m2;
    double a_mean = slope(&d, &c, NR_BASIS_MEAN);
    ck_assert_double_eq_tol(a_mean, a_in / (1.0 - a_in / (2.0 * flow)), 1e-4);
    ck_assert_double_eq_tol(a_mean, 6.717, 0.02); /* from FR UL 6.376 by the same formula */
}
END_TEST

/* eta0 G / a1 = 0.7 * 1000 / 7.0: 100 K over the air. */
START_TEST(linear_stagnation)
{
    nr_virtual_device d = plain_device(1.3, 0.7, 7.0);
    nr_virtual_conditions c = {1000.0, 25.0, 2.0, 1.0};
    ck_assert_double_eq_tol(nr_virtual_stagnation_K(&d, &c), 100.0, 1e-9);
}
END_TEST

static nr_virtual_device build(int i)
{
    nr_virtual_params p = i ? nr_virtual_bare() : nr_virtual_glazed();
    p.stated.pipe_loss_W_K = 0.3;
    p.stated.pump_heat_W = 2.0;
    return p.stated;
}

/* The time step run to rest on a store too big to warm up, against the separately written steady
 * state: same temperatures and the same efficiency, whatever build, wind, flow, temperature. */
START_TEST(rest_is_the_steady_state)
{
    nr_virtual_device d = build(_i % 2);
    d.pump_heat_W = 0.0;
    d.pipe_loss_W_K = d.store_loss_W_K = 0.0;
    d.water_kg = 1e9;
    int step = _i / 2; /* each case for both builds */
    double excess = -6.0 + 9.0 * step;
    nr_virtual_conditions c = {400.0 + 150.0 * step, 21.0, 0.4 + _i * 0.3, 0.3 + 0.2 * _i};
    nr_thermal_input in = {c.sun_W_m2, 1.0, c.air_degC, c.wind_m_s, c.flow_L_min};
    nr_thermal s;
    nr_virtual_ledger ledger = {0};
    nr_thermal_start(&s, c.air_degC, c.air_degC + excess);
    for (int i = 0; i < 40000; i++) {
        nr_thermal_step(&d, &s, &in, 0.5, &ledger);
    }
    double outlet = s.fluid[NR_THERMAL_SEGMENTS - 1];
    double flow_W_K = nr_thermal_flow_W_K(c.flow_L_min, s.supply);
    double eta = flow_W_K * (outlet - s.supply) / (c.sun_W_m2 * d.area_m2);
    double x = (s.supply - c.air_degC) / c.sun_W_m2;
    nr_virtual_point inlet = nr_virtual_steady(&d, &c, x, NR_BASIS_INLET, false);
    ck_assert_double_eq_tol(inlet.outlet_degC, outlet, 1e-6);
    ck_assert_double_eq_tol(inlet.eta, eta, 1e-8);

    double x_mean = (0.5 * (s.supply + outlet) - c.air_degC) / c.sun_W_m2;
    nr_virtual_point mean = nr_virtual_steady(&d, &c, x_mean, NR_BASIS_MEAN, false);
    ck_assert_double_eq_tol(mean.inlet_degC, s.supply, 1e-6);
    ck_assert_double_eq_tol(mean.eta, eta, 1e-8);
}
END_TEST

/* With the container: at the temperature where curve-with-store says zero, the store stands still
 * (well stirred, so that the inlet is the store). */
START_TEST(curve_with_store_is_the_balance_of_the_store)
{
    nr_virtual_device d = build(_i);
    d.pump_heat_W = d.pipe_loss_W_K = 0.0;
    d.mixing_W_K = 1e4;
    nr_virtual_conditions c = {700.0, 18.0, 1.0, 0.8};
    nr_thermal_input in = {c.sun_W_m2, 1.0, c.air_degC, c.wind_m_s, c.flow_L_min};
    nr_thermal s;
    nr_virtual_ledger ledger = {0};
    nr_thermal_start(&s, 50.0, 50.0);
    for (int i = 0; i < 500000; i++) {
        nr_thermal_step(&d, &s, &in, 2.0, &ledger);
    }
    double x = (s.supply - c.air_degC) / c.sun_W_m2;
    double net = nr_virtual_steady(&d, &c, x, NR_BASIS_INLET, true).eta;
    double gross = nr_virtual_steady(&d, &c, x, NR_BASIS_INLET, false).eta;
    ck_assert_double_gt(gross, 0.05);
    /* The top half is warmer than the inlet by milli-kelvins and loses that much more. */
    ck_assert_double_eq_tol(net, 0.0, 1e-4);
}
END_TEST

/* Whatever comes, no joule is lost: sun, wind, air and flow jump about, the pump stops. */
START_TEST(energy_is_kept)
{
    nr_virtual_device d = build(_i);
    nr_thermal s;
    nr_virtual_ledger l = {0};
    nr_thermal_start(&s, 33.0, 14.0);
    nr_thermal_content(&d, &s, -1.0, &l);
    unsigned chance = 12345;
    nr_thermal_input in = {0};
    for (int i = 0; i < 20000; i++) {
        if (i % 50 == 0) {
            chance = chance * 1103515245u + 12345u;
            in = (nr_thermal_input){(double)(chance >> 8 & 1023), 0.9, (double)(chance >> 18 & 31),
                                    (double)(chance >> 5 & 7),
                                    (chance & 0x8000u) ? 0.0 : 0.1 * (double)(chance >> 12 & 15)};
        }
        nr_thermal_step(&d, &s, &in, 0.5, &l);
    }
    nr_thermal_content(&d, &s, 1.0, &l);
    double in_J = l.absorbed + l.pump;
    double out_J = l.collector_loss + l.store_loss + l.pipe_loss;
    double kept_J = l.water + l.dry + l.collector + l.pipes;
    ck_assert_double_gt(l.absorbed, 1e6);
    ck_assert_double_gt(fabs(l.pump), 1e3);
    ck_assert_double_eq_tol((out_J + kept_J - in_J) / in_J, 0.0, 1e-9);
    ck_assert_double_eq_tol(l.absorbed, 0.9 * d.optical * l.sun, 1e-6 * l.sun);
}
END_TEST

/* Positions published with the NREL solar position algorithm and computed with its port
 * (no refraction); the rig's short formula is good to 0.02 degrees. */
START_TEST(sun_position)
{
    const struct {
        double unix_s, lat, lon, tilt, azimuth, zenith, incidence;
    } row[] = {
        {1066419030.0, 39.742476, -105.1786, 30.0, 170.0, 50.1279, 25.19},
        {1782041400.0, 47.0, 10.0, 35.0, 180.0, 23.6202, 11.601},
        {1774087200.0, 47.0, 10.0, 35.0, 180.0, 50.4111, 24.581},
        {1790175600.0, 47.0, 10.0, 35.0, 180.0, 68.3377, 57.791},
        {1784080800.0, -33.9, 151.2, 35.0, 0.0, 55.4410, 20.442},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        double cz, ci;
        nr_weather_sun(row[i].unix_s, row[i].lat, row[i].lon, row[i].tilt, row[i].azimuth, &cz,
                       &ci);
        ck_assert_double_eq_tol(acos(cz) * 180.0 / M_PI, row[i].zenith, 0.02);
        ck_assert_double_eq_tol(acos(ci) * 180.0 / M_PI, row[i].incidence, 0.02);
    }
}
END_TEST

/* Kell 1975: 999.972 at 4, 998.204 at 20, 983.199 at 60 degC (from memory; within 0.015 of
 * IAPWS-95). */
START_TEST(water_density)
{
    ck_assert_double_eq_tol(nr_thermal_density(4.0), 999.972, 0.005);
    ck_assert_double_eq_tol(nr_thermal_density(20.0), 998.204, 0.005);
    ck_assert_double_eq_tol(nr_thermal_density(60.0), 983.199, 0.005);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("virtual rig: heat");
    TCase *textbook = tcase_create("textbook");
    tcase_add_test(textbook, lumped_heat_up);
    tcase_add_test(textbook, lumped_heat_up_time);
    tcase_add_test(textbook, heat_removal_factor);
    tcase_add_test(textbook, less_flow_gathers_less);
    tcase_add_test(textbook, basis_of_the_mean);
    tcase_add_test(textbook, linear_stagnation);
    tcase_add_test(textbook, sun_position);
    tcase_add_test(textbook, water_density);
    suite_add_tcase(suite, textbook);
    TCase *itself = tcase_create("itself");
    tcase_add_loop_test(itself, rest_is_the_steady_state, 0, 8);
    tcase_add_loop_test(itself, curve_with_store_is_the_balance_of_the_store, 0, 2);
    tcase_add_loop_test(itself, energy_is_kept, 0, 2);
    tcase_set_timeout(itself, 60);
    suite_add_tcase(suite, itself);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
