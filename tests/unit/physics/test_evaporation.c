/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Evaporation against steam tables and the handbook's formula. */
#include "analyze/physics/evaporation.h"
#include "tests/unit/near.h"

/* IAPWS saturation pressure at 20, 40 and 60 degC (steam tables, IAPWS-IF97, from memory): 2.3393,
 * 7.3849, 19.946 kPa. */
START_TEST(vapour_pressure_is_the_steam_tables)
{
    NEAR_RELATIVE(nr_vapour_pressure_kPa(20), 2.3393, 3e-3);
    NEAR_RELATIVE(nr_vapour_pressure_kPa(40), 7.3849, 3e-3);
    NEAR_RELATIVE(nr_vapour_pressure_kPa(60), 19.946, 4e-3);
    double h = 1e-3;
    NEAR_RELATIVE(nr_vapour_slope_kPa_K(35),
                  (nr_vapour_pressure_kPa(35 + h) - nr_vapour_pressure_kPa(35 - h)) / (2 * h),
                  1e-8);
}
END_TEST

/* A bucket of 0.07 m2 at 40 degC under air of 30 degC (4.2467 kPa) and half humidity, worked by
 * hand from Carrier's 0.089 kW/(m2 kPa): 0.07 * 89 * (7.3849 - 2.1234) = 32.8 W. */
START_TEST(a_bucket_loses_what_the_handbook_says)
{
    NEAR_AT("bucket, W", 0.07 * nr_evaporation_W_m2(40, 30, 0.5), 32.8, 0.2);
    ck_assert_double_lt(nr_evaporation_W_m2(10, 30, 0.9), 0); /* it condenses */
    NEAR(nr_evaporation_W_m2(25, 25, 1), 0, 1e-9);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("evaporation");
    TCase *all = tcase_create("all");
    tcase_add_test(all, vapour_pressure_is_the_steam_tables);
    tcase_add_test(all, a_bucket_loses_what_the_handbook_says);
    suite_add_tcase(suite, all);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
