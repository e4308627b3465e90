/* SPDX-License-Identifier: GPL-3.0-or-later */
/* All that a least-squares answer tells besides its parameters, worked out a second time at its own
 * point: residuals, Jacobian and covariance in the caller's parameters whatever their scale, the
 * relative offset (Bates and Watts 1981) by orthogonalising (Gram and Schmidt), the condition of
 * two columns from the angle between them, evaluations by counting them. */
#include "analyze/estimate/lsq.h"
#include "tests/unit/near.h"

#include <gsl/gsl_randist.h>

#include <stdbool.h>

#define MOST 12
typedef struct decay {
    size_t n, p, asked, slopes;
    double t[MOST], y[MOST];
} decay;

/* b0 exp(-b1 t) (+ b2) */
static int residuals(const double *b, void *context, double *r)
{
    decay *d = context;
    d->asked++;
    for (size_t i = 0; i < d->n; i++)
        r[i] = b[0] * exp(-b[1] * d->t[i]) + (d->p > 2 ? b[2] : 0) - d->y[i];
    return 0;
}

static int jacobian(const double *b, void *context, double *to)
{
    decay *d = context;
    d->slopes++;
    for (size_t i = 0; i < d->n; i++) {
        double *row = to + i * d->p;
        row[0] = exp(-b[1] * d->t[i]);
        row[1] = -b[0] * d->t[i] * row[0];
        if (d->p > 2)
            row[2] = 1;
    }
    return 0;
}

static double dot(const double *a, const double *b, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += a[i] * b[i];
    return sum;
}

/* Residual along the columns, made orthogonal one after the other, against what is left. */
static double offset_of(const nr_lsq_result *r)
{
    double q[3][MOST], left[MOST], inside = 0;
    memcpy(left, r->residual, r->n * sizeof *left);
    for (size_t j = 0; j < r->p; j++) {
        for (size_t i = 0; i < r->n; i++)
            q[j][i] = r->jacobian[i * r->p + j];
        for (size_t twice = 0; twice < 2; twice++)
            for (size_t k = 0; k < j; k++) {
                double c = dot(q[k], q[j], r->n);
                for (size_t i = 0; i < r->n; i++)
                    q[j][i] -= c * q[k][i];
            }
        double length = sqrt(dot(q[j], q[j], r->n));
        for (size_t i = 0; i < r->n; i++)
            q[j][i] /= length;
        double c = dot(q[j], left, r->n);
        inside += c * c;
        for (size_t i = 0; i < r->n; i++)
            left[i] -= c * q[j][i];
    }
    return sqrt(inside / (double)r->p / (dot(left, left, r->n) / (double)(r->n - r->p)));
}

static void compare(decay *d, const nr_lsq_result *r, const char *what)
{
    double at[MOST], slopes[3 * MOST];
    size_t n = d->n, p = d->p;
    ck_assert(r->n == n && r->p == p && r->rank == p);
    (void)residuals(r->x, d, at);
    (void)jacobian(r->x, d, slopes);
    for (size_t i = 0; i < n; i++)
        NEAR_AT(what, r->residual[i], at[i], 1e-12);
    for (size_t i = 0; i < n * p; i++)
        NEAR_AT(what, r->jacobian[i], slopes[i], 1e-9 * fabs(slopes[i]) + 1e-12);
    NEAR_AT(what, r->chi2, dot(at, at, n), 1e-12 * r->chi2 + 1e-20);
    for (size_t i = 0; i < p; i++) /* covariance times J'J is one */
        for (size_t j = 0; j < p; j++) {
            double sum = 0, size = 0;
            for (size_t k = 0; k < p; k++) {
                double curvature = 0;
                for (size_t row = 0; row < n; row++)
                    curvature += slopes[row * p + k] * slopes[row * p + j];
                sum += r->covariance[i * p + k] * curvature;
                size = fmax(size, fabs(r->covariance[i * p + k] * curvature));
            }
            NEAR_AT(what, sum, i == j, 1e-9 * fmax(size, 1));
        }
    if (p == 2) {
        double a = 0, b = 0, both = 0;
        for (size_t i = 0; i < n; i++) {
            a += slopes[2 * i] * slopes[2 * i];
            b += slopes[2 * i + 1] * slopes[2 * i + 1];
            both += slopes[2 * i] * slopes[2 * i + 1];
        }
        double c = fabs(both) / sqrt(a * b);
        NEAR_AT(what, r->condition, sqrt((1 + c) / (1 - c)), 1e-8 * r->condition);
    }
    if (n > p) {
        double offset = offset_of(r);
        NEAR_AT(what, r->offset, offset, 1e-5 * offset + 1e-8);
    }
}

