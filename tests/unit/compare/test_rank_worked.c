/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Ranks worked out a second time: draws by another generator and another root of the covariance
 * (Box and Muller, Cholesky), and what the ranking makes of lines that are written by hand. The
 * lines lie in factors alone, so that their covariance is the product of their slopes. */
#include "analyze/compare/rank.h"
#include "analyze/fit/solved.h"
#include "tests/unit/chance.h"
#include "tests/unit/fit/simulated.h"

#define FACTORS 9
#define LIKE_95 1.9599639845 /* of the normal distribution */

static double drawn(double low, double high)
{
    static uint64_t state = 7730;
    return low + (high - low) * chance_share(&state);
}

/* ---- draws ---- */

static double normal(void)
{
    return sqrt(-2 * log(drawn(1e-12, 1))) * cos(2 * M_PI * drawn(0, 1));
}

static nr_cloud some_cloud(size_t n)
{
    nr_cloud c = {.n = n};
    double root[NR_BUILDS][NR_BUILDS];
    for (size_t i = 0; i < n; i++) {
        c.build[i] = i;
        c.value[i] = drawn(0, 2.5);
        for (size_t k = 0; k < n; k++)
            root[i][k] = drawn(-1, 1);
    }
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < n; k++)
            for (size_t f = 0; f < n; f++)
                c.covariance[i][k] += root[i][f] * root[k][f];
    return c;
}

static void cholesky(const nr_cloud *c, double l[NR_BUILDS][NR_BUILDS])
{
    for (size_t i = 0; i < c->n; i++)
        for (size_t k = 0; k <= i; k++) {
            double sum = c->covariance[i][k];
            for (size_t f = 0; f < k; f++)
                sum -= l[i][f] * l[k][f];
            l[i][k] = i == k ? sqrt(sum) : sum / l[k][k];
        }
}

static double variance_of_pair(const nr_cloud *c, size_t i, size_t k)
{
    return c->covariance[i][i] - 2 * c->covariance[i][k] + c->covariance[k][k];
}

#define OWN 8000
/* Shares of each rank, and how many draws have a pair that is off by more than k of its u. */
static double draw_them(const nr_cloud *c, double k95, double share[NR_BUILDS][NR_BUILDS])
{
    double l[NR_BUILDS][NR_BUILDS] = {{0}}, at[NR_BUILDS], z[NR_BUILDS], outside = 0;
    cholesky(c, l);
    for (int d = 0; d < OWN; d++) {
        bool out = false;
        for (size_t i = 0; i < c->n; i++) {
            z[i] = normal();
            at[i] = c->value[i];
            for (size_t f = 0; f <= i; f++)
                at[i] += l[i][f] * z[f];
        }
        for (size_t i = 0; i < c->n; i++) {
            size_t faster = 0;
            for (size_t k = 0; k < c->n; k++) {
                faster += at[k] < at[i];
                double off = at[i] - c->value[i] - at[k] + c->value[k];
                out = out || (i != k && off * off > k95 * k95 * variance_of_pair(c, i, k));
            }
            share[i][faster] += 1.0 / OWN;
        }
        outside += out ? 1.0 / OWN : 0;
    }
    return outside;
}

/* Within four standard deviations of two draws' difference: sqrt(p q (1/8000 + 1/20000)) is
 * 0.0067 at most, and 0.0029 of one in twenty. */
START_TEST(by_other_draws)
{
    for (size_t n = 2; n < 6; n++) {
        nr_cloud c = some_cloud(n);
        static double share[NR_BUILDS][NR_BUILDS];
        static unsigned counts[NR_BUILDS][NR_BUILDS];
        double k95;
        memset(share, 0, sizeof share);
        ck_assert(nr_rank_simulate(&c, counts, &k95));
        NEAR(draw_them(&c, k95, share), 0.05, 0.012);
        for (size_t i = 0; i < n; i++)
            for (size_t k = 0; k < n; k++)
                NEAR(counts[i][k] / 20000.0, share[i][k], 0.027);
    }
}
END_TEST

/* ---- the ranking ---- */

static nr_virtual_run *record;
static nr_solved solved;
static nr_lines lines;
static nr_compare out;
static size_t parameters;

static void set_up(void)
{
    nr_virtual_params p = exact_glazed();
    nr_fit_options options = nr_fit_defaults();
    nr_err err = {.text = ""};
    p.duration_s = 1800;
    p.interval_s = 30;
    record = simulated(&p);
    const nr_run *one = &record->run;
    ck_assert_msg(nr_solve_runs(&one, 1, &options, &solved, &err) == NR_OK, "%s", err.text);
    parameters = nr_joint_parameters(solved.joint);
}

static void tear_down(void)
{
    nr_solved_free(&solved);
    nr_virtual_run_free(record);
}

/* Builds whose results are anything, some of them not known, some on errors that all share. */
static void write_lines(size_t builds)
{
    lines = (nr_lines){.whole = solved.joint, .builds = builds, .factors = FACTORS};
    out = (nr_compare){.builds = builds};
    for (int by = 0; by < NR_COMPARED; by++)
        for (size_t b = 0; b < builds; b++) {
            nr_line *l = &lines.line[by][b];
            *l = (nr_line){.known = drawn(0, 1) < 0.8, .value = drawn(0, 20)};
            l->slope = calloc(parameters + FACTORS, sizeof(double));
            for (size_t f = 0; f < FACTORS; f++)
                l->slope[parameters + f] = f ? drawn(-1.5, 1.5) : 7;
        }
}

