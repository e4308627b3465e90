/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The container's balance by one dense covariance: what the store's rows scatter by is their
 * healthy noise and what every prior lets them go astray, S = N + A U^2 A'. Rao's score of a
 * candidate h is then h' S^-1 e / sqrt(h' S^-1 h), a prior's pull u a' S^-1 e (the same as the
 * ridge regression by Woodbury's identity); limits are asked from both sides. */
#include "analyze/joint/evaluate.h"
#include "tests/unit/joint/bundle.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_linalg.h>

enum { PARTS = 5, RECORDS = 2, MOST = 400 };

typedef struct record {
    nr_virtual_run *run[RECORDS];
    nr_series *series[RECORDS];
    nr_joint *j;
    double *wanted; /* [rows] what is to be left over, K */
    double *shown;  /* [rows] what is measured then */
} record;

/* Two records of one collector, which take turns. */
static void set_up_parts(record *r)
{
    static const size_t build_of[PARTS] = {0};
    const nr_series *all[PARTS];
    nr_err err = {0};
    for (int i = 0; i < RECORDS; i++) {
        nr_virtual_params p = nr_virtual_glazed();
        p.rig_seed = 7301;
        p.day_seed = 7301 + (unsigned long)i;
        p.duration_s = 700 + 150 * i;
        p.interval_s = 10;
        r->run[i] = simulate(&p);
        r->run[i]->run.rig.store.loss_W_K.given = false;
        ck_assert_msg(!nr_series_build(&r->run[i]->run, &r->series[i], &err), "%s", err.text);
    }
    for (int i = 0; i < PARTS; i++)
        all[i] = r->series[i % RECORDS];
    nr_joint_options options = {.use_store = true, .use_loop = true};
    ck_assert_msg(!nr_joint_setup(all, build_of, PARTS, 1, &options, &r->j, &err), "%s", err.text);
    r->j->threads = 1;
    ck_assert_uint_eq(r->j->pieces, PARTS);
    r->wanted = calloc(r->j->rows, sizeof(double));
    r->shown = calloc(r->j->rows, sizeof(double));
    for (size_t i = 0; i < r->j->parameters; i++) {
        double u = r->j->parameter[i].prior_u;
        r->j->x[i] = r->j->parameter[i].prior;
        r->j->covariance[i * (r->j->parameters + 1)] = 0.25 * u * u;
    }
}

static void take_down(record *r)
{
    free(r->wanted);
    free(r->shown);
    nr_joint_free(r->j);
    for (int i = 0; i < RECORDS; i++) {
        nr_series_free(r->series[i]);
        nr_virtual_run_free(r->run[i]);
    }
}

/* Readings such that `scale` times what is wanted is left over at x. */
static void leave_over(record *r, double scale)
{
    nr_joint *j = r->j;
    for (size_t i = 0; i < j->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++)
            j->piece[i].measured[c] = r->shown + j->piece[i].row[c];
    memset(r->shown, 0, j->rows * sizeof(double));
    nr_joint_raw(j, j->x, j->residual); /* minus the model */
    for (size_t k = 0; k < j->rows; k++)
        r->shown[k] = isnan(j->residual[k]) ? NAN : scale * r->wanted[k] - j->residual[k];
    nr_joint_raw(j, j->x, j->residual);
}

/* ---- the dense way ---- */

typedef struct dense {
    size_t n, of_piece[MOST], block[MOST];
    gsl_matrix *s, *noise;        /* Cholesky factors */
    double *slope[MOST], e[MOST]; /* [n][parameters] */
} dense;

/* Share 0.004 of the rise, and 0.03 K; minutes of memory: misreading.h. */
static double healthy(const nr_piece *p, double *slow)
{
    double low = 1e9, high = -1e9;
    for (size_t b = 0; b < p->part->blocks; b++)
        if (p->used[NR_OUT_STORE][b]) {
            low = fmin(low, p->part->reading[NR_OUT_STORE][b]);
            high = fmax(high, p->part->reading[NR_OUT_STORE][b]);
        }
    double wander = 0.03 + (0.004 + 2 * p->series->unseen_gain) * (high - low);
    const nr_quality_channel *c = &p->series->quality->channel[NR_ROLE_STORE];
    double fast = c->noise > 0 ? pow(c->noise, 2) : 0;
    fast += c->step > 0 ? pow(c->step, 2) / 12 : 0;
    fast = fmax(fast, 0.005 * 0.005);
    *slow = wander * wander;
    return fast;
}

static void add_piece(dense *d, const nr_joint *j, size_t piece)
{
    const nr_piece *p = &j->piece[piece];
    size_t m = j->parameters;
    double *all = calloc(p->part->blocks * m, sizeof(double));
    nr_joint_channel_jacobian(j, piece, NR_OUT_STORE, j->x, p->index, m, all);
    for (size_t b = 0; b < p->part->blocks; b++) {
        if (!p->used[NR_OUT_STORE][b])
            continue;
        ck_assert_uint_lt(d->n, MOST);
        d->of_piece[d->n] = piece;
        d->block[d->n] = b;
        d->slope[d->n] = malloc(m * sizeof(double));
        memcpy(d->slope[d->n], all + b * m, m * sizeof(double));
        d->e[d->n] = j->residual[p->row[NR_OUT_STORE] + b];
        for (size_t i = 0; i < m; i++)
            d->e[d->n] += all[b * m + i] * (j->x[i] - j->parameter[i].prior);
        d->n++;
    }
    free(all);
}

static void factor(dense *d, const nr_joint *j)
{
    d->s = gsl_matrix_alloc(d->n, d->n);
    d->noise = gsl_matrix_alloc(d->n, d->n);
    for (size_t a = 0; a < d->n; a++)
        for (size_t b = 0; b <= a; b++) {
            double slow, sum = 0, fast = healthy(&j->piece[d->of_piece[a]], &slow);
            if (d->of_piece[a] == d->of_piece[b])
                sum = slow * exp(-(double)(d->block[a] - d->block[b]) *
                                 j->piece[0].series->block_s / 600) +
                      (a == b ? fast : 0);
            gsl_matrix_set(d->noise, a, b, sum);
            gsl_matrix_set(d->noise, b, a, sum);
            for (size_t i = 0; i < j->parameters; i++)
                sum += pow(j->parameter[i].said_u, 2) * d->slope[a][i] * d->slope[b][i];
            gsl_matrix_set(d->s, a, b, sum);
            gsl_matrix_set(d->s, b, a, sum);
        }
    gsl_linalg_cholesky_decomp1(d->s);
    gsl_linalg_cholesky_decomp1(d->noise);
}

static void dense_free(dense *d)
{
    for (size_t k = 0; k < d->n; k++)
        free(d->slope[k]);
    gsl_matrix_free(d->s);
    gsl_matrix_free(d->noise);
}

/* L^-1 v of a factor. */
static void forward(const gsl_matrix *factor, const double *v, double *to)
{
    gsl_vector_view x = gsl_vector_view_array(to, factor->size1);
    memcpy(to, v, factor->size1 * sizeof(double));
    gsl_blas_dtrsv(CblasLower, CblasNoTrans, CblasNonUnit, factor, &x.vector);
}

static double dot(const double *a, const double *b, size_t n)
{
    double sum = 0;
    for (size_t k = 0; k < n; k++)
        sum += a[k] * b[k];
    return sum;
}

/* At 23 times of each piece a change of slope and a step. */
static void look_for_changes(const dense *d, const nr_joint *j, nr_container_view *v)
{
    double e[MOST], h[MOST], by_s[MOST], by_noise[MOST];
    forward(d->s, d->e, e);
    for (size_t i = 0; i < j->pieces; i++)
        for (size_t t = 1; t < 24; t++)
            for (int step = 0; step < 2; step++) {
                size_t n = j->piece[i].part->blocks, when = n * t / 24, touched = 0;
                for (size_t k = 0; k < d->n; k++) {
                    bool after = d->of_piece[k] == i && d->block[k] >= when;
                    double along = (double)d->block[k] - (double)when;
                    h[k] = !after ? 0 : step ? 1 : along / (double)n;
                    touched += after;
                }
                if (!touched)
                    continue;
                forward(d->s, h, by_s);
                forward(d->noise, h, by_noise);
                double left = dot(by_s, by_s, d->n), of = dot(by_noise, by_noise, d->n);
                double z = left > 0.05 * of ? dot(by_s, e, d->n) / sqrt(left) : 0;
                if (fabs(z) > fabs(v->score) * (1 + 1e-9)) {
                    v->score = z;
                    v->is_step = step;
                    v->at_s =
                        j->piece[i].part->start_s + (double)when * j->piece[i].series->block_s;
                }
            }
}

static void pulls_and_wander(const dense *d, const nr_joint *j, nr_container_view *v)
{
    double e[MOST], a[MOST], by_s[MOST], wander = 0, limit = 0;
    forward(d->s, d->e, e);
    for (size_t i = 0; i < j->parameters; i++) {
        const nr_parameter *p = &j->parameter[i];
        for (size_t k = 0; k < d->n; k++)
            a[k] = d->slope[k][i];
        forward(d->s, a, by_s);
        if (nr_term_surprises(p->term))
            v->pull += pow(p->said_u * dot(by_s, e, d->n), 2);
        if (p->term == NR_TERM_STORE_LOSS && !p->stated) {
            v->loss_W_K = j->x[i];
            v->u_loss_W_K = sqrt(j->covariance[i * j->parameters + i]);
            v->least_loss_W_K = p->prior / 4;
        }
    }
    for (size_t k = 0; k < d->n; k++) {
        const nr_piece *p = &j->piece[d->of_piece[k]];
        double slow, fast = healthy(p, &slow), r = j->residual[p->row[NR_OUT_STORE] + d->block[k]];
        wander += r * r / (double)d->n;
        limit += (slow + fast) / (double)d->n;
    }
    v->wander_K = sqrt(wander);
    v->wander_limit_K = sqrt(limit);
}

/* Pieces first..end-1. */
static nr_container_view expected(const nr_joint *j, size_t first, size_t end)
{
    dense d = {.n = 0};
    nr_container_view v = {.known = true, .score_limit = 4.5, .pull_limit = 22};
    for (size_t i = first; i < end; i++)
        add_piece(&d, j, i);
    factor(&d, j);
    look_for_changes(&d, j, &v);
    pulls_and_wander(&d, j, &v);
    v.consistent = fabs(v.score) < 4.5 && v.pull < 22 && v.wander_K <= v.wander_limit_K &&
                   v.loss_W_K + 2 * v.u_loss_W_K >= v.least_loss_W_K;
    dense_free(&d);
    return v;
}

static void same_view(const char *what, const nr_container_view *is, const nr_container_view *e)
{
    ck_assert_msg(is->known, "%s: nothing is known", what);
    NEAR_AT(what, is->score, e->score, 1e-5 * fabs(e->score));
    ck_assert_msg(is->is_step == e->is_step, "%s: a step or not", what);
    NEAR_AT(what, is->at_s, e->at_s, 1e-6);
    NEAR_AT(what, is->pull, e->pull, 1e-5 * e->pull);
    NEAR_AT(what, is->loss_W_K, e->loss_W_K, 1e-9);
    NEAR_AT(what, is->u_loss_W_K, e->u_loss_W_K, 1e-9);
    NEAR_AT(what, is->least_loss_W_K, e->least_loss_W_K, 1e-9);
    NEAR_AT(what, is->wander_K, e->wander_K, 1e-6 * e->wander_K);
    NEAR_AT(what, is->wander_limit_K, e->wander_limit_K, 1e-9);
    NEAR_AT(what, is->score_limit, e->score_limit, 0);
    NEAR_AT(what, is->pull_limit, e->pull_limit, 0);
    ck_assert_msg(is->consistent == e->consistent,
                  "%s: score %g, pull %g, wander %g of %g, loss %g (%g)", what, e->score, e->pull,
                  e->wander_K, e->wander_limit_K, e->loss_W_K, e->u_loss_W_K);
}

static nr_container_view told(const nr_joint *j)
{
    nr_container_view v;
    nr_err err = {.text = ""};
    ck_assert_msg(!nr_joint_container(j, 0, &v, &err), "%s", err.text);
    return v;
}

/* A shape by its number: a step, a bend, a wave, or a mixture of all. */
static void draw_shape(record *r, int number)
{
    unsigned long long state = 7301 + (unsigned long long)number;
    for (size_t i = 0; i < r->j->pieces; i++) {
        const nr_piece *p = &r->j->piece[i];
        double n = (double)p->part->blocks, at = chance(&state) * n, size = normal(&state);
        for (size_t b = 0; b < p->part->blocks; b++) {
            double k = (double)b, after = k > at ? 1 : 0, v = 0;
            v += number % 4 == 0 || number % 4 == 3 ? after : 0;
            v += number % 4 == 1 || number % 4 == 3 ? after * (k - at) / n : 0;
            v += number % 4 == 2 || number % 4 == 3 ? sin(k * (1 + size)) : 0;
            r->wanted[p->row[NR_OUT_STORE] + b] =
                size * v + (number % 4 ? 0.1 : 0.02) * size * normal(&state);
        }
    }
}

/* All but the first are not driven, as far as the container sees: one is examined, or several. */
static void leave_driven(record *r, size_t count)
{
    for (size_t i = 0; i < r->j->pieces; i++)
        r->j->piece[i].driven = i < count;
}

/* Every number of the view; and, with x at the priors, whatever is linear in what is left over is
 * brought to just within and just beyond its limit. */
START_TEST(one_piece_and_four_together)
{
    int binds[3][2] = {{0}};
    record r;
    set_up_parts(&r);
    for (int number = 0; number < 8; number++) {
        size_t count = number < 6 ? 1 : 4;
        char what[32];
        leave_driven(&r, count);
        draw_shape(&r, number);
        leave_over(&r, 1);
        nr_container_view one = expected(r.j, 0, count), is = told(r.j);
        snprintf(what, sizeof what, "shape %d", number);
        same_view(what, &is, &one);
        const double reach[3] = {4.5 / fabs(one.score), sqrt(22 / one.pull),
                                 one.wander_limit_K / one.wander_K};
        for (int limit = 0; limit < 3 && count == 1; limit++)
            for (int beyond = 0; beyond < 2; beyond++) {
                leave_over(&r, reach[limit] * (beyond ? 1.001 : 0.999));
                nr_container_view e = expected(r.j, 0, count);
                is = told(r.j);
                snprintf(what, sizeof what, "shape %d, limit %d", number, limit);
                same_view(what, &is, &e);
                bool first = reach[limit] <= fmin(reach[0], fmin(reach[1], reach[2]));
                ck_assert(!first || e.consistent == !beyond);
                binds[limit][beyond] += first;
            }
    }
    ck_assert(binds[0][0] && binds[0][1]); /* the score has decided, the wander has */
    ck_assert(binds[2][0] && binds[2][1]);
    take_down(&r);
}
END_TEST

/* A solution away from the priors; a loss that is just too little, and one that is stated. */
START_TEST(a_solution_away_from_its_priors)
{
    record r;
    set_up_parts(&r);
    leave_driven(&r, 1);
    nr_joint *j = r.j;
    size_t loss = (size_t)j->piece[0].index[NR_TERM_STORE_LOSS];
    for (size_t i = 0; i < j->parameters; i++)
        j->x[i] += 0.02 * j->parameter[i].scale * sin((double)i + 1);
    j->covariance[loss * (j->parameters + 1)] = pow(0.05 * j->parameter[loss].prior, 2);
    for (int side = 0; side < 4; side++) {
        j->parameter[loss].stated = side == 3;
        j->x[loss] = j->parameter[loss].prior * (0.15 + (side == 0 ? 0.001 : -0.001));
        draw_shape(&r, 5);
        leave_over(&r, 1e-4);
        nr_container_view e = expected(j, 0, 1), is = told(j);
        same_view("loss", &is, &e);
    }
    take_down(&r);
}
END_TEST

/* What the record tells of the probe's own scatter, down to the least that is believed; and priors
 * so wide that they can do nearly all that a change does: what is hardly seen is no test. */
START_TEST(scatter_and_wide_priors)
{
    static const struct {
        double noise, step, wider;
    } cases[] = {{NAN, NAN, 1},   {0.001, NAN, 1},  {0.02, 0, 1},     {0, 0.1, 1},
                 {0.01, 0.05, 1}, {0.002, 0.01, 1}, {0.01, 0.05, 30}, {NAN, NAN, 60}};
    record r;
    set_up_parts(&r);
    leave_driven(&r, 1);
    draw_shape(&r, 4);
    leave_over(&r, 1);
    for (size_t k = 0; k < sizeof cases / sizeof cases[0]; k++) {
        nr_quality_channel *c = &r.series[0]->own_quality->channel[NR_ROLE_STORE];
        char what[32];
        snprintf(what, sizeof what, "scatter %zu", k);
        c->noise = cases[k].noise;
        c->step = cases[k].step;
        for (size_t i = 0; i < r.j->parameters; i++)
            r.j->parameter[i].said_u = r.j->parameter[i].prior_u * cases[k].wider;
        nr_container_view e = expected(r.j, 0, 1), is = told(r.j);
        same_view(what, &is, &e);
    }
    take_down(&r);
}
END_TEST

/* Each change in turn, so that its own score is the largest; with priors so wide that some can be
 * imitated but for a twentieth, and those are no test. */
START_TEST(each_change_by_itself)
{
    record r;
    set_up_parts(&r);
    leave_driven(&r, 1);
    const nr_piece *p = &r.j->piece[0];
    const size_t n = p->part->blocks;
    for (size_t i = 0; i < r.j->parameters; i++)
        r.j->parameter[i].said_u = r.j->parameter[i].prior_u * 30;
    for (size_t t = 1; t < 24; t++)
        for (int step = 0; step < 2; step++) {
            char what[32];
            snprintf(what, sizeof what, "change %zu, %d", t, step);
            for (size_t b = 0; b < n; b++) {
                double along = (double)b - (double)(n * t / 24);
                r.wanted[p->row[NR_OUT_STORE] + b] = along < 0 ? 0 : step ? 0.2 : along / (double)n;
            }
            leave_over(&r, 1);
            nr_container_view e = expected(r.j, 0, 1), is = told(r.j);
            same_view(what, &is, &e);
        }
    take_down(&r);
}
END_TEST

/* Five pieces are examined each by itself, and the worst speaks: whatever does not agree before
 * what does, then the larger score. */
START_TEST(the_worst_of_many)
{
    record r;
    set_up_parts(&r);
    for (int number = 10; number < 14; number++) {
        draw_shape(&r, number);
        const double scale = number % 2 ? 1 : 0.02; /* some doubtful, or all healthy */
        leave_over(&r, scale);
        nr_container_view worst = {.known = false}, is = told(r.j);
        for (size_t i = 0; i < PARTS; i++) {
            nr_container_view e = expected(r.j, i, i + 1);
            bool worse = !worst.known || (!e.consistent && worst.consistent) ||
                         (e.consistent == worst.consistent && fabs(e.score) > fabs(worst.score));
            worst = worse ? e : worst;
        }
        same_view("worst", &is, &worst);
    }
    leave_driven(&r, 0); /* no balance at all */
    nr_container_view none = told(r.j);
    ck_assert(!none.known && none.consistent);
    take_down(&r);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {one_piece_and_four_together, a_solution_away_from_its_priors,
                                  scatter_and_wide_priors,     each_change_by_itself,
                                  the_worst_of_many,           NULL};
    return run_tests("container_dense", tests);
}
