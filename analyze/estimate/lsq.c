/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/estimate/lsq.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_multifit_nlinear.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A minimum is believed when a Gauss-Newton step would move the parameters by less than this
 * fraction of their standard errors: the relative offset criterion, D. M. Bates and D. G. Watts,
 * Technometrics 23 (1981) 179-183. */
#define OFFSET_LIMIT 1e-4
/* Residuals this small beside those of the start are an exact fit: the criterion has no scale. */
#define EXACT_FIT 1e-10
/* Singular values of the Jacobian with unit columns below this fraction of the largest are zero:
 * well above what central differences leave (about 1e-10), well below real problems. */
#define RANK_LIMIT 1e-9
#define DEFAULT_ITERATIONS 200
#define POLISH_STEPS 20
/* The quick route: at most so many Gauss-Newton steps, each halved at most so often, until the sum
 * of squares falls by less than this fraction (judge() decides whether that is a minimum). */
#define DESCENT_STEPS 40
#define HALVINGS 8
#define DESCENT_DONE 1e-7
/* A refit among many need not be closer than a hundredth of the standard errors. */
#define QUICK_OFFSET_LIMIT 0.01

/* The caller's problem in parameters of order one, with the work space all routes share. */
typedef struct work {
    const nr_lsq_problem *problem;
    double *scale, *x, *xp, *plus, *minus, *jacobian;
    size_t spent; /* of the problem's budget */
} work;

/* Evaluations of a Jacobian cost as many of residuals. */
#define JACOBIAN_COSTS 3

static bool overspent(const work *w)
{
    return w->problem->budget && w->spent >= w->problem->budget;
}

static void to_x(const work *w, const double *z, double *x)
{
    for (size_t j = 0; j < w->problem->p; j++)
        x[j] = z[j] * w->scale[j];
}

static bool all_finite(const double *a, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (!isfinite(a[i]))
            return false;
    return true;
}

static int residuals_at(work *w, const double *z, double *r)
{
    to_x(w, z, w->x);
    w->spent++;
    if (w->problem->residuals(w->x, w->problem->context, r) || !all_finite(r, w->problem->n))
        return GSL_EDOM;
    return GSL_SUCCESS;
}

static int central_differences(work *w, const double *x, double *jacobian)
{
    size_t n = w->problem->n, p = w->problem->p;
    memcpy(w->xp, x, p * sizeof(double));
    for (size_t j = 0; j < p; j++) {
        /* Cube root of the machine epsilon balances rounding and truncation. */
        double h = 6.1e-6 * fmax(fabs(x[j]), 1e-3 * w->scale[j]);
        w->xp[j] = x[j] + h;
        int bad = w->problem->residuals(w->xp, w->problem->context, w->plus);
        w->xp[j] = x[j] - h;
        bad |= w->problem->residuals(w->xp, w->problem->context, w->minus);
        w->xp[j] = x[j];
        if (bad)
            return GSL_EDOM;
        for (size_t i = 0; i < n; i++)
            jacobian[i * p + j] = (w->plus[i] - w->minus[i]) / (2 * h);
    }
    return GSL_SUCCESS;
}

/* Jacobian to the scaled parameters. */
static int jacobian_at(work *w, const double *z, double *jacobian)
{
    size_t n = w->problem->n, p = w->problem->p;
    to_x(w, z, w->x);
    w->spent += JACOBIAN_COSTS;
    int bad = w->problem->jacobian ? w->problem->jacobian(w->x, w->problem->context, jacobian)
                                   : central_differences(w, w->x, jacobian);
    if (bad || !all_finite(jacobian, n * p))
        return GSL_EDOM;
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < p; j++)
            jacobian[i * p + j] *= w->scale[j];
    return GSL_SUCCESS;
}

/* A trial step may leave the function's domain. GSL ends at an error, but shortens its step at a
 * point that is far worse; so that is what such a point becomes. judge() sees the truth. */
#define OUTSIDE_RESIDUAL 1e100

static int gsl_f(const gsl_vector *z, void *context, gsl_vector *f)
{
    if (overspent(context))
        return GSL_EMAXITER;
    if (residuals_at(context, z->data, f->data))
        gsl_vector_set_all(f, OUTSIDE_RESIDUAL);
    return GSL_SUCCESS;
}

static int gsl_df(const gsl_vector *z, void *context, gsl_matrix *j)
{
    return jacobian_at(context, z->data, j->data);
}