static void throw_away(void)
{
    for (int by = 0; by < NR_COMPARED; by++)
        for (size_t b = 0; b < lines.builds; b++)
            free(lines.line[by][b].slope);
}

static nr_cloud cloud_of(int by)
{
    nr_cloud c = {.n = 0};
    for (size_t b = 0; b < lines.builds; b++)
        if (lines.line[by][b].known) {
            c.value[c.n] = lines.line[by][b].value;
            c.build[c.n++] = b;
        }
    for (size_t i = 0; i < c.n; i++)
        for (size_t k = 0; k < c.n; k++)
            for (size_t f = 0; f < FACTORS; f++)
                c.covariance[i][k] += lines.line[by][c.build[i]].slope[parameters + f] *
                                      lines.line[by][c.build[k]].slope[parameters + f];
    return c;
}

/* The least rank so that more than this share of the draws have it or one before. */
static size_t rank_of(const unsigned *counts, double share)
{
    unsigned so_far = 0;
    for (size_t r = 0;; r++) {
        so_far += counts[r];
        if (so_far > share * 20000)
            return r + 1;
    }
}

static void known_ones(const nr_cloud *c, unsigned counts[NR_BUILDS][NR_BUILDS], double k95)
{
    for (size_t r = 0; r < c->n; r++) {
        const nr_rank *rank = &out.rank[r];
        size_t i = 0, faster = 0;
        while (c->build[i] != rank->build)
            i++;
        for (size_t k = 0; k < c->n; k++)
            faster += c->value[k] < c->value[i];
        ck_assert_uint_eq(faster, r);
        ck_assert_uint_eq(rank->lo95, rank_of(counts[i], 0.025));
        ck_assert_uint_eq(rank->hi95, rank_of(counts[i], 0.975));
        NEAR(rank->probability_first, counts[i][0] / 20000.0, 1e-12);
        ck_assert(rank->letters[0] && (r || rank->letters[0] == 'a'));
        for (size_t other = 0; other < c->n; other++) {
            size_t k = 0;
            while (c->build[k] != out.rank[other].build)
                k++;
            double apart = c->value[i] - c->value[k];
            bool told = apart * apart > k95 * k95 * variance_of_pair(c, i, k) && i != k;
            ck_assert_int_eq(strpbrk(rank->letters, out.rank[other].letters) == NULL, told);
        }
    }
}

START_TEST(lines_by_hand)
{
    for (size_t n = 0; n < 16; n++) {
        static unsigned counts[NR_BUILDS][NR_BUILDS];
        nr_err err;
        write_lines(2 + n % 6);
        ck_assert_int_eq(nr_rank_all(&lines, &out, &err), NR_OK);
        for (int by = 0; by < NR_COMPARED; by++) {
            nr_cloud c = cloud_of(by);
            double k95 = LIKE_95;
            if (c.n > 2 || (c.n && by == NR_BY_TIME))
                ck_assert(nr_rank_simulate(&c, counts, &k95));
            NEAR(out.all_k[by], k95, 1e-9);
            if (by == NR_BY_TIME)
                known_ones(&c, counts, k95);
        }
        nr_cloud c = cloud_of(NR_BY_TIME);
        for (size_t b = 0, at = c.n; b < lines.builds; b++) {
            if (lines.line[NR_BY_TIME][b].known)
                continue;
            ck_assert_uint_eq(out.rank[at].build, b);
            ck_assert_uint_eq(out.rank[at].lo95, c.n + 1);
            ck_assert_uint_eq(out.rank[at].hi95, lines.builds);
            ck_assert(out.rank[at].letters[0] == '\0' && out.rank[at++].probability_first == 0);
        }
        throw_away();
    }
}
END_TEST

/* The same lines as differences: what all share goes, the rest adds in squares (JCGM 100). */
START_TEST(differences_by_hand)
{
    for (int n = 0; n < 20; n++) {
        write_lines(3);
        lines.work = calloc(parameters + FACTORS, sizeof(double));
        for (int by = 0; by < NR_COMPARED; by++) {
            const nr_line *a = &lines.line[by][2], *b = &lines.line[by][0];
            nr_quantity q = nr_lines_difference(&lines, (nr_compared)by, 2, 0, NR_UNIT_S);
            double u2 = 0;
            for (size_t f = 1; f < FACTORS; f++)
                u2 += pow(a->slope[parameters + f] - b->slope[parameters + f], 2);
            ck_assert_int_eq(q.known, a->known && b->known);
            if (!q.known)
                continue;
            NEAR(q.value, a->value - b->value, 1e-12);
            NEAR(q.u, sqrt(u2), 1e-9);
            NEAR(q.u_random, sqrt(u2), 1e-9);
            NEAR(q.hi95 - q.value, LIKE_95 * sqrt(u2), 1e-6);
        }
        free(lines.work);
        throw_away();
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {by_other_draws, lines_by_hand, differences_by_hand, NULL};
    return run_tests_in("rank_worked", tests, set_up, tear_down);
}
