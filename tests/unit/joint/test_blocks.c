/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One step of the search piece by piece against one dense system of all rows: where it leads, what
 * it costs, and the covariance of where it began; with priors that lean on each other. */
#define BUNDLE_S 1470 /* rows of a piece that four do not divide */
#include "analyze/joint/blocks.h"
#include "analyze/joint/evaluate.h"
#include "tests/unit/joint/bundle.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_linalg.h>

static bundle b;
static nr_joint *j;

static void set_up_blocks(void)
{
    nr_noise noise = {.sigma = 0.3, .slow = 0.7, .phi = 0.9};
    set_up(&b);
    j = b.joint;
    j->threads = 1;
    for (size_t i = 0; i < j->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++)
            if (j->piece[i].fits[c])
                nr_whitener_set(&j->piece[i].whitener[c], &noise, j->piece[i].used[c]);
    for (size_t i = 0; i < j->parameters; i++) {
        j->parameter[i].group = j->parameter[i].term == NR_TERM_LOST;
        j->parameter[i].group_count = RUNS;
        j->x[i] = j->parameter[i].start + 0.02 * j->parameter[i].scale * sin((double)i + 1);
    }
}

static void tear_down_blocks(void)
{
    tear_down(&b);
}

typedef struct dense {
    gsl_matrix *inverse; /* of J'J */
    double *step;        /* down: to be taken from x */
    double fall, before, data;
} dense;

static double squares_at(const double *x, double *data)
{
    double *r = malloc(j->rows * sizeof *r), sum = 0;
    size_t priors = j->parameters; /* the last rows; each parameter has one */
    ck_assert_int_eq(nr_joint_residuals(x, j, r), 0);
    for (size_t k = 0; k < j->rows; k++) {
        sum += r[k] * r[k];
        if (k + priors == j->rows - 1)
            *data = sum;
    }
    free(r);
    return sum;
}

static dense look_dense(void)
{
    size_t m = j->parameters;
    dense d = {.inverse = gsl_matrix_calloc(m, m), .step = calloc(m, sizeof(double))};
    double *row = malloc(j->rows * m * sizeof(double)), *r = malloc(j->rows * sizeof(double));
    double *slope = calloc(m, sizeof(double));
    ck_assert_int_eq(nr_joint_residuals(j->x, j, r), 0);
    ck_assert_int_eq(nr_joint_jacobian(j->x, j, row), 0);
    gsl_matrix_view jacobian = gsl_matrix_view_array(row, j->rows, m);
    gsl_vector_view of_r = gsl_vector_view_array(r, j->rows), g = gsl_vector_view_array(slope, m);
    for (size_t i = 0; i < m; i++) { /* in prior uncertainties: J'J is far from singular then */
        gsl_vector_view column = gsl_matrix_column(&jacobian.matrix, i);
        gsl_vector_scale(&column.vector, j->parameter[i].prior_u);
    }
    gsl_blas_dgemm(CblasTrans, CblasNoTrans, 1, &jacobian.matrix, &jacobian.matrix, 0, d.inverse);
    gsl_blas_dgemv(CblasTrans, 1, &jacobian.matrix, &of_r.vector, 0, &g.vector);
    gsl_linalg_cholesky_decomp1(d.inverse);
    gsl_linalg_cholesky_invert(d.inverse);
    for (size_t i = 0; i < m; i++)
        for (size_t k = 0; k < m; k++) {
            d.step[i] += gsl_matrix_get(d.inverse, i, k) * slope[k];
            d.fall += slope[i] * gsl_matrix_get(d.inverse, i, k) * slope[k];
        }
    for (size_t i = 0; i < m; i++) {
        d.step[i] *= j->parameter[i].prior_u;
        for (size_t k = 0; k < m; k++)
            *gsl_matrix_ptr(d.inverse, i, k) *= j->parameter[i].prior_u * j->parameter[k].prior_u;
    }
    d.before = squares_at(j->x, &d.data);
    free(row);
    free(r);
    free(slope);
    return d;
}

