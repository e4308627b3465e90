/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Scores by one dense system: residuals, Jacobian and usual departures of all records laid out in
 * full, information inverted in extended precision, and C. R. Rao's formula (score.h) written down
 * once more. */
#include "analyze/joint/evaluate.h"
#include "analyze/joint/score.h"
#include "analyze/joint/score_parts.h"
#include "tests/unit/joint/bundle.h"

enum { USUAL = 3, MOST = 120 };

typedef struct dense {
    nr_virtual_run *run[2];
    nr_series *series[2];
    nr_joint *j;
    nr_scorer *scorer;
    size_t m, n, rows;
    double *r, *column; /* [rows], [n][rows] parameters, then usual departures */
    long double inverse[MOST][MOST], rest[MOST];
    double *usual[USUAL][NR_OUTS]; /* [blocks] as named */
    size_t usual_piece[USUAL];
    double sd[USUAL];
} dense;

/* In place, by Gauss and Jordan, of a positive matrix scaled to ones. */
static void invert(long double a[MOST][MOST], size_t n)
{
    static long double s[MOST];
    for (size_t i = 0; i < n; i++)
        s[i] = 1 / sqrtl(a[i][i]);
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < n; k++)
            a[i][k] *= s[i] * s[k];
    for (size_t p = 0; p < n; p++) {
        long double pivot = a[p][p];
        ck_assert(pivot > 0);
        a[p][p] = 1;
        for (size_t k = 0; k < n; k++)
            a[p][k] /= pivot;
        for (size_t i = 0; i < n; i++) {
            long double by = a[i][p];
            if (i == p)
                continue;
            a[i][p] = 0;
            for (size_t k = 0; k < n; k++)
                a[i][k] -= by * a[p][k];
        }
    }
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < n; k++)
            a[i][k] *= s[i] * s[k];
}

/* A signature as a column of all rows: where its piece and channel are fitted, not whitened. */
static void lay_out(const nr_joint *j, size_t piece, double *const added[NR_OUTS], double *to)
{
    const nr_piece *p = &j->piece[piece];
    memset(to, 0, j->rows * sizeof *to);
    for (int c = 0; c < NR_OUTS; c++)
        for (size_t b = 0; p->fits[c] && added[c] && b < p->part->blocks; b++)
            to[p->row[c] + b] = p->used[c][b] ? added[c][b] : 0;
}

static void whiten(const nr_joint *j, double *column)
{
    for (size_t i = 0; i < j->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++)
            if (j->piece[i].fits[c])
                nr_whiten(&j->piece[i].whitener[c], column + j->piece[i].row[c], 1, 1);
}

static double dot(const double *a, const double *b, size_t n)
{
    long double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += (long double)a[i] * b[i];
    return (double)sum;
}

/* Columns, information, its inverse and where everything comes to rest, for the filters as they
 * are. */
static void solve(dense *d)
{
    nr_joint *j = d->j;
    double *jacobian = malloc(d->rows * d->m * sizeof *jacobian);
    ck_assert_int_eq(nr_joint_residuals(j->x, j, d->r), 0);
    ck_assert_int_eq(nr_joint_jacobian(j->x, j, jacobian), 0);
    for (size_t i = 0; i < d->m; i++)
        for (size_t k = 0; k < d->rows; k++)
            d->column[i * d->rows + k] = jacobian[k * d->m + i];
    free(jacobian);
    for (size_t u = 0; u < USUAL; u++) {
        double *to = d->column + (d->m + u) * d->rows;
        lay_out(j, d->usual_piece[u], d->usual[u], to);
        whiten(j, to);
    }
    for (size_t i = 0; i < d->n; i++)
        for (size_t k = 0; k < d->n; k++) {
            d->inverse[i][k] = dot(d->column + i * d->rows, d->column + k * d->rows, d->rows);
            if (i == k && i >= d->m)
                d->inverse[i][k] += 1 / (d->sd[i - d->m] * d->sd[i - d->m]);
        }
    invert(d->inverse, d->n);
    for (size_t i = 0; i < d->n; i++) {
        d->rest[i] = 0;
        for (size_t k = 0; k < d->n; k++)
            d->rest[i] -= d->inverse[i][k] * dot(d->column + k * d->rows, d->r, d->rows);
    }
}

