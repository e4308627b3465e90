/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What answers may ask of an estimate, worked out by dense matrices: priors that lean on each other
 * by the symmetric root of their correlation matrix (eigenvectors, GSL), the split of a variance,
 * the part of one build, the noise's share by channel. Solution and covariance are made up. */
#include "analyze/joint/evaluate.h"
#include "analyze/joint/like.h"
#include "tests/unit/joint/bundle.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_eigen.h>

static bundle b;
static nr_joint *j;
static gsl_matrix *root, *inverse; /* R^(-1/2), R^(-1) of the priors */

/* Three records' parameters of one term lean on each other, and two of another's. */
static void lean(void)
{
    size_t count = 0;
    for (size_t i = 0; i < j->parameters; i++)
        j->parameter[i].group = 0;
    for (size_t i = 0; i < j->parameters; i++)
        if (j->parameter[i].term == NR_TERM_LOST) {
            j->parameter[i].group = 1;
            j->parameter[i].group_count = RUNS;
            count++;
        } else if (j->parameter[i].term == NR_TERM_LN_EXCHANGE) {
            j->parameter[i].group = 2;
            j->parameter[i].group_count = 2;
            count++;
        }
    ck_assert_uint_eq(count, RUNS + 2);
}

/* Eigenvalues to a power. */
static gsl_matrix *power_of(const gsl_matrix *r, double exponent)
{
    size_t n = r->size1;
    gsl_eigen_symmv_workspace *w = gsl_eigen_symmv_alloc(n);
    gsl_matrix *copy = gsl_matrix_alloc(n, n), *vectors = gsl_matrix_alloc(n, n);
    gsl_matrix *scaled = gsl_matrix_alloc(n, n), *to = gsl_matrix_alloc(n, n);
    gsl_vector *values = gsl_vector_alloc(n);
    gsl_matrix_memcpy(copy, r);
    gsl_eigen_symmv(copy, values, vectors, w);
    for (size_t a = 0; a < n; a++)
        for (size_t k = 0; k < n; k++)
            gsl_matrix_set(scaled, a, k,
                           gsl_matrix_get(vectors, a, k) *
                               pow(gsl_vector_get(values, k), exponent));
    gsl_blas_dgemm(CblasNoTrans, CblasTrans, 1, scaled, vectors, 0, to);
    gsl_matrix_free(copy);
    gsl_matrix_free(vectors);
    gsl_matrix_free(scaled);
    gsl_vector_free(values);
    gsl_eigen_symmv_free(w);
    return to;
}

static void set_up_views(void)
{
    unsigned long long s = 41;
    nr_noise noise = {.sigma = 0.05, .slow = 0.7, .phi = 0.9};
    set_up(&b);
    j = b.joint;
    j->threads = 1;
    lean();
    size_t m = j->parameters;
    gsl_matrix *r = gsl_matrix_calloc(m, m);
    for (size_t i = 0; i < m; i++)
        for (size_t k = 0; k < m; k++) {
            const nr_parameter *p = &j->parameter[i], *q = &j->parameter[k];
            bool same = p->group && p->group == q->group;
            gsl_matrix_set(r, i, k, i == k ? 1 : same ? p->row->like : 0);
        }
    root = power_of(r, -0.5);
    inverse = power_of(r, -1);
    for (size_t i = 0; i < m; i++) {
        j->x[i] = j->parameter[i].prior + j->parameter[i].prior_u * 0.1 * normal(&s);
        for (size_t k = 0; k < m; k++) /* a third of what is known beforehand */
            j->covariance[i * m + k] =
                gsl_matrix_get(r, i, k) * j->parameter[i].prior_u * j->parameter[k].prior_u / 3;
    }
    gsl_matrix_free(r);
    for (size_t i = 0; i < j->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++)
            if (j->piece[i].fits[c]) {
                j->piece[i].noise[c] = noise;
                nr_whitener_set(&j->piece[i].whitener[c], &noise, j->piece[i].used[c]);
            }
    for (size_t k = 0; k < j->rows; k++) {
        j->residual[k] = normal(&s);
        j->whitened[k] = normal(&s);
    }
}

static void tear_down_views(void)
{
    gsl_matrix_free(root);
    gsl_matrix_free(inverse);
    tear_down(&b);
}

static double *drawn_gradient(size_t n)
{
    unsigned long long s = 42;
    double *g = malloc(n * sizeof *g);
    for (size_t i = 0; i < n; i++)
        g[i] = i % 4 ? normal(&s) / j->parameter[i].prior_u : 0;
    return g;
}

