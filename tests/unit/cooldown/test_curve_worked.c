/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A cooling curve worked out a second time on drawn evenings: means and air by going through the
 * readings cell by cell, the law by small steps, its slopes by differences, the estimate and its
 * uncertainty by one dense system with the covariance of noise that remembers (estimate/noise.h).
 */
#include "analyze/cooldown/curve.h"
#include "analyze/estimate/noise.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

enum { ROWS = 700, CELLS = 410, FEW = 20 };
static double t[ROWS], store[ROWS], air[ROWS];
static size_t rows;
static uint64_t seed;
static nr_err err;

static double draw(void)
{
    return chance_share(&seed);
}

/* Twelve uniform ones: nearly normal, standard deviation 1. */
static double noise(void)
{
    double sum = -6;
    for (int i = 0; i < 12; i++)
        sum += draw();
    return sum;
}

/* An evening of uneven readings, some missing; the air swings. */
static void make_evening(size_t n, double every_s, double slow_K)
{
    double k = 1 / (15000 + 30000 * draw()), x = 35 + 20 * draw(), s = 0;
    double swing_s = 4000 + 8000 * draw(), begin_s = 500 * draw();
    rows = n;
    for (size_t i = 0; i < n; i++) {
        t[i] = begin_s + every_s * ((double)i + 0.6 * draw());
        air[i] = 15 + 4 * sin(t[i] / swing_s);
        if (i > 0) {
            enum { STEPS = 20 };
            for (int j = 0; j < STEPS; j++) {
                double share = (j + 0.5) / STEPS, dt = (t[i] - t[i - 1]) / STEPS;
                double T = air[i - 1] + share * (air[i] - air[i - 1]);
                x = T + (x - T) * exp(-k * dt);
            }
        }
        s = 0.98 * s + slow_K * 0.2 * noise();
        store[i] = x + s + 0.02 * noise();
    }
    for (size_t i = 0; i < n; i++) {
        if (draw() < 0.15)
            store[i] = NAN;
        if (draw() < 0.2)
            air[i] = NAN;
    }
}

/* The air at a time: along the line between the good readings before and after. */
static double air_at(double at)
{
    double before_s = NAN, before = NAN;
    for (size_t i = 0; i < rows; i++) {
        if (isnan(air[i]))
            continue;
        if (t[i] > at)
            return isnan(before) ? air[i]
                                 : before + (air[i] - before) * (at - before_s) / (t[i] - before_s);
        before = air[i];
        before_s = t[i];
    }
    return before;
}

static void means_are_right(const nr_cool_curve *c)
{
    double whole = t[rows - 1] - t[0];
    double cell_s = whole > 400 * 60 ? whole / 400 : 60; /* a minute, and never more than 400 */
    size_t n = 0, used = 0;
    NEAR(c->block_s, cell_s, 1e-9);
    ck_assert_uint_eq(c->cells, (size_t)(whole / cell_s) + 1);
    for (size_t cell = 0; cell < c->cells; cell++) {
        double sum = 0, sum_t = 0, count = 0;
        for (size_t i = 0; i < rows; i++) {
            if (isnan(store[i]) || (size_t)((t[i] - t[0]) / c->block_s) != cell)
                continue;
            sum += store[i];
            sum_t += t[i];
            count++;
        }
        ck_assert_int_eq(c->used_block[cell], count > 0);
        if (count == 0)
            continue;
        NEAR(c->t[n], sum_t / count, 1e-6);
        NEAR(c->reading[n], sum / count, 1e-9);
        NEAR(c->air[n], air_at(sum_t / count), 1e-6);
        n++;
        used += (size_t)count;
    }
    ck_assert_uint_eq(c->n, n);
    ck_assert_uint_eq(c->used, used);
}

/* The law by steps that are short: p is start, rate, offset of the air. */
static void law(const nr_cool_curve *c, const double p[3], double *out)
{
    enum { STEPS = 40 };
    double x = p[0];
    for (size_t i = 0; i < c->n; i++) {
        for (int j = 0; i > 0 && j < STEPS; j++) {
            double share = (j + 0.5) / STEPS, dt = (c->t[i] - c->t[i - 1]) / STEPS;
            double T = c->air[i - 1] + share * (c->air[i] - c->air[i - 1]) + p[2];
            x = T + (x - T) * exp(-p[1] * dt);
        }
        out[i] = x;
    }
}

