/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/base/units.h"
#include "tests/unit/near.h"

/* NIST SP 811 (2008), appendix B.8: exact factors (printed there in bold) exactly, the others to
 * their seven printed digits. From memory; the gallon, square foot, Btu and the film coefficient
 * are also in the project's list of check values. */
START_TEST(us_factors_of_sp811)
{
    static const struct {
        const char *name;
        double factor, tolerance; /* relative */
    } rows[] = {
        {"ft", 0.3048, 0},
        {"in", 0.0254, 0},
        {"ft2", 0.09290304, 1e-15},
        {"in2", 6.4516e-4, 1e-15},
        {"lb", 0.45359237, 0},
        {"gal", 3.785411784, 0},
        {"gal_min", 3.785411784, 0},
        {"mph", 0.44704, 1e-15},
        {"ft_s", 0.3048, 0},
        {"kn", 0.5144444, 1e-7},
        {"km_h", 0.2777778, 1e-7},
        {"Btu_h", 0.2930711, 1.8e-7},
        {"Btu_h_ft2", 3.154591, 1e-7},
        {"Btu_degF", 1.899101e3, 5e-7}, /* 1055.05585262 * 1.8 */
        {"Btu_h_degF", 0.5275279, 1e-7},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const nr_unit *unit = nr_unit_find(rows[i].name);
        ck_assert_msg(unit != NULL, "%s", rows[i].name);
        NEAR_AT(rows[i].name, unit->factor, rows[i].factor, rows[i].factor * rows[i].tolerance);
    }
    /* 1 Btu/(h ft2 degF) = 5.678263 W/(m2 K). */
    NEAR(nr_unit_find("Btu_h_degF")->factor / nr_unit_find("ft2")->factor, 5.678263, 5e-7);
    /* 1 Btu(IT) = 1055.05585262 J exactly. */
    NEAR(nr_unit_find("Btu_h")->factor * 3600, 1055.05585262, 1e-12);
}
END_TEST

START_TEST(temperatures)
{
    /* SP 811 B.8: t/degC = (t/degF - 32)/1.8; the fixed points by definition. */
    static const double rows[][2] = {
        {32, 0}, {212, 100}, {-40, -40}, {68, 20}, {110, 43.0 + 1.0 / 3}, {120, 48.0 + 8.0 / 9}};
    const nr_unit *degF = nr_unit_find("degF"), *K = nr_unit_find("K");
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        NEAR(nr_unit_to_canonical(degF, rows[i][0]), rows[i][1], 3e-14);
        NEAR(nr_unit_from_canonical(degF, rows[i][1]), rows[i][0], 6e-14);
    }
    NEAR(nr_unit_to_canonical(K, 273.15), 0, 0);
    NEAR(nr_unit_from_canonical(K, 25), 298.15, 1e-13);
    /* A difference has no offset: 9 degF are 5 K. */
    NEAR(nr_unit_difference_to_canonical(degF, 9), 5, 1e-15);
    NEAR(nr_unit_difference_from_canonical(degF, 5), 9, 2e-15);
    NEAR(nr_unit_difference_to_canonical(K, 9), 9, 0);
}
END_TEST

START_TEST(litres_and_the_rest)
{
    NEAR(nr_unit_to_canonical(nr_unit_find("m3_h"), 1), 16.0 + 2.0 / 3, 1e-14);
    NEAR(nr_unit_to_canonical(nr_unit_find("L_h"), 60), 1, 1e-15);
    NEAR(nr_unit_to_canonical(nr_unit_find("L_s"), 0.02), 1.2, 1e-15);
    NEAR(nr_unit_to_canonical(nr_unit_find("mL_min"), 1200), 1.2, 1e-15);
    NEAR(nr_unit_to_canonical(nr_unit_find("kW_m2"), 0.8), 800, 0);
    NEAR(nr_unit_to_canonical(nr_unit_find("mV"), 5000), 5, 0);
    NEAR(nr_unit_to_canonical(nr_unit_find("kJ_K"), 4), 4000, 0);
}
END_TEST

START_TEST(table_audit)
{
    size_t count = 0;
    for (const nr_unit *unit; (unit = nr_unit_at(count)) != NULL; count++) {
        ck_assert_msg(nr_unit_find(unit->name) == unit, "%s is there twice", unit->name);
        ck_assert(unit->dimension != NR_DIM_NONE && unit->factor > 0 && unit->label[0]);
        ck_assert_msg(strstr(nr_unit_names(unit->dimension), unit->name) != NULL,
                      "%s is not among the names told to people", unit->name);
        const nr_unit *canonical = nr_unit_canonical(unit->dimension);
        ck_assert(canonical && canonical->factor == 1 && canonical->offset == 0);
        for (double v = -40; v < 200; v += 7.7)
            NEAR_AT(unit->name, nr_unit_from_canonical(unit, nr_unit_to_canonical(unit, v)), v,
                    1e-12);
    }
    ck_assert_uint_gt(count, 30);
    ck_assert_ptr_null(nr_unit_canonical(NR_DIM_NONE));
}
END_TEST

/* Every name told to people is a unit of that dimension, and none is left out. */
START_TEST(names_told_are_units)
{
    for (int d = NR_DIM_NONE + 1; d <= NR_DIM_VOLUME; d++) {
        char names[200], *rest = names;
        size_t told = 0, known = 0;
        snprintf(names, sizeof names, "%s", nr_unit_names((nr_dimension)d));
        for (char *name; (name = strsep(&rest, ",")) != NULL; told++) {
            name += strspn(name, " ");
            const nr_unit *unit = nr_unit_find(name);
            ck_assert_msg(unit && unit->dimension == (nr_dimension)d, "%s", name);
        }
        for (size_t i = 0; nr_unit_at(i); i++)
            known += nr_unit_at(i)->dimension == (nr_dimension)d;
        ck_assert_uint_eq(told, known);
    }
}
END_TEST

