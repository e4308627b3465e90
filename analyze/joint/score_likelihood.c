/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Score tests by the ratio of likelihoods. */
#include "analyze/joint/evaluate.h"
#include "analyze/joint/score_inside.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Records longer than this are judged by scores alone: forty days would take minutes. */
#define MOST_ROWS 6000

/* The lower triangle's row i grows by v times the beginning of a row. */
static void add_row(gsl_matrix *to, size_t i, double v, const double *restrict row)
{
    double *restrict at = to->data + i * to->tda;
    for (size_t k = 0; v != 0 && k <= i; k++)
        at[k] += v * row[k];
}

/* No block of a field thermometer is believed better than this; as in the fit. */
#define FLOOR_K 0.002
#define PASSES 2

/* A channel with a filter that leaves everything as it is, and a work space of its own: other
 * threads read what the joint's holds. */
static bool plain_channel(nr_piece *p, size_t c, nr_whitener *w)
{
    size_t blocks = p->part->blocks;
    p->reading[c] = malloc(blocks * sizeof(double));
    p->tangent[c] = malloc(blocks * NR_DYN_COUNT * sizeof(double));
    bool good = nr_whitener_init(w, blocks) && p->reading[c] && p->tangent[c];
    for (size_t b = 0; good && b < blocks; b++) {
        w->gain[b] = w->gain2[b] = 0;
        w->weight[b] = p->used[c][b] ? 1 : 0;
    }
    p->whitener[c] = *w;
    return good;
}

/* Residuals and slopes once more, not whitened. */
static bool unwhitened(const nr_joint *j, nr_scorer_raw *r)
{
    nr_joint plain = *j;
    plain.threads = 1; /* whoever confirms is one of many */
    plain.piece = calloc(j->pieces, sizeof *plain.piece);
    bool good = plain.piece != NULL;
    if (good)
        memcpy(plain.piece, j->piece, j->pieces * sizeof *plain.piece);
    for (size_t i = 0; plain.piece && i < j->pieces; i++)
        for (size_t c = 0; c < NR_OUTS; c++)
            if (plain.piece[i].fits[c])
                good = plain_channel(&plain.piece[i], c, &r->whitener[i * NR_OUTS + c]) && good;
    good = good && !nr_joint_residuals(j->x, &plain, r->residual) &&
           !nr_joint_jacobian(j->x, &plain, r->jacobian);
    for (size_t i = 0; plain.piece && i < j->pieces; i++)
        for (size_t c = 0; c < NR_OUTS; c++)
            if (plain.piece[i].fits[c]) {
                free(plain.piece[i].reading[c]);
                free(plain.piece[i].tangent[c]);
            }
    free(plain.piece);
    return good;
}

/* Adds a signature, as named, to a column of all rows. */
static void spread_out(const nr_joint *j, size_t piece, const double *named, double *column)
{
    const nr_piece *p = &j->piece[piece];
    memset(column, 0, j->rows * sizeof(double));
    for (size_t c = 0; c < NR_OUTS; c++)
        for (size_t b = 0; p->fits[c] && b < p->part->blocks; b++)
            column[p->row[c] + b] = p->used[c][b] ? named[c * p->part->blocks + b] : 0;
}

static void set_whiteners(const nr_joint *j, const nr_scorer_raw *r, const double *rest)
{
    for (size_t i = 0; i < j->pieces; i++)
        for (size_t c = 0; c < NR_OUTS; c++) {
            const nr_piece *p = &j->piece[i];
            if (!p->fits[c])
                continue;
            nr_noise noise = rest ? nr_noise_estimate(rest + p->row[c], nr_piece_tells(p, (int)c),
                                                      p->part->blocks, FLOOR_K)
                                  : p->noise[c];
            r->whitener[i * NR_OUTS + c].more = p->whitener[c].more;
            nr_whitener_set(&r->whitener[i * NR_OUTS + c], &noise, p->used[c]);
        }
}

static void whiten_rows(const nr_joint *j, const nr_scorer_raw *r, double *rows, size_t columns)
{
    for (size_t i = 0; i < j->pieces; i++)
        for (size_t c = 0; c < NR_OUTS; c++)
            if (j->piece[i].fits[c])
                nr_whiten(&r->whitener[i * NR_OUTS + c], rows + j->piece[i].row[c] * columns,
                          columns, columns);
}

/* Best parameters, usual departures and, with_trouble, size of the trouble (the column behind the
 * usual ones) for the whiteners as they are. */
static bool settle(const nr_scorer *s, bool with_trouble, gsl_matrix *a, gsl_vector *best)
{
    const nr_joint *j = s->joint;
    const nr_scorer_raw *r = s->raw;
    size_t m = j->parameters, q = s->usuals, n = m + q + with_trouble, rows = j->rows;
    double *white = malloc(rows * sizeof(double)), *others = malloc(rows * n * sizeof(double));
    if (!white || !others) {
        free(white);
        free(others);
        return false;
    }
    memcpy(r->white, r->jacobian, rows * m * sizeof(double));
    whiten_rows(j, r, r->white, m);
    for (size_t k = 0; k < rows; k++)
        memcpy(others + k * n, r->white + k * m, m * sizeof(double));
    for (size_t i = 0; i < q + with_trouble; i++) {
        memcpy(white, r->column + i * rows, rows * sizeof(double));
        whiten_rows(j, r, white, 1);
        for (size_t k = 0; k < rows; k++)
            others[k * n + m + i] = white[k];
    }
    memcpy(white, r->residual, rows * sizeof(double));
    whiten_rows(j, r, white, 1);
    gsl_matrix_set_zero(a);
    gsl_vector_set_zero(best);
    for (size_t k = 0; k < rows; k++)
        for (size_t i = 0; i < n; i++) {
            double v = others[k * n + i];
            add_row(a, i, v, others + k * n);
            best->data[i] -= v * white[k];
        }
    for (size_t i = 0; i < q; i++)
        *gsl_matrix_ptr(a, m + i, m + i) += 1 / (s->usual[i].sd * s->usual[i].sd);
    free(white);
    free(others);
    if (gsl_linalg_cholesky_decomp1(a) != GSL_SUCCESS)
        return false;
    gsl_linalg_cholesky_svx(a, best);
    return true;
}