/* Cholesky in place, and the two triangular solutions of one right side. */
static void factorise(double *a, size_t n)
{
    for (size_t j = 0; j < n; j++)
        for (size_t i = j; i < n; i++) {
            double sum = a[i * n + j];
            for (size_t k = 0; k < j; k++)
                sum -= a[i * n + k] * a[j * n + k];
            a[i * n + j] = i == j ? sqrt(sum) : sum / a[j * n + j];
        }
}

static void forward(const double *a, size_t n, const double *b, double *x)
{
    for (size_t i = 0; i < n; i++) {
        x[i] = b[i];
        for (size_t k = 0; k < i; k++)
            x[i] -= a[i * n + k] * x[k];
        x[i] /= a[i * n + i];
    }
}

static double det3(double m[3][3])
{
    return m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1]) -
           m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0]) +
           m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0]);
}

/* The noise of the means about a curve: of few readings without a memory. */
static nr_noise noise_of(const nr_cool_curve *c, const double *fitted, double floor)
{
    static double grid[CELLS];
    double sum = 0;
    for (size_t cell = 0, i = 0; cell < c->cells; cell++) {
        grid[cell] = c->used_block[cell] ? c->reading[i] - fitted[i] : NAN;
        i += c->used_block[cell];
    }
    if (c->n >= FEW)
        return nr_noise_estimate(grid, c->used_block, c->cells, floor);
    for (size_t i = 0; i < c->n; i++)
        sum += (c->reading[i] - fitted[i]) * (c->reading[i] - fitted[i]);
    return (nr_noise){.sigma = fmax(floor, sqrt(sum / fmax((double)c->n - 2, 1)))};
}

static const double *covariance(const nr_cool_curve *c, const nr_noise *z)
{
    static double a[CELLS * CELLS];
    size_t at[CELLS], n = 0;
    for (size_t cell = 0; cell < c->cells; cell++)
        if (c->used_block[cell])
            at[n++] = cell;
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k <= i; k++)
            a[i * n + k] = z->sigma * z->sigma *
                           (z->slow * nr_noise_slow_correlation(z, (double)(at[i] - at[k])) +
                            (i == k ? 1 - z->slow : 0));
    factorise(a, n);
    return a;
}

/* Normal equations about p: the prior of the offset is the thermometers'. */
static void normal(const nr_cool_curve *c, const double *a, const double p[3], double u_probes,
                   double m[3][3], double b[3])
{
    static double base[CELLS], moved[CELLS], white[4][CELLS], raw[CELLS];
    law(c, p, base);
    for (int j = 0; j < 4; j++) {
        double q[3] = {p[0], p[1], p[2]}, h[] = {0.01, 1e-4 * p[1], 0.01};
        if (j < 3)
            q[j] += h[j];
        law(c, q, moved);
        for (size_t i = 0; i < c->n; i++)
            raw[i] = j < 3 ? (moved[i] - base[i]) / h[j] : c->reading[i] - base[i];
        forward(a, c->n, raw, white[j]);
    }
    for (int i = 0; i < 3; i++) {
        b[i] = i == 2 ? -p[2] / (u_probes * u_probes) : 0;
        for (size_t k = 0; k < c->n; k++)
            b[i] += white[i][k] * white[3][k];
        for (int j = 0; j < 3; j++) {
            m[i][j] = i == 2 && j == 2 ? 1 / (u_probes * u_probes) : 0;
            for (size_t k = 0; k < c->n; k++)
                m[i][j] += white[i][k] * white[j][k];
        }
    }
}

/* One step of Gauss and Newton, by Cramer's rule. */
static void move(double p[3], double m[3][3], const double b[3])
{
    for (int unknown = 0; unknown < 3; unknown++) {
        double by[3][3];
        for (int i = 0; i < 3; i++)
            for (int j = 0; j < 3; j++)
                by[i][j] = j == unknown ? b[i] : m[i][j];
        p[unknown] += det3(by) / det3(m);
    }
}

/* The noise told from what is left, three times over, each time from the curve before; the first of
 * them is a straight fall. */
