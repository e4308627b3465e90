/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Thermometer laws against the published tables of their standards and makers. */
#include "logger/convert/infrared.h"
#include "logger/convert/its90.h"
#include "logger/convert/ntc.h"
#include "logger/convert/platinum.h"
#include "logger/convert/thermocouple.h"
#include "tests/unit/near.h"

#include <stdlib.h>

/* Source: reference table of IEC 60751 (Pt100, printed to 0.01 ohm), more digits from the
 * standard's formula. */
static const double platinum_table[][2] = {
    {-50, 80.3063}, {-20, 92.1599},  {-10, 96.0859},  {0, 100},        {10, 103.9025},
    {20, 107.7935}, {25, 109.7347},  {40, 115.5408},  {50, 119.3971},  {60, 123.2419},
    {80, 130.8968}, {100, 138.5055}, {150, 157.3251}, {200, 175.8560},
};

/* IEC 60751: R/R0 = 1 + A t + B t^2 + C (t - 100) t^3, C below 0 degC only. */
static double platinum_ohm(double t, double r0_ohm)
{
    double c = t < 0 ? -4.183e-12 : 0;
    return r0_ohm * (1 + 3.9083e-3 * t - 5.775e-7 * t * t + c * (t - 100) * t * t * t);
}

START_TEST(platinum_resistance)
{
    for (size_t i = 0; i < sizeof platinum_table / sizeof *platinum_table; i++) {
        double t = platinum_table[i][0], ohm = platinum_table[i][1];
        NEAR(nr_platinum_degC(ohm, 100.0), t, 0.001);
        NEAR(nr_platinum_degC(10.0 * ohm, 1000.0), t, 0.001);
        NEAR(platinum_ohm(t, 100.0), ohm, 0.001);
    }
}
END_TEST

START_TEST(platinum_inverse)
{
    for (double t = -199.9; t <= 850.0; t += 0.7)
        NEAR(nr_platinum_degC(platinum_ohm(t, 100.0), 100.0), t, 1e-6);
    ck_assert(isnan(nr_platinum_degC(0.0, 100.0)));
    ck_assert(isnan(nr_platinum_degC(400.0, 100.0)));
    ck_assert(isnan(nr_platinum_degC(-1.0, 100.0)));
    ck_assert(isnan(nr_platinum_degC(NAN, 100.0)));
    ck_assert(isnan(nr_platinum_degC(platinum_ohm(-201.0, 100.0), 100.0)));
}
END_TEST

/* NIST Monograph 175 / IEC 60584-1 tables (printed to 0.001 mV), more digits from the polynomials.
 */
static const double emf_degC[] = {-20, -10, 10, 20, 25, 30, 40, 50, 75, 100, 150, 200, 250, 300};
static const double emf_K_mV[] = {-0.7775, -0.3919, 0.3969, 0.7981, 1.0002, 1.2033,  1.6118,
                                  2.0231,  3.0589,  4.0962, 6.1383, 8.1385, 10.1534, 12.2086};
static const double emf_T_mV[] = {-0.7568, -0.3831, 0.3910, 0.7896, 0.9920, 1.1965,  1.6118,
                                  2.0357,  3.1323,  4.2785, 6.7041, 9.2881, 12.0134, 14.8619};

START_TEST(thermocouple_emf)
{
    for (size_t i = 0; i < sizeof emf_degC / sizeof *emf_degC; i++) {
        NEAR(nr_thermocouple_mV(NR_THERMOCOUPLE_K, emf_degC[i]), emf_K_mV[i], 0.0005);
        NEAR(nr_thermocouple_mV(NR_THERMOCOUPLE_T, emf_degC[i]), emf_T_mV[i], 0.0005);
    }
}
END_TEST

