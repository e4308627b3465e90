/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Water and pressure against IAPWS and ISO 2533. */
#include "analyze/physics/atmosphere.h"
#include "analyze/physics/water.h"
#include "tests/unit/near.h"

/* IAPWS SR6-08(2011), its table of check values. */
START_TEST(published_check_values)
{
    static const double rows[3][5] = {
        {260.0, 4300.17472, 997.068360, 3058.36075e-6, 0.515628010},
        {298.15, 4181.44618, 997.047013, 889.996774e-6, 0.606502308},
        {375.0, 4217.74697, 957.009710, 276.207245e-6, 0.677913788},
    };
    for (int i = 0; i < 3; i++) {
        double t = rows[i][0] - 273.15;
        NEAR_RELATIVE(nr_water_cp_J_kgK(t), rows[i][1], 1e-8);
        NEAR_RELATIVE(nr_water_density_kg_m3(t), rows[i][2], 1e-8);
        NEAR_RELATIVE(nr_water_viscosity_Pa_s(t), rows[i][3], 1e-8);
        NEAR_RELATIVE(nr_water_conductivity_W_mK(t), rows[i][4], 1e-8);
    }
}
END_TEST

/* What water.h promises of the lines, halfway between their points and elsewhere; none outside. */
START_TEST(by_straight_lines)
{
    nr_water_lines lines;
    nr_water_lines_make(&lines);
    for (double degC = 0.0; degC <= 110.0; degC += 0.125) {
        NEAR(nr_water_lines_density_kg_m3(&lines, degC), nr_water_density_kg_m3(degC), 6e-4);
        NEAR(nr_water_lines_cp_J_kgK(&lines, degC), nr_water_cp_J_kgK(degC), 0.02);
    }
    NEAR_RELATIVE(nr_water_lines_density_kg_m3(&lines, 25.0), 997.047013, 1e-8); /* published */
    NEAR_RELATIVE(nr_water_lines_cp_J_kgK(&lines, 25.0), 4181.44618, 1e-8);
    NEAR_RELATIVE(nr_water_lines_density_kg_m3(&lines, -20.0), nr_water_density_kg_m3(-20.0),
                  1e-12);
    ck_assert(isnan(nr_water_lines_density_kg_m3(&lines, -20.01)));
    ck_assert(isnan(nr_water_lines_cp_J_kgK(&lines, 110.01)));
    ck_assert(isnan(nr_water_lines_cp_J_kgK(&lines, NAN)));
}
END_TEST

/* Every coefficient in the program is the one of tests/data/iapws-sr6-08.csv: the same sums from
 * the file's own numbers. */
START_TEST(coefficients_of_the_table)
{
    table t;
    table_read(&t, "iapws-sr6-08.csv");
    for (double degC = -20.0; degC <= 110.0; degC += 6.5) {
        double kelvin = degC + 273.15, tau = kelvin / 10.0;
        double alpha = 10.0 / (593.0 - kelvin), beta = 10.0 / (kelvin - 232.0);
        double second = 0, c3 = NAN, volume = 0, viscosity = 0, conductivity = 0;
        for (int row = 1; row < t.rows; row++) {
            const char *property = t.cell[row][0], *term = t.cell[row][1];
            double c = table_number(&t, row, 3);
            if (strcmp(term, "c") == 0) {
                c3 = table_number(&t, row, 2) == 3 ? c : c3;
                continue;
            }
            double n = table_number(&t, row, 4), x = strcmp(term, "alpha") == 0 ? alpha : beta;
            if (strcmp(property, "g_cp_s") == 0)
                second += n * (n + 1) * c * pow(x, n + 2);
            else if (strcmp(property, "v") == 0)
                volume += c * pow(x, n);
            else if (strcmp(property, "viscosity") == 0)
                viscosity += 1e-6 * c * pow(kelvin / 300.0, n);
            else
                conductivity += c * pow(kelvin / 300.0, n);
        }
        NEAR_RELATIVE(nr_water_cp_J_kgK(degC), -461.51805 * (c3 + tau * second), 1e-12);
        NEAR_RELATIVE(nr_water_density_kg_m3(degC), 1e5 / (4615.1805 * volume), 1e-12);
        NEAR_RELATIVE(nr_water_viscosity_Pa_s(degC), viscosity, 1e-12);
        NEAR_RELATIVE(nr_water_conductivity_W_mK(degC), conductivity, 1e-12);
    }
    table_free(&t);
}
END_TEST

/* tests/data/water-1atm.csv: IAPWS-95 with the IAPWS viscosity of 2008 and conductivity of 2011,
 * computed with an IAPWS library. At 1 atm, we at 0.1 MPa. */
START_TEST(against_iapws_95)
{
    table t;
    table_read(&t, "water-1atm.csv");
    ck_assert_int_eq(t.rows, 22);
    double first_kJ = table_number(&t, 1, 5), first_degC = table_number(&t, 1, 0);
    for (int row = 1; row < t.rows; row++) {
        double degC = table_number(&t, row, 0);
        NEAR(nr_water_density_kg_m3(degC), table_number(&t, row, 1), 0.02);
        NEAR(nr_water_cp_J_kgK(degC), table_number(&t, row, 2), 1.0);
        NEAR_RELATIVE(1e3 * nr_water_viscosity_Pa_s(degC), table_number(&t, row, 3), 0.002);
        NEAR_RELATIVE(nr_water_conductivity_W_mK(degC), table_number(&t, row, 4), 0.002);
        NEAR(nr_water_enthalpy_rise_J_kg(first_degC, degC) / 1e3,
             table_number(&t, row, 5) - first_kJ, 0.1);
    }
    table_free(&t);
}
END_TEST

