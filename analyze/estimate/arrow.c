/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/estimate/arrow.h"

#include <gsl/gsl_linalg.h>

#include <stdlib.h>
#include <string.h>

/* Row-major; [own][own], [own][shared]. What is NULL has no elements. */
typedef struct group {
    size_t own, *member;     /* [own] of all unknowns */
    double *matrix, *factor; /* of the group's own */
    double *border, *solved; /* meeting the shared ones; own^-1 border */
    double *inverse, *back;  /* own^-1, and the inverse's elements that meet the shared ones */
    double *work;            /* [own] */
} group;

struct nr_arrow {
    size_t n, groups, shared;
    size_t *group_of, *place; /* [n]; place among its group's own or the shared */
    size_t *member;           /* [shared] of all unknowns */
    group *group;             /* [groups] */
    double *matrix, *factor;  /* [shared][shared]: as added; Cholesky factor of the complement */
    double *inverse, *work;   /* of the complement; [shared] */
};

static double *zeros(size_t n)
{
    return calloc(n ? n : 1, sizeof(double));
}

void nr_arrow_free(nr_arrow *a)
{
    if (!a)
        return;
    for (size_t g = 0; a->group && g < a->groups; g++) {
        double *all[] = {a->group[g].matrix, a->group[g].factor,  a->group[g].border,
                         a->group[g].solved, a->group[g].inverse, a->group[g].back,
                         a->group[g].work};
        for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
            free(all[i]);
        free(a->group[g].member);
    }
    free(a->group);
    free(a->group_of);
    free(a->place);
    free(a->member);
    free(a->matrix);
    free(a->factor);
    free(a->inverse);
    free(a->work);
    free(a);
}

static bool allocate(nr_arrow *a)
{
    size_t s = a->shared;
    a->matrix = zeros(s * s);
    a->factor = zeros(s * s);
    a->inverse = zeros(s * s);
    a->work = zeros(s);
    a->member = calloc(s ? s : 1, sizeof *a->member);
    bool good = a->matrix && a->factor && a->inverse && a->work && a->member;
    for (size_t g = 0; good && g < a->groups; g++) {
        group *b = &a->group[g];
        size_t own = b->own;
        b->matrix = zeros(own * own);
        b->factor = zeros(own * own);
        b->inverse = zeros(own * own);
        b->border = zeros(own * s);
        b->solved = zeros(own * s);
        b->back = zeros(own * s);
        b->work = zeros(own);
        b->member = calloc(own ? own : 1, sizeof *b->member);
        good = b->matrix && b->factor && b->inverse && b->border && b->solved && b->back &&
               b->work && b->member;
    }
    for (size_t i = 0; good && i < a->n; i++) {
        size_t g = a->group_of[i];
        (g == NR_ARROW_SHARED ? a->member : a->group[g].member)[a->place[i]] = i;
    }
    return good;
}

nr_arrow *nr_arrow_new(size_t n, const size_t *group_of, size_t groups)
{
    nr_arrow *a = calloc(1, sizeof *a);
    if (!a)
        return NULL;
    *a = (nr_arrow){.n = n, .groups = groups};
    a->group = calloc(groups ? groups : 1, sizeof *a->group);
    a->group_of = malloc((n ? n : 1) * sizeof *a->group_of);
    a->place = malloc((n ? n : 1) * sizeof *a->place);
    bool good = a->group && a->group_of && a->place;
    for (size_t i = 0; good && i < n; i++) {
        a->group_of[i] = group_of[i];
        a->place[i] = group_of[i] == NR_ARROW_SHARED ? a->shared++ : a->group[group_of[i]].own++;
    }
    if (good && allocate(a))
        return a;
    nr_arrow_free(a);
    return NULL;
}

void nr_arrow_clear(nr_arrow *a)
{
    memset(a->matrix, 0, a->shared * a->shared * sizeof(double));
    for (size_t g = 0; g < a->groups; g++) {
        group *b = &a->group[g];
        memset(b->matrix, 0, b->own * b->own * sizeof(double));
        memset(b->border, 0, b->own * a->shared * sizeof(double));
    }
}

void nr_arrow_add(nr_arrow *a, size_t i, size_t k, double value)
{
    if (a->group_of[i] == NR_ARROW_SHARED) {
        size_t swap = i;
        i = k;
        k = swap;
    }
    size_t g = a->group_of[i], from = a->place[i], to = a->place[k];
    if (g == NR_ARROW_SHARED) {
        a->matrix[from * a->shared + to] += value;
        a->matrix[to * a->shared + from] += from == to ? 0 : value;
    } else if (a->group_of[k] == NR_ARROW_SHARED) {
        a->group[g].border[from * a->shared + to] += value;
    } else {
        a->group[g].matrix[from * a->group[g].own + to] += value;
        a->group[g].matrix[to * a->group[g].own + from] += from == to ? 0 : value;
    }
}