static void set_up_dense(dense *d)
{
    static const size_t build_of[] = {0, 0};
    static const size_t piece_of[USUAL] = {0, 1, 1};
    nr_joint_options options = {.use_store = true, .use_loop = true};
    nr_err err = {.text = ""};
    for (int i = 0; i < 2; i++) {
        nr_virtual_params p = params_of(i);
        p.interval_s = 10;
        d->run[i] = simulate(&p);
        ck_assert(nr_series_build(&d->run[i]->run, &d->series[i], &err) == NR_OK);
    }
    ck_assert(nr_joint_setup((const nr_series *const *)d->series, build_of, 2, 1, &options, &d->j,
                             &err) == NR_OK);
    solve_it(d->j);
    d->m = d->j->parameters;
    d->n = d->m + USUAL;
    d->rows = d->j->rows;
    ck_assert_uint_le(d->n, MOST);
    ck_assert_uint_eq(d->j->pieces, 2);
    d->r = calloc(d->rows, sizeof *d->r);
    d->column = calloc(d->n * d->rows, sizeof *d->column);
    ck_assert(nr_scorer_open(d->j, &d->scorer, &err) == NR_OK);
    for (size_t u = 0; u < USUAL; u++) { /* waves in one channel or in all */
        size_t blocks = d->j->piece[piece_of[u]].part->blocks;
        d->usual_piece[u] = piece_of[u];
        d->sd[u] = 0.05 * (double)(u + 1);
        for (int c = 0; c < NR_OUTS; c++) {
            d->usual[u][c] = u == 1 && c != NR_OUT_OUTLET ? NULL : calloc(blocks, sizeof(double));
            for (size_t b = 0; d->usual[u][c] && b < blocks; b++)
                d->usual[u][c][b] = cos((double)(u + 2) * (double)b / 9.0 + c);
        }
        ck_assert(nr_scorer_allow(d->scorer, piece_of[u], (const double *const *)d->usual[u],
                                  d->sd[u], &err) == NR_OK);
    }
    solve(d);
}

static void tear_down_dense(dense *d)
{
    for (size_t u = 0; u < USUAL; u++)
        for (int c = 0; c < NR_OUTS; c++)
            free(d->usual[u][c]);
    free(d->r);
    free(d->column);
    nr_scorer_free(d->scorer);
    nr_joint_free(d->j);
    for (int i = 0; i < 2; i++) {
        nr_series_free(d->series[i]);
        nr_virtual_run_free(d->run[i]);
    }
}

/* Steps, pulses and slopes, in this channel or that or all. */
static void signature(const dense *d, size_t piece, int kind, double *added[NR_OUTS])
{
    size_t blocks = d->j->piece[piece].part->blocks;
    for (int c = 0; c < NR_OUTS; c++) {
        bool has = kind == 0 ? c == NR_OUT_OUTLET : kind == 1 ? c == NR_OUT_STORE : true;
        added[c] = has ? calloc(blocks, sizeof(double)) : NULL;
        for (size_t b = 0; has && b < blocks; b++)
            added[c][b] = kind == 2   ? (b > blocks / 5 && b < blocks / 2) * (1.0 + c)
                          : kind == 3 ? sin(0.3 * (double)b) * (c + 0.5)
                                      : b > blocks / 3;
    }
}

static void let_go(double *added[NR_OUTS])
{
    for (int c = 0; c < NR_OUTS; c++)
        free(added[c]);
}

/* [n] a column with all others; returns it with itself. */
static double slopes(const dense *d, const double *s, long double *slope)
{
    for (size_t i = 0; i < d->n; i++)
        slope[i] = dot(d->column + i * d->rows, s, d->rows);
    return dot(s, s, d->rows);
}

static long double through(const dense *d, const long double *a, const long double *b)
{
    long double sum = 0;
    for (size_t i = 0; i < d->n; i++)
        for (size_t k = 0; k < d->n; k++)
            sum += a[i] * d->inverse[i][k] * b[k];
    return sum;
}

