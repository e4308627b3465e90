/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the live views keep of a long run, and the heat that its container takes. */
#include "logger/watch/heat.h"
#include "logger/watch/history.h"
#include "tests/unit/near.h"

START_TEST(a_long_run_in_few_points)
{
    static nr_history h;
    nr_history_begin(&h);
    for (int i = 0; i < 20000; i++)
        nr_history_take(&h, 1, i, i < 10000 || i >= 12000 ? 20.0 + 0.001 * i : NAN);
    ck_assert_uint_le(h.count, NR_HISTORY_POINTS);
    ck_assert_uint_gt(h.count, NR_HISTORY_POINTS / 2);
    NEAR(h.span_s, 64, 0); /* 20000 s in 480 spans that double from 1 s */
    /* the mean of a line over whole seconds of a span: half a second before its middle */
    NEAR(nr_history_value(&h, 1, 10), 20.0 + 0.001 * (nr_history_time_s(&h, 10) - 0.5), 1e-9);
    ck_assert(isnan(nr_history_value(&h, 1, 11000 / 64))); /* the gap stays one */
    ck_assert(isnan(nr_history_value(&h, 0, 10)));
}
END_TEST

START_TEST(heat_of_a_container)
{
    static nr_rig rig;
    rig.store.water_kg = (nr_value){.given = true, .value = 40, .u_given = true, .u = 0.4};
    rig.store.dry_heat_capacity_J_K = (nr_value){.given = true, .value = 2000};
    nr_trend trend = {.known = true, .rate_s = 0.004, .u_rate_s = 0.00002};
    nr_heat_value heat = nr_heat_rate(&trend, nr_heat_capacity(&rig));
    NEAR(heat.value, (40 * 4181.0 + 2000) * 0.004, 1e-6);
    NEAR(heat.u, hypot(0.4 * 4181 * 0.004, (40 * 4181.0 + 2000) * 0.00002), 1e-9);
    rig.store.water_kg.given = false;
    ck_assert(isnan(nr_heat_rate(&trend, nr_heat_capacity(&rig)).value));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_long_run_in_few_points, heat_of_a_container, NULL};
    return run_tests("history and heat", tests);
}
