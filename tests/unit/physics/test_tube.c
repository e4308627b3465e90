/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tube flow against the textbook formulas and a worked case. */
#include "analyze/physics/tube.h"
#include "analyze/physics/water.h"
#include "tests/unit/near.h"

#define PI 3.14159265358979323846

/* 16 m of quarter-inch tube (ASTM B280: bore 4.826 mm), water at 30 degC; computed independently.
 */
static const nr_tube quarter_inch = {.bore_m = 4.826e-3, .length_m = 16.0};

START_TEST(worked_case)
{
    static const double rows[][5] = {
        /* L/min, m/s, Re, friction factor, kPa */
        {0.1, 0.0911, 549, 0.1165, 1.60},
        {0.3, 0.2733, 1648, 0.0388, 4.79},
        {1.0, 0.911, 5492, 0.0375, 51.4},
        {2.0, 1.822, 10984, 0.0307, 168},
    };
    for (int i = 0; i < 4; i++) {
        const double *r = rows[i];
        double re = nr_tube_reynolds(quarter_inch.bore_m, r[0], 30);
        NEAR_RELATIVE(nr_tube_speed_m_s(quarter_inch.bore_m, r[0]), r[1], 0.005);
        NEAR_RELATIVE(re, r[2], 0.005);
        nr_bounds drop = nr_tube_pressure_drop_Pa(quarter_inch, r[0], 30);
        ck_assert_int_eq(drop.regime, i < 2 ? NR_FLOW_LAMINAR : NR_FLOW_TURBULENT);
        ck_assert_double_eq(drop.low, drop.high);
        NEAR_RELATIVE(drop.low / 1e3, r[4], 0.005);
        NEAR_RELATIVE(i < 2 ? 64 / re : nr_friction_turbulent(re), r[3], 0.005);
    }
    /* Hagen and Poiseuille: 128 mu L Q / (pi d^4) */
    double q = 0.1 / 60000.0;
    NEAR_RELATIVE(nr_tube_pressure_drop_Pa(quarter_inch, 0.1, 30).low,
                  128 * nr_water_viscosity_Pa_s(30) * 16.0 * q / (PI * pow(4.826e-3, 4)), 1e-9);
    ck_assert(isnan(nr_friction_turbulent(1648)));
    NEAR(nr_tube_pressure_drop_Pa(quarter_inch, 0, 30).high, 0, 0);
    ck_assert_int_eq(nr_tube_pressure_drop_Pa(quarter_inch, NAN, 30).regime, NR_FLOW_UNKNOWN);
}
END_TEST

START_TEST(uncertain_zone)
{
    /* Ito 1959 (from memory): d/D = 0.01 gives 4582. Between 2300 and that nobody knows. */
    NEAR(nr_ito_critical_re(0.01), 4582, 1);
    NEAR(nr_ito_critical_re(0), 2300, 0);
    ck_assert(isnan(nr_ito_critical_re(0.2)));
    ck_assert_int_eq(nr_flow_regime_of(2200, 0.01), NR_FLOW_LAMINAR);
    ck_assert_int_eq(nr_flow_regime_of(3500, 0.01), NR_FLOW_UNCERTAIN);
    ck_assert_int_eq(nr_flow_regime_of(3500, 0), NR_FLOW_TURBULENT);
    ck_assert_int_eq(nr_flow_regime_of(2600, 0), NR_FLOW_UNCERTAIN);
    ck_assert_int_eq(nr_flow_regime_of(4700, 0.01), NR_FLOW_TURBULENT);
    ck_assert_int_eq(nr_flow_regime_of(0, 0.01), NR_FLOW_NONE);
    nr_tube coil = quarter_inch;
    coil.coil_diameter_m = 0.4826;
    nr_bounds drop = nr_tube_pressure_drop_Pa(coil, 0.7, 30),
              film = nr_tube_film_W_m2K(coil, 0.7, 30);
    ck_assert_int_eq(drop.regime, NR_FLOW_UNCERTAIN);
    ck_assert_double_lt(drop.low, drop.high);
    ck_assert_double_lt(film.low, film.high);
    ck_assert_str_eq(nr_flow_regime_name(drop.regime), "uncertain");
}
END_TEST

