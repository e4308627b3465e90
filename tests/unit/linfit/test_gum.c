/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Worked examples of the Guide to the Expression of Uncertainty in Measurement (JCGM 100:2008) and
 * the quantiles of any handbook. */
#include "analyze/estimate/linfit.h"
#include "tests/unit/near.h"

#include <gsl/gsl_cdf.h>

/* JCGM 100 H.3, calibration of a thermometer; t0 is the reference temperature of the line. */
static nr_linfit *calibration_line(double t0)
{
    table t;
    table_read(&t, "gum-h3.csv");
    size_t n = (size_t)t.rows - 1;
    double design[2 * TABLE_ROWS], y[TABLE_ROWS];
    for (size_t i = 0; i < n; i++) {
        design[2 * i] = 1.0;
        design[2 * i + 1] = table_number(&t, (int)i + 1, 0) - t0;
        y[i] = table_number(&t, (int)i + 1, 1);
    }
    nr_linfit *fit;
    ck_assert_int_eq(
        nr_linfit_solve(&(nr_linfit_problem){.n = n, .p = 2, .design = design, .y = y}, &fit, NULL),
        NR_OK);
    table_free(&t);
    return fit;
}

static double column_mean(const table *t, int column)
{
    double sum = 0;
    for (int row = 1; row < t->rows; row++)
        sum += table_number(t, row, column);
    return sum / (t->rows - 1);
}

START_TEST(h3_calibration_line)
{
    nr_linfit *fit = calibration_line(20.0);
    NEAR(fit->beta[0], -0.1712, 0.00005);
    NEAR(fit->beta[1], 0.00218, 0.000005);
    NEAR(fit->sd, 0.0035, 0.00005);
    NEAR(nr_linfit_u(fit, 0), 0.0029, 0.00005);
    NEAR(nr_linfit_u(fit, 1), 0.00067, 0.000005);
    NEAR(fit->covariance[1] / (nr_linfit_u(fit, 0) * nr_linfit_u(fit, 1)), -0.930, 0.0005);
    const double row[] = {1.0, 10.0};
    NEAR(fit->beta[0] + 10.0 * fit->beta[1], -0.1494, 0.00005);
    NEAR(sqrt(nr_propagate(2, fit->covariance, row, row)), 0.0041, 0.00005);
    /* The mistake of leaving the correlation out: 0.0073. */
    NEAR(hypot(nr_linfit_u(fit, 0), 10.0 * nr_linfit_u(fit, 1)), 0.0073, 0.00005);
    nr_linfit_free(fit);
}
END_TEST

START_TEST(h3_at_the_mean)
{
    table t;
    table_read(&t, "gum-h3.csv");
    double mean = column_mean(&t, 0);
    table_free(&t);
    NEAR(mean, 24.0085, 0.00005);
    nr_linfit *fit = calibration_line(mean), *other = calibration_line(20.0);
    NEAR(fit->beta[0], -0.1625, 0.00005); /* H.3.6 */
    NEAR(nr_linfit_u(fit, 0), 0.00105, 0.000005);
    NEAR(fit->beta[1], other->beta[1], 1e-6);
    NEAR(fit->covariance[1] / (nr_linfit_u(fit, 0) * nr_linfit_u(fit, 1)), 0.0, 1e-6);
    const double here[] = {1.0, 30.0 - mean}, there[] = {1.0, 10.0};
    NEAR(fit->beta[0] + here[1] * fit->beta[1], other->beta[0] + there[1] * other->beta[1], 1e-12);
    NEAR(nr_propagate(2, fit->covariance, here, here),
         nr_propagate(2, other->covariance, there, there), 1e-12);
    nr_linfit_free(fit);
    nr_linfit_free(other);
}
END_TEST

/* JCGM 100 H.2, from memory: five simultaneous readings of V, I and the phase; R = V/I cos,
 * X = V/I sin, Z = V/I. The means are correlated. */
START_TEST(h2_correlated_means)
{
    table t;
    table_read(&t, "gum-h2.csv");
    double mean[3] = {0}, covariance[9] = {0};
    for (int k = 0; k < 3; k++) {
        mean[k] = column_mean(&t, k);
    }
    for (int row = 1; row < t.rows; row++) {
        for (int i = 0; i < 9; i++)
            covariance[i] += (table_number(&t, row, i / 3) - mean[i / 3]) *
                             (table_number(&t, row, i % 3) - mean[i % 3]) / 20.0;
    }
    NEAR(covariance[1] / sqrt(covariance[0] * covariance[4]), -0.36, 0.005);
    NEAR(covariance[2] / sqrt(covariance[0] * covariance[8]), 0.86, 0.005);
    NEAR(covariance[5] / sqrt(covariance[4] * covariance[8]), -0.65, 0.005);

    double v = mean[0], i = mean[1] / 1000.0, c = cos(mean[2]), s = sin(mean[2]), z = v / i;
    NEAR(z * c, 127.732, 0.0005);
    NEAR(z * s, 219.847, 0.0005);
    NEAR(z, 254.260, 0.0005);
    /* derivatives by V, I (in mA) and phase */
    const double dR[] = {c / i, -z * c / mean[1], -z * s}, dX[] = {s / i, -z * s / mean[1], z * c};
    const double dZ[] = {1 / i, -z / mean[1], 0};
    double uR = sqrt(nr_propagate(3, covariance, dR, dR));
    double uX = sqrt(nr_propagate(3, covariance, dX, dX));
    double uZ = sqrt(nr_propagate(3, covariance, dZ, dZ));
    NEAR(uR, 0.0711, 0.00005);
    NEAR(uX, 0.2956, 0.00005);
    NEAR(uZ, 0.2363, 0.00005);
    NEAR(nr_propagate(3, covariance, dR, dX) / (uR * uX), -0.588, 0.0005);
    NEAR(nr_propagate(3, covariance, dR, dZ) / (uR * uZ), -0.485, 0.0005);
    NEAR(nr_propagate(3, covariance, dX, dZ) / (uX * uZ), 0.993, 0.0005);
    table_free(&t);
}
END_TEST

