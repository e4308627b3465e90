/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/joint/blocks.h"

#include "analyze/joint/evaluate.h"
#include "analyze/joint/like.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define MOST_STEPS 60
#define HALVINGS 4
/* Done when a full step would move the solution by less than a 300th of its standard errors all
 * together; a minimum when by less than a hundredth of each (root mean square). */
#define DONE 1e-5
#define OFFSET_LIMIT 0.01
/* Damping, as part of the diagonal. */
#define FIRST_DAMPING 1e-3
#define LEAST_DAMPING 1e-4
#define MOST_DAMPING 1e6

typedef struct blocks {
    const nr_joint *j;
    const double *scale;
    size_t m, rows;              /* rows: of all channels and priors */
    gsl_matrix *normal, *factor; /* of the scaled parameters */
    gsl_vector *slope, *step;
    double *x, *trial, *residual, *jacobian; /* the last two of one piece */
} blocks;

static void blocks_free(blocks *w)
{
    gsl_matrix_free(w->normal);
    gsl_matrix_free(w->factor);
    gsl_vector_free(w->slope);
    gsl_vector_free(w->step);
    free(w->x);
    free(w->trial);
    free(w->residual);
    free(w->jacobian);
}

static bool blocks_init(blocks *w, const nr_joint *j, const double *scale)
{
    size_t most = 1;
    *w = (blocks){.j = j, .scale = scale, .m = j->parameters};
    for (size_t i = 0; i < j->pieces; i++) {
        size_t rows = 0;
        for (int c = 0; c < NR_OUTS; c++) {
            rows += j->piece[i].fits[c] ? j->piece[i].part->blocks : 0;
            w->rows += j->piece[i].fits[c] ? j->piece[i].used_count[c] : 0;
        }
        most = rows > most ? rows : most;
    }
    for (size_t i = 0; i < w->m; i++)
        w->rows += j->parameter[i].has_prior;
    w->normal = gsl_matrix_calloc(w->m, w->m);
    w->factor = gsl_matrix_calloc(w->m, w->m);
    w->slope = gsl_vector_calloc(w->m);
    w->step = gsl_vector_calloc(w->m);
    w->x = malloc(w->m * sizeof(double));
    w->trial = malloc(w->m * sizeof(double));
    w->residual = malloc(most * sizeof(double));
    w->jacobian = malloc(most * NR_TERMS * sizeof(double));
    return w->normal && w->factor && w->slope && w->step && w->x && w->trial && w->residual &&
           w->jacobian;
}

static size_t piece_rows(const nr_piece *p)
{
    size_t rows = 0;
    for (int c = 0; c < NR_OUTS; c++)
        rows += p->fits[c] ? p->part->blocks : 0;
    return rows;
}

/* Sum of squares at x, of the channels and of all; INFINITY where nothing can be computed. */
static double squares(const blocks *w, const double *x, double *data)
{
    double sum = 0;
    *data = INFINITY;
    if (!nr_joint_in_domain(w->j, x))
        return INFINITY;
    for (size_t i = 0; i < w->j->pieces; i++) {
        size_t rows = piece_rows(&w->j->piece[i]);
        nr_joint_piece_rows(w->j, i, x, NULL, 0, w->residual, NULL);
        for (size_t k = 0; k < rows; k++)
            sum += w->residual[k] * w->residual[k];
    }
    *data = sum;
    for (size_t i = 0; i < w->m; i++)
        sum += w->j->parameter[i].has_prior ? pow(nr_like_residual(w->j, x, i), 2) : 0;
    return isfinite(sum) ? sum : INFINITY;
}

/* J'J and J'r of one piece into their places. */
static void add_piece(blocks *w, size_t piece)
{
    size_t parameter[NR_TERMS], rows = piece_rows(&w->j->piece[piece]);
    int column[NR_TERMS];
    size_t n = nr_joint_piece_columns(w->j, piece, parameter, column);
    double sum[NR_TERMS][NR_TERMS] = {{0}}, slope[NR_TERMS] = {0};
    nr_joint_piece_rows(w->j, piece, w->x, column, n, w->residual, w->jacobian);
    for (size_t k = 0; k < rows; k++) {
        const double *row = w->jacobian + k * n;
        for (size_t a = 0; a < n; a++) {
            slope[a] += row[a] * w->residual[k];
            for (size_t b = 0; b <= a; b++)
                sum[a][b] += row[a] * row[b];
        }
    }
    for (size_t a = 0; a < n; a++) {
        double s = w->scale[parameter[a]];
        w->slope->data[parameter[a]] += s * slope[a];
        for (size_t b = 0; b < n; b++)
            *gsl_matrix_ptr(w->normal, parameter[a], parameter[b]) +=
                s * w->scale[parameter[b]] * (b <= a ? sum[a][b] : sum[b][a]);
    }
}

