/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The size of a signature in what is left over is its least-squares coefficient: x'y / x'x, with
 * the standard uncertainty 1/sqrt(x'x) for errors of one, and z their ratio (any text on linear
 * least squares). Orthogonal signatures add without touching each other. And what a signature does
 * to a result is what fits with and without it differ by. */
#include "analyze/joint/inside.h"
#include "analyze/joint/score.h"
#include "analyze/joint/score_parts.h"
#include "tests/unit/quality/records.h"

START_TEST(a_coefficient)
{
    static const double x[] = {1, 2, -1, 0.5}, y[] = {2.1, 4.2, -1.8, 0.7};
    double xx = 0, xy = 0;
    for (int i = 0; i < 4; i++) {
        xx += x[i] * x[i];
        xy += x[i] * y[i];
    }
    nr_score s = nr_score_from(xx, xx, xy);
    NEAR_RELATIVE(s.size, xy / xx, 1e-12);
    NEAR_RELATIVE(s.u, 1 / sqrt(xx), 1e-12);
    NEAR_RELATIVE(s.z, s.size / s.u, 1e-12);
    /* What parameters can do as well, all but a millionth, is not seen. */
    s = nr_score_from(1, 1.1e-6, 1);
    ck_assert(isfinite(s.u) && s.size > 0);
    s = nr_score_from(1, 0.9e-6, 1);
    ck_assert(isinf(s.u) && s.size == 0 && s.z == 0);
}
END_TEST

START_TEST(sums_of_parts)
{
    double self[] = {4, 1, 1, 9}, own[] = {4, 1, 1, 9}, with[] = {6, -3};
    nr_score_parts p = {.count = 2, .self = self, .own = own, .with = with};
    nr_score s = nr_score_of_parts(&p, 0, 1);
    NEAR(s.size, 1.5, 1e-12);
    s = nr_score_of_parts(&p, 1, 2);
    NEAR(s.size, -1.0 / 3, 1e-12);
    s = nr_score_of_parts(&p, 0, 2); /* one signature, the sum of both: 3 over 4 + 9 + 2 */
    NEAR(s.size, 3.0 / 15, 1e-12);
    NEAR(s.u, 1 / sqrt(15), 1e-12);
    /* Two at a time: [4 1; 1 9] s = [6 -3]. */
    double size[2], covariance[4];
    ck_assert(nr_score_of_all(&p, size, covariance));
    NEAR(size[0], 57.0 / 35, 1e-12);
    NEAR(size[1], -18.0 / 35, 1e-12);
    NEAR(covariance[0], 9.0 / 35, 1e-12);
    NEAR(covariance[1], -1.0 / 35, 1e-12);
    own[3] = 1e-9; /* nothing of its own */
    ck_assert(!nr_score_of_all(&p, size, covariance));
}
END_TEST

#define JUMPS_S 1800.0

static nr_joint *solved_with(double jump_K, nr_virtual_run **run, nr_series **series)
{
    static const size_t first = 0;
    nr_virtual_params p = nr_virtual_glazed();
    nr_err err = {0};
    nr_joint *joint = NULL;
    p.rig_seed = 3;
    p.day_seed = 5;
    p.duration_s = 3600;
    p.interval_s = 5;
    *run = simulate(&p);
    double *outlet = column(*run, "outlet");
    for (size_t i = 0; i < (*run)->run.readings->rows; i++)
        outlet[i] += (*run)->run.readings->elapsed_s[i] >= JUMPS_S ? jump_K : 0;
    ck_assert(nr_series_build(&(*run)->run, series, &err) == NR_OK);
    nr_joint_options options = {.use_store = true, .use_loop = true};
    const nr_series *const one[] = {*series};
    ck_assert(nr_joint_setup(one, &first, 1, 1, &options, &joint, &err) == NR_OK);
    ck_assert_msg(nr_joint_solve(joint, &err) == NR_OK, "%s", err.text);
    return joint;
}

/* Linear theory against two fits, with and without the jump. They find their own noise each, so a
 * fifth is near enough. */