START_TEST(thermocouple_inverse)
{
    for (double t = -199.9; t < 500.0; t += 0.31)
        NEAR(nr_thermocouple_degC(NR_THERMOCOUPLE_K, nr_thermocouple_mV(NR_THERMOCOUPLE_K, t)), t,
             1e-6);
    for (double t = -199.9; t < 400.0; t += 0.31)
        NEAR(nr_thermocouple_degC(NR_THERMOCOUPLE_T, nr_thermocouple_mV(NR_THERMOCOUPLE_T, t)), t,
             1e-6);
    ck_assert(isnan(nr_thermocouple_degC(NR_THERMOCOUPLE_K, 25.0)));
    ck_assert(isnan(nr_thermocouple_degC(NR_THERMOCOUPLE_T, -6.0)));
    ck_assert(isnan(nr_thermocouple_degC(NR_THERMOCOUPLE_T, NAN)));
    ck_assert(isnan(nr_thermocouple_mV(NR_THERMOCOUPLE_T, 400.5)));
}
END_TEST

START_TEST(thermocouple_cold_junction)
{
    /* By the tables above: hot 60, cold 25 degC. */
    NEAR(nr_thermocouple_mV(NR_THERMOCOUPLE_K, 60) - nr_thermocouple_mV(NR_THERMOCOUPLE_K, 25),
         1.43623, 0.0005);
    NEAR(nr_thermocouple_mV(NR_THERMOCOUPLE_T, 60) - nr_thermocouple_mV(NR_THERMOCOUPLE_T, 25),
         1.47617, 0.0005);
    NEAR(nr_thermocouple_hot_degC(NR_THERMOCOUPLE_K, 1.43623, 25.0), 60.0, 0.001);
    NEAR(nr_thermocouple_hot_degC(NR_THERMOCOUPLE_T, 1.47617, 25.0), 60.0, 0.001);
    /* The mistake: temperatures added instead of voltages. (60.73 for K is also seen: that is the
     * table's unrefined inverse, 0.02 K off here.) */
    NEAR(nr_thermocouple_degC(NR_THERMOCOUPLE_K, 1.43623) + 25.0, 60.71, 0.01);
    NEAR(nr_thermocouple_degC(NR_THERMOCOUPLE_T, 1.47617) + 25.0, 61.76, 0.01);
    ck_assert(isnan(nr_thermocouple_hot_degC(NR_THERMOCOUPLE_K, 1.0, NAN)));
}
END_TEST

static const nr_its90_piece *find_piece(const table *t, int row)
{
    const nr_its90_type *type = &nr_its90_types[t->cell[row][0][0] == 'T'];
    bool forward = strcmp(t->cell[row][1], "degC_to_mV") == 0;
    const nr_its90_piece *p = forward ? type->forward : type->inverse;
    for (; p->terms > 0; p++) {
        if (p->low == table_number(t, row, 2) && p->high == table_number(t, row, 3))
            return p;
    }
    return NULL;
}

/* Every coefficient in the program is the one of the table, and none is left out. */
START_TEST(its90_coefficients)
{
    table t;
    table_read(&t, "its90-thermocouple.csv");
    int seen = 0, held = 0;
    for (int row = 1; row < t.rows; row++) {
        const char *order = t.cell[row][4];
        double expected = table_number(&t, row, 5);
        if (order[0] == 'a') {
            ck_assert_double_eq(nr_its90_types[0].bump[atoi(order + 1)], expected);
            continue;
        }
        const nr_its90_piece *p = find_piece(&t, row);
        ck_assert_msg(p != NULL, "row %d has no piece", row);
        ck_assert_int_lt(atoi(order), p->terms);
        ck_assert_double_eq(p->c[atoi(order)], expected);
        seen++;
    }
    for (int type = 0; type < 2; type++) {
        for (int i = 0; i < 2; i++)
            held += nr_its90_types[type].forward[i].terms + nr_its90_types[type].inverse[i].terms;
    }
    ck_assert_int_eq(seen, held);
    table_free(&t);
}
END_TEST

/* Steinhart and Hart's a, b, c through three points. Divided differences of y = 1/T against x = ln
 * R: with y = a + b x + c x^3 the first one of points i and j is b + c (xi^2 + xi xj + xj^2); two
 * of them give c, then b, then a. */
