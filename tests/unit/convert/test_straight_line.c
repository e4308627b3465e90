/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The straight line through dependent readings, worked out a second time by the sums of the
 * textbook (normal equations about the mean; scatter on n - 2; lag-1 autocorrelation as sum of
 * products over sum of squares, its bias -(1 + 4 rho)/n after Kendall 1954 taken out; (1 + rho)/(1
 * - rho) readings of a first-order autoregression count as one). */
#include "logger/convert/straight_line.h"
#include "tests/unit/near.h"

#define MOST 40

typedef struct worked {
    double mean_s, mean, slope, sd, lag1, effective, u_mean, u_slope, left[MOST];
} worked;

static worked work_out(const double *x, const double *y, size_t n)
{
    worked w = {0};
    double sxx = 0, sxy = 0, squares = 0, products = 0, m = (double)n;
    for (size_t i = 0; i < n; i++) {
        w.mean_s += x[i] / m;
        w.mean += y[i] / m;
    }
    for (size_t i = 0; i < n; i++) {
        sxx += (x[i] - w.mean_s) * (x[i] - w.mean_s);
        sxy += (x[i] - w.mean_s) * (y[i] - w.mean);
    }
    w.slope = sxy / sxx;
    for (size_t i = 0; i < n; i++) {
        w.left[i] = y[i] - (w.mean + w.slope * (x[i] - w.mean_s));
        squares += w.left[i] * w.left[i];
        products += i > 0 ? w.left[i] * w.left[i - 1] : 0;
    }
    w.sd = sqrt(squares / (m - 2));
    double raw = products / squares;
    w.lag1 = raw + (1 + 4 * raw) / m;
    w.lag1 = w.lag1 < 0 ? 0 : w.lag1 > 1 - 2 / m ? 1 - 2 / m : w.lag1;
    double as_one = (1 + w.lag1) / (1 - w.lag1);
    w.effective = m / as_one;
    w.u_mean = w.sd / sqrt(w.effective);
    w.u_slope = w.sd / sqrt(sxx) * sqrt(as_one);
    return w;
}

static double x[MOST], y[MOST], left[MOST];
static nr_straight_line line;

static const worked *compare(size_t n)
{
    static worked w;
    w = work_out(x, y, n);
    ck_assert(nr_straight_line_through(x, y, n, left, &line));
    ck_assert_uint_eq(line.count, n);
    NEAR(line.mean_time_s, w.mean_s, 1e-10);
    NEAR(line.mean, w.mean, 1e-10);
    NEAR(line.slope, w.slope, 1e-12);
    NEAR(line.sd, w.sd, 1e-10);
    NEAR(line.lag1, w.lag1, 1e-9);
    NEAR_RELATIVE(line.effective, w.effective, 1e-8);
    NEAR_RELATIVE(line.u_mean, w.u_mean, 1e-8);
    NEAR_RELATIVE(line.u_slope, w.u_slope, 1e-8);
    for (size_t i = 0; i < n; i++)
        NEAR(left[i], w.left[i], 1e-10);
    for (double at = -50; at < 120; at += 17) {
        double u, ahead = at - w.mean_s;
        NEAR(nr_straight_line_at(&line, at, &u), w.mean + w.slope * ahead, 1e-9);
        NEAR_RELATIVE(u, sqrt(w.u_mean * w.u_mean + ahead * ahead * w.u_slope * w.u_slope), 1e-8);
    }
    return &w;
}

/* Noise by a fixed rule (a linear congruential generator), carried on by rho; unequal times. */
static void noisy(size_t n, double rho, double slope)
{
    unsigned state = 12345;
    double carried = 0;
    for (size_t i = 0; i < n; i++) {
        state = state * 1103515245u + 12345u;
        carried = rho * carried + ((double)(state >> 16 & 0x7fff) / 16384 - 1);
        x[i] = 3 + 2.0 * (double)i + (double)(i % 3) * 0.25;
        y[i] = 20 + slope * x[i] + 0.1 * carried;
    }
}

START_TEST(as_worked_out)
{
    noisy(40, 0.5, 0.03);
    const worked *w = compare(40);
    ck_assert(w->lag1 > 0.05 && w->lag1 < 0.9); /* neither end */
    noisy(25, 0.3, -0.2);
    compare(25);
}
END_TEST

/* Noise that swings to and fro counts as independent, not as more than that. */
START_TEST(swings)
{
    for (size_t i = 0; i < 20; i++) {
        x[i] = (double)i;
        y[i] = 5 + (i % 2 ? 0.1 : -0.1);
    }
    NEAR(compare(20)->lag1, 0, 0);
    NEAR(line.effective, 20, 1e-9);
}
END_TEST

/* A bow instead of noise: at most 1 - 2/n, so that at least a reading counts. */
START_TEST(bows)
{
    for (size_t i = 0; i < 30; i++) {
        x[i] = (double)i;
        y[i] = 0.01 * (double)(i * i);
    }
    NEAR(compare(30)->lag1, 1 - 2.0 / 30, 1e-12);
    ck_assert(line.effective > 1);
}
END_TEST

START_TEST(least)
{
    const double two[] = {0, 1}, three[] = {0, 1, 2}, still[] = {4, 4, 4}, value[] = {7, 7, 7};
    ck_assert(!nr_straight_line_through(two, value, 2, left, &line));
    ck_assert(!nr_straight_line_through(still, value, 3, left, &line));
    ck_assert(nr_straight_line_through(three, value, 3, left, &line));
    NEAR(line.lag1, 0, 0); /* no scatter: nothing to depend on each other */
    NEAR(line.u_mean, 0, 0);
    NEAR(line.effective, 3, 1e-12);
    NEAR(nr_straight_line_at(&line, 9, NULL), 7, 1e-12);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {as_worked_out, swings, bows, least, NULL};
    return run_tests("straight_line", tests);
}