START_TEST(priors_that_lean)
{
    size_t m = j->parameters;
    double *z = malloc(m * sizeof *z);
    for (size_t i = 0; i < m; i++)
        z[i] = (j->x[i] - j->parameter[i].prior) / j->parameter[i].prior_u;
    for (size_t i = 0; i < m; i++) {
        double row = 0, shares = 0;
        for (size_t k = 0; k < m; k++) {
            bool same = j->parameter[i].group && j->parameter[i].group == j->parameter[k].group;
            row += gsl_matrix_get(root, i, k) * z[k];
            shares += i == k || same ? z[k] : 0;
            NEAR(nr_like_slope(j, i, k), gsl_matrix_get(root, i, k), 1e-12);
            NEAR(nr_like_information(j, i, k), gsl_matrix_get(inverse, i, k), 1e-12);
        }
        NEAR(nr_like_row(j, z, i), row, 1e-12);
        NEAR(nr_like_residual(j, j->x, i), row, 1e-12);
        NEAR(nr_like_shares(j, z, i), shares, 1e-12);
    }
    free(z);
}
END_TEST

/* A result moves by C g beside each parameter: what stands in each prior's row, and the rest. */
START_TEST(a_variance_and_its_shares)
{
    size_t m = j->parameters;
    double *g = drawn_gradient(m), *cg = calloc(m, sizeof *cg),
           *share = malloc((m + 1) * sizeof *g);
    double total = 0, priors = 0, random, systematic;
    for (size_t i = 0; i < m; i++) {
        for (size_t k = 0; k < m; k++)
            cg[i] += j->covariance[i * m + k] * g[k];
        total += g[i] * cg[i];
    }
    NEAR_RELATIVE(nr_joint_variance(j, g, &random, &systematic, share), total, 1e-9);
    for (size_t i = 0; i < m; i++) {
        double row = 0;
        for (size_t k = 0; k < m; k++)
            row += gsl_matrix_get(root, i, k) * cg[k] / j->parameter[k].prior_u;
        NEAR(share[i], row * row, 1e-9 * total);
        priors += row * row;
    }
    ck_assert_double_lt(priors, total);
    NEAR(share[m], total - priors, 1e-9 * total);
    NEAR_RELATIVE(systematic, sqrt(priors), 1e-9);
    NEAR_RELATIVE(random, sqrt(total - priors), 1e-9);
    NEAR_RELATIVE(nr_joint_covariance(j, g, g), total, 1e-9);
    free(g);
    free(cg);
    free(share);
}
END_TEST

START_TEST(noise_by_channel)
{
    size_t m = j->parameters;
    double *g = drawn_gradient(m), *row = malloc(j->rows * m * sizeof *row), v[NR_OUTS], n[NR_OUTS];
    double *cg = calloc(m, sizeof *cg);
    ck_assert_int_eq(nr_joint_jacobian(j->x, j, row), 0);
    ck_assert_int_eq(nr_joint_noise_shares(j, g, v, n, NULL), NR_OK);
    for (size_t i = 0; i < m; i++)
        for (size_t k = 0; k < m; k++)
            cg[i] += j->covariance[i * m + k] * g[k];
    for (int c = 0; c < NR_OUTS; c++) {
        double sum = 0, independent = 0;
        for (size_t i = 0; i < j->pieces; i++) {
            const nr_piece *p = &j->piece[i];
            for (size_t k = 0; p->fits[c] && k < p->part->blocks; k++) {
                double moved = 0;
                for (size_t a = 0; a < m; a++)
                    moved += row[(p->row[c] + k) * m + a] * cg[a];
                sum += moved * moved;
            }
            /* Slow share 0.7 with 0.9 from block to block: (1 + 0.9) / (1 - 0.9) of it. */
            if (p->fits[c])
                independent += fmax((double)p->used_count[c] / (0.3 + 0.7 * 19), 1);
        }
        NEAR(v[c], sum, 1e-9 * sum);
        NEAR(n[c], independent, 1e-9 * independent);
    }
    free(g);
    free(cg);
    free(row);
}
END_TEST

