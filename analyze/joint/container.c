/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Does the container's balance agree with the heat that the loop says it carries?
 *
 * Where probes and flow drive the collector, the container is a balance of its own: what it tells
 * of the flow meter and of the probes' difference is worth having only while it is the container
 * that the rig file states. So its rows are fitted once more by themselves, linear about the
 * solution, with the priors of what they touch, against a noise that no healthy container exceeds;
 * and what such a fit cannot explain is looked for: a change of slope (water drawn off, added,
 * leaking) and a step (a bumped probe, cold water) at any time, and a pull of all priors together.
 * Nor does any container lose next to nothing: water that leaks away evenly warms as one that does.
 * And layers show as a wander that no noise of a probe has.
 */
#include "analyze/joint/evaluate.h"
#include "analyze/joint/misreading.h"

#include <gsl/gsl_linalg.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Times at which a change is looked for, and score beyond which chance does not reach: the largest
 * of some twenty independent normal values is above 4.5 once in 7,000 records. */
#define TIMES 24
#define SCORE 4.5
/* Sum of squares of the pulls: chi-squared of about four that a record can tell, 1 in 5,000. */
#define PULL 22.0

/* A bucket in an inch of foam loses a third of what such containers usually do, and nobody's loses
 * less than this part: 1 W/K for 30 kg is usual at home. By so many standard uncertainties. Common
 * practice, no source. */
#define LEAST_LOSS 0.25
#define BELOW 2.0

#define ALL_PIECES ((size_t)-1)

typedef struct balance {
    const nr_joint *j;
    size_t build, only; /* a piece, or ALL_PIECES */
    size_t rows, columns;
    double *a;         /* [rows * columns] whitened, a prior standard uncertainty each */
    double *e;         /* [rows] whitened: measured - modelled at the priors, then what is left */
    size_t *parameter; /* [columns] */
    double *z;         /* [columns] pulls */
    gsl_matrix *m;     /* Cholesky factor of 1 + a'a */
    double *scratch;   /* [columns] */
} balance;

static void balance_free(balance *b)
{
    free(b->a);
    free(b->e);
    free(b->parameter);
    free(b->z);
    free(b->scratch);
    if (b->m)
        gsl_matrix_free(b->m);
}

static bool concerned(const nr_piece *p, size_t build)
{
    return p->build == build && p->driven && p->fits[NR_OUT_STORE];
}

/* The pieces that are examined together: all of the build, or one of many. */
static bool examined(const balance *b, size_t piece)
{
    return (b->only == ALL_PIECES || b->only == piece) && concerned(&b->j->piece[piece], b->build);
}

/* The healthy noise of a store's block means. */
static nr_noise healthy(const nr_piece *p)
{
    const nr_quality_channel *c = &p->series->quality->channel[NR_ROLE_STORE];
    double fast = hypot(c->noise > 0 ? c->noise : 0, c->step > 0 ? c->step / sqrt(12) : 0);
    double slow = nr_misreading_store_K(p);
    fast = fmax(fast, 0.005);
    double all = fast * fast + slow * slow;
    return (nr_noise){.sigma = sqrt(all),
                      .slow = slow * slow / all,
                      .phi = exp(-p->series->block_s / NR_WANDER_TAU_S)};
}

static bool whiten(const nr_piece *p, double *rows, size_t columns)
{
    nr_whitener w;
    nr_noise noise = healthy(p);
    if (!nr_whitener_init(&w, p->part->blocks))
        return false;
    nr_whitener_set(&w, &noise, p->used[NR_OUT_STORE]);
    nr_whiten(&w, rows, columns, columns);
    nr_whitener_free(&w);
    return true;
}

/* The parameters of the pieces, in their order: [parameters] the column of each or -1; returns how
 * many. */