START_TEST(rao_in_full)
{
    static dense d;
    static long double slope[MOST];
    set_up_dense(&d);
    double *s = calloc(d.rows, sizeof *s), *gradient = calloc(d.m, sizeof *gradient);
    nr_scorer *shared = nr_scorer_share(d.scorer);
    ck_assert_ptr_nonnull(shared);
    for (size_t piece = 0; piece < 2; piece++)
        for (int kind = 0; kind < 4; kind++) {
            double *added[NR_OUTS];
            memset(gradient, 0, d.m * sizeof *gradient);
            for (int t = 0; t < NR_TERMS; t++) /* a result of that record's own parameters */
                if (nr_joint_index(d.j, piece, (nr_term)t) >= 0)
                    gradient[nr_joint_index(d.j, piece, (nr_term)t)] = cos((double)t);
            signature(&d, piece, kind, added);
            lay_out(d.j, piece, added, s);
            whiten(d.j, s);
            long double self = slopes(&d, s, slope), with = -dot(s, d.r, d.rows), moves = 0;
            for (size_t i = 0; i < d.n; i++)
                with -= slope[i] * d.rest[i];
            for (size_t i = 0; i < d.m; i++)
                for (size_t k = 0; k < d.n; k++)
                    moves += gradient[i] * d.inverse[i][k] * slope[k];
            long double own = self - through(&d, slope, slope);
            const double *const *as_named = (const double *const *)added;
            for (int who = 0; who < 2; who++) {
                nr_score got = nr_scorer_try(who ? shared : d.scorer, piece, as_named);
                NEAR_RELATIVE(got.u, (double)(1 / sqrtl(own)), 1e-6);
                NEAR(got.size, (double)(with / own), 1e-5 * got.u);
                NEAR(got.z, (double)(with / sqrtl(own)), 1e-5);
            }
            NEAR_RELATIVE(nr_scorer_moves(d.scorer, piece, as_named, gradient), (double)moves,
                          1e-5);
            let_go(added);
        }
    for (size_t u = 0; u < USUAL; u++) {
        double v = (double)d.inverse[d.m + u][d.m + u], rest = (double)d.rest[d.m + u];
        nr_score lean = nr_scorer_leaning(d.scorer, u);
        NEAR(lean.size, rest, 1e-6 * d.sd[u]);
        NEAR_RELATIVE(lean.u, sqrt(v), 1e-6);
        NEAR(lean.z, rest / sqrt(d.sd[u] * d.sd[u] - v), 1e-5);
    }
    ck_assert(isinf(nr_scorer_leaning(d.scorer, USUAL).u)); /* there is no fourth */
    for (size_t i = 0; i < d.m; i++) {
        double value, covariance, u = sqrt((double)d.inverse[i][i]);
        size_t other = (size_t)nr_joint_index(d.j, 0, NR_TERM_OPTICAL);
        ck_assert(nr_scorer_rest(d.scorer, i, i, &value, &covariance));
        NEAR(value, d.j->x[i] + (double)d.rest[i], 1e-5 * u);
        NEAR_RELATIVE(covariance, u * u, 1e-6);
        ck_assert(nr_scorer_rest(d.scorer, i, other, &value, &covariance));
        NEAR(covariance, (double)d.inverse[i][other],
             1e-6 * u * sqrt((double)d.inverse[other][other]));
    }
    nr_scorer_free(shared);
    free(s);
    free(gradient);
    tear_down_dense(&d);
}
END_TEST

/* The parts' products are the dense ones, too. */
START_TEST(parts_in_full)
{
    static dense d;
    enum { PARTS = 4 };
    static long double slope[PARTS][MOST];
    set_up_dense(&d);
    double *of[PARTS][NR_OUTS], *s[PARTS];
    const double *part[PARTS * NR_OUTS];
    for (int k = 0; k < PARTS; k++) {
        signature(&d, 1, k, of[k]);
        s[k] = calloc(d.rows, sizeof(double));
        lay_out(d.j, 1, of[k], s[k]);
        whiten(d.j, s[k]);
        slopes(&d, s[k], slope[k]);
        for (int c = 0; c < NR_OUTS; c++)
            part[k * NR_OUTS + c] = of[k][c];
    }
    nr_score_parts *p = nr_scorer_parts(d.scorer, 1, part, PARTS);
    ck_assert_ptr_nonnull(p);
    for (size_t k = 0; k < PARTS; k++) {
        long double with = -dot(s[k], d.r, d.rows);
        for (size_t i = 0; i < d.n; i++)
            with -= slope[k][i] * d.rest[i];
        NEAR(p->with[k], (double)with, 1e-5 * sqrt(p->self[k * PARTS + k]));
        for (size_t l = 0; l < PARTS; l++) {
            double both = dot(s[k], s[l], d.rows),
                   scale = sqrt(p->self[k * PARTS + k] * p->self[l * PARTS + l]);
            NEAR(p->self[k * PARTS + l], both, 1e-9 * scale);
            NEAR(p->own[k * PARTS + l], both - (double)through(&d, slope[k], slope[l]),
                 1e-6 * scale);
        }
    }
    nr_score_parts_free(p);
    for (int k = 0; k < PARTS; k++) {
        let_go(of[k]);
        free(s[k]);
    }
    tear_down_dense(&d);
}
END_TEST

