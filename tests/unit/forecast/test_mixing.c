/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Hot water mixed down: heat is kept. Worked by hand with cp of 4.18 kJ/(kg K), which between 10
 * and 60 degC holds to 0.2 %, and 992.2 kg/m3 at 40 degC (IAPWS-95, tests/data/water-1atm.csv). */
#include "analyze/forecast/mixing.h"
#include "tests/unit/near.h"

START_TEST(heat_is_kept)
{
    /* 20 kg at 60 degC with tap water of 10: 20 * 50 / 30 = 33.3 kg of 40 degC. */
    NEAR(nr_mixed_L(20, 60, 10, 40), 20 * 50.0 / 30 / 0.9922, 0.1);
    NEAR(nr_mixed_L(40, 60, 10, 40), 2 * nr_mixed_L(20, 60, 10, 40), 1e-9);
    NEAR(nr_mixed_L(20, 40, 10, 40), 20 / 0.9922, 0.01); /* nothing to mix in */
    NEAR(nr_mixed_L(20, 39.9, 10, 40), 0, 0);            /* not warm enough */
    ck_assert(isinf(nr_mixed_L(20, 60, 40, 40)));        /* the tap alone will do */
    ck_assert(isfinite(nr_mixed_L(20, 60, 39.9, 40)));
    ck_assert(isnan(nr_mixed_L(20, NAN, 10, 40)));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {heat_is_kept, NULL};
    return run_tests("mixing", tests);
}