static size_t columns_of(const balance *b, int *column)
{
    const nr_joint *j = b->j;
    size_t count = 0;
    for (size_t c = 0; c < j->parameters; c++)
        column[c] = -1;
    for (size_t i = 0; i < j->pieces; i++)
        for (int t = 0; examined(b, i) && t < NR_TERMS; t++)
            if (j->piece[i].index[t] >= 0)
                column[j->piece[i].index[t]] = 0;
    for (size_t c = 0; c < j->parameters; c++)
        if (column[c] >= 0)
            column[c] = (int)count++;
    return count;
}

/* Which parameters the store's rows touch (all [rows * m], of the columns), and the rows
 * themselves. */
static void choose(balance *b, const double *all, size_t m, const int *column)
{
    const nr_joint *j = b->j;
    for (size_t c = 0; c < j->parameters; c++) {
        bool touched = false;
        for (size_t r = 0; column[c] >= 0 && r < b->rows && !touched; r++)
            touched = all[r * m + (size_t)column[c]] != 0;
        if (touched)
            b->parameter[b->columns++] = c;
    }
    for (size_t r = 0; r < b->rows; r++)
        for (size_t c = 0; c < b->columns; c++) {
            size_t of = b->parameter[c];
            b->a[r * b->columns + c] = all[r * m + (size_t)column[of]] * j->parameter[of].said_u;
        }
}

/* A piece's rows into all, and what was measured less what is modelled at the priors. */
static void rows_of(balance *b, size_t piece, size_t at, double *all, size_t m, const int *column)
{
    const nr_joint *j = b->j;
    const nr_piece *p = &j->piece[piece];
    int to[NR_TERMS];
    for (int t = 0; t < NR_TERMS; t++)
        to[t] = p->index[t] >= 0 ? column[p->index[t]] : -1;
    nr_joint_channel_jacobian(j, piece, NR_OUT_STORE, j->x, to, m, all + at * m);
    for (size_t k = 0; k < p->part->blocks; k++) {
        double r = j->residual[p->row[NR_OUT_STORE] + k];
        for (size_t c = 0; c < j->parameters; c++)
            if (column[c] >= 0)
                r += all[(at + k) * m + (size_t)column[c]] * (j->x[c] - j->parameter[c].prior);
        b->e[at + k] = isnan(r) ? 0 : r;
    }
}

static bool gather(balance *b)
{
    int *column = malloc(b->j->parameters * sizeof *column);
    size_t m = column ? columns_of(b, column) : 0, at = 0;
    double *all = column ? calloc(b->rows * m + 1, sizeof(double)) : NULL;
    b->a = column ? calloc(b->rows * m + 1, sizeof(double)) : NULL;
    bool good = all && b->a;
    for (size_t i = 0; good && i < b->j->pieces; i++) {
        if (!examined(b, i))
            continue;
        rows_of(b, i, at, all, m, column);
        at += b->j->piece[i].part->blocks;
    }
    if (good)
        choose(b, all, m, column);
    free(all);
    free(column);
    return good;
}

static bool whiten_all(balance *b, double *rows, size_t columns)
{
    size_t at = 0;
    for (size_t i = 0; i < b->j->pieces; i++) {
        const nr_piece *p = &b->j->piece[i];
        if (!examined(b, i))
            continue;
        if (!whiten(p, rows + at * columns, columns))
            return false;
        at += p->part->blocks;
    }
    return true;
}

/* scratch = a' v */
static void project(const balance *b, const double *v, double *out)
{
    memset(out, 0, b->columns * sizeof(double));
    for (size_t r = 0; r < b->rows; r++)
        for (size_t c = 0; c < b->columns; c++)
            out[c] += b->a[r * b->columns + c] * v[r];
}

static void solve_in_place(const balance *b, double *v)
{
    gsl_vector_view x = gsl_vector_view_array(v, b->columns);
    gsl_linalg_cholesky_svx(b->m, &x.vector);
}