/* What is driven otherwise from a block on is the same before it, and from there on what a whole
 * simulation gives. */
START_TEST(predicted_from_a_block_on)
{
    static dense d;
    set_up_dense(&d);
    nr_piece_view v = nr_joint_piece(d.j, 0);
    size_t blocks = v.part->blocks, steps = blocks * v.input.steps_per_block;
    double *of[3][NR_OUTS], *sun = malloc(steps * sizeof *sun);
    nr_loop_stand *stand = calloc(blocks, sizeof *stand);
    for (int k = 0; k < 3; k++)
        for (int c = 0; c < NR_OUTS; c++)
            of[k][c] = calloc(blocks, sizeof(double));
    nr_scorer_predict(d.scorer, 0, &v.input, of[0], stand);
    for (int c = 0; c < NR_OUTS; c++)
        for (size_t b = 0; d.j->piece[0].fits[c] && b < blocks; b++)
            NEAR(of[0][c][b], nr_joint_modelled(d.j, 0, c)[b], 1e-9);
    nr_loop_input other = v.input;
    other.sun_W_m2 = sun;
    for (int half = 0; half < 2; half++) {
        size_t from = (size_t)half * blocks / 2;
        for (size_t k = 0; k < steps; k++)
            sun[k] = v.input.sun_W_m2[k] * (k / v.input.steps_per_block >= from ? 1.1 : 1);
        for (int c = 0; c < NR_OUTS; c++)
            memset(of[2][c], 0, blocks * sizeof(double));
        nr_scorer_predict(d.scorer, 0, &other, of[1], NULL);
        nr_scorer_predict_from(d.scorer, 0, &other, of[2], from, stand);
        for (int c = 0; c < NR_OUTS; c++)
            for (size_t b = 0; b < blocks; b++)
                NEAR(of[2][c][b], b < from ? 0 : of[1][c][b], 1e-9);
        ck_assert(of[1][NR_OUT_OUTLET][blocks - 1] > of[0][NR_OUT_OUTLET][blocks - 1] + 0.1);
    }
    for (int k = 0; k < 3; k++)
        for (int c = 0; c < NR_OUTS; c++)
            free(of[k][c]);
    free(sun);
    free(stand);
    tear_down_dense(&d);
}
END_TEST

/* ---- likelihoods ---- */

static void filters(nr_joint *j, const double *rest)
{
    for (size_t i = 0; i < j->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++) {
            nr_piece *p = &j->piece[i];
            nr_noise noise = p->noise[c];
            if (!p->fits[c])
                continue;
            if (rest)
                noise = nr_noise_estimate(rest + p->row[c], nr_piece_tells(p, c), p->part->blocks,
                                          0.002);
            nr_whitener_set(&p->whitener[c], &noise, p->used[c]);
        }
}

/* Filters that change nothing: what is simulated as it is. */
static void no_filters(nr_joint *j)
{
    for (size_t i = 0; i < j->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++)
            for (size_t b = 0; j->piece[i].fits[c] && b < j->piece[i].part->blocks; b++) {
                j->piece[i].whitener[c].gain[b] = 0;
                j->piece[i].whitener[c].weight[b] = j->piece[i].used[c][b] ? 1 : 0;
            }
}

/* The logarithm of the likelihood after two rounds of best values and noise; raw, then [n] columns
 * of which `count` take part. */