/* What is left at `best`, into rest[rows]; prior rows too. */
static void leave(const nr_scorer *s, bool with_trouble, const gsl_vector *best, double *rest)
{
    const nr_joint *j = s->joint;
    size_t m = j->parameters, rows = j->rows;
    for (size_t k = 0; k < rows; k++) {
        double v = s->raw->residual[k];
        for (size_t i = 0; i < m; i++)
            v += s->raw->jacobian[k * m + i] * best->data[i];
        for (size_t i = 0; i < s->usuals + with_trouble; i++)
            v += s->raw->column[i * rows + k] * best->data[m + i];
        rest[k] = v;
    }
}

static double likelihood(const nr_scorer *s, const gsl_vector *best, double *rest)
{
    const nr_joint *j = s->joint;
    double sum = 0;
    whiten_rows(j, s->raw, rest, 1);
    for (size_t k = 0; k < j->rows; k++)
        sum -= 0.5 * rest[k] * rest[k];
    for (size_t i = 0; i < s->usuals; i++)
        sum -= 0.5 * pow(best->data[j->parameters + i] / s->usual[i].sd, 2);
    for (size_t i = 0; i < j->pieces; i++)
        for (size_t c = 0; c < NR_OUTS; c++) {
            const nr_whitener *w = &s->raw->whitener[i * NR_OUTS + c];
            for (size_t b = 0; j->piece[i].fits[c] && b < w->n; b++)
                sum += w->weight[b] > 0 ? log(w->weight[b]) : 0;
        }
    return sum;
}

/* The logarithm of the likelihood, NAN when it cannot be had; *size of the trouble. */
static double explain(const nr_scorer *s, bool with_trouble, double *size)
{
    const nr_joint *j = s->joint;
    size_t n = j->parameters + s->usuals + with_trouble;
    gsl_matrix *a = gsl_matrix_alloc(n, n);
    gsl_vector *best = gsl_vector_alloc(n);
    double *rest = malloc(j->rows * sizeof(double)), result = NAN;
    bool good = a && best && rest;
    if (good)
        set_whiteners(j, s->raw, NULL);
    for (int pass = 0; good && pass < PASSES; pass++) {
        good = settle(s, with_trouble, a, best);
        if (!good)
            break;
        leave(s, with_trouble, best, rest);
        set_whiteners(j, s->raw, rest);
    }
    if (good) {
        result = likelihood(s, best, rest);
        *size = gsl_vector_get(best, n - 1);
    }
    gsl_matrix_free(a);
    gsl_vector_free(best);
    free(rest);
    return result;
}

static bool make_raw(nr_scorer *s)
{
    const nr_joint *j = s->joint;
    if (s->raw)
        return isfinite(s->raw->nothing);
    nr_scorer_raw *r = s->raw = calloc(1, sizeof *r);
    if (!r)
        return false;
    r->nothing = NAN;
    r->residual = malloc(j->rows * sizeof(double));
    r->jacobian = malloc(j->rows * j->parameters * sizeof(double));
    r->white = malloc(j->rows * j->parameters * sizeof(double));
    r->whitener = calloc(j->pieces * NR_OUTS, sizeof *r->whitener);
    r->column = malloc(j->rows * (s->usuals + 1) * sizeof(double));
    if (!r->residual || !r->jacobian || !r->white || !r->whitener || !r->column ||
        !unwhitened(j, r))
        return false;
    for (size_t i = 0; i < s->usuals; i++)
        spread_out(j, s->usual[i].piece, s->usual[i].raw, r->column + i * j->rows);
    double none;
    r->nothing = explain(s, false, &none);
    return isfinite(r->nothing);
}

nr_score nr_scorer_confirm(nr_scorer *s, size_t piece, const double *const added[NR_OUTS])
{
    const nr_joint *j = s->joint;
    nr_score before = nr_scorer_try(s, piece, added);
    if (j->rows > MOST_ROWS || isinf(before.u))
        return before;
    gsl_error_handler_t *handler = gsl_set_error_handler_off();
    size_t blocks = j->piece[piece].part->blocks;
    double size = NAN, with = NAN;
    if (make_raw(s)) {
        memset(s->signature, 0, NR_OUTS * blocks * sizeof(double));
        for (size_t c = 0; c < NR_OUTS; c++)
            if (added[c])
                memcpy(s->signature + c * blocks, added[c], blocks * sizeof(double));
        spread_out(j, piece, s->signature, s->raw->column + s->usuals * j->rows);
        with = explain(s, true, &size);
    }
    gsl_set_error_handler(handler);
    if (!isfinite(with))
        return before;
    double z = sqrt(fmax(2 * (with - s->raw->nothing), 0));
    if (z <= fabs(before.z))
        return before;
    return (nr_score){size, z > 0 ? fabs(size) / z : INFINITY, size < 0 ? -z : z};
}
