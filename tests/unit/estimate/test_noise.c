/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The noise model of the residuals against a second way to the same numbers: the dense covariance
 * matrix of the series, factored by Cholesky (GSL), with the rows and columns of unused blocks
 * struck out. What the filter does block by block must be that, to rounding. */
#include "analyze/estimate/noise.h"
#include "tests/unit/near.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

#include <stdbool.h>

#define MOST 4000

/* r[k] = s[k] + v[k], s first-order autoregressive and stationary from the start. */
static void simulate(const nr_noise *noise, unsigned long seed, double *r, size_t n)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, seed);
    double slow = noise->sigma * sqrt(noise->slow), white = noise->sigma * sqrt(1 - noise->slow);
    double s = gsl_ran_gaussian(rng, slow);
    for (size_t k = 0; k < n; k++) {
        r[k] = s + gsl_ran_gaussian(rng, white);
        s = noise->phi * s + gsl_ran_gaussian(rng, slow * sqrt(1 - noise->phi * noise->phi));
    }
    gsl_rng_free(rng);
}

/* Blocks out of use: single ones, a long stretch, and the very first and last. */
static void punch_holes(unsigned char *used, size_t n)
{
    for (size_t k = 0; k < n; k++)
        used[k] = !(k == 0 || k == n - 1 || k % 7 == 3 || (k >= n / 3 && k < n / 3 + n / 6));
}

typedef struct dense {
    double quadratic; /* r' C^-1 r */
    double log_det;   /* ln |C| */
    size_t n;
} dense;

/* more [count]: variance of each block besides the noise; NULL: none. */
static dense dense_likelihood(const nr_noise *noise, const double *more, const double *r,
                              const unsigned char *used, size_t count)
{
    size_t at[MOST], n = 0;
    for (size_t k = 0; k < count; k++)
        if (used[k])
            at[n++] = k;
    gsl_matrix *c = gsl_matrix_alloc(n, n);
    gsl_vector *v = gsl_vector_alloc(n);
    double total = noise->sigma * noise->sigma;
    for (size_t i = 0; i < n; i++) {
        gsl_vector_set(v, i, r[at[i]]);
        for (size_t j = 0; j < n; j++) {
            double lag = fabs((double)at[i] - (double)at[j]);
            double slow = noise->slow * pow(noise->phi, lag);
            gsl_matrix_set(c, i, j,
                           total * (slow + (i == j ? 1 - noise->slow : 0)) +
                               (i == j && more ? more[at[i]] : 0));
        }
    }
    gsl_linalg_cholesky_decomp1(c);
    gsl_blas_dtrsv(CblasLower, CblasNoTrans, CblasNonUnit, c, v);
    dense d = {.n = n};
    for (size_t i = 0; i < n; i++) {
        d.quadratic += gsl_vector_get(v, i) * gsl_vector_get(v, i);
        d.log_det += 2 * log(gsl_matrix_get(c, i, i));
    }
    gsl_matrix_free(c);
    gsl_vector_free(v);
    return d;
}

static const nr_noise models[] = {
    {.sigma = 0.05, .slow = 0.6, .phi = 0.9},   {.sigma = 2.0, .slow = 0.95, .phi = 0.99},
    {.sigma = 0.3, .slow = 0.2, .phi = 0.5},    {.sigma = 1.0, .slow = 0.0, .phi = 0.7},
    {.sigma = 1.0, .slow = 0.999, .phi = 0.05}, {.sigma = 1.0, .slow = 0.5, .phi = 0.0},
};
#define MODELS (sizeof models / sizeof models[0])

START_TEST(whitening_is_the_dense_likelihood)
{
    const nr_noise *noise = &models[_i];
    enum { N = 150 };
    double r[N], more[N];
    unsigned char used[N];
    for (size_t k = 0; k < N; k++) /* a front of some blocks in every thirty */
        more[k] = k % 30 < 4 ? pow(2 * noise->sigma / (double)(1 + k % 30), 2) : 0;
    for (int holes = 0; holes < 4; holes++) {
        simulate(noise, 11 + (unsigned long)_i, r, N);
        memset(used, 1, N);
        if (holes % 2)
            punch_holes(used, N);
        dense d = dense_likelihood(noise, holes < 2 ? NULL : more, r, used, N);
        nr_whitener w;
        ck_assert(nr_whitener_init(&w, N));
        w.more = holes < 2 ? NULL : more;
        nr_whitener_set(&w, noise, used);
        for (size_t k = 0; k < N; k++)
            r[k] = used[k] ? r[k] : NAN; /* what stands there must not matter */
        nr_whiten(&w, r, 1, 1);
        double quadratic = 0, log_det = 0;
        for (size_t k = 0; k < N; k++) {
            quadratic += r[k] * r[k];
            log_det -= used[k] ? 2 * log(w.weight[k]) : 0;
            ck_assert(used[k] || r[k] == 0);
        }
        NEAR_RELATIVE(quadratic, d.quadratic, 1e-10);
        NEAR(log_det, d.log_det, 1e-9 * (double)d.n);
        nr_whitener_free(&w);
    }
}
END_TEST

