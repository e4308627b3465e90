/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Long-wave exchange of a plane, against published numbers. */
#include "analyze/physics/longwave.h"
#include "tests/unit/near.h"

/* CODATA 2018 with T = 300 K: 459.30 W/m2. */
START_TEST(a_black_body)
{
    NEAR(nr_black_W_m2(26.85), 459.3003, 1e-3);
}
END_TEST

/* Dew points of psychrometric tables (any handbook, whole tenths): 20 degC at 50 %: 9.3; 30 degC at
 * 40 %: 14.9; 25 degC at 100 %: 25. */
START_TEST(dew_points)
{
    NEAR(nr_dew_point_degC(20, 50), 9.3, 0.06);
    NEAR(nr_dew_point_degC(30, 40), 14.9, 0.06);
    NEAR(nr_dew_point_degC(25, 100), 25, 1e-9);
    ck_assert(isnan(nr_dew_point_degC(20, 0)));
    ck_assert(isnan(nr_dew_point_degC(20, NAN)));
}
END_TEST

/* The formula of Berdahl and Martin 1984 at its own points, worked by hand: Td 0: 0.711; 10:
 * 0.711 + 0.056 + 0.0073; -10: 0.711 - 0.056 + 0.0073. */
START_TEST(clear_skies)
{
    NEAR(nr_clear_sky_emissivity(0), 0.711, 1e-12);
    NEAR(nr_clear_sky_emissivity(10), 0.7743, 1e-12);
    NEAR(nr_clear_sky_emissivity(-10), 0.6623, 1e-12);
    ck_assert(nr_clear_sky_emissivity(60) <= 1);
}
END_TEST

/* Worked by hand: air 27 degC (460.22 W/m2), emissivity 0.78, lying: -0.22 of it; standing: half of
 * that and 0.05 of the other half. */
START_TEST(what_a_plane_sees)
{
    NEAR(nr_net_longwave_W_m2(27, 0.78, 0), -0.22 * 460.22, 0.01);
    NEAR(nr_net_longwave_W_m2(27, 0.78, 90), -(0.11 + 0.025) * 460.22, 0.01);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_black_body, dew_points, clear_skies, what_a_plane_sees, NULL};
    return run_tests("longwave", tests);
}