typedef struct method {
    const gsl_multifit_nlinear_trs *const *trs;
    const gsl_multifit_nlinear_scale *const *scale;
    const gsl_multifit_nlinear_solver *const *solver;
} method;

/* Routes that differ in where they get lost. */
static const method methods[] = {
    {&gsl_multifit_nlinear_trs_lm, &gsl_multifit_nlinear_scale_levenberg,
     &gsl_multifit_nlinear_solver_cholesky},
    {&gsl_multifit_nlinear_trs_lmaccel, &gsl_multifit_nlinear_scale_levenberg,
     &gsl_multifit_nlinear_solver_qr},
    {&gsl_multifit_nlinear_trs_lm, &gsl_multifit_nlinear_scale_more,
     &gsl_multifit_nlinear_solver_qr},
    {&gsl_multifit_nlinear_trs_dogleg, &gsl_multifit_nlinear_scale_levenberg,
     &gsl_multifit_nlinear_solver_qr},
    {&gsl_multifit_nlinear_trs_lmaccel, &gsl_multifit_nlinear_scale_more,
     &gsl_multifit_nlinear_solver_qr},
};
#define METHODS (sizeof methods / sizeof methods[0])

/* Runs one method; z holds the start and gets the end. False when it went nowhere. */
static bool iterate(work *w, const method *m, double *z, size_t *iterations)
{
    const nr_lsq_problem *problem = w->problem;
    gsl_multifit_nlinear_parameters settings = gsl_multifit_nlinear_default_parameters();
    settings.trs = *m->trs;
    settings.scale = *m->scale;
    settings.solver = *m->solver;
    gsl_multifit_nlinear_workspace *s =
        gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &settings, problem->n, problem->p);
    if (!s)
        return false;
    gsl_multifit_nlinear_fdf fdf = {
        .f = gsl_f, .df = gsl_df, .n = problem->n, .p = problem->p, .params = w};
    gsl_vector_view start = gsl_vector_view_array(z, problem->p);
    int status = gsl_multifit_nlinear_init(&start.vector, &fdf, s);
    size_t limit = problem->max_iterations ? problem->max_iterations : DEFAULT_ITERATIONS;
    double tolerance = problem->quick ? 1e-7 : 1e-12;
    int info = 0;
    /* GSL's verdict is not used: whatever point it ends at is judged by judge(). */
    if (status == GSL_SUCCESS)
        gsl_multifit_nlinear_driver(limit, tolerance, tolerance, 0, NULL, NULL, &info, s);
    *iterations += gsl_multifit_nlinear_niter(s);
    bool usable = status == GSL_SUCCESS && all_finite(s->x->data, problem->p);
    if (usable)
        memcpy(z, s->x->data, problem->p * sizeof(double));
    gsl_multifit_nlinear_free(s);
    return usable;
}

static double sum_of_squares(const double *r, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += r[i] * r[i];
    return sum;
}

/* Factors of the Jacobian with columns of unit length: J = Q R, R = U S V'. */
typedef struct factors {
    gsl_matrix *qr, *u, *v;
    gsl_vector *tau, *s, *column, *work, *qtr;
} factors;

static void factors_free(factors *f)
{
    gsl_matrix_free(f->qr);
    gsl_matrix_free(f->u);
    gsl_matrix_free(f->v);
    gsl_vector_free(f->tau);
    gsl_vector_free(f->s);
    gsl_vector_free(f->column);
    gsl_vector_free(f->work);
    gsl_vector_free(f->qtr);
}

static bool factors_alloc(factors *f, size_t n, size_t p)
{
    f->qr = gsl_matrix_alloc(n, p);
    f->u = gsl_matrix_alloc(p, p);
    f->v = gsl_matrix_alloc(p, p);
    f->tau = gsl_vector_alloc(p);
    f->s = gsl_vector_alloc(p);
    f->column = gsl_vector_alloc(p);
    f->work = gsl_vector_alloc(p);
    f->qtr = gsl_vector_alloc(n);
    if (f->qr && f->u && f->v && f->tau && f->s && f->column && f->work && f->qtr)
        return true;
    factors_free(f);
    return false;
}