START_TEST(a_jump_moves_the_gain_as_foretold)
{
    const double jump_K = 0.15;
    nr_virtual_run *run[2];
    nr_series *series[2];
    nr_joint *plain = solved_with(0, &run[0], &series[0]);
    nr_joint *jumped = solved_with(jump_K, &run[1], &series[1]);
    nr_scorer *scorer = NULL;
    nr_err err = {0};
    ck_assert(nr_scorer_open(plain, &scorer, &err) == NR_OK);
    nr_piece_view v = nr_joint_piece(plain, 0);
    size_t blocks = v.part->blocks, optical = (size_t)nr_joint_index(plain, 0, NR_TERM_OPTICAL);
    double *step = calloc(blocks, sizeof *step);
    double *gradient = calloc(nr_joint_parameters(plain), sizeof *gradient);
    for (size_t b = 0; b < blocks; b++)
        step[b] = v.part->start_s + ((double)b + 0.5) * v.series->block_s >= JUMPS_S;
    gradient[optical] = 1;
    const double *added[NR_OUTS] = {NULL};
    added[NR_OUT_OUTLET] = step;
    double foretold = jump_K * nr_scorer_moves(scorer, 0, added, gradient);
    double moved = nr_joint_x(jumped)[optical] - nr_joint_x(plain)[optical];
    ck_assert(fabs(moved) > 1e-3);
    NEAR(foretold, moved, 0.2 * fabs(moved));
    free(step);
    free(gradient);
    nr_scorer_free(scorer);
    for (int i = 0; i < 2; i++) {
        nr_joint_free(i ? jumped : plain);
        nr_series_free(series[i]);
        nr_virtual_run_free(run[i]);
    }
}
END_TEST

/* Whatever is put together of parts gives what the whole signature gives when it is tried itself.
 */
START_TEST(parts_give_what_the_whole_gives)
{
    enum { PARTS = 4 };
    nr_virtual_run *run;
    nr_series *series;
    nr_joint *joint = solved_with(0.1, &run, &series);
    nr_scorer *scorer = NULL;
    nr_err err = {0};
    ck_assert(nr_scorer_open(joint, &scorer, &err) == NR_OK);
    nr_piece_view v = nr_joint_piece(joint, 0);
    size_t blocks = v.part->blocks;
    double *of[PARTS * NR_OUTS], *sum[NR_OUTS];
    const double *part[PARTS * NR_OUTS], *added[NR_OUTS];
    unsigned long long seed = 5;
    for (int c = 0; c < NR_OUTS; c++)
        added[c] = sum[c] = calloc(blocks, sizeof(double));
    for (int i = 0; i < PARTS * NR_OUTS; i++) {
        part[i] = of[i] = calloc(blocks, sizeof(double));
        for (size_t b = 0; b < blocks; b++) /* each in a quarter of the time, and not alike */
            of[i][b] = b * PARTS / blocks == (size_t)(i / NR_OUTS) ? 1 + chance(&seed) : 0;
    }
    nr_score_parts *p = nr_scorer_parts(scorer, 0, part, PARTS);
    ck_assert_ptr_nonnull(p);
    for (size_t k = 0; k < PARTS; k++)
        for (size_t l = 0; l < PARTS; l++) {
            NEAR(p->self[k * PARTS + l], p->self[l * PARTS + k], 0);
            NEAR(p->own[k * PARTS + l], p->own[l * PARTS + k], 0);
        }
    for (size_t from = 0; from < PARTS; from++)
        for (size_t to = from + 1; to <= PARTS; to++) {
            for (int c = 0; c < NR_OUTS; c++)
                for (size_t b = 0; b < blocks; b++) {
                    sum[c][b] = 0;
                    for (size_t k = from; k < to; k++)
                        sum[c][b] += of[k * NR_OUTS + (size_t)c][b];
                }
            nr_score whole = nr_scorer_try(scorer, 0, added), some = nr_score_of_parts(p, from, to);
            NEAR_RELATIVE(some.u, whole.u, 1e-6);
            NEAR_RELATIVE(some.size, whole.size, 1e-6);
            NEAR_RELATIVE(some.z, whole.z, 1e-6);
        }
    nr_score_parts_free(p);
    for (int i = 0; i < PARTS * NR_OUTS; i++)
        free(of[i]);
    for (int c = 0; c < NR_OUTS; c++)
        free(sum[c]);
    nr_scorer_free(scorer);
    nr_joint_free(joint);
    nr_series_free(series);
    nr_virtual_run_free(run);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_coefficient, sums_of_parts, parts_give_what_the_whole_gives,
                                  a_jump_moves_the_gain_as_foretold, NULL};
    return run_tests("score, parts", tests);
}
