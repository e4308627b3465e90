/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which of two kinds of noise a record is given, and between which limits: what was found is
 * weighed by the dense covariance of the blocks, with the correlation of noise.h's source (Yule and
 * Walker's equations). Of second order only where that is likelier by more than NR_NOISE_SECOND;
 * memories between one block (of what drives: 0.4) and a quarter of the record. */
#include "analyze/estimate/noise.h"
#include "tests/unit/near.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_randist.h>

#include <stdbool.h>

#define MOST 160

static double correlation(const nr_noise *noise, double lag)
{
    double a = noise->phi, b = noise->phi2;
    if (!(b > 0))
        return pow(a, lag);
    if (fabs(a - b) < 2e-5 * a) { /* the same: the limit, of one to each side */
        double middle = (a + b) / 2;
        a = middle * (1 + 1e-5);
        b = middle * (1 - 1e-5);
    }
    return (pow(a, lag + 1) * (1 - b * b) - pow(b, lag + 1) * (1 - a * a)) /
           ((a - b) * (1 + a * b));
}

/* -2 ln of the likelihood at the likeliest sigma, without constants; *sigma gets that. */
static double deviance(const nr_noise *noise, const double *r, const unsigned char *used, size_t n,
                       double *sigma)
{
    size_t at[MOST], m = 0;
    for (size_t k = 0; k < n; k++)
        if (used[k])
            at[m++] = k;
    gsl_matrix *c = gsl_matrix_alloc(m, m);
    gsl_vector *v = gsl_vector_alloc(m);
    for (size_t i = 0; i < m; i++) {
        gsl_vector_set(v, i, r[at[i]]);
        for (size_t j = 0; j <= i; j++) {
            double slow = noise->slow * correlation(noise, (double)(at[i] - at[j]));
            gsl_matrix_set(c, i, j, i == j ? 1 : slow);
            gsl_matrix_set(c, j, i, i == j ? 1 : slow);
        }
    }
    gsl_linalg_cholesky_decomp1(c);
    gsl_blas_dtrsv(CblasLower, CblasNoTrans, CblasNonUnit, c, v);
    double log_det = 0, square = pow(gsl_blas_dnrm2(v), 2) / (double)m;
    for (size_t i = 0; i < m; i++)
        log_det += 2 * log(gsl_matrix_get(c, i, i));
    gsl_matrix_free(c);
    gsl_vector_free(v);
    *sigma = sqrt(square);
    return (double)m * log(square) + log_det;
}

/* A cascade of two memories (or one: 0), some white noise; has run before. */
static void simulate(gsl_rng *rng, double tau, double tau2, double white, double *r, size_t n)
{
    double s = 0, u = 0, phi = exp(-1 / tau), phi2 = tau2 > 0 ? exp(-1 / tau2) : 0;
    for (size_t k = 0; k < n + 400; k++) {
        u = phi2 * u + gsl_ran_gaussian(rng, 1);
        s = phi * s + u;
        if (k >= 400)
            r[k - 400] = s + gsl_ran_gaussian(rng, white);
    }
}

static double memory(double phi)
{
    return -1 / log(phi);
}

/* Inside of what may be told. */
static void within(const nr_noise *found, size_t n)
{
    double longest = fmax((double)n / 4, 4) * (1 + 1e-9);
    double one = memory(found->phi), other = found->phi2 > 0 ? memory(found->phi2) : 0;
    ck_assert_msg(one + other <= longest, "%zu: %g + %g", n, one, other);
    ck_assert_double_ge(one, found->phi2 > 0 ? 0.4 : 1 - 1e-9);
    ck_assert(found->phi2 == 0 || (other > 0.4 - 1e-9 && found->phi2 <= found->phi + 1e-12));
}

START_TEST(the_likelier_by_ten)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, 8205);
    int twice = 0, close = 0, once = 0;
    for (int k = 0; k < 60; k++) {
        double r[MOST], sigma, sigma2;
        unsigned char used[MOST];
        size_t n = 40 + 4 * (size_t)(k % 20);
        simulate(rng, 2 + k % 5, k % 3 ? 1 + k % 4 : 0, k % 2 ? 0.3 : 0.05, r, n);
        for (size_t i = 0; i < n; i++)
            used[i] = k % 4 != 3 || i % 9 != 4;
        nr_noise found = nr_noise_estimate(r, used, n, 1e-9);
        within(&found, n);
        /* A floor above all that is there: nothing more than first order. */
        nr_noise plain = nr_noise_estimate(r, used, n, 1e6);
        ck_assert(plain.phi2 == 0 && plain.sigma == 1e6);
        within(&plain, n);
        double first = deviance(&plain, r, used, n, &sigma);
        double better = first - deviance(&found, r, used, n, &sigma2);
        NEAR_RELATIVE(found.sigma, sigma2, 1e-6);
        if (found.phi2 > 0) {
            ck_assert_msg(better > 10 - 1e-4, "record %d: likelier by %g", k, better);
            twice++;
            close += better < 18;
        } else {
            NEAR(better, 0, 1e-9);
            once++;
        }
        /* The floor is in the same place for the second order: just under and just over what is
         * there of first. */
        nr_noise under = nr_noise_estimate(r, used, n, sigma * 0.999);
        nr_noise over = nr_noise_estimate(r, used, n, sigma * 1.001);
        ck_assert((under.phi2 > 0) == (found.phi2 > 0) && over.phi2 == 0);
        NEAR_RELATIVE(under.sigma, fmax(found.sigma, sigma * 0.999), 1e-9);
        NEAR_RELATIVE(over.sigma, sigma * 1.001, 1e-12);
    }
    gsl_rng_free(rng);
    ck_assert_msg(twice > 12 && once > 12 && close > 2, "%d, %d, %d", twice, once, close);
}
END_TEST

