/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Shown units against the definitions of NIST SP 811 (from memory), worked out here by another
 * route and in long double: the last digit shown must be right. */
#include "analyze/tell/display.h"
#include "analyze/tell/round.h"
#include "tests/unit/near.h"

START_TEST(printed_factors)
{
    /* NIST SP 811, Appendix B.8: printed factors, Btu of the International Table (from memory). */
    NEAR(1 / nr_display_value(NR_SHOWN_COLLECTOR_LOSS, NR_UNITS_US, 1), 5.678263, 5e-7);
    NEAR(1 / nr_display_value(NR_SHOWN_ENERGY, NR_UNITS_US, 1), 1055.05585262, 1e-8);
    NEAR(1 / nr_display_value(NR_SHOWN_IRRADIANCE, NR_UNITS_US, 1), 3.154591, 5e-7);
    NEAR(1 / nr_display_value(NR_SHOWN_POWER, NR_UNITS_US, 1), 0.2930711, 5e-8);
    NEAR(1 / nr_display_value(NR_SHOWN_AREA, NR_UNITS_US, 1), 0.09290304, 1e-12);
    NEAR(1 / nr_display_value(NR_SHOWN_FLOW, NR_UNITS_US, 1), 3.785411784, 1e-12);
    NEAR(1 / nr_display_value(NR_SHOWN_SPEED, NR_UNITS_US, 1), 0.44704, 1e-12);
    NEAR(nr_display_value(NR_SHOWN_TEMPERATURE, NR_UNITS_US, 49), 120.2, 1e-12);
    NEAR(nr_display_value(NR_SHOWN_TEMPERATURE, NR_UNITS_US, -40), -40, 1e-12);
    NEAR(nr_display_difference(NR_SHOWN_TEMPERATURE, NR_UNITS_US, 10), 18, 1e-12);
    /* Thermal capacity per area, Btu/(ft2 degF): 20441.75 J/(m2 K) (computed from the above). */
    NEAR(1 / nr_display_value(NR_SHOWN_CAPACITY, NR_UNITS_US, 1), 20441.75, 5e-3);
    NEAR(1 / nr_display_value(NR_SHOWN_STORE_LOSS, NR_UNITS_US, 1), 0.5275279, 5e-8);
    /* W/(m2 K) per m/s: 5.678263/0.44704 = 12.70191. */
    NEAR(1 / nr_display_value(NR_SHOWN_WIND_LOSS, NR_UNITS_US, 1), 12.70191, 5e-6);
    /* x = dT/G and a1: their product has no unit, so the factors cancel. */
    NEAR(nr_display_value(NR_SHOWN_REDUCED, NR_UNITS_US, 1) *
             nr_display_value(NR_SHOWN_COLLECTOR_LOSS, NR_UNITS_US, 1),
         1, 1e-14);
}
END_TEST

START_TEST(si_is_untouched)
{
    for (int k = 0; k < NR_SHOWN_COUNT; k++) {
        const nr_display *d = nr_display_of((nr_shown)k, NR_UNITS_SI);
        ck_assert_ptr_nonnull(d->plain);
        ck_assert_ptr_nonnull(d->pretty);
        ck_assert(d->offset == 0 && d->factor > 0);
        ck_assert(nr_display_of((nr_shown)k, NR_UNITS_US)->factor > 0);
        ck_assert(isnan(nr_display_value((nr_shown)k, NR_UNITS_US, NAN)));
    }
}
END_TEST

/* As fine as in SI: a hundredth of a square metre is a tenth of a square foot (0.108), a tenth of a
 * kilogram of water three hundredths of a gallon (0.026). */
START_TEST(places)
{
    ck_assert_int_eq(nr_display_place(NR_SHOWN_AREA, NR_UNITS_US, 2), 1);
    ck_assert_int_eq(nr_display_place(NR_SHOWN_WATER, NR_UNITS_US, 1), 2);
    ck_assert_int_eq(nr_display_place(NR_SHOWN_TEMPERATURE, NR_UNITS_US, 1), 1);
    for (int k = 0; k < NR_SHOWN_COUNT; k++)
        ck_assert_int_eq(nr_display_place((nr_shown)k, NR_UNITS_SI, 3), 3);
}
END_TEST

START_TEST(last_digit_shown)
{
    const long double btu = 1055.05585262L, foot = 0.3048L, kelvin = 5.0L / 9.0L;
    for (int i = 1; i < 4000; i++) {
        double u = 0.0007 * i, value = 0.0113 * i;
        nr_quantity q = {true, value, u, u / 2, u / 3, value - 2 * u, value + 2 * u, NR_UNIT_W_M2K};
        nr_quantity us = nr_display_quantity(NR_SHOWN_COLLECTOR_LOSS, NR_UNITS_US, &q);
        int place = nr_round_place(us.u, 2);
        long double exact = (long double)value * 3600 * foot * foot * kelvin / btu;
        char shown[NR_ROUNDED], want[NR_ROUNDED];
        (void)snprintf(want, sizeof want, "%.*Lf", place, exact);
        ck_assert_str_eq(nr_round_text(us.value, place, shown), want);
        ck_assert_int_eq(us.unit,
                         NR_UNIT_W_M2K); /* what it is does not change with what is shown */
        NEAR(us.hi95 - us.value, 2 * us.u, 1e-12);
    }
}
END_TEST

/* What JSON documents have promised since the first edition, and one word a unit. */
START_TEST(units_of_quantities)
{
    static const char *const promised[NR_UNIT_COUNT] = {
        "",    "degC",     "K",         "s",   "J",        "W",        "m2",    "W/m2",
        "W/K", "W/(m2 K)", "W/(m2 K2)", "J/K", "J/(m2 K)", "J/(m3 K)", "L/min", "s/m"};
    for (int u = 0; u < NR_UNIT_COUNT; u++)
        ck_assert_str_eq(nr_unit_word((nr_quantity_unit)u), promised[u]);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        units_of_quantities, printed_factors, si_is_untouched, places, last_digit_shown, NULL};
    return run_tests("display", tests);
}
