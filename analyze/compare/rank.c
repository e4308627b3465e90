/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/compare/rank.h"
#include "logger/base/order.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_eigen.h>
#include <gsl/gsl_matrix.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define LEVEL 0.95
/* Sets that stand for letters; more are never needed for builds on a line. */
#define MOST_SETS 256

typedef double root_of[NR_BUILDS][NR_BUILDS];

/* root root' = covariance, by eigenvectors: builds that share everything make it singular. */
static bool take_root(const nr_cloud *c, root_of root)
{
    gsl_matrix *a = gsl_matrix_alloc(c->n, c->n), *v = gsl_matrix_alloc(c->n, c->n);
    gsl_vector *e = gsl_vector_alloc(c->n);
    gsl_eigen_symmv_workspace *w = gsl_eigen_symmv_alloc(c->n);
    bool good = a && v && e && w;
    for (size_t i = 0; good && i < c->n; i++)
        for (size_t k = 0; k < c->n; k++)
            gsl_matrix_set(a, i, k, (c->covariance[i][k] + c->covariance[k][i]) / 2);
    good = good && !gsl_eigen_symmv(a, e, v, w);
    for (size_t i = 0; good && i < c->n; i++)
        for (size_t k = 0; k < c->n; k++)
            root[i][k] = gsl_matrix_get(v, i, k) * sqrt(fmax(gsl_vector_get(e, k), 0));
    gsl_matrix_free(a);
    gsl_matrix_free(v);
    gsl_vector_free(e);
    gsl_eigen_symmv_free(w);
    return good;
}

static bool gather(const nr_lines *l, nr_compared by, nr_cloud *c)
{
    c->n = 0;
    for (size_t b = 0; b < l->builds; b++)
        if (l->line[by][b].known)
            c->build[c->n++] = b;
    for (size_t i = 0; i < c->n; i++) {
        c->value[i] = l->line[by][c->build[i]].value;
        for (size_t k = 0; k < c->n; k++)
            c->covariance[i][k] = nr_lines_covariance(l, by, c->build[i], by, c->build[k]);
    }
    return c->n > 0;
}

/* Errors of all results, one way they may be. */
static void draw(const nr_cloud *c, root_of root, gsl_rng *rng, double *error)
{
    double z[NR_BUILDS];
    for (size_t k = 0; k < c->n; k++)
        z[k] = gsl_ran_gaussian_ziggurat(rng, 1);
    for (size_t i = 0; i < c->n; i++) {
        error[i] = 0;
        for (size_t k = 0; k < c->n; k++)
            error[i] += root[i][k] * z[k];
    }
}

static double u_of_pair(const nr_cloud *c, size_t i, size_t k)
{
    return sqrt(fmax(c->covariance[i][i] + c->covariance[k][k] - 2 * c->covariance[i][k], 0));
}

static double worst_pair(const nr_cloud *c, double u[NR_BUILDS][NR_BUILDS], const double *error)
{
    double worst = 0;
    for (size_t i = 0; i < c->n; i++)
        for (size_t k = 0; k < i; k++)
            if (u[i][k] > 0)
                worst = fmax(worst, fabs(error[i] - error[k]) / u[i][k]);
    return worst;
}

static void run_draws(const nr_cloud *c, root_of root, gsl_rng *rng, double *worst,
                      unsigned counts[NR_BUILDS][NR_BUILDS])
{
    double u[NR_BUILDS][NR_BUILDS], error[NR_BUILDS];
    gsl_rng_set(rng, NR_RANK_SEED);
    memset(counts, 0, NR_BUILDS * sizeof *counts);
    for (size_t i = 0; i < c->n; i++)
        for (size_t k = 0; k < c->n; k++)
            u[i][k] = u_of_pair(c, i, k);
    for (size_t d = 0; d < NR_RANK_DRAWS; d++) {
        draw(c, root, rng, error);
        worst[d] = worst_pair(c, u, error);
        for (size_t i = 0; i < c->n; i++) {
            size_t before = 0;
            for (size_t k = 0; k < c->n; k++)
                before += c->value[k] + error[k] < c->value[i] + error[i];
            counts[i][before]++;
        }
    }
    qsort(worst, NR_RANK_DRAWS, sizeof *worst, nr_ascending);
}

bool nr_rank_simulate(const nr_cloud *c, unsigned counts[NR_BUILDS][NR_BUILDS], double *k95)
{
    root_of root;
    double *worst = malloc(NR_RANK_DRAWS * sizeof *worst);
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    bool good = worst && rng && take_root(c, root);
    if (good)
        run_draws(c, root, rng, worst, counts);
    if (good) /* of two builds there is one pair, whose factor is known */
        *k95 = c->n < 3 ? gsl_cdf_ugaussian_Pinv(0.5 + LEVEL / 2)
                        : worst[(size_t)ceil(LEVEL * NR_RANK_DRAWS) - 1];
    gsl_rng_free(rng);
    free(worst);
    return good;
}

/* ---- letters ---- */

typedef struct sets {
    size_t count;
    uint32_t of[MOST_SETS];
} sets;