/* What wanders slower than a quarter of the record has the memory of a quarter, shared by two where
 * there are two; a shorter record than 16 blocks: of four. What turns at each block has none, and a
 * share as small as is looked at. */
START_TEST(limits_of_what_can_be_told)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, 8206);
    for (size_t n = 12; n <= 156; n += 24) {
        double r[MOST];
        unsigned char used[MOST];
        memset(used, 1, sizeof used);
        for (size_t k = 0; k < n; k++)
            r[k] = 100 + 3 * (double)k + gsl_ran_gaussian(rng, 0.1);
        nr_noise found = nr_noise_estimate(r, used, n, 1e9);
        NEAR_RELATIVE(memory(found.phi), fmax((double)n / 4, 4), 1e-9);
        NEAR(found.slow, 1 / (1 + exp(-8)), 1e-6);
        if (n >= 36) {
            for (size_t k = 0; k < n; k++)
                r[k] = sin(2 * M_PI * (double)k / (double)n) + gsl_ran_gaussian(rng, 1e-4);
            found = nr_noise_estimate(r, used, n, 1e-9);
            ck_assert(found.phi2 > 0);
            NEAR_RELATIVE(memory(found.phi) + memory(found.phi2), (double)n / 4, 0.02);
        }
        for (size_t k = 0; k < n; k++)
            r[k] = k % 2 ? 1 : -1;
        found = nr_noise_estimate(r, used, n, 1e-9);
        NEAR(found.slow, 1 / (1 + exp(8)), 1e-6);
        ck_assert(found.phi2 == 0);
    }
    gsl_rng_free(rng);
}
END_TEST

/* log of the longer memory, how much shorter the other is, logit of the slow share. */
static nr_noise of_place(const double place[3], bool second)
{
    return (nr_noise){.slow = 1 / (1 + exp(-place[2])),
                      .phi = exp(-exp(-place[0])),
                      .phi2 = second ? exp(-exp(place[1] - place[0])) : 0};
}

static bool searched(const double place[3], bool second, size_t n)
{
    double longer = exp(place[0]), other = second ? exp(place[0] - place[1]) : 0;
    return longer >= 1 && longer + other <= (double)n / 4 && (!second || other >= 0.4) &&
           place[1] >= 0 && place[2] >= -8 && place[2] <= (second ? 12 : 8);
}

/* Where the search ended, no step to either side along any of its directions is likelier: of one
 * memory by a thousandth and more, of two by five. */
START_TEST(nothing_beside_is_likelier)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, 8207);
    int tried[2] = {0};
    for (int k = 0; k < 48; k++) {
        double r[MOST], sigma;
        unsigned char used[MOST];
        size_t n = 40 + 4 * (size_t)(k % 10);
        simulate(rng, 1.5 + k % 5, k % 2 ? 1 + k % 4 : 0, k % 3 ? 0.5 : 0.05, r, n);
        for (size_t i = 0; i < n; i++)
            used[i] = k % 4 != 3 || i % 9 != 4;
        for (int plain = 0; plain < 2; plain++) {
            nr_noise found = nr_noise_estimate(r, used, n, plain ? 1e6 : 1e-9);
            bool second = found.phi2 > 0;
            double at[3] = {log(memory(found.phi)),
                            second ? log(memory(found.phi) / memory(found.phi2)) : 0,
                            log(found.slow / (1 - found.slow))};
            double best = deviance(&found, r, used, n, &sigma);
            for (int way = 0; way < 6; way++) {
                double to[3] = {at[0], at[1], at[2]};
                to[way / 2] += (way % 2 ? -1 : 1) * (second ? 5e-3 : 1e-3);
                if ((!second && way / 2 == 1) || !searched(to, second, n))
                    continue;
                nr_noise other = of_place(to, second);
                double more = deviance(&other, r, used, n, &sigma) - best;
                ck_assert_msg(more > -1e-5, "record %d, %d memories, way %d: %g", k, 1 + second,
                              way, more);
                tried[second]++;
            }
        }
    }
    gsl_rng_free(rng);
    ck_assert_msg(tried[0] > 40 && tried[1] > 20, "%d, %d", tried[0], tried[1]);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {the_likelier_by_ten, limits_of_what_can_be_told,
                                  nothing_beside_is_likelier, NULL};
    return run_tests("noise, which kind", tests);
}
