/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Records as they might have been: what is drawn has the noise of its model (whitened by that it is
 * white, of variance one) and priors of their own spread; each trial's solution is a minimum for
 * what was drawn; and afterwards the estimate is what it was, to the last bit. */
#include "analyze/joint/evaluate.h"
#include "analyze/joint/like.h"
#include "analyze/joint/trial.h"
#include "tests/unit/joint/bundle.h"

#include <gsl/gsl_linalg.h>

enum { TRIALS = 12 };

static nr_virtual_run *run;
static nr_series *series;
static nr_joint *joint;

static void set_up_trials(void)
{
    static const size_t build_of[1] = {0};
    nr_err err = {.text = ""};
    nr_virtual_params p = nr_virtual_glazed();
    p.rig_seed = p.day_seed = 7307;
    p.duration_s = 1500;
    p.interval_s = 10;
    run = simulate(&p);
    ck_assert_msg(!nr_series_build(&run->run, &series, &err), "%s", err.text);
    const nr_series *one = series;
    nr_joint_options options = {.use_store = true, .use_loop = true};
    ck_assert_msg(!nr_joint_setup(&one, build_of, 1, 1, &options, &joint, &err), "%s", err.text);
    joint->threads = 1;
    solve_it(joint);
    nr_piece *q = &joint->piece[0]; /* a memory of its own in one channel: of second order */
    q->noise[NR_OUT_OUTLET] = (nr_noise){.sigma = 0.05, .slow = 0.6, .phi = 0.8, .phi2 = 0.5};
    nr_whitener_set(&q->whitener[NR_OUT_OUTLET], &q->noise[NR_OUT_OUTLET], q->used[NR_OUT_OUTLET]);
    ck_assert_msg(!nr_joint_refit(joint, false, &err), "%s", err.text);
    nr_joint_raw(joint, joint->x, joint->residual);
}

static void tear_down_trials(void)
{
    nr_joint_free(joint);
    nr_series_free(series);
    nr_virtual_run_free(run);
}

/* What the model says at the solution, of each used reading. */
static double *modelled(const nr_joint *j)
{
    double *to = calloc(j->rows, sizeof(double));
    const nr_piece *p = &j->piece[0];
    for (int c = 0; c < NR_OUTS; c++)
        for (size_t b = 0; p->fits[c] && b < p->part->blocks; b++)
            to[p->row[c] + b] =
                p->used[c][b] ? p->part->reading[c][b] - j->residual[p->row[c] + b] : 0;
    return to;
}

typedef struct sums {
    double n, squares, neighbours, priors, of_priors, squares_of_priors;
} sums;

static void add_drawn(const nr_joint *j, const double *truth, const double *x, sums *s)
{
    const nr_piece *p = &j->piece[0];
    for (int c = 0; c < NR_OUTS; c++) {
        double *row = malloc(p->part->blocks * sizeof(double));
        for (size_t b = 0; p->fits[c] && b < p->part->blocks; b++)
            row[b] = p->used[c][b] ? p->measured[c][b] - truth[p->row[c] + b] : NAN;
        if (p->fits[c])
            nr_whiten(&p->whitener[c], row, 1, 1);
        for (size_t b = 1; p->fits[c] && b < p->part->blocks; b++) {
            if (!p->used[c][b])
                continue;
            s->n++;
            s->squares += row[b] * row[b];
            s->neighbours += p->used[c][b - 1] ? row[b] * row[b - 1] : 0;
        }
        free(row);
    }
    for (size_t i = 0; i < j->parameters; i++) {
        double z = (j->parameter[i].prior - x[i]) / j->parameter[i].prior_u;
        s->priors++;
        s->of_priors += z;
        s->squares_of_priors += z * z;
    }
}

/* Squared length of the step that is left, in all standard uncertainties together, by the
 * covariance of the whole: near enough for a hundredth. */
static double left_to_go(const nr_joint *j, const double *covariance)
{
    size_t m = j->parameters;
    double *row = malloc(j->rows * m * sizeof(double)), *r = malloc(j->rows * sizeof(double));
    double *slope = calloc(m, sizeof(double)), sum = 0;
    ck_assert_int_eq(nr_joint_residuals(j->x, (void *)j, r), 0);
    ck_assert_int_eq(nr_joint_jacobian(j->x, (void *)j, row), 0);
    for (size_t k = 0; k < j->rows; k++)
        for (size_t i = 0; i < m; i++)
            slope[i] += row[k * m + i] * r[k];
    for (size_t i = 0; i < m; i++)
        for (size_t k = 0; k < m; k++)
            sum += slope[i] * covariance[i * m + k] * slope[k];
    free(row);
    free(r);
    free(slope);
    return sum;
}

static void *copied(const void *from, size_t bytes)
{
    return memcpy(malloc(bytes), from, bytes);
}