/* Cholesky factor of a matrix whose diagonal is lifted. */
static bool decompose(double *to, const double *matrix, size_t n, double damping)
{
    if (to != matrix)
        memcpy(to, matrix, n * n * sizeof(double));
    for (size_t i = 0; i < n; i++)
        to[i * n + i] *= 1 + damping;
    if (!n)
        return true;
    gsl_matrix_view view = gsl_matrix_view_array(to, n, n);
    return gsl_linalg_cholesky_decomp1(&view.matrix) == 0;
}

static void solve_column(double *factor, size_t n, double *x, size_t stride)
{
    if (!n)
        return;
    gsl_matrix_view view = gsl_matrix_view_array(factor, n, n);
    gsl_vector_view column = gsl_vector_view_array_with_stride(x, stride, n);
    gsl_linalg_cholesky_svx(&view.matrix, &column.vector);
}

/* The complement loses what the group's own unknowns explain. */
static void reduce(nr_arrow *a, const group *b)
{
    size_t s = a->shared;
    for (size_t k = 0; k < b->own; k++)
        for (size_t i = 0; i < s; i++) {
            double v = b->border[k * s + i];
            const double *solved = b->solved + k * s;
            for (size_t j = 0; v != 0 && j < s; j++)
                a->factor[i * s + j] -= v * solved[j];
        }
}

bool nr_arrow_factor(nr_arrow *a, double damping)
{
    size_t s = a->shared;
    memcpy(a->factor, a->matrix, s * s * sizeof(double));
    for (size_t i = 0; i < s; i++)
        a->factor[i * s + i] *= 1 + damping;
    for (size_t g = 0; g < a->groups; g++) {
        group *b = &a->group[g];
        if (!decompose(b->factor, b->matrix, b->own, damping))
            return false;
        memcpy(b->solved, b->border, b->own * s * sizeof(double));
        for (size_t i = 0; i < s; i++)
            solve_column(b->factor, b->own, b->solved + i, s);
        reduce(a, b);
    }
    return decompose(a->factor, a->factor, s, 0);
}

void nr_arrow_solve(const nr_arrow *a, double *x)
{
    size_t s = a->shared;
    for (size_t i = 0; i < s; i++)
        a->work[i] = x[a->member[i]];
    for (size_t g = 0; g < a->groups; g++) {
        const group *b = &a->group[g];
        for (size_t i = 0; i < b->own; i++)
            for (size_t k = 0; k < s; k++)
                a->work[k] -= b->solved[i * s + k] * x[b->member[i]];
    }
    solve_column(a->factor, s, a->work, 1);
    for (size_t g = 0; g < a->groups; g++) {
        const group *b = &a->group[g];
        for (size_t i = 0; i < b->own; i++)
            b->work[i] = x[b->member[i]];
        solve_column(b->factor, b->own, b->work, 1);
        for (size_t i = 0; i < b->own; i++) {
            x[b->member[i]] = b->work[i];
            for (size_t k = 0; k < s; k++)
                x[b->member[i]] -= b->solved[i * s + k] * a->work[k];
        }
    }
    for (size_t i = 0; i < s; i++)
        x[a->member[i]] = a->work[i];
}

static bool invert(double *to, const double *factor, size_t n)
{
    memcpy(to, factor, n * n * sizeof(double));
    if (!n)
        return true;
    gsl_matrix_view view = gsl_matrix_view_array(to, n, n);
    return gsl_linalg_cholesky_invert(&view.matrix) == 0;
}

bool nr_arrow_invert(nr_arrow *a)
{
    size_t s = a->shared;
    if (!invert(a->inverse, a->factor, s))
        return false;
    for (size_t g = 0; g < a->groups; g++) {
        group *b = &a->group[g];
        if (!invert(b->inverse, b->factor, b->own))
            return false;
        memset(b->back, 0, b->own * s * sizeof(double));
        for (size_t i = 0; i < b->own; i++)
            for (size_t k = 0; k < s; k++)
                for (size_t j = 0; j < s; j++)
                    b->back[i * s + j] -= b->solved[i * s + k] * a->inverse[k * s + j];
    }
    return true;
}

double nr_arrow_inverse(const nr_arrow *a, size_t i, size_t k)
{
    size_t s = a->shared, g = a->group_of[i], h = a->group_of[k];
    if (g == NR_ARROW_SHARED && h == NR_ARROW_SHARED)
        return a->inverse[a->place[i] * s + a->place[k]];
    if (g == NR_ARROW_SHARED)
        return a->group[h].back[a->place[k] * s + a->place[i]];
    const group *b = &a->group[g];
    if (h == NR_ARROW_SHARED)
        return b->back[a->place[i] * s + a->place[k]];
    double sum = g == h ? b->inverse[a->place[i] * b->own + a->place[k]] : 0;
    for (size_t j = 0; j < s; j++)
        sum -= b->back[a->place[i] * s + j] * a->group[h].solved[a->place[k] * s + j];
    return sum;
}