static void check_part_rows(const nr_joint *part, size_t build)
{
    size_t k = 0, row = 0, used = 0;
    double chi2 = 0;
    for (size_t i = 0; i < j->pieces; i++) {
        const nr_piece *p = &j->piece[i];
        if (p->build != build)
            continue;
        const nr_piece *q = &part->piece[k++];
        ck_assert(q->build == 0 && part->series[q->run] == p->series && q->part == p->part);
        for (int t = 0; t < NR_TERMS; t++) {
            ck_assert((q->index[t] < 0) == (p->index[t] < 0));
            if (q->index[t] >= 0)
                ck_assert_uint_eq(part->of_whole[q->index[t]], (size_t)p->index[t]);
        }
        for (int c = 0; c < NR_OUTS; c++)
            for (size_t at = 0; p->fits[c] && at < p->part->blocks; at++, row++) {
                ck_assert(part->residual[row] == j->residual[p->row[c] + at]);
                ck_assert(part->whitened[row] == j->whitened[p->row[c] + at]);
                ck_assert_uint_eq(q->row[c] + at, row);
                chi2 += p->used[c][at] ? pow(part->whitened[row], 2) : 0;
                used += p->used[c][at] != 0;
            }
    }
    ck_assert_uint_eq(part->pieces, k);
    ck_assert_uint_eq(part->rows, row + part->parameters);
    ck_assert_uint_eq(part->used_rows, used);
    NEAR_RELATIVE(part->chi2_data, chi2, 1e-12);
}

START_TEST(one_build_of_it)
{
    size_t m = j->parameters;
    j->options.without_container[1] = true;
    j->options.container[1].score = 7;
    j->hidden_K[1] = 0.25;
    for (size_t build = 0; build < 2; build++) {
        nr_joint *part = NULL;
        size_t count = 0;
        ck_assert_int_eq(nr_joint_part(j, build, &part, NULL), NR_OK);
        check_part_rows(part, build);
        for (size_t i = 0; i < m; i++) {
            bool concerned = false;
            for (size_t k = 0; k < j->pieces; k++)
                for (int t = 0; t < NR_TERMS; t++)
                    concerned =
                        concerned || (j->piece[k].build == build && j->piece[k].index[t] == (int)i);
            ck_assert(nr_joint_concerns(j, build, i) == concerned);
            if (!concerned)
                continue;
            ck_assert_uint_eq(part->of_whole[count], i);
            ck_assert(part->x[count] == j->x[i]);
            for (size_t k = 0; k <= count; k++)
                ck_assert(part->covariance[count * part->parameters + k] ==
                          j->covariance[i * m + part->of_whole[k]]);
            count++;
        }
        ck_assert_uint_eq(part->parameters, count);
        ck_assert(part->options.without_container[0] == (build == 1));
        NEAR(part->options.container[0].score, build ? 7 : 0, 0);
        NEAR(part->hidden_K[0], build ? 0.25 : 0, 0);
        ck_assert(part->store_loss_separate[0] == j->store_loss_separate[build]);
        ck_assert(!memcmp(&part->pivot[0], &j->pivot[build], sizeof part->pivot[0]));
        ck_assert_uint_eq(nr_joint_piece_of(j, build), build ? 2 : 0);
        nr_joint_free(part);
    }
}
END_TEST

/* ---- what setting up and the table share ---- */

/* A loop: flow, outlet, and an inlet or the store for it. */
START_TEST(who_has_a_loop)
{
    double *was[NR_OUTS];
    nr_series *s = b.series[0];
    bool known = s->flow_known;
    memcpy(was, s->part[0].reading, sizeof was);
    for (int k = 0; k < 32; k++) {
        for (int c = 0; c < NR_OUTS; c++)
            s->part[0].reading[c] = k >> c & 1 ? was[c] : NULL;
        s->part[0].reading[NR_OUT_INLET] = k >> NR_OUT_INLET & 1 ? was[NR_OUT_OUTLET] : NULL;
        s->flow_known = k & 8;
        j->options.use_loop = k & 16;
        bool water = s->part[0].reading[NR_OUT_STORE] || s->part[0].reading[NR_OUT_INLET];
        ck_assert(nr_joint_has_loop(j, s) ==
                  ((k & 24) == 24 && water && s->part[0].reading[NR_OUT_OUTLET]));
    }
    memcpy(s->part[0].reading, was, sizeof was);
    s->flow_known = known;
    for (double kg = 5; kg < 200; kg *= 2) /* by the surface: 2 W/K of 20 kg, 8 of 160 */
        NEAR_RELATIVE(nr_joint_usual_store_loss_W_K(kg), 2 * pow(cbrt(kg / 20), 2), 1e-9);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {priors_that_lean, a_variance_and_its_shares,
                                  noise_by_channel, one_build_of_it,
                                  who_has_a_loop,   NULL};
    return run_tests_in("views", tests, set_up_views, tear_down_views);
}
