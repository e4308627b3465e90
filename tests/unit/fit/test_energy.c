/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whose heat it was: the sun's, the pump's, and that of water which is gone by the end. The virtual
 * rig's pump warms nothing and its water stays; stated otherwise the same readings have to be
 * divided otherwise, by sums that can be done by hand. */
#include "analyze/tell/tell.h"
#include "tests/unit/fit/truth.h"

/* By the store alone, clear sky, no stops: the readings hold whatever is stated of the container.
 */
static nr_fit *stated(double pump_W, double left)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.interval_s = 5;
    p.duration_s = 4500;
    nr_virtual_run *run = simulate(&p);
    nr_rig_store *store = &run->run.rig.store;
    nr_fit_options options = nr_fit_defaults();
    options.use_loop = false;
    store->pump_W = (nr_value){.given = true, .value = pump_W, .u_given = true, .u = 0.01 * pump_W};
    if (left < 1)
        store->water_end_kg = (nr_value){.given = true,
                                         .value = left * store->water_kg.value,
                                         .u_given = true,
                                         .u = 0.001 * store->water_kg.value};
    nr_fit *fit = fit_of(&run, 1, &options);
    nr_virtual_run_free(run);
    return fit;
}

/* 30 W over an hour and a quarter are 135 kJ, in the water and not of the sun. */
START_TEST(the_pump_is_not_the_sun)
{
    nr_fit *without = stated(0, 1), *with = stated(30, 1);
    NEAR(without->pump_J, 0, 0);
    NEAR(with->pump_J, 30 * with->counted_s, 0.02 * 30 * with->counted_s);
    NEAR_RELATIVE(with->water_J, without->water_J, 0.003);
    double less = without->run_efficiency.value - with->run_efficiency.value;
    NEAR_RELATIVE(less, 30 * with->counted_s / with->sun_J, 0.05);
    char text[NR_TELL];
    nr_tell_fit_energy(text, sizeof text, with, NR_UNITS_SI);
    ck_assert_msg(strstr(text, "MJ of it from the pump.") != NULL, "%s", text);
    nr_tell_fit_energy(text, sizeof text, without, NR_UNITS_SI);
    ck_assert_msg(strstr(text, "from the pump") == NULL, "%s", text);
    nr_fit_free(without);
    nr_fit_free(with);
}
END_TEST

/* A fifth of the water gone, evenly: on average a tenth less was warmed by the same rise (the dry
 * container, some hundredths of it, stays). */
START_TEST(water_that_is_gone_was_not_warmed)
{
    nr_fit *all = stated(0, 1), *left = stated(0, 0.8);
    NEAR(left->water_J / all->water_J, 0.9, 0.01);
    nr_fit_free(all);
    nr_fit_free(left);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {the_pump_is_not_the_sun, water_that_is_gone_was_not_warmed, NULL};
    return run_tests("energy", tests);
}
