/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a solution is, whatever way the search went: a minimum by its gradient, with the covariance
 * of its curvature, and a noise that is the one of its own residuals; of a loop's record, and of
 * few readings by hand. */
#include "analyze/estimate/arrow.h"
#include "analyze/joint/evaluate.h"
#include "analyze/joint/misreading.h"
#include "tests/unit/joint/bundle.h"

#include <gsl/gsl_linalg.h>

typedef struct solved {
    nr_virtual_run *run;
    nr_series *series;
    nr_joint *j;
} solved;

static void solve_record(solved *s, unsigned channels, double duration_s, double interval_s)
{
    static const size_t build_of[1] = {0};
    nr_err err = {.text = ""};
    nr_virtual_params p = nr_virtual_glazed();
    p.rig_seed = p.day_seed = 7306;
    p.duration_s = duration_s;
    p.interval_s = interval_s;
    p.channels = channels;
    s->run = simulate(&p);
    ck_assert_msg(!nr_series_build(&s->run->run, &s->series, &err), "%s", err.text);
    const nr_series *one = s->series;
    nr_joint_options options = {.use_store = true, .use_loop = true};
    ck_assert_msg(!nr_joint_setup(&one, build_of, 1, 1, &options, &s->j, &err), "%s", err.text);
    s->j->threads = 1;
    solve_it(s->j);
}

static void take_down(solved *s)
{
    nr_joint_free(s->j);
    nr_series_free(s->series);
    nr_virtual_run_free(s->run);
}

/* Raw, whitened, their sum of squares and their count. */
static void check_rows(const nr_joint *j)
{
    double *raw = calloc(j->rows, sizeof(double)), sum = 0;
    size_t used = 0;
    nr_joint_raw(j, j->x, raw);
    for (size_t i = 0; i < j->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++) {
            const nr_piece *p = &j->piece[i];
            double *row = raw + p->row[c], *white;
            if (!p->fits[c])
                continue;
            white = malloc(p->part->blocks * sizeof(double));
            memcpy(white, row, p->part->blocks * sizeof(double));
            nr_whiten(&p->whitener[c], white, 1, 1);
            for (size_t b = 0; b < p->part->blocks; b++) {
                double is = j->residual[p->row[c] + b], is_white = j->whitened[p->row[c] + b];
                ck_assert(isnan(is) == !p->used[c][b] && isnan(is_white) == !p->used[c][b]);
                if (!p->used[c][b])
                    continue;
                NEAR(is, row[b], 1e-9);
                NEAR(is_white, white[b], 1e-6);
                sum += white[b] * white[b];
                used++;
            }
            free(white);
        }
    ck_assert_uint_eq(j->used_rows, used);
    NEAR_RELATIVE(j->chi2_data, sum, 1e-3);
    free(raw);
}

/* J'r beside the curvature: how far the parameters would still move, in their standard
 * uncertainties; and the covariance, but for what was allowed for behind the solution. */
static void check_minimum(const nr_joint *j)
{
    size_t m = j->parameters;
    gsl_matrix *normal = gsl_matrix_calloc(m, m);
    gsl_vector *slope = gsl_vector_calloc(m), *step = gsl_vector_calloc(m);
    double *row = malloc(j->rows * m * sizeof(double)), *r = malloc(j->rows * sizeof(double));
    double move = 0;
    ck_assert_int_eq(nr_joint_residuals(j->x, (void *)j, r), 0);
    ck_assert_int_eq(nr_joint_jacobian(j->x, (void *)j, row), 0);
    for (size_t k = 0; k < j->rows; k++)
        for (size_t a = 0; a < m; a++) {
            *gsl_vector_ptr(slope, a) += row[k * m + a] * r[k];
            for (size_t b = 0; b < m; b++)
                *gsl_matrix_ptr(normal, a, b) += row[k * m + a] * row[k * m + b];
        }
    gsl_linalg_cholesky_decomp2(normal, step);
    gsl_vector *scale = gsl_vector_alloc(m), *move_by = gsl_vector_alloc(m);
    gsl_vector_memcpy(scale, step);
    gsl_linalg_cholesky_solve2(normal, scale, slope, move_by);
    for (size_t a = 0; a < m; a++)
        move += gsl_vector_get(move_by, a) * gsl_vector_get(slope, a);
    ck_assert_msg(move < 0.01, "%g of all standard uncertainties together", sqrt(move));
    for (size_t a = 0; a < m; a++) {
        gsl_vector_set_zero(slope);
        gsl_vector_set(slope, a, 1);
        gsl_linalg_cholesky_solve2(normal, scale, slope, move_by);
        for (size_t b = 0; b < m; b++) {
            double size = sqrt(j->covariance[a * m + a] * j->covariance[b * m + b]);
            NEAR_AT(j->parameter[a].row->name, j->covariance[a * m + b], gsl_vector_get(move_by, b),
                    0.02 * size);
        }
    }
    gsl_matrix_free(normal);
    gsl_vector_free(slope);
    gsl_vector_free(step);
    gsl_vector_free(scale);
    gsl_vector_free(move_by);
    free(row);
    free(r);
}

