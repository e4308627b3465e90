/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The table of conversion laws: its audit, and each law from the raw number to the reading. */
#include "logger/convert/convert.h"
#include "tests/unit/near.h"

#include <ctype.h>

/* A law's reading with keys given as name, value pairs ended by NULL; the rest by the table. */
typedef struct setting {
    const char *key;
    double value;
} setting;

static double reading(const char *name, double raw, double cold_degC, const setting *settings)
{
    const nr_law *law = nr_law_find(name);
    ck_assert_msg(law != NULL, "no law %s", name);
    double k[NR_LAW_MAX_KEYS];
    for (int i = 0; i < NR_LAW_MAX_KEYS; i++)
        k[i] = law->keys[i].name ? law->keys[i].fallback : NAN;
    for (; settings && settings->key; settings++) {
        int index = nr_law_key_index(law, settings->key);
        ck_assert_msg(index >= 0, "%s has no key %s", name, settings->key);
        ck_assert_double_ge(settings->value, law->keys[index].low);
        ck_assert_double_le(settings->value, law->keys[index].high);
        k[index] = settings->value;
    }
    return law->eval(raw, k, cold_degC);
}
#define SET(...) ((const setting[]){__VA_ARGS__, {NULL, 0.0}})

static void audit_keys(const nr_law *law)
{
    bool ended = false;
    for (int i = 0; i < NR_LAW_MAX_KEYS; i++) {
        const nr_law_key *key = &law->keys[i];
        ended = ended || !key->name;
        ck_assert_msg(!key->name == ended, "%s: a key after the end", law->name);
        if (ended)
            continue;
        ck_assert_msg(nr_law_key_index(law, key->name) == i, "%s: %s twice", law->name, key->name);
        ck_assert_msg(isfinite(key->low) && isfinite(key->high) && key->low < key->high,
                      "%s: %s has no range", law->name, key->name);
        ck_assert_msg(!isfinite(key->fallback) ||
                          (key->fallback >= key->low && key->fallback <= key->high),
                      "%s: %s has its default outside its range", law->name, key->name);
        ck_assert_msg(key->meaning && strlen(key->meaning) > 5, "%s: %s not explained", law->name,
                      key->name);
        for (const char *c = key->name; *c; c++)
            ck_assert_msg(isalnum((unsigned char)*c) || *c == '_', "%s: key %s", law->name,
                          key->name);
    }
}

START_TEST(table_is_sound)
{
    ck_assert_str_eq(nr_laws[0].name, "none");
    int count = 0;
    for (const nr_law *law = nr_laws; law->name; law++, count++) {
        ck_assert_ptr_eq(nr_law_find(law->name), law); /* no name twice */
        ck_assert(law->eval != NULL);
        ck_assert_msg(law->summary && strlen(law->summary) > 20, "%s: no summary", law->name);
        ck_assert_msg(!law->wants_cold || nr_law_key_index(law, "cold_degC") >= 0,
                      "%s wants a cold junction and has no key for it", law->name);
        audit_keys(law);
        /* Nothing in, nothing out; whatever the coefficients. */
        double k[NR_LAW_MAX_KEYS];
        for (int i = 0; i < NR_LAW_MAX_KEYS; i++)
            k[i] = law->keys[i].name ? 0.5 * (law->keys[i].low + law->keys[i].high) : NAN;
        ck_assert_msg(law->stated || isnan(law->eval(NAN, k, 20.0)), "%s answers NAN", law->name);
    }
    ck_assert_int_eq(count, 19);
    ck_assert_ptr_null(nr_law_find("nonesuch"));
    ck_assert_int_eq(nr_law_key_index(nr_law_find("linear"), "nonesuch"), -1);
}
END_TEST

START_TEST(plain_laws)
{
    NEAR(reading("none", 21.5, NAN, NULL), 21.5, 0);
    NEAR(reading("stated", NAN, NAN, SET({"value", 17.5}, {"u_value", 1})), 17.5, 0);
    NEAR(reading("linear", 2.0, NAN, SET({"gain", 1.5}, {"offset", -0.25})), 2.75, 1e-15);
    NEAR(reading("linear", 2.0, NAN, NULL), 2.0, 0);
    /* 1 + 2x + 3x^2 + 4x^3 + 5x^4 + 6x^5 at 2 and -1, by hand. */
    const setting *c = SET({"c0", 1}, {"c1", 2}, {"c2", 3}, {"c3", 4}, {"c4", 5}, {"c5", 6});
    NEAR(reading("poly", 2.0, NAN, c), 321.0, 1e-12);
    NEAR(reading("poly", -1.0, NAN, c), -3.0, 1e-12);
}
END_TEST