static double *scales(void)
{
    double *scale = malloc(j->parameters * sizeof *scale);
    for (size_t i = 0; i < j->parameters; i++)
        scale[i] = j->parameter[i].scale * (1 + (double)(i % 3)); /* whatever they are */
    return scale;
}

/* Where a part of the step leads, and the sum of squares there. */
static double part_leads_to(const dense *d, double part, double *to, double *data)
{
    for (size_t i = 0; i < j->parameters; i++)
        to[i] = part * d->step[i];
    nr_joint_straight_step(j, j->x, to);
    return nr_joint_in_domain(j, to) ? squares_at(to, data) : INFINITY;
}

START_TEST(one_step)
{
    size_t m = j->parameters, spent = j->spent;
    double *scale = scales(), *x = malloc(m * sizeof *x), *to = malloc(m * sizeof *to);
    double *best = malloc(m * sizeof *best), *covariance = malloc(m * m * sizeof *covariance);
    double data, best_data = 0, chi2;
    nr_err err = {.text = ""};
    dense d = look_dense();
    /* The whole of it; and where a parabola through both sums and the slope has its floor, at most
     * four times as far, where that is not about the same place. */
    double least = part_leads_to(&d, 1, best, &best_data), bend = least - d.before + 2 * d.fall;
    double floor = bend > d.fall / 4 ? d.fall / bend : 4;
    size_t tries = 1;
    if (isfinite(least) && floor > 0.1 && fabs(floor - 1) > 0.15) {
        double now = part_leads_to(&d, floor, to, &data);
        tries++;
        if (now < least) {
            least = now;
            best_data = data;
            memcpy(best, to, m * sizeof *to);
        }
    }
    ck_assert_msg(least < d.before, "%g of %g", least, d.before); /* no need to halve it here */
    ck_assert_msg(!nr_blocks_solve(j, scale, NR_CLOSE_ONE_STEP, 100, x, covariance, &chi2, &err),
                  "%s", err.text);
    ck_assert_uint_eq(j->spent - spent, 3 + tries); /* slopes count as three */
    NEAR_RELATIVE(chi2, best_data, 1e-6);
    for (size_t i = 0; i < m; i++) {
        double u = sqrt(gsl_matrix_get(d.inverse, i, i));
        NEAR_AT(j->parameter[i].row->name, x[i], best[i], 1e-5 * u);
        for (size_t k = 0; k < m; k++)
            NEAR_AT(j->parameter[i].row->name, covariance[i * m + k],
                    gsl_matrix_get(d.inverse, i, k),
                    1e-6 * u * sqrt(gsl_matrix_get(d.inverse, k, k)));
    }
    gsl_matrix_free(d.inverse);
    free(d.step);
    free(scale);
    free(x);
    free(to);
    free(best);
    free(covariance);
}
END_TEST

/* How close it comes is what was asked for: for the noise within a thirtieth of all standard
 * uncertainties together, exactly within a 300th; and a budget that is too small is refused. */
START_TEST(as_close_as_asked)
{
    static const nr_closeness close[] = {NR_CLOSE_FOR_NOISE, NR_CLOSE_ONE_MORE, NR_CLOSE_EXACTLY};
    static const double left[] = {2e-3, 2e-3, 2e-5};
    size_t m = j->parameters;
    double *scale = scales(), *covariance = malloc(m * m * sizeof *covariance);
    double *from = malloc(m * sizeof *from), chi2;
    nr_err err = {.text = ""};
    memcpy(from, j->x, m * sizeof *from);
    for (int k = 0; k < 3; k++) {
        double *x = malloc(m * sizeof *x);
        memcpy(j->x, from, m * sizeof *from);
        j->has_slopes = false;
        j->stands = false;
        ck_assert_msg(!nr_blocks_solve(j, scale, close[k], 400, x, covariance, &chi2, &err), "%s",
                      err.text);
        memcpy(j->x, x, m * sizeof *x);
        dense d = look_dense();
        ck_assert_msg(d.fall < left[k], "closeness %d: %g left", k, d.fall);
        if (k == 2)
            NEAR_RELATIVE(chi2, d.data, 1e-9);
        gsl_matrix_free(d.inverse);
        free(d.step);
        free(x);
    }
    memcpy(j->x, from, m * sizeof *from);
    j->has_slopes = false;
    ck_assert_int_eq(nr_blocks_solve(j, scale, NR_CLOSE_EXACTLY, 4, from, covariance, &chi2, &err),
                     NR_CANNOT);
    ck_assert_msg(strstr(err.text, "given up after") != NULL, "%s", err.text);
    free(from);
    free(scale);
    free(covariance);
}
END_TEST