static void steinhart_through(const double ohm[3], const double degC[3], double out[3])
{
    double x[3], y[3];
    for (int i = 0; i < 3; i++) {
        x[i] = log(ohm[i]);
        y[i] = 1.0 / (degC[i] + 273.15);
    }
    double d01 = (y[1] - y[0]) / (x[1] - x[0]), d02 = (y[2] - y[0]) / (x[2] - x[0]);
    out[2] = (d02 - d01) / ((x[2] - x[1]) * (x[0] + x[1] + x[2]));
    out[1] = d01 - out[2] * (x[0] * x[0] + x[0] * x[1] + x[1] * x[1]);
    out[0] = y[0] - x[0] * (out[1] + out[2] * x[0] * x[0]);
}

START_TEST(steinhart_through_three_points)
{
    /* Coefficients: a public calculator's default, in many sources; its points from memory. */
    const double ohm[3] = {25000, 10000, 4000}, degC[3] = {5, 25, 45};
    double c[3];
    steinhart_through(ohm, degC, c);
    NEAR_RELATIVE(c[0], 2.108508173e-3, 1e-8);
    NEAR_RELATIVE(c[1], 0.7979204727e-4, 1e-8);
    NEAR_RELATIVE(c[2], 6.535076315e-7, 1e-8);
    for (int i = 0; i < 3; i++)
        NEAR(nr_ntc_steinhart_degC(ohm[i], c[0], c[1], c[2]), degC[i], 1e-9);
}
END_TEST

START_TEST(beta_law)
{
    /* Computed from the law's definition, R25 = 10 k, beta = 3950. */
    static const double rows[][2] = {{0, 33620.6}, {10, 20174.6}, {20, 12535.3}, {25, 10000},
                                     {30, 8037.1}, {40, 5301.5},  {50, 3588.2},  {60, 2486.2},
                                     {80, 1270.3}, {100, 697.5}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double ohm = 10000 * exp(3950 * (1 / (rows[i][0] + 273.15) - 1 / 298.15));
        NEAR(ohm, rows[i][1], 0.1);
        NEAR(nr_ntc_beta_degC(ohm, 10000, 3950), rows[i][0], 1e-9);
    }
}
END_TEST

/* A maker's curve guide (10 k, beta 25/85 = 3977): R/R25, and the maker's own four terms. */
static const double maker_table[][2] = {{-20, 9.681},  {-10, 5.525}, {0, 3.264},   {10, 1.990},
                                        {20, 1.249},   {30, 0.8056}, {40, 0.5325}, {50, 0.3601},
                                        {60, 0.2487},  {70, 0.1751}, {80, 0.1256}, {90, 0.09155},
                                        {100, 0.06781}};

static double maker_degC(double ratio)
{
    return nr_ntc_four_term_degC(10000 * ratio, 10000, 3.3539438e-3, 2.5646095e-4, 2.5158166e-6,
                                 1.0503069e-7);
}

START_TEST(maker_four_terms)
{
    for (size_t i = 0; i < sizeof maker_table / sizeof *maker_table; i++)
        NEAR(maker_degC(maker_table[i][1]), maker_table[i][0], 0.02);
}
END_TEST

START_TEST(what_simpler_laws_cost)
{
    /* Steinhart-Hart through that table's 0, 25 and 60 degC: within 0.01 K over 0..100 degC. The
     * coefficients: an independent solve of the three equations. */
    const double degC[3] = {0, 25, 60}, ohm[3] = {32640, 10000, 2487};
    double c[3];
    steinhart_through(ohm, degC, c);
    NEAR_RELATIVE(c[0], 1.13070096e-3, 1e-8);
    NEAR_RELATIVE(c[1], 2.33854934e-4, 1e-8);
    NEAR_RELATIVE(c[2], 8.8865299e-8, 1e-7);
    for (size_t i = 2; i < sizeof maker_table / sizeof *maker_table; i++)
        NEAR(nr_ntc_steinhart_degC(10000 * maker_table[i][1], c[0], c[1], c[2]), maker_table[i][0],
             0.01);
    /* Beta 3950 on the same part is 1 K off at 100 degC. */
    static const double costs[][3] = {
        {0, 3.264, 0.56}, {40, 0.5325, -0.11}, {60, 0.2487, 0.0}, {100, 0.06781, 1.0}};
    for (int i = 0; i < 4; i++)
        NEAR(nr_ntc_beta_degC(10000 * costs[i][1], 10000, 3950) - costs[i][0], costs[i][2], 0.02);
}
END_TEST

