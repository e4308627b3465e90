/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The noise model of the residuals against a second way to the same numbers: the dense covariance
 * matrix of the series, factored by Cholesky (GSL), with the rows and columns of unused blocks
 * struck out. What the filter does block by block must be that, to rounding. The covariance of a
 * cascade is summed over its answer to one impulse, of which the filter knows nothing. */
#include "analyze/estimate/noise.h"
#include "tests/unit/near.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

#include <stdbool.h>

#define MOST 4000
/* Of the logarithms of what one record of gusts gives. */
#define SPREAD_OF_MEAN 0.34
#define SPREAD_OF_SIGMA 0.118

/* r[k] = s[k] + v[k], s first-order autoregressive and stationary from the start. */
static void simulate_first(const nr_noise *noise, gsl_rng *rng, double *r, size_t n)
{
    double slow = noise->sigma * sqrt(noise->slow), white = noise->sigma * sqrt(1 - noise->slow);
    double s = gsl_ran_gaussian(rng, slow);
    for (size_t k = 0; k < n; k++) {
        r[k] = s + gsl_ran_gaussian(rng, white);
        s = noise->phi * s + gsl_ran_gaussian(rng, slow * sqrt(1 - noise->phi * noise->phi));
    }
}

#define LONGEST 4000

/* correlation [n] of s: sums of products of the two filters' answer to an impulse, one after the
 * other. Returns its variance for one of the impulses. */
static double correlations(const nr_noise *noise, double *correlation, size_t n)
{
    static double answer[LONGEST];
    double u = 1, s = 0, variance = 0;
    for (size_t k = 0; k < LONGEST; k++) {
        s = noise->phi * s + u;
        u *= noise->phi2;
        answer[k] = s;
    }
    for (size_t lag = 0; lag < n; lag++) {
        double sum = 0;
        for (size_t k = LONGEST; k-- > lag;)
            sum += answer[k] * answer[k - lag];
        variance = lag == 0 ? sum : variance;
        correlation[lag] = sum / variance;
    }
    return variance;
}

/* The same of second order; stationary because it has run for some time before. */
static void simulate_second(const nr_noise *noise, gsl_rng *rng, double *r, size_t n)
{
    double one, white = noise->sigma * sqrt(1 - noise->slow), s = 0, u = 0;
    double drive = noise->sigma * sqrt(noise->slow / correlations(noise, &one, 1));
    for (size_t k = 0; k < n + LONGEST; k++) {
        u = noise->phi2 * u + gsl_ran_gaussian(rng, drive);
        s = noise->phi * s + u;
        if (k >= LONGEST)
            r[k - LONGEST] = s + gsl_ran_gaussian(rng, white);
    }
}