START_TEST(coil_resists_more)
{
    /* White 1929: Re 250, d/D 0.2 gives a friction factor of 0.40633 (found in the tests of a
     * general fluid mechanics library). */
    NEAR_RELATIVE(64.0 / 250 * nr_coil_laminar_factor(250, 0.2), 0.4063281817830202, 1e-12);
    NEAR(nr_coil_laminar_factor(250, 0.0002), 1, 0);
    ck_assert(isnan(nr_coil_laminar_factor(1e5, 0.1)));
    nr_tube coil = quarter_inch;
    coil.coil_diameter_m = 0.4826;
    ck_assert_double_gt(nr_tube_pressure_drop_Pa(coil, 0.3, 30).low,
                        1.5 * nr_tube_pressure_drop_Pa(quarter_inch, 0.3, 30).low);
}
END_TEST

START_TEST(friction_and_nusselt)
{
    /* Petukhov, Gnielinski, Hausen: formulas from memory, computed. */
    NEAR_RELATIVE(nr_friction_turbulent(10000), 0.03148, 0.001);
    NEAR_RELATIVE(nr_nusselt_gnielinski(10000, 5), 69.91, 0.001);
    NEAR_RELATIVE(nr_friction_turbulent(5000), 0.03862, 0.001);
    NEAR_RELATIVE(nr_nusselt_gnielinski(5000, 5.42), 36.85, 0.001);
    NEAR_RELATIVE(nr_nusselt_hausen(50), 5.825, 0.001);
    NEAR(NR_NUSSELT_FLUX, 48.0 / 11.0, 0.001); /* exact for constant flux */
    NEAR(NR_NUSSELT_WALL, 3.657, 0);
    NEAR(nr_nusselt_hausen(1e-6), 3.66, 0.001); /* a long tube forgets its entrance */
    ck_assert(isnan(nr_nusselt_gnielinski(2000, 5)));
    /* Petukhov's formula holds up to five millions: (0.790 ln Re - 1.64)^-2. */
    NEAR_RELATIVE(nr_friction_turbulent(4.9e6), pow(0.790 * log(4.9e6) - 1.64, -2), 1e-9);
    ck_assert(isnan(nr_friction_turbulent(5.1e6)));
    ck_assert(isnan(nr_nusselt_hausen(0)));
    double re = nr_tube_reynolds(quarter_inch.bore_m, 1.0, 30), pr = nr_water_prandtl(30);
    NEAR_RELATIVE(nr_tube_film_W_m2K(quarter_inch, 1.0, 30).low,
                  nr_nusselt_gnielinski(re, pr) * nr_water_conductivity_W_mK(30) / 4.826e-3, 1e-12);
}
END_TEST

START_TEST(volume_and_transit)
{
    /* ASTM B280, quarter inch: 18.29 mL of bore a metre. */
    NEAR(1000 * nr_tube_volume_L(quarter_inch) / 16.0, 18.29, 0.005);
    NEAR(nr_tube_transit_s(quarter_inch, 0.6), 0.29266 / 0.6 * 60, 0.01);
    ck_assert(isinf(nr_tube_transit_s(quarter_inch, 0)));
    ck_assert(isnan(nr_tube_transit_s(quarter_inch, -1)));
    ck_assert(isnan(nr_tube_volume_L((nr_tube){.bore_m = NAN, .length_m = 1})));
    ck_assert(isnan(nr_tube_speed_m_s(0, 1)));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {worked_case,          uncertain_zone,     coil_resists_more,
                                  friction_and_nusselt, volume_and_transit, NULL};
    return run_tests("tube", tests);
}