/* Whitening is linear and the same for every column: a Jacobian of more columns than are taken at
 * a time, inside longer rows, comes out as column after column does, and its neighbours are left
 * alone. */
START_TEST(columns_are_whitened_alike)
{
    enum { N = 40, COLUMNS = 71, STRIDE = 75 };
    static double rows[N][STRIDE], one[N];
    unsigned char used[N];
    punch_holes(used, N);
    nr_whitener w;
    ck_assert(nr_whitener_init(&w, N));
    nr_whitener_set(&w, &models[0], used);
    for (size_t k = 0; k < N; k++)
        for (size_t j = 0; j < STRIDE; j++)
            rows[k][j] = sin((double)(k * (j + 1)));
    nr_whiten(&w, &rows[0][0], STRIDE, COLUMNS);
    for (size_t j = 0; j < STRIDE; j++) {
        for (size_t k = 0; k < N; k++)
            one[k] = sin((double)(k * (j + 1)));
        if (j < COLUMNS)
            nr_whiten(&w, one, 1, 1);
        for (size_t k = 0; k < N; k++)
            NEAR(rows[k][j], one[k], 1e-12);
    }
    nr_whitener_free(&w);
}
END_TEST

static double lag_correlation(const double *e, size_t n, size_t lag)
{
    double sum = 0, at_lag = 0;
    for (size_t k = 0; k < n; k++) {
        sum += e[k] * e[k];
        at_lag += k >= lag ? e[k] * e[k - lag] : 0;
    }
    return at_lag / sum;
}

static void check_white(const nr_noise *noise, double *r, const unsigned char *used, size_t n,
                        unsigned long seed)
{
    nr_whitener w;
    ck_assert(nr_whitener_init(&w, n));
    nr_whitener_set(&w, noise, used);
    nr_whiten(&w, r, 1, 1);
    nr_whitener_free(&w);
    double e[MOST], sum = 0, box = 0;
    size_t m = 0;
    for (size_t k = 0; k < n; k++)
        if (used[k]) {
            e[m++] = r[k];
            sum += r[k] * r[k];
        }
    double size = (double)m;
    ck_assert_msg(fabs(sum / size - 1) < 4 * sqrt(2 / size), "seed %lu: variance %g", seed,
                  sum / size);
    ck_assert_msg(fabs(lag_correlation(e, m, 1)) < 4 / sqrt(size), "seed %lu: lag-1 %g", seed,
                  lag_correlation(e, m, 1));
    /* Ljung and Box over 20 lags; 45.3 is the 99.9 % point of chi-squared with 20. */
    for (size_t lag = 1; lag <= 20; lag++)
        box += size * (size + 2) * pow(lag_correlation(e, m, lag), 2) / (size - (double)lag);
    ck_assert_msg(box < 45.3, "seed %lu: portmanteau %g", seed, box);
}

/* The spread of the estimates is that of the maximum likelihood at this length; the limits are four
 * times what 200 other seeds (1001 to 1200) gave: sigma 2.5 %, slow 0.028, phi 0.0103, the mean of
 * the twenty within four of its standard errors. */
START_TEST(parameters_are_recovered)
{
    enum { SEEDS = 20 };
    const nr_noise truth = {.sigma = 0.05, .slow = 0.6, .phi = 0.9};
    static double r[MOST], copy[MOST];
    static unsigned char used[MOST];
    double mean[3] = {0};
    for (unsigned long seed = 1; seed <= SEEDS; seed++) {
        simulate(&truth, seed, r, MOST);
        memset(used, 1, MOST);
        if (seed % 2)
            punch_holes(used, MOST);
        for (size_t k = 0; k < MOST; k++)
            copy[k] = used[k] ? r[k] : NAN;
        nr_noise found = nr_noise_estimate(copy, used, MOST, 1e-6);
        char what[32];
        snprintf(what, sizeof what, "seed %lu", seed);
        NEAR_AT(what, found.sigma, truth.sigma, 0.1 * truth.sigma);
        NEAR_AT(what, found.slow, truth.slow, 0.11);
        NEAR_AT(what, found.phi, truth.phi, 0.041);
        mean[0] += found.sigma / SEEDS;
        mean[1] += found.slow / SEEDS;
        mean[2] += found.phi / SEEDS;
        check_white(&found, copy, used, MOST, seed);
    }
    NEAR(mean[0], truth.sigma, 0.1 * truth.sigma / sqrt(SEEDS));
    NEAR(mean[1], truth.slow, 0.11 / sqrt(SEEDS));
    NEAR(mean[2], truth.phi, 0.041 / sqrt(SEEDS));
}
END_TEST