/* Sets inside another say nothing new. */
static void absorb(sets *s)
{
    for (size_t i = 0; i < s->count; i++)
        for (size_t k = 0; k < s->count; k++)
            if (i != k && (s->of[i] & s->of[k]) == s->of[i]) {
                s->of[i--] = s->of[--s->count];
                break;
            }
}

/* No set may hold both. */
static void insert(sets *s, size_t a, size_t b)
{
    uint32_t both = (uint32_t)1 << a | (uint32_t)1 << b;
    for (size_t i = s->count; i-- > 0;) {
        if ((s->of[i] & both) != both || s->count == MOST_SETS)
            continue;
        s->of[s->count++] = s->of[i] & ~((uint32_t)1 << a);
        s->of[i] &= ~((uint32_t)1 << b);
    }
    absorb(s);
}

/* Whether set a begins before b: with the faster of the first members that are not in both. */
static bool earlier(uint32_t a, uint32_t b)
{
    uint32_t differ = a ^ b;
    return (a & (differ & (~differ + 1))) != 0;
}

static void sort(sets *s)
{
    for (size_t i = 1; i < s->count; i++)
        for (size_t k = i; k > 0 && earlier(s->of[k], s->of[k - 1]); k--) {
            uint32_t before = s->of[k];
            s->of[k] = s->of[k - 1];
            s->of[k - 1] = before;
        }
}

void nr_rank_letters(const bool *apart, size_t count, char *const *letters, size_t size)
{
    static const char alphabet[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ";
    sets s = {.count = 1, .of = {count < 32 ? ((uint32_t)1 << count) - 1 : UINT32_MAX}};
    for (size_t i = 0; i < count; i++)
        for (size_t k = i + 1; k < count; k++)
            if (apart[i * count + k])
                insert(&s, i, k);
    sort(&s);
    for (size_t i = 0; i < count; i++) {
        size_t used = 0;
        for (size_t k = 0; k < s.count && k < sizeof alphabet - 1; k++)
            if (s.of[k] >> i & 1 && used + 1 < size)
                letters[i][used++] = alphabet[k];
        letters[i][used] = '\0';
    }
}

static void give_letters(const nr_cloud *c, nr_compare *out, const size_t *order)
{
    bool apart[NR_BUILDS * NR_BUILDS];
    char *letters[NR_BUILDS];
    for (size_t i = 0; i < c->n; i++) {
        letters[i] = out->rank[i].letters;
        for (size_t k = 0; k < c->n; k++)
            apart[i * c->n + k] = fabs(c->value[order[i]] - c->value[order[k]]) >
                                  out->all_k[NR_BY_TIME] * u_of_pair(c, order[i], order[k]);
    }
    nr_rank_letters(apart, c->n, letters, sizeof out->rank[0].letters);
}

/* ---- ranks ---- */

/* The rank below which so much of its draws lie. */
static size_t rank_at(const unsigned *counts, size_t n, double share)
{
    double sum = 0;
    for (size_t k = 0; k < n; k++) {
        sum += counts[k] / (double)NR_RANK_DRAWS;
        if (sum > share)
            return k + 1;
    }
    return n;
}

/* Those that get there by their time; then the others, in the order in which they were named. */
static void give_ranks(const nr_cloud *c, unsigned counts[NR_BUILDS][NR_BUILDS], nr_compare *out)
{
    size_t order[NR_BUILDS], n = c->n;
    for (size_t i = 0; i < n; i++) {
        size_t k = i;
        for (; k > 0 && c->value[i] < c->value[order[k - 1]]; k--)
            order[k] = order[k - 1];
        order[k] = i;
    }
    for (size_t i = 0; i < n; i++) {
        const unsigned *mine = counts[order[i]];
        out->rank[i] = (nr_rank){.build = c->build[order[i]],
                                 .lo95 = rank_at(mine, n, (1 - LEVEL) / 2),
                                 .hi95 = rank_at(mine, n, (1 + LEVEL) / 2),
                                 .probability_first = mine[0] / (double)NR_RANK_DRAWS};
    }
    give_letters(c, out, order);
    for (size_t b = 0, at = n; b < out->builds; b++) {
        bool known = false;
        for (size_t i = 0; i < n; i++)
            known = known || c->build[i] == b;
        if (!known)
            out->rank[at++] = (nr_rank){.build = b, .lo95 = n + 1, .hi95 = out->builds};
    }
}

nr_code nr_rank_all(const nr_lines *l, nr_compare *out, nr_err *err)
{
    nr_cloud *c = malloc(sizeof *c);
    bool good = c != NULL;
    for (int by = 0; good && by < NR_COMPARED; by++) {
        unsigned counts[NR_BUILDS][NR_BUILDS] = {{0}};
        out->all_k[by] = gsl_cdf_ugaussian_Pinv(0.5 + LEVEL / 2);
        bool some = gather(l, (nr_compared)by, c);
        /* Of two builds the factor is known; drawn are the ranks alone. */
        if (some && (by == NR_BY_TIME || c->n > 2))
            good = nr_rank_simulate(c, counts, &out->all_k[by]);
        if (good && by == NR_BY_TIME)
            give_ranks(c, counts, out);
    }
    free(c);
    return good ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
}
