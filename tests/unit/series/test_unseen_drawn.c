/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What readings miss, worked out a second time on drawn readings: departures from lines by looking
 * at every pair of neighbours, the memory from the polynomial that the ratio of departures is, and
 * what an integral misses as the sum of a covariance over the readings less its integral. Limits
 * are the project's own (unseen.c, common practice). */
#include "analyze/series/unseen.h"
#include "tests/unit/quality/records.h"

#define MOST 60
static double t_s[MOST], value[MOST];
static size_t n;

/* Over all pairs of one reading before and one after: of those at least 3/4 h away the nearest. */
static double departure_squares(double h, double *count)
{
    double sum = 0;
    *count = 0;
    for (size_t i = 0; i < n; i++) {
        double before = INFINITY, after = INFINITY, v_before = 0, v_after = 0;
        for (size_t k = 0; k < n; k++) {
            double away = fabs(t_s[k] - t_s[i]);
            if (away < 0.75 * h)
                continue;
            if (k < i && away < before) {
                before = away;
                v_before = value[k];
            }
            if (k > i && away < after) {
                after = away;
                v_after = value[k];
            }
        }
        if (before > 1.5 * h || after > 1.5 * h)
            continue;
        double weight = before / (before + after); /* of the one after */
        sum += pow(value[i] - weight * v_after - (1 - weight) * v_before, 2);
        *count += 1;
    }
    return sum;
}

/* D(2h) / D(h) = (1 - r^2)(3 - r^2) / ((1 - r)(3 - r)) = (1 + r)(3 - r^2) / (3 - r), which grows
 * from 1 to 2 with r: the share that was seen, between the least that can be told and one. */
static double correlation_of(double ratio)
{
    double low = 0.1, high = 0.999;
    while (high - low > 1e-13) {
        double r = (low + high) / 2;
        *((1 + r) * (3 - r * r) < ratio * (3 - r) ? &low : &high) = r;
    }
    return low;
}

static nr_unseen by_hand(double h)
{
    double mean = 0, one_n, two_n, one = departure_squares(h, &one_n),
           two = departure_squares(2 * h, &two_n);
    for (size_t i = 0; i < n; i++)
        mean += value[i];
    mean /= (double)n;
    double apart = fmin(one_n, (t_s[n - 1] - t_s[0]) / h);
    double scatter = one_n > 0 ? one / one_n : 0, tenth = 0.1 * mean, third = 0.3 * mean;
    double d = third * third * pow(0.6, apart) + (apart * scatter + tenth * tenth) / (apart + 1);
    double r = 0.1;
    if (one_n > 0 && two_n > 0 && one > 0)
        r = correlation_of(two / two_n / scatter);
    if (h >= 60 && r > exp(-h / 180)) /* clouds forget in three minutes */
        r = exp(-h / 180);
    return (nr_unseen){sqrt(2 * d / ((1 - r) * (3 - r))), -h / log(r)};
}

/* Readings about h apart, some much nearer or farther; a sun that wanders, or next to nothing. */
static void draw(unsigned long long *seed, double h)
{
    static const double scatter[] = {1e-3, 0.05, 0.3};
    double by = scatter[(size_t)(3 * chance(seed))], keeps = chance(seed), x = 0, t = 0;
    double uneven = chance(seed) < 0.3 ? 0 : 0.6;
    n = 1 + (size_t)(chance(seed) < 0.3 ? 6 * chance(seed) : (MOST - 1) * chance(seed));
    for (size_t i = 0; i < n; i++) {
        t += h * (1 + uneven * (2 * chance(seed) - 1)) * (chance(seed) < 0.1 ? 3 * uneven + 1 : 1);
        x = keeps * x + sqrt(1 - keeps * keeps) * normal(seed);
        t_s[i] = t;
        value[i] = 600 * (1 + by * x);
    }
}

START_TEST(wander_of_drawn_readings)
{
    static const double distances[] = {1, 10, 59, 61, 120, 600};
    unsigned long long seed = 8201;
    for (int k = 0; k < 300; k++) {
        double h = distances[k % 6];
        draw(&seed, h * (k % 4 ? 1 : 0.4));
        nr_unseen u = nr_unseen_of(t_s, value, n, h), e = by_hand(h);
        char what[48];
        (void)snprintf(what, sizeof what, "record %d, %zu readings, %g s", k, n, h);
        NEAR_AT(what, u.sd, e.sd, 1e-6 * e.sd);
        NEAR_AT(what, u.memory_s, e.memory_s, 1e-6 * e.memory_s);
    }
    for (int none = 0; none < 3; none++) { /* no readings, no distance */
        nr_unseen u = nr_unseen_of(t_s, value, none ? 5 : 0, none == 2 ? NAN : none ? 0 : 60);
        ck_assert(u.sd == 0 && u.memory_s == 180);
    }
}
END_TEST

/* Readings L apart of a process with the covariance c(t) = exp(-|t| / tau): in a long record what
 * lines miss has, a reading, the variance L (L sum c(k L) - integral of c) over all k and t (that
 * of the sums, less twice their covariance with the integral, and the integral's own: the last two
 * are the same integral). */
static double missed(double tau, double L)
{
    double sum = 1, c = 1;
    for (double k = 1; c > 1e-18; k++) {
        c = exp(-k * L / tau);
        sum += 2 * c;
    }
    return L * (L * sum - 2 * tau);
}

START_TEST(an_integral_by_its_covariances)
{
    for (int k = 0; k < 80; k++) {
        double y = 0.0101 * pow(1.1, k), tau = 20 + 3 * k;
        nr_unseen u = {3, tau};
        NEAR_RELATIVE(nr_unseen_integral(&u, y * tau), 9 * missed(tau, y * tau), 1e-8);
        /* A Brownian bridge of the same short steps: its area has the variance D L^3 / 12, where
         * the variance grows by D a second: here 2 s^2 / tau. */
        double bridge = 2 * 9 / tau * pow(y * tau, 3) / 12;
        NEAR_RELATIVE(nr_unseen_integral_most(&u, y * tau), bridge, 1e-12);
        double brief = 0.0099 * tau / (k + 1); /* no more than y^2 / 60 = 2e-6 less */
        NEAR_RELATIVE(nr_unseen_integral(&u, brief), nr_unseen_integral_most(&u, brief), 2e-6);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {wander_of_drawn_readings, an_integral_by_its_covariances, NULL};
    return run_tests("unseen, drawn", tests);
}