START_TEST(thermistor_laws)
{
    /* 10 k, beta 3950 is 3588.2 ohm at 50 degC (by the law's definition). Under a 10 k resistor at
     * 5 V: 5 * 3588.2/13588.2 = 1.32033 V; over it the rest. In counts of a 10-bit converter: */
    const setting *low =
        SET({"series_ohm", 10000}, {"full_scale", 5}, {"r25", 10000}, {"beta", 3950});
    NEAR(reading("ntc_beta", 1.32033, NAN, low), 50.0, 0.001);
    const setting *high = SET({"series_ohm", 10000}, {"full_scale", 5}, {"thermistor_high", 1},
                              {"r25", 10000}, {"beta", 3950});
    NEAR(reading("ntc_beta", 5.0 - 1.32033, NAN, high), 50.0, 0.001);
    const setting *counts =
        SET({"series_ohm", 10000}, {"full_scale", 1023}, {"r25", 10000}, {"beta", 3950});
    NEAR(reading("ntc_beta", 1023 * 1.32033 / 5.0, NAN, counts), 50.0, 0.001);
    NEAR(reading("ntc_beta_ohm", 3588.2, NAN, SET({"r25", 10000}, {"beta", 3950})), 50.0, 0.001);
    ck_assert(isnan(reading("ntc_beta", 0.0, NAN, low)));
    ck_assert(isnan(reading("ntc_beta", 5.0, NAN, low)));

    /* A maker's "curve J" (32650.9 ohm at 0 degC; coefficients from memory). */
    const setting *ohm = SET({"a", 1.129241e-3}, {"b", 2.341077e-4}, {"c", 8.775468e-8});
    NEAR(reading("ntc_steinhart_ohm", 32650.9, NAN, ohm), 0.0, 0.003);
    const setting *divided =
        SET({"series_ohm", 32650.9}, {"a", 1.129241e-3}, {"b", 2.341077e-4}, {"c", 8.775468e-8});
    NEAR(reading("ntc_steinhart", 0.5, NAN, divided), 0.0, 0.003);

    /* A maker's curve guide: R/R25 = 0.2487 at 60 degC. */
    const setting *four = SET({"r25", 10000}, {"a", 3.3539438e-3}, {"b", 2.5646095e-4},
                              {"c", 2.5158166e-6}, {"d", 1.0503069e-7});
    NEAR(reading("ntc_four_term_ohm", 2487, NAN, four), 60.0, 0.02);
    const setting *four_divided =
        SET({"series_ohm", 2487}, {"r25", 10000}, {"a", 3.3539438e-3}, {"b", 2.5646095e-4},
            {"c", 2.5158166e-6}, {"d", 1.0503069e-7});
    NEAR(reading("ntc_four_term", 0.5, NAN, four_divided), 60.0, 0.02);
}
END_TEST

START_TEST(platinum_laws)
{
    /* IEC 60751 */
    NEAR(reading("pt100", 119.3971, NAN, NULL), 50.0, 0.001);
    NEAR(reading("pt1000", 1193.971, NAN, NULL), 50.0, 0.001);
    NEAR(reading("pt100", 92.1599, NAN, NULL), -20.0, 0.001);
    NEAR(reading("pt100", 120.0971, NAN, SET({"lead_ohm", 0.7})), 50.0, 0.001);
}
END_TEST

START_TEST(thermocouple_laws)
{
    /* NIST Monograph 175: hot 60, cold 25 degC. */
    NEAR(reading("thermocouple_k", 1.43623, 25.0, NULL), 60.0, 0.002);
    NEAR(reading("thermocouple_t", 1.47617, 25.0, NULL), 60.0, 0.002);
    NEAR(reading("thermocouple_k", 1.43623, NAN, SET({"cold_degC", 25})), 60.0, 0.002);
    /* a measured junction wins over the key */
    NEAR(reading("thermocouple_k", 1.43623, 25.0, SET({"cold_degC", 10})), 60.0, 0.002);
    NEAR(reading("thermocouple_k", 1436.23, 25.0, SET({"mV_per_raw", 0.001})), 60.0, 0.002);
    ck_assert(isnan(reading("thermocouple_k", 1.43623, NAN, NULL)));
}
END_TEST