static bool fit(balance *b)
{
    b->m = gsl_matrix_calloc(b->columns, b->columns);
    if (!b->m)
        return false;
    for (size_t c = 0; c < b->columns; c++)
        for (size_t d = 0; d < b->columns; d++) {
            double sum = c == d;
            for (size_t r = 0; r < b->rows; r++)
                sum += b->a[r * b->columns + c] * b->a[r * b->columns + d];
            gsl_matrix_set(b->m, c, d, sum);
        }
    if (gsl_linalg_cholesky_decomp1(b->m))
        return false;
    project(b, b->e, b->z);
    solve_in_place(b, b->z);
    for (size_t r = 0; r < b->rows; r++)
        for (size_t c = 0; c < b->columns; c++)
            b->e[r] -= b->a[r * b->columns + c] * b->z[c];
    return true;
}

/* Score of a whitened candidate: its amplitude over the standard uncertainty of that, with
 * everything else free within its prior. */
static double score(balance *b, const double *h)
{
    double with = 0, norm = 0;
    for (size_t r = 0; r < b->rows; r++) {
        with += h[r] * b->e[r];
        norm += h[r] * h[r];
    }
    project(b, h, b->scratch);
    double before[64], taken = 0;
    memcpy(before, b->scratch, b->columns * sizeof(double));
    solve_in_place(b, b->scratch);
    for (size_t c = 0; c < b->columns; c++)
        taken += before[c] * b->scratch[c];
    double left = norm - taken;
    return left > 0.05 * norm ? with / sqrt(left) : 0; /* what is hardly seen is no test */
}

static bool search(balance *b, nr_container_view *view)
{
    double *h = malloc(b->rows * sizeof(double));
    size_t at = 0;
    bool good = h != NULL;
    for (size_t i = 0; good && i < b->j->pieces; i++) {
        const nr_piece *p = &b->j->piece[i];
        size_t n = p->part->blocks;
        if (!examined(b, i))
            continue;
        for (size_t t = 1; good && t < TIMES; t++) {
            size_t when = n * t / TIMES;
            for (int step = 0; good && step < 2; step++) {
                memset(h, 0, b->rows * sizeof(double));
                for (size_t k = when; k < n; k++)
                    h[at + k] = step ? 1 : (double)(k - when) / (double)n;
                good = whiten_all(b, h, 1);
                double z = good ? score(b, h) : 0;
                if (fabs(z) <= fabs(view->score))
                    continue;
                view->score = z;
                view->is_step = step;
                view->at_s = p->part->start_s + (double)when * p->series->block_s;
            }
        }
        at += n;
    }
    free(h);
    return good;
}

/* What the estimate says of a container's loss that nobody stated. */
static void look_at_loss(const balance *b, nr_container_view *view)
{
    const nr_joint *j = b->j;
    for (size_t c = 0; c < b->columns; c++) {
        size_t i = b->parameter[c];
        if (j->parameter[i].term != NR_TERM_STORE_LOSS || j->parameter[i].stated)
            continue;
        view->loss_W_K = j->x[i];
        view->u_loss_W_K = sqrt(j->covariance[i * (j->parameters + 1)]);
        view->least_loss_W_K = LEAST_LOSS * j->parameter[i].prior;
    }
}

/* rms of what the estimate leaves of the store, over what a healthy one wanders by. */
static void look_at_wander(const balance *b, nr_container_view *view)
{
    double sum = 0, healthy_sum = 0, n = 0;
    for (size_t i = 0; i < b->j->pieces; i++) {
        const nr_piece *p = &b->j->piece[i];
        if (!examined(b, i))
            continue;
        double sigma = healthy(p).sigma;
        for (size_t k = 0; k < p->part->blocks; k++) {
            double r = b->j->residual[p->row[NR_OUT_STORE] + k];
            if (!p->used[NR_OUT_STORE][k] || isnan(r))
                continue;
            sum += r * r;
            healthy_sum += sigma * sigma;
            n++;
        }
    }
    view->wander_K = n > 0 ? sqrt(sum / n) : 0;
    view->wander_limit_K = n > 0 ? sqrt(healthy_sum / n) : INFINITY;
}