static void estimate_is_right(const nr_cool_curve *c, double u_probes, double floor)
{
    static double fitted[CELLS];
    double over = 0, m[3][3], b[3];
    size_t last = c->n - 1;
    for (size_t i = 0; i < c->n; i++)
        over += c->reading[i] - c->air[i];
    double fall = (c->reading[0] - c->reading[last]) / (c->t[last] - c->t[0]);
    double p[3] = {c->reading[0], fall / (over / (double)c->n), 0};
    for (int pass = 0; pass < 3; pass++) {
        law(c, p, fitted);
        nr_noise z = noise_of(c, fitted, floor);
        const double *a = covariance(c, &z);
        for (int round = 0; round < 5; round++) {
            normal(c, a, p, u_probes, m, b);
            move(p, m, b);
        }
    }
    law(c, p, fitted);
    double known = m[0][0] / (m[0][0] * m[1][1] - m[0][1] * m[1][0]); /* the offset known */
    double all = (m[0][0] * m[2][2] - m[0][2] * m[2][0]) / det3(m);
    NEAR(c->rate, p[1], 0.003 * sqrt(known));
    NEAR_RELATIVE(c->u_rate_noise, sqrt(known), 0.003);
    NEAR_RELATIVE(c->u_rate_probes, sqrt(all - known), 0.003);
    for (size_t i = 0; i < c->n; i++)
        NEAR(c->fitted[i], fitted[i], 1e-3);
}

/* Residuals: their size, and the largest change from one to the next against the usual one, which
 * is no less than what resolution and thermometers make of it. */
static void jump_is_right(const nr_cool_curve *c, double resolution_K)
{
    double squares = 0, changes = 0, most = 0, at_s = c->t[1];
    for (size_t i = 0; i < c->n; i++) {
        double r = c->reading[i] - c->fitted[i];
        squares += r * r;
        if (i == 0)
            continue;
        double d = r - (c->reading[i - 1] - c->fitted[i - 1]);
        changes += d * d;
        if (fabs(d) > fabs(most)) {
            most = d;
            at_s = c->t[i];
        }
    }
    double usual = sqrt((changes - most * most) / fmax((double)c->n - 2, 1));
    double least = isfinite(resolution_K) ? fmax(0.02, resolution_K / sqrt(6)) : 0.02;
    NEAR(c->rms_K, sqrt(squares / (double)c->n), 1e-9);
    NEAR(c->jump_K, most, 1e-9);
    NEAR(c->jump_at_s, at_s, 1e-9);
    NEAR(c->jump_z, most / fmax(usual, least), 1e-6);
}

START_TEST(drawn_evenings)
{
    static const double every_s[] = {30, 90, 900, 2400};
    for (unsigned long trial = 0; trial < 12; trial++) {
        seed = 100 + 31 * trial;
        double every = every_s[trial % 4], resolution = trial % 3 ? NAN : 0.5;
        double u_probes = 0.05 + 0.4 * draw();
        make_evening(every < 60    ? 260
                     : every < 900 ? 130
                     : trial == 2  ? 26
                                   : 12,
                     every, every < 900 ? 0.1 : 0);
        nr_cool_curve c;
        ck_assert_msg(nr_cool_curve_make(t, store, air, rows, resolution, &c, &err) == NR_OK, "%s",
                      err.text);
        means_are_right(&c);
        ck_assert_msg(nr_cool_curve_fit(&c, u_probes, &err) == NR_OK, "%s", err.text);
        double floor = isfinite(resolution) ? fmax(0.02, resolution / sqrt(12)) : 0.02;
        estimate_is_right(&c, u_probes, floor);
        jump_is_right(&c, resolution);
        if (c.n < FEW)
            NEAR(c.degrees, (double)c.n - 2, 0);
        else
            ck_assert(isinf(c.degrees));
        nr_cool_curve_free(&c);
    }
}
END_TEST

/* A long evening has 400 cells; one of three means is the least; the ends of the air's readings. */
START_TEST(long_and_short)
{
    nr_cool_curve c;
    seed = 77;
    make_evening(700, 60, 0);
    ck_assert(nr_cool_curve_make(t, store, air, rows, NAN, &c, &err) == NR_OK);
    means_are_right(&c);
    ck_assert_uint_eq(c.cells, 401);
    nr_cool_curve_free(&c);
    for (size_t n = 2; n < 5; n++) {
        rows = n;
        for (size_t i = 0; i < n; i++) {
            t[i] = 300.0 * (double)i;
            store[i] = 40 - (double)i;
            air[i] = i == 1 ? 20 : NAN;
        }
        nr_code code = nr_cool_curve_make(t, store, air, rows, NAN, &c, &err);
        ck_assert_int_eq(code, n < 3 ? NR_CANNOT : NR_OK);
        if (code)
            continue;
        for (size_t i = 0; i < n; i++)
            NEAR(c.air[i], 20, 0);
        ck_assert(nr_cool_curve_fit(&c, 0.1, &err) == NR_OK);
        NEAR(c.degrees, n == 3 ? 1 : 2, 0);
        nr_cool_curve_free(&c);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {drawn_evenings, long_and_short, NULL};
    return run_tests("cooling curve worked", tests);
}