static double explained(dense *d, const double *raw, const double *columns, size_t count,
                        double *last)
{
    static long double a[MOST][MOST], best[MOST];
    double *white = malloc((count + 1) * d->rows * sizeof *white), sum = 0;
    double *rest = malloc(d->rows * sizeof *rest);
    filters(d->j, NULL);
    for (int round = 0; round < 2; round++) {
        memcpy(white, columns, count * d->rows * sizeof *white);
        memcpy(white + count * d->rows, raw, d->rows * sizeof *white);
        for (size_t i = 0; i <= count; i++)
            whiten(d->j, white + i * d->rows);
        for (size_t i = 0; i < count; i++)
            for (size_t k = 0; k < count; k++) {
                a[i][k] = dot(white + i * d->rows, white + k * d->rows, d->rows);
                if (i == k && i >= d->m && i < d->n)
                    a[i][k] += 1 / (d->sd[i - d->m] * d->sd[i - d->m]);
            }
        invert(a, count);
        for (size_t i = 0; i < count; i++) {
            best[i] = 0;
            for (size_t k = 0; k < count; k++)
                best[i] -= a[i][k] * dot(white + k * d->rows, white + count * d->rows, d->rows);
        }
        for (size_t k = 0; k < d->rows; k++) {
            long double v = raw[k];
            for (size_t i = 0; i < count; i++)
                v += best[i] * columns[i * d->rows + k];
            rest[k] = (double)v;
        }
        filters(d->j, rest);
    }
    whiten(d->j, rest);
    sum -= dot(rest, rest, d->rows) / 2;
    for (size_t u = 0; u < USUAL; u++)
        sum -= pow((double)best[d->m + u] / d->sd[u], 2) / 2;
    for (size_t i = 0; i < d->j->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++)
            for (size_t b = 0; d->j->piece[i].fits[c] && b < d->j->piece[i].part->blocks; b++)
                if (d->j->piece[i].used[c][b])
                    sum += log(d->j->piece[i].whitener[c].weight[b]);
    *last = (double)best[count - 1];
    free(white);
    free(rest);
    return sum;
}

/* A jump of the outlet that the fit took for wander: larger by the ratio of likelihoods. */
START_TEST(confirmed_in_full)
{
    static dense d;
    set_up_dense(&d);
    for (int kind = 0; kind < 4; kind++) {
        double *added[NR_OUTS], nothing, size, with;
        signature(&d, 0, kind, added);
        nr_score plain = nr_scorer_try(d.scorer, 0, (const double *const *)added);
        nr_score got = nr_scorer_confirm(d.scorer, 0, (const double *const *)added);
        double *raw = malloc(d.rows * sizeof *raw),
               *columns = calloc((d.n + 1) * d.rows, sizeof *raw);
        double *jacobian = malloc(d.rows * d.m * sizeof *jacobian);
        no_filters(d.j);
        ck_assert_int_eq(nr_joint_residuals(d.j->x, d.j, raw), 0);
        ck_assert_int_eq(nr_joint_jacobian(d.j->x, d.j, jacobian), 0);
        for (size_t i = 0; i < d.m; i++)
            for (size_t k = 0; k < d.rows; k++)
                columns[i * d.rows + k] = jacobian[k * d.m + i];
        for (size_t u = 0; u < USUAL; u++)
            lay_out(d.j, d.usual_piece[u], d.usual[u], columns + (d.m + u) * d.rows);
        lay_out(d.j, 0, added, columns + d.n * d.rows);
        nothing = explained(&d, raw, columns, d.n, &size);
        with = explained(&d, raw, columns, d.n + 1, &size);
        filters(d.j, NULL);
        double z = sqrt(fmax(2 * (with - nothing), 0));
        if (z <= fabs(plain.z)) {
            NEAR(got.z, plain.z, 1e-9);
            NEAR(got.size, plain.size, 1e-9 * got.u);
        } else {
            NEAR(fabs(got.z), z, 1e-3);
            NEAR(got.size, size, 1e-3 * got.u);
            NEAR_RELATIVE(got.u, fabs(size) / z, 1e-3);
            ck_assert((got.z > 0) == (size > 0));
        }
        free(raw);
        free(columns);
        free(jacobian);
        let_go(added);
    }
    tear_down_dense(&d);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {rao_in_full, parts_in_full, predicted_from_a_block_on,
                                  confirmed_in_full, NULL};
    return run_tests("score, dense", tests);
}