/* Good readings of a decay, units that differ by powers of ten. */
static void draw(gsl_rng *rng, decay *d, double *start, double *scale, double noise)
{
    double unit = pow(10, floor(8 * gsl_rng_uniform(rng)) - 4);
    double truth[3] = {unit * (1 + gsl_rng_uniform(rng)), 0.3 + gsl_rng_uniform(rng), unit / 2};
    for (size_t j = 0; j < 3; j++) {
        start[j] = truth[j] * (0.8 + 0.4 * gsl_rng_uniform(rng));
        scale[j] = truth[j] * (0.5 + gsl_rng_uniform(rng));
    }
    for (size_t i = 0; i < d->n; i++) {
        d->t[i] = 4.0 * (double)i / (double)(d->n - 1) + 0.1 * gsl_rng_uniform(rng);
        d->y[i] = truth[0] * exp(-truth[1] * d->t[i]) + (d->p > 2 ? truth[2] : 0) +
                  gsl_ran_gaussian(rng, noise * unit);
    }
}

START_TEST(everything_that_is_told)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, 8207);
    for (int k = 0; k < 100; k++) {
        decay d = {.p = 2 + (size_t)(k % 2)};
        d.n = k % 7 == 3 ? d.p : d.p + 1 + (size_t)(k % 8);
        double start[3], scale[3];
        draw(rng, &d, start, scale, k % 7 == 3 ? 0 : 0.02);
        size_t spent = 0;
        nr_lsq_problem problem = {.n = d.n,
                                  .p = d.p,
                                  .residuals = residuals,
                                  .jacobian = k % 5 ? jacobian : NULL,
                                  .context = &d,
                                  .scale = k % 3 ? scale : NULL,
                                  .quick = k % 4 < 2,
                                  .spent = &spent};
        nr_lsq_result *r = NULL;
        nr_err err = {0};
        char what[64];
        (void)snprintf(what, sizeof what, "decay %d, %zu of %zu", k, d.p, d.n);
        ck_assert_msg(!nr_lsq_solve(&problem, start, 1, &r, &err), "%s: %s", what, err.text);
        /* The start is looked at once besides; a slope counts as three, by differences as much. */
        size_t slopes = d.slopes, counted = d.asked - 1 + 3 * slopes;
        if (problem.jacobian)
            ck_assert_msg(spent == counted, "%s: %zu, counted %zu", what, spent, counted);
        ck_assert(r->iterations > 0 && (!problem.jacobian || r->iterations < d.asked));
        if (problem.quick && problem.jacobian) /* all slopes but those that judge it */
            ck_assert(r->iterations < slopes);
        if (problem.jacobian)
            compare(&d, r, what);
        ck_assert(d.n == d.p || r->offset <= (problem.quick ? 0.01 : 1e-4));
        nr_lsq_free(r);
    }
    gsl_rng_free(rng);
}
END_TEST

/* Two columns whose angle is small: half of it is the ratio of their singular values, and a
 * thousand-millionth of the larger is none. */
static double apart;

static int nearly_one(const double *b, void *context, double *r)
{
    (void)context;
    for (int i = 0; i < 4; i++)
        r[i] = b[0] + b[1] * (1 + apart * (i < 2 ? 1 : -1)) - 2 - (i % 2 ? 0.1 : -0.1);
    return 0;
}

static int slopes_of_nearly_one(const double *b, void *context, double *to)
{
    (void)b;
    (void)context;
    for (int i = 0; i < 4; i++) {
        to[2 * i] = 1;
        to[2 * i + 1] = 1 + apart * (i < 2 ? 1 : -1);
    }
    return 0;
}

START_TEST(columns_that_are_nearly_one)
{
    const double start[2] = {1, 1};
    for (int told = 0; told < 2; told++) {
        apart = 2 * (told ? 1.5e-9 : 0.7e-9);
        nr_lsq_problem problem = {
            .n = 4, .p = 2, .residuals = nearly_one, .jacobian = slopes_of_nearly_one};
        nr_lsq_result *r = NULL;
        nr_err err = {.text = ""};
        nr_code code = nr_lsq_solve(&problem, start, 1, &r, &err);
        ck_assert_msg(code == (told ? NR_OK : NR_CANNOT), "%s", err.text);
        ck_assert(told || strstr(err.text, "lost a parameter"));
        if (told)
            NEAR_RELATIVE(r->condition, 2 / apart, 1e-4);
        nr_lsq_free(r);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {everything_that_is_told, columns_that_are_nearly_one, NULL};
    return run_tests("lsq, worked out", tests);
}
