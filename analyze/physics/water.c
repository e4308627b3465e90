/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Water; see water.h. Equation numbers and tables are those of IAPWS SR6-08(2011). */
#include "analyze/physics/water.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

#define ZERO_CELSIUS_K 273.15
#define R_J_KGK 461.51805 /* Table 1 */
#define T_R_K 10.0
#define T_A_K 593.0
#define T_B_K 232.0
#define P0_PA 1e5

/* A sum of coefficient * x^exponent. */
typedef struct term {
    double coefficient;
    int exponent;
} term;

#define COUNT(a) (sizeof(a) / sizeof *(a))

/* Table 1: Gibbs energy (entropy, enthalpy and cp follow by differentiation) and volume. */
static const term gibbs_a[] = {{-1.661470539e5, 4}, {2.708781640e6, 5}, {-1.557191544e8, 7}};
static const term gibbs_b[] = {
    {-8.237426256e-1, 2}, {1.908956353, 3}, {-2.017597384, 4}, {8.546361348e-1, 5}};
static const double gibbs_c3 = -8.983025854;
static const term volume_a[] = {{1.93763157e-2, 0}, {6.74458446e3, 4},  {-2.22521604e5, 5},
                                {1.00231247e8, 7},  {-1.63552118e9, 8}, {8.32299658e9, 9}};
static const term volume_b[] = {{5.78545292e-3, 1},  {-1.53195665e-2, 2}, {3.11337859e-2, 3},
                                {-4.23546241e-2, 4}, {3.38713507e-2, 5},  {-1.19946761e-2, 6}};
/* Tables 5 and 6: transport properties as sums of coefficient * (T/300)^exponent. */
static const double viscosity_uPa_s[4][2] = {
    {280.68, -1.9}, {511.45, -7.7}, {61.131, -19.6}, {0.45903, -40.0}};
static const double conductivity[4][2] = {
    {1.6630, -1.15}, {-1.7781, -3.4}, {1.1567, -6.0}, {-0.432115, -7.6}};

static bool in_range(double degC)
{
    return degC >= NR_WATER_LOW_DEGC && degC <= NR_WATER_HIGH_DEGC;
}

/* Small whole powers: pow() would be most of the time of a simulation. */
static double power(double x, int n)
{
    double result = 1.0;
    for (; n > 0; n >>= 1) {
        if (n & 1)
            result *= x;
        x *= x;
    }
    return result;
}

static double sum(const term *terms, size_t count, double x)
{
    double total = 0.0;
    for (size_t i = 0; i < count; i++)
        total += terms[i].coefficient * power(x, terms[i].exponent);
    return total;
}

/* sum of n (n + 1) coefficient x^(n + 2) */
static double second_sum(const term *terms, size_t count, double x)
{
    double total = 0.0;
    for (size_t i = 0; i < count; i++) {
        int n = terms[i].exponent;
        total += n * (n + 1) * terms[i].coefficient * power(x, n + 2);
    }
    return total;
}

/* sum of n coefficient x^(n + 1) */
static double first_sum(const term *terms, size_t count, double x)
{
    double total = 0.0;
    for (size_t i = 0; i < count; i++)
        total += terms[i].exponent * terms[i].coefficient * power(x, terms[i].exponent + 1);
    return total;
}

double nr_water_density_kg_m3(double degC)
{
    if (!in_range(degC))
        return NAN;
    double t_K = degC + ZERO_CELSIUS_K;
    double alpha = T_R_K / (T_A_K - t_K), beta = T_R_K / (t_K - T_B_K);
    double v = sum(volume_a, COUNT(volume_a), alpha) + sum(volume_b, COUNT(volume_b), beta);
    return P0_PA / (R_J_KGK * T_R_K * v);
}

double nr_water_cp_J_kgK(double degC)
{
    if (!in_range(degC))
        return NAN;
    double t_K = degC + ZERO_CELSIUS_K, tau = t_K / T_R_K;
    double alpha = T_R_K / (T_A_K - t_K), beta = T_R_K / (t_K - T_B_K);
    double second =
        second_sum(gibbs_a, COUNT(gibbs_a), alpha) + second_sum(gibbs_b, COUNT(gibbs_b), beta);
    return -R_J_KGK * (gibbs_c3 + tau * second);
}

/* h = g - T dg/dT up to a constant, with d(alpha)/dT = alpha^2/10 and d(beta)/dT = -beta^2/10. */
static double enthalpy_J_kg(double degC)
{
    double t_K = degC + ZERO_CELSIUS_K, tau = t_K / T_R_K;
    double alpha = T_R_K / (T_A_K - t_K), beta = T_R_K / (t_K - T_B_K);
    double g = sum(gibbs_a, COUNT(gibbs_a), alpha) + sum(gibbs_b, COUNT(gibbs_b), beta);
    double slope =
        first_sum(gibbs_a, COUNT(gibbs_a), alpha) - first_sum(gibbs_b, COUNT(gibbs_b), beta);
    return R_J_KGK * T_R_K * (g - tau * (gibbs_c3 + slope));
}

double nr_water_enthalpy_rise_J_kg(double from_degC, double to_degC)
{
    if (!in_range(from_degC) || !in_range(to_degC))
        return NAN;
    return enthalpy_J_kg(to_degC) - enthalpy_J_kg(from_degC);
}

static double transport(const double terms[4][2], double degC)
{
    if (!in_range(degC))
        return NAN;
    double reduced = (degC + ZERO_CELSIUS_K) / 300.0, total = 0.0;
    for (int i = 0; i < 4; i++)
        total += terms[i][0] * pow(reduced, terms[i][1]);
    return total;
}

double nr_water_viscosity_Pa_s(double degC)
{
    return 1e-6 * transport(viscosity_uPa_s, degC);
}

double nr_water_conductivity_W_mK(double degC)
{
    return transport(conductivity, degC);
}

double nr_water_prandtl(double degC)
{
    return nr_water_cp_J_kgK(degC) * nr_water_viscosity_Pa_s(degC) /
           nr_water_conductivity_W_mK(degC);
}

/* Whole and half degrees from NR_WATER_LOW_DEGC to NR_WATER_HIGH_DEGC. */
#define LINES_A_DEGREE 2

void nr_water_lines_make(nr_water_lines *lines)
{
    for (int i = 0; i < NR_WATER_LINES; i++) {
        double degC = NR_WATER_LOW_DEGC + (double)i / LINES_A_DEGREE;
        lines->density_kg_m3[i] = nr_water_density_kg_m3(degC);
        lines->cp_J_kgK[i] = nr_water_cp_J_kgK(degC);
    }
}

static double on_line(const double *at, double degC)
{
    if (!in_range(degC))
        return NAN;
    double x = (degC - NR_WATER_LOW_DEGC) * LINES_A_DEGREE;
    int i = (int)x < NR_WATER_LINES - 1 ? (int)x : NR_WATER_LINES - 2;
    return at[i] + (x - i) * (at[i + 1] - at[i]);
}

double nr_water_lines_density_kg_m3(const nr_water_lines *lines, double degC)
{
    return on_line(lines->density_kg_m3, degC);
}

double nr_water_lines_cp_J_kgK(const nr_water_lines *lines, double degC)
{
    return on_line(lines->cp_J_kgK, degC);
}