static bool agrees(const nr_container_view *v)
{
    return fabs(v->score) < SCORE && v->pull < PULL && v->wander_K <= v->wander_limit_K &&
           !(v->loss_W_K + BELOW * v->u_loss_W_K < v->least_loss_W_K);
}

static nr_code examine(balance *b, nr_container_view *view, nr_err *err)
{
    size_t m = b->j->parameters;
    b->e = calloc(b->rows, sizeof(double));
    b->parameter = calloc(m, sizeof(size_t));
    b->z = calloc(m, sizeof(double));
    b->scratch = calloc(m, sizeof(double));
    bool good = b->e && b->parameter && b->z && b->scratch && gather(b);
    if (good && b->columns > 64)
        return NR_OK; /* many parts: nothing is said */
    good = good && whiten_all(b, b->a, b->columns) && whiten_all(b, b->e, 1) && fit(b) &&
           search(b, view);
    if (!good)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    for (size_t c = 0; c < b->columns; c++)
        if (nr_term_surprises(b->j->parameter[b->parameter[c]].term))
            view->pull += b->z[c] * b->z[c];
    view->known = true;
    view->score_limit = SCORE;
    view->pull_limit = PULL;
    look_at_loss(b, view);
    look_at_wander(b, view);
    view->consistent = agrees(view);
    return NR_OK;
}

/* One piece, or all; known stays false where there is no balance in it. */
static nr_code examine_only(const nr_joint *j, size_t build, size_t only, nr_container_view *view,
                            nr_err *err)
{
    *view = (nr_container_view){.consistent = true};
    balance b = {.j = j, .build = build, .only = only};
    for (size_t i = 0; i < j->pieces; i++)
        b.rows += examined(&b, i) ? j->piece[i].part->blocks : 0;
    if (!b.rows)
        return NR_OK;
    nr_code code = examine(&b, view, err);
    balance_free(&b);
    return code;
}

/* Each piece by itself. */
typedef struct alone {
    const nr_joint *j;
    size_t build;
    nr_container_view *view; /* [pieces] */
    nr_code *code;           /* [pieces] */
    nr_err *err;             /* [pieces] */
} alone;

static void examine_alone(void *context, size_t worker, size_t i)
{
    alone *a = context;
    (void)worker;
    if (concerned(&a->j->piece[i], a->build))
        a->code[i] = examine_only(a->j, a->build, i, &a->view[i], &a->err[i]);
}

static bool is_worse(const nr_container_view *one, const nr_container_view *than)
{
    return one->known &&
           (!than->known || (than->consistent && !one->consistent) ||
            (than->consistent == one->consistent && fabs(one->score) > fabs(than->score)));
}

static nr_code examine_each(const nr_joint *j, size_t build, nr_container_view *view, nr_err *err)
{
    alone a = {.j = j, .build = build};
    a.view = calloc(j->pieces, sizeof *a.view);
    a.code = calloc(j->pieces, sizeof *a.code);
    a.err = calloc(j->pieces, sizeof *a.err);
    nr_code code =
        a.view && a.code && a.err ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (!code)
        nr_joint_each_piece(j, examine_alone, &a);
    for (size_t i = 0; i < j->pieces && !code; i++) {
        code = a.code[i];
        if (code && err)
            *err = a.err[i];
        *view = is_worse(&a.view[i], view) ? a.view[i] : *view;
    }
    free(a.view);
    free(a.code);
    free(a.err);
    return code;
}

/* Together a few pieces tell more of the flow meter; many are examined each by itself, and the
 * worst speaks for the container. */
#define TOGETHER 4

nr_code nr_joint_container(const nr_joint *j, size_t build, nr_container_view *view, nr_err *err)
{
    size_t count = 0;
    for (size_t i = 0; i < j->pieces; i++)
        count += concerned(&j->piece[i], build);
    if (count <= TOGETHER)
        return examine_only(j, build, ALL_PIECES, view, err);
    *view = (nr_container_view){.consistent = true};
    return examine_each(j, build, view, err);
}