START_TEST(onewire_laws)
{
    /* The public data sheet's table of registers, from memory. */
    static const double rows[][2] = {{0x07D0, 125},     {0x0191, 25.0625},  {0x00A2, 10.125},
                                     {0x0008, 0.5},     {0x0000, 0.0},      {0xFFF8, -0.5},
                                     {0xFF5E, -10.125}, {0xFE6F, -25.0625}, {0xFC90, -55}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        NEAR(reading("onewire_raw", rows[i][0], NAN, NULL), rows[i][1], 0);
    NEAR(reading("onewire_raw", -8, NAN, NULL), -0.5, 0); /* sent as a signed number */
    /* 0x0550 is both 85 degC and what the part answers before its first measurement. */
    ck_assert(isnan(reading("onewire_raw", 0x0550, NAN, NULL)));
    NEAR(reading("onewire_raw", 0x0550, NAN, SET({"trust_85", 1})), 85.0, 0);
    NEAR(reading("onewire_raw", 0x0551, NAN, NULL), 85.0625, 0);
    ck_assert(isnan(reading("onewire_degC", 85.0, NAN, NULL)));
    ck_assert(isnan(reading("onewire_degC", -127.0, NAN, NULL))); /* drivers' "no answer" */
    NEAR(reading("onewire_degC", 84.94, NAN, NULL), 84.94, 0);
    ck_assert(isnan(reading("onewire_raw", 0x07D1, NAN, NULL)));
    ck_assert(isnan(reading("onewire_raw", 70000, NAN, NULL)));
    ck_assert(isnan(reading("onewire_raw", 12.5, NAN, NULL)));
}
END_TEST

START_TEST(flow_laws)
{
    /* 450 pulses a litre, 15 in 2 s: 15/450 L in 2 s = 1 L/min, by hand. */
    NEAR(reading("flow_pulses", 15, NAN, SET({"pulses_per_L", 450}, {"count_interval_s", 2})), 1.0,
         1e-12);
    NEAR(reading("flow_hz", 7.5, NAN, SET({"pulses_per_L", 450})), 1.0, 1e-12);
    /* f = 8.1 Q - 3 with Q in L/min is 486 pulses a litre and 3 Hz: 5.1 Hz is 1 L/min. */
    const setting *turbine = SET({"pulses_per_L", 486}, {"offset_hz", 3});
    NEAR(reading("flow_hz", 5.1, NAN, turbine), 1.0, 1e-12);
    NEAR(reading("flow_hz", 0.0, NAN, turbine), 0.0, 0);
    ck_assert(isnan(reading("flow_hz", -1.0, NAN, turbine)));
    ck_assert(isnan(
        reading("flow_pulses", -1, NAN, SET({"pulses_per_L", 450}, {"count_interval_s", 1}))));
}
END_TEST

START_TEST(sun_shunt_law)
{
    /* By hand: 3 A cell, 10 mohm shunt, 24 mV = 2.4 A; warm by 20 K at 0.05 %/K: 2.4/3.03. */
    const setting *cell =
        SET({"shunt_ohm", 0.01}, {"isc_A", 3}, {"isc_tempco_1_K", 0.0005}, {"cell_degC", 45});
    NEAR(reading("sun_shunt", 0.024, NAN, cell), 792.0792, 1e-4);
    const setting *at_25 =
        SET({"shunt_ohm", 0.01}, {"isc_A", 3}, {"cell_degC", 25}, {"volt_per_raw", 0.001});
    NEAR(reading("sun_shunt", 24, NAN, at_25), 800.0, 1e-9);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {table_is_sound, plain_laws,        thermistor_laws,
                                  platinum_laws,  thermocouple_laws, onewire_laws,
                                  flow_laws,      sun_shunt_law,     NULL};
    return run_tests("laws", tests);
}
