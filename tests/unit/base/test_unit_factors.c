/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every unit of the table: its factor put together from prefixes of the SI (SI brochure, 2019,
 * table 7), from the minute and the hour, and from the lengths, masses and the heat that NIST SP
 * 811 (2008), appendix B, gives exactly (from memory). */
#include "logger/base/units.h"
#include "tests/unit/near.h"

#define MILLI 1e-3
#define CENTI 1e-2
#define KILO 1e3
#define MINUTE 60.0
#define HOUR (60 * MINUTE)
#define INCH (25.4 * MILLI)
#define FOOT (12 * INCH)
#define MILE (5280 * FOOT)
#define SEA_MILE 1852.0
#define GALLON (231 * (2.54 * 2.54 * 2.54) * MILLI) /* 231 cubic inches, litres */
#define POUND 0.45359237
#define DEGREE (5 / 9.0)                     /* of Fahrenheit, K */
#define BTU (4.1868 * KILO * POUND * DEGREE) /* a pound of water by a degF: the IT calorie */

static const struct {
    const char *name;
    nr_dimension dimension;
    double factor, offset;
} rows[] = {{"degC", NR_DIM_TEMPERATURE, 1, 0},
            {"degF", NR_DIM_TEMPERATURE, DEGREE, -32 * DEGREE},
            {"K", NR_DIM_TEMPERATURE, 1, -273.15},
            {"W_m2", NR_DIM_IRRADIANCE, 1, 0},
            {"kW_m2", NR_DIM_IRRADIANCE, KILO, 0},
            {"Btu_h_ft2", NR_DIM_IRRADIANCE, BTU / HOUR / FOOT / FOOT, 0},
            {"L_min", NR_DIM_FLOW, 1, 0},
            {"L_h", NR_DIM_FLOW, MINUTE / HOUR, 0},
            {"L_s", NR_DIM_FLOW, MINUTE, 0},
            {"mL_min", NR_DIM_FLOW, MILLI, 0},
            {"m3_h", NR_DIM_FLOW, KILO *MINUTE / HOUR, 0},
            {"gal_min", NR_DIM_FLOW, GALLON, 0},
            {"gal_h", NR_DIM_FLOW, GALLON *MINUTE / HOUR, 0},
            {"m_s", NR_DIM_SPEED, 1, 0},
            {"km_h", NR_DIM_SPEED, KILO / HOUR, 0},
            {"mph", NR_DIM_SPEED, MILE / HOUR, 0},
            {"ft_s", NR_DIM_SPEED, FOOT, 0},
            {"kn", NR_DIM_SPEED, SEA_MILE / HOUR, 0},
            {"V", NR_DIM_VOLTAGE, 1, 0},
            {"mV", NR_DIM_VOLTAGE, MILLI, 0},
            {"A", NR_DIM_CURRENT, 1, 0},
            {"mA", NR_DIM_CURRENT, MILLI, 0},
            {"W", NR_DIM_POWER, 1, 0},
            {"mW", NR_DIM_POWER, MILLI, 0},
            {"kW", NR_DIM_POWER, KILO, 0},
            {"Btu_h", NR_DIM_POWER, BTU / HOUR, 0},
            {"m2", NR_DIM_AREA, 1, 0},
            {"cm2", NR_DIM_AREA, CENTI *CENTI, 0},
            {"ft2", NR_DIM_AREA, FOOT *FOOT, 0},
            {"in2", NR_DIM_AREA, INCH *INCH, 0},
            {"m", NR_DIM_LENGTH, 1, 0},
            {"cm", NR_DIM_LENGTH, CENTI, 0},
            {"mm", NR_DIM_LENGTH, MILLI, 0},
            {"ft", NR_DIM_LENGTH, FOOT, 0},
            {"in", NR_DIM_LENGTH, INCH, 0},
            {"kg", NR_DIM_MASS, 1, 0},
            {"g", NR_DIM_MASS, 1 / KILO, 0},
            {"lb", NR_DIM_MASS, POUND, 0},
            {"J_K", NR_DIM_HEAT_CAPACITY, 1, 0},
            {"kJ_K", NR_DIM_HEAT_CAPACITY, KILO, 0},
            {"Btu_degF", NR_DIM_HEAT_CAPACITY, BTU / DEGREE, 0},
            {"W_K", NR_DIM_LOSS, 1, 0},
            {"Btu_h_degF", NR_DIM_LOSS, BTU / HOUR / DEGREE, 0},
            {"L", NR_DIM_VOLUME, 1, 0},
            {"mL", NR_DIM_VOLUME, MILLI, 0},
            {"gal", NR_DIM_VOLUME, GALLON, 0},
            {"W_m2K", NR_DIM_AREA_LOSS, 1, 0},
            {"Btu_h_ft2_degF", NR_DIM_AREA_LOSS, BTU / HOUR / FOOT / FOOT / DEGREE, 0},
            {"percent", NR_DIM_PERCENT, 1, 0},
            {"%", NR_DIM_PERCENT, 1, 0}};