/* Returns the rank; fills the factors when every column has a length. */
static size_t factorise(factors *f, const double *jacobian, const double *r, size_t n, size_t p)
{
    memcpy(f->qr->data, jacobian, n * p * sizeof(double));
    for (size_t j = 0; j < p; j++) {
        gsl_vector_view column = gsl_matrix_column(f->qr, j);
        double length = gsl_blas_dnrm2(&column.vector);
        if (!(length > 0))
            return j; /* a parameter without any effect */
        gsl_vector_set(f->column, j, length);
        gsl_vector_scale(&column.vector, 1 / length);
    }
    gsl_linalg_QR_decomp(f->qr, f->tau);
    memcpy(f->qtr->data, r, n * sizeof(double));
    gsl_linalg_QR_QTvec(f->qr, f->tau, f->qtr);
    for (size_t i = 0; i < p; i++)
        for (size_t j = 0; j < p; j++)
            gsl_matrix_set(f->u, i, j, j >= i ? gsl_matrix_get(f->qr, i, j) : 0);
    gsl_linalg_SV_decomp(f->u, f->v, f->s, f->work);
    size_t rank = 0;
    double largest = gsl_vector_get(f->s, 0);
    while (rank < p && gsl_vector_get(f->s, rank) > RANK_LIMIT * largest)
        rank++;
    return rank;
}

/* The undamped step to the minimum of the linearised problem, in scaled parameters. */
static void gauss_newton_step(const factors *f, size_t p, double *step)
{
    for (size_t j = 0; j < p; j++)
        step[j] = 0;
    for (size_t k = 0; k < p; k++) {
        double c = 0;
        for (size_t i = 0; i < p; i++)
            c += gsl_matrix_get(f->u, i, k) * gsl_vector_get(f->qtr, i);
        c /= gsl_vector_get(f->s, k);
        for (size_t j = 0; j < p; j++)
            step[j] -= gsl_matrix_get(f->v, j, k) * c;
    }
    for (size_t j = 0; j < p; j++)
        step[j] /= gsl_vector_get(f->column, j);
}

/* J'J and J'r, row by row; rows of a joint problem are mostly zeros, which are stepped over. */
static void normal_equations(const double *jacobian, const double *r, size_t n, size_t p,
                             gsl_matrix *a, gsl_vector *g)
{
    gsl_matrix_set_zero(a);
    gsl_vector_set_zero(g);
    for (size_t k = 0; k < n; k++) {
        const double *row = jacobian + k * p;
        for (size_t i = 0; i < p; i++) {
            if (row[i] == 0)
                continue;
            double *to = a->data + i * a->tda;
            for (size_t j = 0; j <= i; j++)
                to[j] += row[i] * row[j];
            g->data[i] += row[i] * r[k];
        }
    }
}

/* Full Gauss-Newton steps, halved while they do not go down: all that a nearly linear problem
 * needs, and several times faster than a trust region in a narrow valley. False when it gets stuck;
 * z is then the best point found. */
static bool descend(work *w, double *z, nr_lsq_result *out, factors *f, size_t *iterations)
{
    size_t n = w->problem->n, p = w->problem->p;
    double *trial = out->x;
    if (residuals_at(w, z, out->residual))
        return false;
    double chi2 = sum_of_squares(out->residual, n);
    for (int i = 0; i < DESCENT_STEPS && !overspent(w); i++) {
        ++*iterations;
        if (jacobian_at(w, z, out->jacobian))
            return false;
        normal_equations(out->jacobian, out->residual, n, p, f->u, f->column);
        if (gsl_linalg_cholesky_decomp2(f->u, f->work) ||
            gsl_linalg_cholesky_solve2(f->u, f->work, f->column, f->s))
            return false;
        double part = 1, after = INFINITY;
        for (int halving = 0; halving < HALVINGS && !(after < chi2); halving++, part /= 2) {
            for (size_t j = 0; j < p; j++)
                trial[j] = z[j] - part * gsl_vector_get(f->s, j);
            if (!residuals_at(w, trial, out->residual))
                after = sum_of_squares(out->residual, n);
        }
        if (!(after <= chi2 * (1 + 1e-12)))
            return false;
        memcpy(z, trial, p * sizeof(double));
        bool done = chi2 - after <= DESCENT_DONE * chi2;
        chi2 = after;
        if (done)
            return true;
    }
    return true; /* slow but downhill all the way: judge() says whether it arrived */
}

typedef enum verdict { MINIMUM, NOT_A_MINIMUM, RANK_LOST, OUTSIDE } verdict;