START_TEST(enthalpy_is_the_integral_of_cp)
{
    NEAR(nr_water_enthalpy_rise_J_kg(20, 60), 167241, 100); /* IAPWS-95 */
    NEAR(nr_water_enthalpy_rise_J_kg(60, 20), -nr_water_enthalpy_rise_J_kg(20, 60), 1e-6);
    /* Simpson's rule over 20..60 */
    double sum = nr_water_cp_J_kgK(20) + nr_water_cp_J_kgK(60);
    for (int i = 1; i < 80; i++)
        sum += (i % 2 ? 4 : 2) * nr_water_cp_J_kgK(20 + 0.5 * i);
    NEAR(nr_water_enthalpy_rise_J_kg(20, 60), sum * 0.5 / 3.0, 0.01);
}
END_TEST

START_TEST(density_maximum)
{
    double best = 0.0, at = 0.0;
    for (double t = 0.0; t < 10.0; t += 0.01) {
        if (nr_water_density_kg_m3(t) > best) {
            best = nr_water_density_kg_m3(t);
            at = t;
        }
    }
    NEAR(best, 999.975, 0.002); /* IAPWS-95 */
    NEAR(at, 3.98, 0.05);
}
END_TEST

/* Kell 1975, from memory: another route to the density. */
START_TEST(density_against_kell)
{
    for (double t = 0.0; t <= 80.0; t += 5.0) {
        double kell =
            (999.83952 +
             t * (16.945176 + t * (-7.9870401e-3 +
                                   t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12))))) /
            (1.0 + 16.879850e-3 * t);
        NEAR(nr_water_density_kg_m3(t), kell, 0.015);
    }
}
END_TEST

START_TEST(prandtl_number)
{
    /* From the IAPWS-95 row at 30 degC: 4179.8 * 0.7972e-3 / 0.6144. */
    NEAR(nr_water_prandtl(30), 4179.8 * 0.7972e-3 / 0.6144, 0.01);
}
END_TEST

START_TEST(out_of_range_is_unknown)
{
    static const double outside[] = {-20.5, 110.5, NAN};
    for (int i = 0; i < 3; i++) {
        ck_assert(isnan(nr_water_density_kg_m3(outside[i])));
        ck_assert(isnan(nr_water_cp_J_kgK(outside[i])));
        ck_assert(isnan(nr_water_viscosity_Pa_s(outside[i])));
        ck_assert(isnan(nr_water_conductivity_W_mK(outside[i])));
        ck_assert(isnan(nr_water_enthalpy_rise_J_kg(20, outside[i])));
        ck_assert(isnan(nr_water_enthalpy_rise_J_kg(outside[i], 20)));
    }
    /* The ends themselves are within. */
    ck_assert(isfinite(nr_water_density_kg_m3(-20)) && isfinite(nr_water_density_kg_m3(110)));
    ck_assert(isfinite(nr_water_enthalpy_rise_J_kg(-20, 110)));
    ck_assert(isnan(nr_boiling_degC(600)));
    ck_assert(isnan(nr_pressure_at_elevation_Pa(12000)));
    ck_assert(isnan(nr_pressure_at_elevation_Pa(NAN)));
}
END_TEST

/* ISO 2533 (formula from memory); boiling point by IAPWS-IF97, computed independently. */
START_TEST(pressure_and_boiling_by_elevation)
{
    static const double rows[][3] = {
        {0, 101325, 99.974},     {250, 98357.5, 99.144},  {500, 95460.8, 98.312},
        {1000, 89874.6, 96.649}, {1500, 84556.0, 94.983}, {2000, 79495.2, 93.315},
        {2500, 74682.5, 91.645}, {3000, 70108.5, 89.972}, {4000, 61640.2, 86.619}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double pressure = nr_pressure_at_elevation_Pa(rows[i][0]);
        NEAR(pressure, rows[i][1], 1.0);
        NEAR(nr_boiling_degC(pressure), rows[i][2], 0.02);
    }
}
END_TEST

START_TEST(saturation)
{
    /* IAPWS-IF97, tables 35 and 36, from memory. */
    NEAR(nr_boiling_degC(0.1e6) + 273.15, 372.755919, 5.1e-7);
    NEAR(nr_boiling_degC(1e6) + 273.15, 453.035632, 5.1e-7);
    NEAR(nr_boiling_degC(3536.58941), 300 - 273.15, 1e-6);
    NEAR(nr_boiling_degC(2.63889776e6), 500 - 273.15, 1e-6);
    /* By pressure, computed independently. At sea level it is not 100 but 99.97. */
    static const double rows[][2] = {{70, 89.932},  {80, 93.485},      {90, 96.687},  {95, 98.178},
                                     {100, 99.606}, {101.325, 99.974}, {105, 100.976}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        NEAR(nr_boiling_degC(rows[i][0] * 1e3), rows[i][1], 0.001);
    NEAR((nr_boiling_degC(101425) - nr_boiling_degC(101225)) / 2.0, 0.0276, 1e-4); /* K/hPa */
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {published_check_values,
                                  by_straight_lines,
                                  coefficients_of_the_table,
                                  against_iapws_95,
                                  enthalpy_is_the_integral_of_cp,
                                  density_maximum,
                                  density_against_kell,
                                  prandtl_number,
                                  out_of_range_is_unknown,
                                  pressure_and_boiling_by_elevation,
                                  saturation,
                                  NULL};
    return run_tests("water", tests);
}