#define ROWS (sizeof rows / sizeof *rows)

START_TEST(every_factor)
{
    for (size_t i = 0; i < ROWS; i++) {
        const nr_unit *unit = nr_unit_find(rows[i].name);
        ck_assert_msg(unit && unit->dimension == rows[i].dimension, "%s", rows[i].name);
        NEAR_AT(rows[i].name, unit->factor, rows[i].factor, 1e-12 * rows[i].factor);
        NEAR_AT(rows[i].name, unit->offset, rows[i].offset, 1e-12);
        NEAR_RELATIVE(nr_unit_to_canonical(unit, 7), 7 * rows[i].factor + rows[i].offset, 1e-12);
        NEAR_RELATIVE(nr_unit_from_canonical(unit, 7), (7 - rows[i].offset) / rows[i].factor,
                      1e-12);
        NEAR_RELATIVE(nr_unit_difference_to_canonical(unit, 7), 7 * rows[i].factor, 1e-12);
        NEAR_RELATIVE(nr_unit_difference_from_canonical(unit, 7), 7 / rows[i].factor, 1e-12);
    }
    ck_assert_ptr_null(nr_unit_at(ROWS)); /* and no other */
    ck_assert_ptr_nonnull(nr_unit_at(ROWS - 1));
}
END_TEST

/* From each unit to each: of one dimension, and none of another but volumes to masses of water. */
START_TEST(every_pair)
{
    for (size_t from = 0; from < ROWS; from++)
        for (size_t to = 0; to < ROWS; to++) {
            char text[40];
            double value = 42, water = rows[from].dimension == NR_DIM_VOLUME ? 0.9982 : 1;
            bool may = rows[from].dimension == rows[to].dimension ||
                       (rows[from].dimension == NR_DIM_VOLUME && rows[to].dimension == NR_DIM_MASS);
            snprintf(text, sizeof text, "-2.5e0 %s", rows[from].name);
            bool is = nr_parse_quantity(text, rows[to].name, &value);
            double expected = -2.5 * rows[from].factor / rows[to].factor *
                              (rows[to].dimension == NR_DIM_MASS ? water : 1);
            if (is != may || (is && !(fabs(value - expected) <= 1e-12 * fabs(expected))))
                ck_abort_msg("%s in %s: %.15g", text, rows[to].name, value);
        }
}
END_TEST

/* Shown in US units: those four, whatever of the dimension was recorded. */
START_TEST(in_us_units)
{
    for (size_t i = 0; i < ROWS; i++) {
        nr_dimension d = rows[i].dimension;
        ck_assert_str_eq(nr_unit_us(nr_unit_find(rows[i].name))->name,
                         d == NR_DIM_TEMPERATURE  ? "degF"
                         : d == NR_DIM_IRRADIANCE ? "Btu_h_ft2"
                         : d == NR_DIM_FLOW       ? "gal_min"
                         : d == NR_DIM_SPEED      ? "mph"
                                                  : rows[i].name);
    }
    ck_assert_ptr_null(nr_unit_us(NULL));
    NEAR(nr_degC_shown(25, true), 77, 1e-12);
    NEAR(nr_degC_shown(25, false), 25, 0);
    NEAR(nr_kelvin_shown(25, true), 45, 1e-12);
    NEAR(nr_kelvin_shown(25, false), 25, 0);
    ck_assert(nr_units_us("us") && !nr_units_us("si"));
}
END_TEST

/* The number in front: 63 letters have room, 64 have not; what is no exponent is the unit's. */
START_TEST(numbers_before_units)
{
    char text[200];
    double value = 42;
    for (int n = 60; n < 67; n++) {
        snprintf(text, sizeof text, "%0*dkg", n, 7);
        ck_assert_int_eq(nr_parse_quantity(text, "kg", &value), n < 64);
        snprintf(text, sizeof text, "7%*s", n, "kg");
        ck_assert_int_eq(nr_parse_quantity(text, "kg", &value), n < 64);
    }
    static const struct {
        const char *text;
        double kg;
    } good[] = {{"+2kg", 2}, {"2.kg", 2},    {".5kg", 0.5},  {"\t2kg", 2},
                {"2e1", 20}, {"2E+1kg", 20}, {"20e-1kg", 2}, {"19g", 0.019}};
    static const char *const bad[] = {"2ekg", "2e+kg", "+-2kg", "++2kg", "e1kg", ".kg", "2e1e1kg"};
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        ck_assert_msg(nr_parse_quantity(good[i].text, "kg", &value), "%s", good[i].text);
        NEAR_AT(good[i].text, value, good[i].kg, 1e-12);
    }
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        ck_assert_msg(!nr_parse_quantity(bad[i], "kg", &value), "%s", bad[i]);
    ck_assert(nr_parse_temperature("-273.15", false, &value) && value == -273.15);
    ck_assert(!nr_parse_temperature("-273.16", false, &value) && value == -273.15);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {every_factor, every_pair, in_us_units, numbers_before_units,
                                  NULL};
    return run_tests("unit_factors", tests);
}
