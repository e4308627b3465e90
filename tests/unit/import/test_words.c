/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Heads, units and numbers as several countries write them. */
#include "logger/import/fold.h"
#include "logger/import/match.h"
#include "logger/import/number.h"
#include "logger/import/unit_words.h"

#include "tests/unit/near.h"

#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* head, its unit ("" none), the role its words and unit say ("" none) */
static const struct {
    const char *head, *unit, *role;
} heads[] = {
    {"Tank (F)", "degF", "store"},
    {"Tank (\xc2\xb0"
     "F)",
     "degF", "store"},
    {"Temp_C", "degC", ""},
    {"Irradiance [W/m\xc2\xb2]", "W_m2", "sun"},
    {"GHI", "", "sun"},
    {"sun_W_m2", "W_m2", "sun"},
    {"store_degC", "degC", "store"},
    {"Solar Rad. (W/m^2)", "W_m2", "sun"},
    {"Speichertemperatur \xc2\xb0"
     "C",
     "degC", "store"},
    {"Au\xc3\x9f"
     "entemperatur / \xc2\xb0"
     "C",
     "degC", "air"},
    {"Temp\xc3\xa9rature ext\xc3\xa9rieure (\xc2\xb0"
     "C)",
     "degC", "air"},
    {"Temperatura del agua, \xc2\xb0"
     "C",
     "degC", "store"},
    {"Temperatura esterna", "", "air"},
    {"Buitentemperatuur (C)", "degC", "air"},
    {"Water temp deg F", "degF", "store"},
    {"Kollektor Eintritt [\xc2\xb0"
     "C]",
     "degC", "inlet"},
    {"Collector outlet K", "", "outlet"},
    {"Wind Speed (mph)", "mph", "wind"},
    {"Wind Speed km/h", "km_h", "wind"},
    {"Wind direction (\xc2\xb0)", "", ""},
    {"Flow gpm", "gal_min", "flow"},
    {"D\xc3\xa9"
     "bit (l/h)",
     "L_h", "flow"},
    {"Dew Point (\xc2\xb0"
     "C)",
     "degC", ""},
    {"Pump voltage (V)", "V", "pump"},
    {"Humidity %", "percent", "humidity"},
    {"TankTemp", "", "store"},
    {"DNI (W/m2)", "W_m2", ""},
    {"Barometer (hPa)", "", ""},
    {"Tank (\xef\xbf\xbd"
     "C)",
     "degC", "store"},
    {"Tank (\xc3\x82\xc2\xb0"
     "C)",
     "degC", "store"},
    {"\xc2\xb0"
     "C",
     "degC", ""},
    {"Irradiance (kW/m2)", "kW_m2", "sun"},
    {"Sonne [W*m-2]", "", "sun"},
    {"In", "", "inlet"},
    {"waterC", "degC", "store"},
    {"Solar(W/\xe3\x8e\xa1)", "W_m2", "sun"},
    {"wind_speed_ms", "m_s", "wind"},
};

/* Units that no channel has, and none that stands for it: not the channel's own either. */
static const char *const foreign[] = {"Solar (mW/cm\xc2\xb2)",
                                      "Global radiation (J/cm2)",
                                      "Solar J/cm2",
                                      "Tank (0.1\xc2\xb0"
                                      "C)",
                                      "Tank (\xc2\xb0"
                                      "C x10)",
                                      "Tank (1/10 degC)",
                                      "Wind (Bft)",
                                      "Sun kJ/m2",
                                      "Flow (drops/s)"};
/* And what is no unit at all. */
static const char *const plain[] = {"Temp (in/out)",  "Tank (upper)", "Probe 2",
                                    "Temp (min/max)", "Tank 10",      "Tank"};

START_TEST(unknown_units)
{
    char name[NR_FOLDED];
    for (size_t i = 0; i < sizeof foreign / sizeof *foreign; i++)
        ck_assert_msg(nr_unit_of_head(foreign[i], name, sizeof name).measure == NR_MEASURE_OTHER,
                      "%s", foreign[i]);
    for (size_t i = 0; i < sizeof plain / sizeof *plain; i++)
        ck_assert_msg(nr_unit_of_head(plain[i], name, sizeof name).measure == NR_MEASURE_NONE, "%s",
                      plain[i]);
}
END_TEST

START_TEST(head_unit_and_role)
{
    nr_table_column column = {.head = ""};
    column.unit = nr_unit_of_head(heads[_i].head, column.name, sizeof column.name);
    nr_terms_of(column.name, &column.terms);
    const char *unit = column.unit.measure == NR_MEASURE_UNIT ? column.unit.unit->name : "";
    const char *role = nr_match_role(&column);
    ck_assert_msg(strcmp(unit, heads[_i].unit) == 0, "%s: unit %s", heads[_i].head, unit);
    ck_assert_msg(strcmp(role ? role : "", heads[_i].role) == 0, "%s: role %s", heads[_i].head,
                  role ? role : "");
}
END_TEST

START_TEST(numbers)
{
    static const struct {
        const char *cell;
        char decimal;
        double value;
    } good[] = {
        {"12.5", '.', 12.5},
        {"12,5", ',', 12.5},
        {"1.234,5", ',', 1234.5},
        {"1,234.5", '.', 1234.5},
        {"1'234.5", '.', 1234.5},
        {"1 234,5", ',', 1234.5},
        {"-0,5", ',', -0.5},
        {"+3", '.', 3},
        {".5", '.', 0.5},
        {"1e3", '.', 1000},
        {"68.2\xc2\xb0"
         "F",
         '.', 68.2},
        {"850 W/m\xc2\xb2", '.', 850},
        {"\xe2\x88\x92"
         "4",
         '.', -4},
        {"1\xc2\xa0"
         "234,5",
         ',', 1234.5},
        {"=\"20.5\"", '.', 20.5},
        {"1,234,567", '.', 1234567},
        {"5.", '.', 5},
    };
    static const char *const bad[] = {"",    "abc", "1,2,3", "12:30",      "1.2.3",        "nan",
                                      "inf", "-",   "0x10",  "12,345.6,7", "20.5 bananas", "1e999"};
    double v;
    for (size_t i = 0; i < sizeof good / sizeof *good; i++)
        ck_assert_msg(nr_number_of(good[i].cell, good[i].decimal, &v, NULL) &&
                          fabs(v - good[i].value) < 1e-9,
                      "%s", good[i].cell);
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        ck_assert_msg(!nr_number_of(bad[i], '.', &v, NULL), "%s", bad[i]);
    ck_assert(!nr_number_of("12,5", '.', &v, NULL)); /* no group of three */
}
END_TEST

START_TEST(decimal_evidence)
{
    nr_decimal_evidence e = {0};
    nr_decimal_look(&e, "12,5");
    nr_decimal_look(&e, "1.234");
    nr_decimal_look(&e, "0.125");
    nr_decimal_look(&e, "17");
    ck_assert(e.comma == 1 && e.point == 1 && e.open_point == 1 && e.whole == 1);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("words");
    TCase *all = tcase_create("all");
    tcase_add_loop_test(all, head_unit_and_role, 0, (int)(sizeof heads / sizeof *heads));
    tcase_add_test(all, unknown_units);
    tcase_add_test(all, numbers);
    tcase_add_test(all, decimal_evidence);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