/* Solved with the prior of a collector's gap so many of its standard uncertainties behind 1e5
 * W/(m2 K), from where on nothing is simulated. Whether that was a minimum; x where it was. */
static bool ends_at_wall(size_t gap, double beyond, nr_closeness close, double *x)
{
    size_t m = j->parameters;
    double *scale = scales(), *covariance = malloc(m * m * sizeof *covariance), chi2;
    nr_err err = {.text = ""};
    j->parameter[gap].prior = log(1e5) + beyond * j->parameter[gap].prior_u;
    j->has_slopes = j->stands = false;
    nr_code code = nr_blocks_solve(j, scale, close, 100000, x, covariance, &chi2, &err);
    ck_assert_msg(!code || strstr(err.text, "no minimum") != NULL, "%s", err.text);
    free(scale);
    free(covariance);
    return !code;
}

/* What a full step would still take away, a parameter each, in what would be left, a degree of
 * freedom each. */
static double left_at(const double *x, size_t gap, double beyond)
{
    size_t m = j->parameters, rows = m;
    double *kept = malloc(m * sizeof *kept);
    for (size_t i = 0; i < j->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++)
            rows += j->piece[i].fits[c] ? j->piece[i].used_count[c] : 0;
    memcpy(kept, j->x, m * sizeof *kept);
    memcpy(j->x, x, m * sizeof *kept);
    j->parameter[gap].prior = log(1e5) + beyond * j->parameter[gap].prior_u;
    dense d = look_dense();
    memcpy(j->x, kept, m * sizeof *kept);
    double outside = (d.before - d.fall) / (double)(rows - m);
    gsl_matrix_free(d.inverse);
    free(d.step);
    free(kept);
    return sqrt(d.fall / (double)m / outside);
}

/* Against a wall no step leads down. It is a minimum where it is one within a hundredth of the
 * standard uncertainties, or a tenth where the noise is estimated again. */
START_TEST(what_counts_as_a_minimum)
{
    static const nr_closeness close[] = {NR_CLOSE_FOR_NOISE, NR_CLOSE_EXACTLY};
    static const double limit[] = {0.1, 0.01};
    size_t m = j->parameters;
    int index = nr_joint_index(j, 0, NR_TERM_LN_GAP);
    ck_assert_int_ge(index, 0);
    size_t gap = (size_t)index;
    double *x = malloc(m * sizeof *x), *to = malloc(m * sizeof *to);
    j->x[gap] = log(1e5) - 1;
    ck_assert(ends_at_wall(gap, 0, NR_CLOSE_EXACTLY, x));
    memcpy(j->x, x, m * sizeof *x);
    for (int k = 0; k < 2; k++)
        for (int more = 0; more < 2; more++) {
            double low = 0, high = 10;
            while (high - low > 1e-3 * high) {
                double middle = (low + high) / 2;
                bool less = left_at(x, gap, middle) < limit[k] * (more ? 1.05 : 0.95);
                *(less ? &low : &high) = middle;
            }
            ck_assert_msg(ends_at_wall(gap, low, close[k], to) == !more, "limit %g: %g beyond",
                          limit[k], low);
        }
    free(x);
    free(to);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {one_step, as_close_as_asked, what_counts_as_a_minimum, NULL};
    return run_tests_in("blocks", tests, set_up_blocks, tear_down_blocks);
}