static void add_priors(blocks *w)
{
    for (size_t i = 0; i < w->m; i++) {
        const nr_parameter *p = &w->j->parameter[i];
        for (size_t k = 0; p->has_prior && k < w->m; k++) {
            const nr_parameter *q = &w->j->parameter[k];
            double information = nr_like_information(w->j, i, k);
            double s = w->scale[i] / p->prior_u * information;
            *gsl_matrix_ptr(w->normal, i, k) += s * w->scale[k] / q->prior_u;
            w->slope->data[i] += s * (w->x[k] - q->prior) / q->prior_u;
        }
    }
}

static void gather(blocks *w)
{
    gsl_matrix_set_zero(w->normal);
    gsl_vector_set_zero(w->slope);
    for (size_t i = 0; i < w->j->pieces; i++)
        add_piece(w, i);
    add_priors(w);
}

/* The step for the damping, and how far the squares fall by it if all is linear. */
static bool find_step(blocks *w, double damping, double *fall)
{
    gsl_matrix_memcpy(w->factor, w->normal);
    for (size_t i = 0; i < w->m; i++)
        *gsl_matrix_ptr(w->factor, i, i) *= 1 + damping;
    if (gsl_linalg_cholesky_decomp1(w->factor))
        return false;
    gsl_linalg_cholesky_solve(w->factor, w->slope, w->step);
    *fall = 0;
    for (size_t i = 0; i < w->m; i++)
        *fall += w->step->data[i] * w->slope->data[i];
    return isfinite(*fall);
}

/* Walks down the step as far as it goes down. */
static bool walk(blocks *w, double *chi2, double *data)
{
    double part = 1;
    for (int i = 0; i < HALVINGS; i++, part /= 2) {
        double now_data;
        for (size_t k = 0; k < w->m; k++)
            w->trial[k] = w->x[k] - part * w->step->data[k] * w->scale[k];
        double now = squares(w, w->trial, &now_data);
        if (!(now < *chi2))
            continue;
        *chi2 = now;
        *data = now_data;
        memcpy(w->x, w->trial, w->m * sizeof(double));
        return true;
    }
    return false;
}

/* Whether the point where the search ended is a minimum; w->factor holds its undamped factor. */
static bool is_minimum(const blocks *w, double chi2, double fall)
{
    double inside = fall / (double)w->m;
    double outside = fmax(chi2 - fall, 0) / (double)(w->rows > w->m ? w->rows - w->m : 1);
    return inside <= OFFSET_LIMIT * OFFSET_LIMIT * outside;
}

static bool search(blocks *w, double *data)
{
    double damping = 0, fall = INFINITY, chi2 = squares(w, w->x, data);
    if (!isfinite(chi2))
        return false;
    for (int i = 0; i < MOST_STEPS; i++) {
        gather(w);
        if (!find_step(w, 0, &fall))
            return false;
        if (fall < DONE)
            return true;
        bool down = false;
        while (!down && damping <= MOST_DAMPING) {
            double expected;
            if (damping > 0 && !find_step(w, damping, &expected))
                return false;
            down = walk(w, &chi2, data);
            damping = down ? damping / 10 : fmax(10 * damping, FIRST_DAMPING);
            damping = damping < LEAST_DAMPING ? 0 : damping;
        }
        if (!down) /* rounding: no way down from here */
            break;
    }
    gather(w);
    return find_step(w, 0, &fall) && is_minimum(w, chi2, fall);
}

nr_code nr_blocks_solve(const nr_joint *j, const double *scale, double *x, double *covariance,
                        double *chi2_data, nr_err *err)
{
    blocks w;
    nr_code code = NR_OK;
    gsl_error_handler_t *before = gsl_set_error_handler_off();
    if (!blocks_init(&w, j, scale)) {
        code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    } else {
        memcpy(w.x, j->x, w.m * sizeof(double));
        if (!search(&w, chi2_data) || gsl_linalg_cholesky_invert(w.factor))
            code = nr_fail(err, NR_CANNOT, NULL, 0,
                           "the least-squares iteration found no minimum: the gradient does not "
                           "vanish where it stopped");
    }
    for (size_t i = 0; !code && i < w.m; i++) {
        x[i] = w.x[i];
        for (size_t k = 0; k < w.m; k++)
            covariance[i * w.m + k] = gsl_matrix_get(w.factor, i, k) * scale[i] * scale[k];
    }
    blocks_free(&w);
    gsl_set_error_handler(before);
    return code;
}
