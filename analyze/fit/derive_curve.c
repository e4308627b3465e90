/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/fit/derive.h"

#include <gsl/gsl_linalg.h>

#include <math.h>
#include <stdlib.h>

/* Points of the curve inside the tested range, and on each side outside it. */
#define CURVE_INSIDE 21
#define CURVE_OUTSIDE 10
#define TERMS NR_CURVE_TERMS
#define K95 1.959963984540054

/* The steady state of the model is a smooth function of x: a polynomial of the fourth degree
 * through Chebyshev's nodes is within 1e-6 of it over what is drawn (test_fit), and each of its
 * coefficients is a fixed combination of efficiencies, whose gradients are known. */
static nr_code nodes(const nr_joint *j, const nr_curve_at *at, const double range[2],
                     double x[TERMS], double eta[TERMS], double *gradient, nr_err *err)
{
    size_t m = nr_joint_parameters(j);
    for (int k = 0; k < TERMS; k++) {
        nr_curve_at here = *at;
        here.x = x[k] =
            (range[0] + range[1]) / 2 - (range[1] - range[0]) / 2 * cos(M_PI * (k + 0.5) / TERMS);
        eta[k] = nr_result_efficiency(j, nr_joint_x(j), &here);
        if (!nr_result_gradient(j, nr_result_efficiency, &here, gradient + (size_t)k * m))
            return nr_fail(err, NR_CANNOT, NULL, 0,
                           "the efficiency curve cannot be computed where it would be drawn");
    }
    return NR_OK;
}

/* inverse[j][k]: coefficient of x^j per efficiency at node k. */
static void invert(const double x[TERMS], double inverse[TERMS][TERMS])
{
    double scale = 0, matrix[TERMS * TERMS], out[TERMS * TERMS];
    for (int k = 0; k < TERMS; k++)
        scale = fmax(scale, fabs(x[k]));
    for (int k = 0; k < TERMS; k++)
        for (int i = 0; i < TERMS; i++)
            matrix[k * TERMS + i] = pow(x[k] / scale, i);
    gsl_matrix_view a = gsl_matrix_view_array(matrix, TERMS, TERMS);
    gsl_matrix_view b = gsl_matrix_view_array(out, TERMS, TERMS);
    gsl_permutation *p = gsl_permutation_alloc(TERMS);
    int sign;
    for (int i = 0; i < TERMS * TERMS; i++)
        out[i] = NAN;
    if (p && !gsl_linalg_LU_decomp(&a.matrix, p, &sign))
        (void)gsl_linalg_LU_invert(&a.matrix, p, &b.matrix);
    gsl_permutation_free(p);
    for (int i = 0; i < TERMS; i++)
        for (int k = 0; k < TERMS; k++)
            inverse[i][k] = out[i * TERMS + k] / pow(scale, i);
}

static nr_code make_formula(const nr_joint *j, const nr_curve_at *at, nr_curve_formula *f,
                            nr_err *err)
{
    size_t m = nr_joint_parameters(j);
    double x[TERMS], eta[TERMS], inverse[TERMS][TERMS];
    double *gradient = calloc(2 * TERMS * m, sizeof *gradient), *of = gradient + TERMS * m;
    nr_code code = gradient ? nodes(j, at, f->x_range, x, eta, gradient, err)
                            : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (!code)
        invert(x, inverse);
    for (int i = 0; !code && i < TERMS; i++)
        for (int k = 0; k < TERMS; k++) {
            f->c[i] += inverse[i][k] * eta[k];
            for (size_t n = 0; n < m; n++)
                of[(size_t)i * m + n] += inverse[i][k] * gradient[(size_t)k * m + n];
        }
    for (int i = 0; !code && i < TERMS; i++)
        for (int k = 0; k < TERMS; k++)
            f->covariance[i][k] = nr_joint_covariance(j, of + (size_t)i * m, of + (size_t)k * m);
    f->k95 = K95;
    free(gradient);
    return code;
}