static void simulate(const nr_noise *noise, unsigned long seed, double *r, size_t n)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, seed);
    (noise->phi2 > 0 ? simulate_second : simulate_first)(noise, rng, r, n);
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
    static double correlation[MOST];
    correlations(noise, correlation, count);
    for (size_t i = 0; i < n; i++) {
        gsl_vector_set(v, i, r[at[i]]);
        for (size_t j = 0; j < n; j++) {
            double slow = noise->slow * correlation[at[i] > at[j] ? at[i] - at[j] : at[j] - at[i]];
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
    {.sigma = 0.05, .slow = 0.6, .phi = 0.9},
    {.sigma = 2.0, .slow = 0.95, .phi = 0.99},
    {.sigma = 0.3, .slow = 0.2, .phi = 0.5},
    {.sigma = 1.0, .slow = 0.0, .phi = 0.7},
    {.sigma = 1.0, .slow = 0.999, .phi = 0.05},
    {.sigma = 1.0, .slow = 0.5, .phi = 0.0},
    {.sigma = 0.2, .slow = 0.9, .phi = 0.9, .phi2 = 0.6},
    {.sigma = 1.0, .slow = 0.99, .phi = 0.85, .phi2 = 0.85},
    {.sigma = 0.3, .slow = 0.7, .phi = 0.98, .phi2 = 0.2},
};
#define MODELS (sizeof models / sizeof models[0])
#define FIRST_ORDER 6
static const nr_noise gusts = {
    .sigma = 0.2, .slow = 0.995, .phi = 0.84648172, .phi2 = 0.80073740}; /* 60 s, 45 s */

/* Variance of the mean of n. */
static double of_mean(const nr_noise *noise, const double *correlation, size_t n)
{
    double size = (double)n, sum = size;
    for (size_t lag = 1; lag < n; lag++)
        sum += 2 * (size - (double)lag) * noise->slow * correlation[lag];
    return noise->sigma * noise->sigma * sum / (size * size);
}

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
    const nr_noise *noise = &models[_i];
    enum { N = 40, COLUMNS = 71, STRIDE = 75 };
    static double rows[N][STRIDE], one[N];
    unsigned char used[N];
    punch_holes(used, N);
    nr_whitener w;
    ck_assert(nr_whitener_init(&w, N));
    nr_whitener_set(&w, noise, used);
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

/* And of second order: nothing on a grid over both memories. */
START_TEST(the_search_finds_the_most_likely_cascade)
{
    enum { N = 160 };
    double r[N];
    unsigned char used[N];
    for (unsigned long seed = 1; seed <= 3; seed++) {
        punch_holes(used, N);
        simulate(&gusts, 200 + seed, r, N);
        nr_noise found = nr_noise_estimate(r, used, N, 1e-9);
        ck_assert_msg(found.phi2 > 0, "seed %lu: of first order", seed);
        dense d = dense_likelihood(&found, NULL, r, used, N);
        double at_best = d.quadratic + d.log_det;
        NEAR_AT("sigma is the profile's", d.quadratic, (double)d.n, 1e-8 * (double)d.n);
        for (int k = 0; k < 6 * 6 * 6; k++) {
            nr_noise other = {.sigma = 1,
                              .slow = 1 - pow(10, -0.5 - 0.5 * (k % 6)),
                              .phi = exp(-1 / pow(1.6, 1 + k / 6 % 6)),
                              .phi2 = exp(-1 / pow(1.6, k / 36))};
            dense o = dense_likelihood(&other, NULL, r, used, N);
            double deviance =
                (double)o.n * log(o.quadratic / (double)o.n) + (double)o.n + o.log_det;
            ck_assert_msg(deviance > at_best - 0.02, "seed %lu: %g %g %g is likelier by %g", seed,
                          other.slow, other.phi, other.phi2, at_best - deviance);
        }
    }
}
END_TEST

/* Gusts of 45 s behind a collector of 60 s, read every ten seconds: what their record foretells of
 * a mean over a quarter of an hour, against the sum of their covariances. As noise of first order
 * it is 1.8 times the variance. Limits as above: four times what 200 other seeds (3001 to 3200)
 * gave, of one and of the mean. */
START_TEST(gusts_are_known_by_their_two_memories)
{
    enum { N = 430, SEEDS = 20, MEAN = 90 };
    static double r[N], truth_at[MEAN], found_at[MEAN];
    unsigned char used[N];
    double ratio = 0, off = 0;
    correlations(&gusts, truth_at, MEAN);
    for (unsigned long seed = 1; seed <= SEEDS; seed++) {
        memset(used, 1, N);
        simulate(&gusts, 300 + seed, r, N);
        nr_noise found = nr_noise_estimate(r, used, N, 1e-6);
        ck_assert_msg(found.phi2 > 0 && found.phi2 <= found.phi, "seed %lu: phi %g %g", seed,
                      found.phi, found.phi2);
        correlations(&found, found_at, MEAN);
        double log_ratio = log(of_mean(&found, found_at, MEAN) / of_mean(&gusts, truth_at, MEAN));
        double log_sigma = log(found.sigma / gusts.sigma);
        ratio += log_ratio / SEEDS;
        off += log_sigma / SEEDS;
        NEAR_AT("variance of a mean", log_ratio, 0, 4 * SPREAD_OF_MEAN);
        NEAR_AT("sigma", log_sigma, 0, 4 * SPREAD_OF_SIGMA);
        check_white(&found, r, used, N, seed);
    }
    NEAR(ratio, 0, 4 * SPREAD_OF_MEAN / sqrt(SEEDS));
    NEAR(off, 0, 4 * SPREAD_OF_SIGMA / sqrt(SEEDS));
}
END_TEST

/* What is of first order stays it, white noise and long memory too. */
START_TEST(one_memory_is_not_taken_for_two)
{
    enum { N = 430 };
    static double r[N];
    unsigned char used[N];
    for (size_t m = 0; m < FIRST_ORDER; m++)
        for (unsigned long seed = 1; seed <= 12; seed++) {
            memset(used, 1, N);
            simulate(&models[m], 400 + seed, r, N);
            nr_noise found = nr_noise_estimate(r, used, N, 1e-6);
            ck_assert_msg(found.phi2 == 0, "model %zu, seed %lu: phi %g %g", m, seed, found.phi,
                          found.phi2);
            /* Memory of more than a quarter of the record is not made up of two shorter ones. */
            found = nr_noise_estimate(r, used, N / 4, 1e-6);
            ck_assert_msg(found.phi2 == 0, "model %zu, seed %lu, a part: phi %g %g", m, seed,
                          found.phi, found.phi2);
        }
}
END_TEST

START_TEST(correlation_of_the_slow_part)
{
    static double exact[200];
    for (size_t m = 0; m < MODELS; m++) {
        correlations(&models[m], exact, 200);
        for (size_t lag = 0; lag < 200; lag++)
            NEAR(nr_noise_slow_correlation(&models[m], (double)lag), exact[lag], 1e-11);
        /* u alone, of one impulse: 1 / (1 - phi2^2). */
        double alone = 1 / (1 - models[m].phi2 * models[m].phi2);
        NEAR(nr_noise_driver(&models[m]), alone / correlations(&models[m], exact, 1), 1e-11);
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

static double effective_by_sum(const nr_noise *noise, size_t n)
{
    static double correlation[20000];
    correlations(noise, correlation, n);
    return noise->sigma * noise->sigma / of_mean(noise, correlation, n);
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
    tcase_add_loop_test(all, columns_are_whitened_alike, 0, (int)MODELS);
    tcase_add_test(all, parameters_are_recovered);
    tcase_add_test(all, the_search_finds_the_most_likely);
    tcase_add_test(all, the_search_finds_the_most_likely_cascade);
    tcase_add_test(all, gusts_are_known_by_their_two_memories);
    tcase_add_test(all, one_memory_is_not_taken_for_two);
    tcase_add_test(all, correlation_of_the_slow_part);
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