/* Nothing on a fine grid is more likely than what the search found. */
START_TEST(the_search_finds_the_most_likely)
{
    enum { N = 120 };
    double r[N];
    unsigned char used[N];
    for (unsigned long seed = 1; seed <= 4; seed++) {
        punch_holes(used, N);
        if (seed % 2) /* one hole, after the filter has settled */
            for (size_t k = 0; k < N; k++)
                used[k] = k < N / 2 || k >= N / 2 + 3;
        simulate(&models[seed % 3], 100 + seed, r, N);
        nr_noise found = nr_noise_estimate(r, used, N, 1e-9);
        dense d = dense_likelihood(&found, NULL, r, used, N);
        double at_best = d.quadratic + d.log_det;
        NEAR_AT("sigma is the profile's", d.quadratic, (double)d.n, 1e-8 * (double)d.n);
        for (double slow = 0.02; slow < 1; slow += 0.06) {
            for (double tau = 1; tau < N / 4.0; tau *= 1.3) {
                nr_noise other = {.sigma = 1, .slow = slow, .phi = exp(-1 / tau)};
                dense o = dense_likelihood(&other, NULL, r, used, N);
                double deviance =
                    (double)o.n * log(o.quadratic / (double)o.n) + (double)o.n + o.log_det;
                ck_assert_msg(deviance > at_best - 0.02,
                              "seed %lu: slow %g tau %g is likelier by %g than slow %g phi %g",
                              seed, slow, tau, at_best - deviance, found.slow, found.phi);
            }
        }
    }
}
END_TEST

START_TEST(white_noise_is_seen_as_white)
{
    const nr_noise truth = {.sigma = 0.02, .slow = 0, .phi = 0};
    static double r[MOST];
    static unsigned char used[MOST];
    memset(used, 1, MOST);
    simulate(&truth, 5, r, MOST);
    nr_noise found = nr_noise_estimate(r, used, MOST, 1e-6);
    NEAR_RELATIVE(found.sigma, truth.sigma, 0.05);
    ck_assert_double_gt(nr_noise_effective(&found, MOST), 0.8 * MOST);
    check_white(&found, r, used, MOST, 5);
}
END_TEST

START_TEST(the_floor_holds)
{
    double r[50] = {0};
    unsigned char used[50];
    memset(used, 1, sizeof used);
    nr_noise found = nr_noise_estimate(r, used, 50, 0.002);
    ck_assert_double_eq(found.sigma, 0.002);
    memset(used, 0, sizeof used); /* nothing to estimate from */
    found = nr_noise_estimate(r, used, 50, 0.002);
    ck_assert_double_eq(found.sigma, 0.002);
    ck_assert(found.phi >= 0 && found.phi < 1 && found.slow >= 0 && found.slow <= 1);
}
END_TEST

/* Variance of the mean of n by summing the covariances. */
static double effective_by_sum(const nr_noise *noise, size_t n)
{
    double size = (double)n, sum = size;
    for (size_t lag = 1; lag < n; lag++)
        sum += 2 * (size - (double)lag) * noise->slow * pow(noise->phi, (double)lag);
    return size * size / sum;
}

START_TEST(effective_number_of_a_mean)
{
    for (size_t m = 0; m < MODELS; m++) {
        double exact = effective_by_sum(&models[m], 20000);
        NEAR_RELATIVE(nr_noise_effective(&models[m], 20000), exact, 0.01);
        /* A short record: the long record's formula never promises more than there is. */
        double few = nr_noise_effective(&models[m], 30);
        ck_assert_double_le(few, fmax(effective_by_sum(&models[m], 30), 1) * (1 + 1e-12));
        ck_assert_double_ge(few, 1);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("noise");
    TCase *all = tcase_create("noise");
    tcase_set_timeout(all, 60);
    tcase_add_loop_test(all, whitening_is_the_dense_likelihood, 0, (int)MODELS);
    tcase_add_test(all, columns_are_whitened_alike);
    tcase_add_test(all, parameters_are_recovered);
    tcase_add_test(all, the_search_finds_the_most_likely);
    tcase_add_test(all, white_noise_is_seen_as_white);
    tcase_add_test(all, the_floor_holds);
    tcase_add_test(all, effective_number_of_a_mean);
    suite_add_tcase(suite, all);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