static nr_curve_point point_at(const nr_curve_formula *f, double x)
{
    double power[TERMS] = {1}, eta = 0, variance = 0;
    for (int i = 1; i < TERMS; i++)
        power[i] = power[i - 1] * x;
    for (int i = 0; i < TERMS; i++) {
        eta += f->c[i] * power[i];
        for (int k = 0; k < TERMS; k++)
            variance += f->covariance[i][k] * power[i] * power[k];
    }
    double half = f->k95 * sqrt(fmax(variance, 0));
    return (nr_curve_point){.x = x, .eta = eta, .lo95 = eta - half, .hi95 = eta + half};
}

/* --- covariance of the coefficients -------------------------------------------------------------
 */

static void add(nr_covariance *c, double *gradient[NR_COVARIANCE_MOST], const char *name,
                double *of, bool known)
{
    if (!known)
        return;
    gradient[c->count] = of;
    c->name[c->count++] = name;
}

static nr_code covariance(const nr_joint *j, const nr_curve_at *at, nr_fit *f, nr_err *err)
{
    size_t m = nr_joint_parameters(j);
    double *all = calloc(NR_COVARIANCE_MOST * m, sizeof *all), *of[NR_COVARIANCE_MOST];
    nr_covariance *c = &f->covariance;
    nr_curve_at zero = *at;
    zero.x = 0;
    if (!all)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    int b0 = nr_joint_index(j, at->piece, NR_TERM_B0);
    add(c, of, "eta0", all, nr_result_gradient(j, nr_result_efficiency, &zero, all));
    add(c, of, "a1", all + m, nr_result_gradient(j, nr_result_a1, at, all + m));
    add(c, of, "a2", all + 2 * m,
        f->a2.known && nr_result_gradient(j, nr_result_a2, at, all + 2 * m));
    add(c, of, "a5", all + 3 * m,
        f->a5.known && nr_result_gradient(j, nr_result_a5, at, all + 3 * m));
    if (b0 >= 0)
        all[4 * m + (size_t)b0] = 1;
    add(c, of, "b0", all + 4 * m, b0 >= 0);
    add(c, of, "store_loss", all + 5 * m,
        f->store_loss.known && nr_result_gradient(j, nr_result_store_loss, at, all + 5 * m));
    for (size_t i = 0; i < c->count; i++)
        for (size_t k = 0; k < c->count; k++)
            c->matrix[i][k] = nr_joint_covariance(j, of[i], of[k]);
    free(all);
    return NR_OK;
}

/* x from lo to hi inside, and as far again (at least to zero) outside, drawn dashed. */
nr_code nr_derive_curve(const nr_joint *j, const nr_curve_at *at, nr_fit *f, nr_err *err)
{
    double lo = f->x_range[0], hi = f->x_range[1], width = hi - lo;
    double far_lo = fmin(lo, 0) - 0.25 * width, far_hi = hi + fmax(width, 0.02);
    f->curve_points = CURVE_INSIDE + 2 * CURVE_OUTSIDE;
    f->curve = calloc(f->curve_points, sizeof *f->curve);
    f->curve_formula.x_range[0] = far_lo;
    f->curve_formula.x_range[1] = far_hi;
    nr_code code = f->curve ? make_formula(j, at, &f->curve_formula, err)
                            : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    for (size_t i = 0; !code && i < f->curve_points; i++) {
        double x;
        if (i < CURVE_OUTSIDE)
            x = far_lo + (lo - far_lo) * (double)i / CURVE_OUTSIDE;
        else if (i < CURVE_OUTSIDE + CURVE_INSIDE)
            x = lo + width * (double)(i - CURVE_OUTSIDE) / (CURVE_INSIDE - 1);
        else
            x = hi + (far_hi - hi) * (double)(i - CURVE_OUTSIDE - CURVE_INSIDE + 1) / CURVE_OUTSIDE;
        f->curve[i] = point_at(&f->curve_formula, x);
        f->curve[i].tested = i >= CURVE_OUTSIDE && i < CURVE_OUTSIDE + CURVE_INSIDE;
    }
    return code ? code : covariance(j, at, f, err);
}