/* Length of the residual's part inside the Jacobian's column space against the part outside. */
static double relative_offset(const factors *f, size_t n, size_t p)
{
    double inside = sum_of_squares(f->qtr->data, p);
    double outside = n > p ? sum_of_squares(f->qtr->data + p, n - p) : 0;
    if (inside == 0)
        return 0;
    if (outside == 0)
        return INFINITY;
    return sqrt(inside / (double)p) / sqrt(outside / (double)(n - p));
}

/* Polishes z by undamped steps while they lower the sum of squares, then judges the point. */
static verdict judge(work *w, double *z, double start_chi2, nr_lsq_result *out, factors *f,
                     size_t *rank)
{
    size_t n = w->problem->n, p = w->problem->p;
    double *trial = out->x; /* free until the end */
    if (residuals_at(w, z, out->residual))
        return OUTSIDE;
    out->chi2 = sum_of_squares(out->residual, n);
    double offset = INFINITY;
    for (int i = 0; i <= POLISH_STEPS; i++) {
        if (jacobian_at(w, z, out->jacobian))
            return OUTSIDE;
        *rank = factorise(f, out->jacobian, out->residual, n, p);
        if (*rank < p)
            return RANK_LOST;
        offset = relative_offset(f, n, p);
        bool close = offset < (w->problem->quick ? QUICK_OFFSET_LIMIT : 1e-9);
        if (close || i == POLISH_STEPS || overspent(w))
            break;
        gauss_newton_step(f, p, trial);
        for (size_t j = 0; j < p; j++)
            trial[j] += z[j];
        double after = INFINITY;
        if (!residuals_at(w, trial, out->residual))
            after = sum_of_squares(out->residual, n);
        if (!(after < out->chi2)) {
            if (residuals_at(w, z, out->residual))
                return OUTSIDE;
            break;
        }
        memcpy(z, trial, p * sizeof(double));
        out->chi2 = after;
    }
    out->offset = offset;
    out->condition = gsl_vector_get(f->s, 0) / gsl_vector_get(f->s, p - 1);
    double limit = w->problem->quick ? QUICK_OFFSET_LIMIT : OFFSET_LIMIT;
    if (offset < limit || out->chi2 <= EXACT_FIT * EXACT_FIT * start_chi2)
        return MINIMUM;
    return NOT_A_MINIMUM;
}

/* From the scaled problem to the caller's parameters. */
static void finish(const work *w, const double *z, const factors *f, nr_lsq_result *out)
{
    size_t n = w->problem->n, p = w->problem->p;
    to_x(w, z, out->x);
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < p; j++)
            out->jacobian[i * p + j] /= w->scale[j];
    for (size_t i = 0; i < p; i++) {
        for (size_t j = 0; j < p; j++) {
            double sum = 0;
            for (size_t k = 0; k < p; k++) {
                double s = gsl_vector_get(f->s, k);
                sum += gsl_matrix_get(f->v, i, k) * gsl_matrix_get(f->v, j, k) / (s * s);
            }
            double to_caller = w->scale[i] * w->scale[j] /
                               (gsl_vector_get(f->column, i) * gsl_vector_get(f->column, j));
            out->covariance[i * p + j] = sum * to_caller;
        }
    }
    out->rank = p;
}

static nr_lsq_result *result_alloc(size_t n, size_t p)
{
    nr_lsq_result *r = calloc(1, sizeof *r);
    if (!r)
        return NULL;
    r->n = n;
    r->p = p;
    r->x = calloc(p, sizeof(double));
    r->residual = calloc(n, sizeof(double));
    r->jacobian = calloc(n * p, sizeof(double));
    r->covariance = calloc(p * p, sizeof(double));
    if (r->x && r->residual && r->jacobian && r->covariance)
        return r;
    nr_lsq_free(r);
    return NULL;
}

void nr_lsq_free(nr_lsq_result *r)
{
    if (!r)
        return;
    free(r->x);
    free(r->residual);
    free(r->jacobian);
    free(r->covariance);
    free(r);
}

static void work_free(work *w)
{
    free(w->scale);
    free(w->x);
    free(w->xp);
    free(w->plus);
    free(w->minus);
}