START_TEST(canonical_units_are_those_of_the_header)
{
    static const char *const names[] = {
        [NR_DIM_TEMPERATURE] = "degC", [NR_DIM_IRRADIANCE] = "W_m2",   [NR_DIM_FLOW] = "L_min",
        [NR_DIM_SPEED] = "m_s",        [NR_DIM_VOLTAGE] = "V",         [NR_DIM_CURRENT] = "A",
        [NR_DIM_POWER] = "W",          [NR_DIM_AREA] = "m2",           [NR_DIM_LENGTH] = "m",
        [NR_DIM_MASS] = "kg",          [NR_DIM_HEAT_CAPACITY] = "J_K", [NR_DIM_LOSS] = "W_K",
        [NR_DIM_VOLUME] = "L"};
    for (int d = NR_DIM_NONE + 1; d <= NR_DIM_VOLUME; d++)
        ck_assert_str_eq(nr_unit_canonical((nr_dimension)d)->name, names[d]);
}
END_TEST

START_TEST(unknown_units)
{
    static const char *const names[] = {"", "F", "C", "degc", "MV", "w_m2", "gpm", "degC "};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        ck_assert_msg(nr_unit_find(names[i]) == NULL, "\"%s\"", names[i]);
}
END_TEST

START_TEST(temperatures_as_typed)
{
    static const struct {
        const char *text;
        bool fahrenheit;
        double degC;
    } good[] = {{"43C", false, 43},
                {"43C", true, 43},
                {"110F", false, 43.0 + 1.0 / 3},
                {"316.15K", true, 43},
                {"43 degC", true, 43},
                {"43", false, 43},
                {"110", true, 43.0 + 1.0 / 3},
                {"-5.5°C", false, -5.5},
                {"104degF", false, 40},
                {" 43 ", false, 43},
                {"43°C ", true, 43}};
    static const char *const bad[] = {"",     "C",    "43X",   "43 c", "hot",   "43CC",
                                      "nanC", "4 3C", "-300C", "-1K",  "43C F", "0x10C"};
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        double t = NAN;
        ck_assert_msg(nr_parse_temperature(good[i].text, good[i].fahrenheit, &t), "\"%s\"",
                      good[i].text);
        NEAR_AT(good[i].text, t, good[i].degC, 1e-12);
    }
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        double t = 42;
        ck_assert_msg(!nr_parse_temperature(bad[i], false, &t) && t == 42, "\"%s\" accepted",
                      bad[i]);
    }
}
END_TEST

/* Definitions of NIST SP 811 (2008), appendix B; water 0.9982 kg/L. */
START_TEST(quantities_as_typed)
{
    static const struct {
        const char *text, *bare;
        double value;
    } good[] = {{"40", "kg", 40},
                {"40kg", "kg", 40},
                {"10 gal", "kg", 10 * 3.785411784 * 0.9982},
                {"40L", "kg", 40 * 0.9982},
                {"88 lb", "kg", 88 * 0.45359237},
                {"1.3gal", "L", 1.3 * 3.785411784},
                {"10.76ft2", "m2", 10.76 * 0.09290304},
                {"900 W/m2", "W_m2", 900},
                {"0.9kW_m2", "W_m2", 900},
                {"300Btu_h_ft2", "W_m2", 300 * 1055.05585262 / 3600 / 0.09290304},
                {"5mph", "m_s", 2.2352},
                {"3 Btu_h_degF", "W_K", 3 * 1055.05585262 / 3600 * 1.8},
                {"1Btu_h_ft2_degF", "W_m2K", 5.678263341113488},
                {"2.5in", "mm", 63.5},
                {"3.6degF", "K", 2}, /* a difference */
                {"1e3", "kg", 1000},
                {"-1.5e-1 K", "K", -0.15}};
    static const struct {
        const char *text, *bare;
    } bad[] = {{"", "kg"},     {"kg", "kg"},    {"40 m2", "kg"},  {"40 kg kg", "kg"},
               {"4 0", "kg"},  {"10gal", "m2"}, {"10kg", "L"},    {"40%", "kg"},
               {"nan", "kg"},  {"1e999", "kg"}, {"0x10kg", "kg"}, {"40KG", "kg"},
               {"1,5kg", "kg"}};
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        double q = NAN;
        ck_assert_msg(nr_parse_quantity(good[i].text, good[i].bare, &q), "\"%s\"", good[i].text);
        NEAR_AT(good[i].text, q, good[i].value, 1e-9 * fabs(good[i].value));
    }
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        double q = 42;
        ck_assert_msg(!nr_parse_quantity(bad[i].text, bad[i].bare, &q) && q == 42,
                      "\"%s\" accepted", bad[i].text);
    }
    char units[80];
    nr_quantity_units("kg", units, sizeof units);
    ck_assert_str_eq(units, "kg, g, lb, L, mL, gal");
    nr_quantity_units("K", units, sizeof units);
    ck_assert_str_eq(units, "K, degF");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {us_factors_of_sp811,  temperatures,
                                  litres_and_the_rest,  table_audit,
                                  names_told_are_units, canonical_units_are_those_of_the_header,
                                  unknown_units,        temperatures_as_typed,
                                  quantities_as_typed,  NULL};
    return run_tests("units", tests);
}