static void same_noise(const nr_noise *is, const nr_noise *e)
{
    NEAR_RELATIVE(is->sigma, e->sigma, 0.03);
    NEAR(is->slow, e->slow, 0.03);
    NEAR(is->phi, e->phi, 0.03);
}

/* Readings every ten seconds: the noise is the most likely one of what is left, as misreading.h
 * has it; none is believed to be less than 0.002 K. */
START_TEST(a_loop)
{
    solved s;
    solve_record(&s, NR_VC_LOOP_SET, 1500, 10);
    const nr_piece *p = &s.j->piece[0];
    check_rows(s.j);
    check_minimum(s.j);
    ck_assert(p->driven && p->fits[NR_OUT_STORE] && p->fits[NR_OUT_OUTLET]);
    for (int c = 0; c < NR_OUTS; c++) {
        if (!p->fits[c])
            continue;
        nr_noise e = nr_noise_estimate(s.j->residual + p->row[c], nr_piece_tells(p, c),
                                       p->part->blocks, 0.002);
        e = nr_misreading_noise(p, c, e);
        same_noise(&p->noise[c], &e);
    }
    take_down(&s);
}
END_TEST

/* What parameters took of so few readings counts as lost, two of 0.05 K are counted with them; and
 * fewer than twelve say nothing of their memory: that is of ten minutes, and four fifths slow. A
 * reading is no better than its step lets it be. */
static void check_few(double duration_s, double interval_s, double step_K, bool tell_memory)
{
    solved s;
    solve_record(&s, NR_VC_STORE_SET, duration_s, interval_s);
    const nr_piece *p = &s.j->piece[0];
    nr_joint *j = s.j;
    nr_err err = {.text = ""};
    ck_assert(s.series->sparse && p->fits[NR_OUT_STORE]);
    ck_assert_msg((p->used_count[NR_OUT_STORE] >= 12) == tell_memory, "%zu readings",
                  p->used_count[NR_OUT_STORE]);
    for (size_t c = 0; c < s.run->run.rig.channels; c++)
        if (!strcmp(s.run->run.rig.channel[c].name, "store"))
            s.run->run.rig.channel[c].resolution = step_K;
    ck_assert_msg(!nr_joint_solve(j, &err), "%s", err.text);
    check_rows(j);
    check_minimum(j);
    double taken = 0, n = (double)p->used_count[NR_OUT_STORE], squares = 0;
    double floor = fmax(0.002, step_K > 0 ? step_K / sqrt(12) : 0);
    const double *residual = j->residual + p->row[NR_OUT_STORE];
    for (size_t i = 0; i < j->parameters; i++) {
        double u = j->parameter[i].prior_u;
        taken += fmax(1 - j->covariance[i * (j->parameters + 1)] / (u * u), 0);
    }
    nr_noise e = nr_noise_estimate(residual, p->used[NR_OUT_STORE], p->part->blocks, floor);
    for (size_t b = 0; b < p->part->blocks; b++)
        squares += p->used[NR_OUT_STORE][b] ? residual[b] * residual[b] : 0;
    if (!tell_memory) {
        e.sigma = sqrt(squares / n);
        e.slow = 0.8;
        e.phi = exp(-s.series->block_s / 600);
    }
    double all = n * e.sigma * e.sigma + 2 * 0.05 * 0.05;
    e.sigma = fmax(sqrt(all / (fmax(n - taken, 0) + 2)), floor);
    same_noise(&p->noise[NR_OUT_STORE], &e);
    take_down(&s);
}

START_TEST(few_readings)
{
    check_few(4800, 600, NAN, false);
    check_few(4800, 600, 0.5, false);
    check_few(7500, 300, NAN, true);
    check_few(7500, 300, 1, true);
}
END_TEST

/* Beyond three runs or eighty parameters, and near another's solution, piece by piece. */
START_TEST(what_is_large)
{
    nr_joint j = {.parameters = 80, .runs = 3};
    ck_assert(!nr_joint_is_large(&j));
    j.parameters = 81;
    ck_assert(nr_joint_is_large(&j));
    j.parameters = 80;
    j.runs = 4;
    ck_assert(nr_joint_is_large(&j));
    j.runs = 1;
    j.near = true;
    ck_assert(nr_joint_is_large(&j));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_loop, few_readings, what_is_large, NULL};
    return run_tests("solved", tests);
}