START_TEST(makers_steinhart_curves)
{
    /* "Curve J": a maker's table; its coefficients from memory. */
    static const double j[][2] = {{-10, 55303.9}, {-5, 42316.7}, {0, 32650.9}, {1, 31030.8}};
    for (int i = 0; i < 4; i++)
        NEAR(nr_ntc_steinhart_degC(j[i][1], 1.129241e-3, 2.341077e-4, 8.775468e-8), j[i][0], 0.003);
    /* The "44006" curve, from memory. */
    static const double c44006[][2] = {{0, 29490}, {25, 10000}, {50, 3893}, {100, 816.8}};
    for (int i = 0; i < 4; i++)
        NEAR(nr_ntc_steinhart_degC(c44006[i][1], 1.032e-3, 2.387e-4, 1.580e-7), c44006[i][0], 0.05);
}
END_TEST

START_TEST(divider)
{
    /* Ohm's law: equal resistors halve the voltage; 10 k over 30 k leaves a quarter. */
    NEAR(nr_divider_ohm(0.5, 10000, false), 10000, 1e-9);
    NEAR(nr_divider_ohm(0.25, 30000, false), 10000, 1e-9);
    NEAR(nr_divider_ohm(0.75, 30000, true), 10000, 1e-9);
    static const double broken[] = {0.0, 1.0, -0.1, 1.1, NAN};
    for (int i = 0; i < 5; i++)
        ck_assert(isnan(nr_divider_ohm(broken[i], 10000, false)));
    ck_assert(isnan(nr_ntc_beta_degC(0, 10000, 3950)));
    ck_assert(isnan(nr_ntc_beta_degC(1e9, 10000, 3950)));
    ck_assert(isnan(nr_ntc_steinhart_degC(INFINITY, 1e-3, 2e-4, 1e-7)));
}
END_TEST

/* What instruments of the band 8 to 14 um show, by Planck's law integrated over it (Simpson's rule,
 * 2000 parts, in another language): true temperature, emissivity, what the instrument is set to,
 * surroundings, the instrument itself, shown. The last two look at water under the sky. */
START_TEST(infrared_readings)
{
    static const struct {
        double true_degC, emissivity, set, surroundings_degC, instrument_degC, shown_degC;
        double within_K;
    } rows[] = {{50, 0.80, 0.95, 20, 20, 45.732, 0.05},  {50, 0.96, 0.95, -20, -20, 50.543, 0.05},
                {30, 0.90, 0.95, 10, 10, 29.036, 0.05},  {95, 0.85, 1.00, 25, 25, 86.357, 0.1},
                {80, 0.30, 0.95, 20, 20, 42.123, 0.3},   {60, 0.95, 0.95, 20, 20, 60.000, 1e-9},
                {30, 0.96, 0.95, -15, 20, 28.973, 0.05}, {50, 0.90, 1.00, -20, 25, 44.720, 0.1}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        NEAR(nr_infrared_degC(rows[i].shown_degC, rows[i].set, rows[i].instrument_degC,
                              rows[i].emissivity, rows[i].surroundings_degC),
             rows[i].true_degC, rows[i].within_K);
    ck_assert(isnan(nr_infrared_degC(-80, 0.95, 60, 0.2, 60))); /* less than is reflected */
    ck_assert(isnan(nr_infrared_degC(NAN, 0.95, 20, 0.9, 20)));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {infrared_readings,
                                  platinum_resistance,
                                  platinum_inverse,
                                  thermocouple_emf,
                                  thermocouple_inverse,
                                  thermocouple_cold_junction,
                                  its90_coefficients,
                                  steinhart_through_three_points,
                                  beta_law,
                                  maker_four_terms,
                                  what_simpler_laws_cost,
                                  makers_steinhart_curves,
                                  divider,
                                  NULL};
    return run_tests("thermometers", tests);
}