static bool work_init(work *w, const nr_lsq_problem *problem, const double *starts, size_t count)
{
    size_t p = problem->p, n = problem->n;
    *w = (work){.problem = problem};
    w->scale = calloc(p, sizeof(double));
    w->x = calloc(p, sizeof(double));
    w->xp = calloc(p, sizeof(double));
    w->plus = calloc(n, sizeof(double));
    w->minus = calloc(n, sizeof(double));
    if (!w->scale || !w->x || !w->xp || !w->plus || !w->minus)
        return false;
    for (size_t j = 0; j < p; j++) {
        double size = problem->scale ? problem->scale[j] : 0;
        for (size_t k = 0; !problem->scale && k < count; k++)
            size = fmax(size, fabs(starts[k * p + j]));
        w->scale[j] = size > 0 ? size : 1;
    }
    return true;
}

/* Tries one start with one method (NULL: the quick route); keeps the better minimum in *best. */
static verdict attempt(work *w, const method *m, const double *start, double *z, double start_chi2,
                       nr_lsq_result **best, nr_lsq_result **spare, factors *f, size_t *iterations)
{
    size_t p = w->problem->p, rank = 0;
    for (size_t j = 0; j < p; j++)
        z[j] = start[j] / w->scale[j];
    if (m ? !iterate(w, m, z, iterations) : !descend(w, z, *spare, f, iterations))
        return OUTSIDE;
    nr_lsq_result *r = *spare;
    verdict v = judge(w, z, start_chi2, r, f, &rank);
    if (v != MINIMUM)
        return v;
    finish(w, z, f, r);
    if (!*best || r->chi2 < (*best)->chi2) {
        *spare = *best ? *best : result_alloc(w->problem->n, p);
        *best = r;
    }
    return v;
}

static nr_code refuse(const work *w, verdict worst, nr_err *err)
{
    if (overspent(w))
        return nr_fail(err, NR_CANNOT, NULL, 0,
                       "the least-squares iteration does not converge and was given up after %zu "
                       "evaluations: the readings contradict each other or the model",
                       w->spent);
    if (worst == RANK_LOST)
        return nr_fail(err, NR_CANNOT, NULL, 0,
                       "the least-squares problem has lost a parameter: the data do not determine "
                       "all of them (rank deficient Jacobian)");
    return nr_fail(err, NR_CANNOT, NULL, 0,
                   "the least-squares iteration found no minimum: the gradient does not vanish "
                   "where it stopped");
}

static nr_code search(work *w, const double *starts, size_t count, nr_lsq_result **out, nr_err *err)
{
    size_t n = w->problem->n, p = w->problem->p, iterations = 0;
    factors f;
    nr_lsq_result *best = NULL, *spare = result_alloc(n, p);
    double *z = calloc(p, sizeof(double));
    if (!spare || !z || !factors_alloc(&f, n, p)) {
        nr_lsq_free(spare);
        free(z);
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    }
    verdict worst = OUTSIDE;
    for (size_t k = 0; k < count; k++) {
        double start_chi2 = INFINITY;
        if (!w->problem->residuals(starts + k * p, w->problem->context, w->plus))
            start_chi2 = sum_of_squares(w->plus, n);
        for (size_t m = w->problem->quick ? 0 : 1; m <= METHODS && spare && !overspent(w); m++) {
            verdict v = attempt(w, m ? &methods[m - 1] : NULL, starts + k * p, z, start_chi2, &best,
                                &spare, &f, &iterations);
            if (v == RANK_LOST || (v == NOT_A_MINIMUM && worst == OUTSIDE))
                worst = v;
            if (v == MINIMUM && w->problem->quick)
                goto done;
        }
    }
done:
    factors_free(&f);
    nr_lsq_free(spare);
    free(z);
    if (!best)
        return refuse(w, worst, err);
    best->iterations = iterations;
    *out = best;
    return NR_OK;
}

nr_code nr_lsq_solve(const nr_lsq_problem *problem, const double *starts, size_t count,
                     nr_lsq_result **out, nr_err *err)
{
    *out = NULL;
    if (problem->p == 0 || problem->n < problem->p || count == 0)
        return nr_fail(err, NR_CANNOT, NULL, 0,
                       "fewer data (%zu) than parameters (%zu) to determine", problem->n,
                       problem->p);
    /* GSL's default handler ends the program; it is switched off for the time of the call. */
    gsl_error_handler_t *old = gsl_set_error_handler_off();
    work w;
    nr_code code = NR_BAD;
    if (work_init(&w, problem, starts, count))
        code = search(&w, starts, count, out, err);
    else
        nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (problem->spent)
        *problem->spent = w.spent;
    work_free(&w);
    gsl_set_error_handler(old);
    return code;
}