/* JCGM 100 H.1, from memory: contributions in nm and their degrees of freedom. */
START_TEST(h1_effective_degrees_of_freedom)
{
    const double u[] = {25, 9.7, 2.9, 16.6}, dof[] = {18, 25.6, 50, 2};
    double combined = 0;
    for (int i = 0; i < 4; i++)
        combined = hypot(combined, u[i]);
    NEAR(combined, 32, 1);
    double effective = nr_effective_dof(4, u, dof);
    NEAR(effective, 16.7, 0.15);
    double t99 = gsl_cdf_tdist_Pinv(0.995, floor(effective));
    NEAR(t99, 2.92, 0.005);
    NEAR(t99 * combined, 93, 1);
    const double exact[] = {INFINITY, INFINITY};
    ck_assert(isinf(nr_effective_dof(2, u, exact)));
    ck_assert(isnan(nr_effective_dof(0, u, dof)));
    const double bad[] = {18, -1};
    ck_assert(isnan(nr_effective_dof(2, u, bad)));
}
END_TEST

/* JCGM 101 9.3, calibration of a mass, from memory: the first-order answer, which that supplement
 * shows to be 29 % too small (0.0754 by Monte Carlo). Here to pin what nr_propagate is and is not.
 */
START_TEST(first_order_only)
{
    /* dm = (mR + dR)(1 + (a - 1.2)(1/rW - 1/rR)) - 100000 mg at the estimates, where a = 1.2 and
     * rW = rR: the density terms have zero derivative. */
    double third = 1.0 / sqrt(3.0);
    double u[] = {0.050, 0.020, 0.10 * third, 1000 * third, 50 * third};
    double covariance[25] = {0};
    for (int i = 0; i < 5; i++)
        covariance[6 * i] = u[i] * u[i];
    double a = 1.2, rw = 8000, rr = 8000, m = 100001.234;
    const double d[] = {1, 1, m * (1 / rw - 1 / rr), -m * (a - 1.2) / (rw * rw),
                        m * (a - 1.2) / (rr * rr)};
    double first_order = sqrt(nr_propagate(5, covariance, d, d));
    NEAR(first_order, 0.0539, 0.0005);
    NEAR(1.0 - first_order / 0.0754, 0.29, 0.01);
}
END_TEST

/* The tables of any handbook, through GSL as the programs use it. */
START_TEST(quantiles)
{
    static const double t975[][2] = {{1, 12.706}, {2, 4.303},  {3, 3.182},  {4, 2.776},
                                     {5, 2.571},  {8, 2.306},  {10, 2.228}, {15, 2.131},
                                     {20, 2.086}, {30, 2.042}, {60, 2.000}, {120, 1.980}};
    for (size_t i = 0; i < sizeof t975 / sizeof *t975; i++)
        NEAR(gsl_cdf_tdist_Pinv(0.975, t975[i][0]), t975[i][1], 0.0005);
    NEAR(gsl_cdf_tdist_Pinv(0.995, 10), 3.169, 0.0005);
    NEAR(gsl_cdf_tdist_Pinv(0.995, 16), 2.921, 0.0005);
    static const double f95[][3] = {{1, 10, 4.965}, {2, 10, 4.103}, {3, 10, 3.708},
                                    {5, 10, 3.326}, {2, 30, 3.316}, {4, 20, 2.866}};
    for (size_t i = 0; i < sizeof f95 / sizeof *f95; i++)
        NEAR(gsl_cdf_fdist_Pinv(0.95, f95[i][0], f95[i][1]), f95[i][2], 0.0005);
    NEAR(gsl_cdf_fdist_Pinv(0.99, 2, 10), 7.559, 0.0005);
    static const double chi95[][2] = {
        {1, 3.841}, {2, 5.991}, {5, 11.070}, {10, 18.307}, {20, 31.410}};
    for (size_t i = 0; i < sizeof chi95 / sizeof *chi95; i++)
        NEAR(gsl_cdf_chisq_Pinv(0.95, chi95[i][0]), chi95[i][1], 0.0005);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {h3_calibration_line,
                                  h3_at_the_mean,
                                  h2_correlated_means,
                                  h1_effective_degrees_of_freedom,
                                  first_order_only,
                                  quantiles,
                                  NULL};
    return run_tests("gum", tests);
}