START_TEST(drawn_as_their_noise)
{
    size_t m = joint->parameters;
    double *x = copied(joint->x, m * sizeof(double)), *truth = modelled(joint), moved = 0;
    double *variance = malloc(m * sizeof(double));
    for (size_t i = 0; i < m; i++)
        variance[i] = joint->covariance[i * m + i];
    sums s = {.n = 0};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    nr_trials *t = nr_trials_begin(joint);
    nr_err err = {.text = ""};
    gsl_rng_set(rng, 7308);
    ck_assert_ptr_nonnull(t);
    for (int k = 0; k < TRIALS; k++) {
        ck_assert_msg(!nr_trials_next(t, rng, &err), "%s", err.text);
        add_drawn(joint, truth, x, &s);
        double left = left_to_go(joint, joint->covariance);
        ck_assert_msg(left < 0.02, "trial %d: %g", k, left);
        for (size_t i = 0; i < m; i++)
            moved += pow(joint->x[i] - x[i], 2) / variance[i] / (double)m;
    }
    nr_trials_end(t);
    gsl_rng_free(rng);
    /* Four standard deviations of a sum of squares and of a mean. */
    NEAR_AT("variance of the noise", s.squares / s.n, 1, 4 * sqrt(2 / s.n));
    NEAR_AT("its neighbours", s.neighbours / s.n, 0, 4 / sqrt(s.n));
    NEAR_AT("mean of the priors", s.of_priors / s.priors, 0, 4 / sqrt(s.priors));
    NEAR_AT("their variance", s.squares_of_priors / s.priors, 1, 4 * sqrt(2 / s.priors));
    /* Solutions scatter by their variances; were all parameters one, twelve would tell so much. */
    NEAR_AT("solutions", moved / TRIALS, 1, 4 * sqrt(2.0 / TRIALS));
    free(x);
    free(truth);
    free(variance);
}
END_TEST

/* Not only what is new in each block: all of the noise has its variance, from the first one on. */
START_TEST(as_large_as_their_noise)
{
    enum { DRAWN = 6 };
    const nr_piece *p = &joint->piece[0];
    double *truth = modelled(joint), squares[NR_OUTS] = {0};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    nr_err err = {.text = ""};
    gsl_rng_set(rng, 7309);
    nr_trials *t = nr_trials_begin(joint);
    for (int k = 0; k < DRAWN; k++) {
        ck_assert_msg(!nr_trials_next(t, rng, &err), "%s", err.text);
        for (int c = 0; c < NR_OUTS; c++)
            for (size_t b = 0; p->fits[c] && b < p->part->blocks; b++) {
                double more = p->whitener[c].more ? p->whitener[c].more[b] : 0;
                double v = p->measured[c][b] - truth[p->row[c] + b];
                if (p->used[c][b])
                    squares[c] += v * v / (pow(p->noise[c].sigma, 2) + more) /
                                  (double)p->used_count[c] / DRAWN;
            }
    }
    nr_trials_end(t);
    for (int c = 0; c < NR_OUTS; c++)
        if (p->fits[c]) {
            double n = DRAWN * nr_noise_effective(&p->noise[c], p->used_count[c]);
            NEAR_AT("variance as it is", squares[c], 1, 4 * sqrt(2 / n));
        }
    gsl_rng_free(rng);
    free(truth);
}
END_TEST

/* A copy moves by itself; and behind the trials all is as before. */
START_TEST(as_it_was)
{
    size_t m = joint->parameters;
    nr_joint *copy = nr_joint_copy(joint);
    ck_assert_ptr_nonnull(copy);
    for (int round = 0; round < 2; round++) { /* as copied, and after trials of the copy */
        ck_assert(!memcmp(copy->x, joint->x, m * sizeof(double)));
        ck_assert(!memcmp(copy->covariance, joint->covariance, m * m * sizeof(double)));
        ck_assert(!memcmp(copy->residual, joint->residual, joint->rows * sizeof(double)));
        ck_assert(!memcmp(copy->whitened, joint->whitened, joint->rows * sizeof(double)));
        ck_assert(!memcmp(copy->hidden_K, joint->hidden_K, sizeof joint->hidden_K));
        ck_assert(copy->chi2_data == joint->chi2_data && copy->used_rows == joint->used_rows);
        for (size_t i = 0; i < m; i++)
            ck_assert(copy->parameter[i].prior == joint->parameter[i].prior &&
                      copy->parameter[i].prior_u == joint->parameter[i].prior_u);
        for (int c = 0; c < NR_OUTS; c++) {
            const nr_piece *p = &joint->piece[0], *q = &copy->piece[0];
            ck_assert_ptr_eq(q->measured[c], p->part->reading[c]);
            if (!p->fits[c])
                continue;
            ck_assert(!memcmp(&p->noise[c], &q->noise[c], sizeof p->noise[c]));
            ck_assert(round ||
                      !memcmp(p->reading[c], q->reading[c], p->part->blocks * sizeof(double)));
            ck_assert(!memcmp(p->whitener[c].weight, q->whitener[c].weight,
                              p->part->blocks * sizeof(double)));
        }
        if (round)
            continue;
        gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
        nr_trials *t = nr_trials_begin(copy);
        ck_assert_int_eq(nr_trials_next(t, rng, NULL), NR_OK);
        ck_assert(memcmp(copy->x, joint->x, m * sizeof(double)));
        for (size_t k = 0; k < joint->rows; k++) /* whoever writes there */
            copy->residual[k] = -1;
        for (size_t i = 0; i < m; i++)
            copy->x[i] = copy->covariance[i * m] = -1;
        nr_trials_end(t);
        gsl_rng_free(rng);
    }
    nr_joint_free(copy);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {drawn_as_their_noise, as_large_as_their_noise, as_it_was, NULL};
    return run_tests_in("trial", tests, set_up_trials, tear_down_trials);
}
