/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sun between its readings.
 *
 * Irradiance wanders about its course with a standard deviation s and forgets in a time tau (an
 * Ornstein-Uhlenbeck process, covariance s^2 exp(-|t| / tau)). Its integral, taken by straight
 * lines between readings L apart, is off by a variance of
 *
 *     s^2 (L^2 coth(L / (2 tau)) - 2 tau L)
 *
 * an interval (variance of the sum of readings, less twice its covariance with the integral, and
 * the integral's own): s^2 L^3 / (6 tau) for L << tau, a Brownian bridge's; s^2 L^2 for L >> tau,
 * where each reading is one of a sample. Both s and tau are taken from the record: how far a
 * reading lies from the straight line between its neighbours, h before and after, has the variance
 *
 *     D(h) = s^2 (3/2 + r^2 / 2 - 2 r),  r = exp(-h / tau),
 *
 * and D(2h) / D(h) tells r. A sky without clouds hardly leaves its lines, and nothing comes of it.
 */
#include "analyze/series/unseen.h"

#include <math.h>

/* A record of few readings has not seen enough to say that the sky was clear. Clouds scatter
 * readings by a third of their mean and every second day has some; each reading that lies on its
 * line makes them so much less likely. And single ones pass between many readings: one more
 * departure of a tenth is counted with those that were seen. Common practice, no source. */
#define CLOUDS 0.3
#define LESS_LIKELY 0.6
#define NOT_SEEN 0.1
/* Clouds pass within some minutes: where readings come too seldom to tell, they forget in this time
 * at most. From memory. */
#define CLOUD_S 180.0
#define SELDOM_S 60.0
/* The least correlation of neighbours that some dozens of readings can tell from none. */
#define LEAST_R 0.1

/* Readings at one place of three: they are far apart. */
typedef struct reader {
    nr_cursor t, v;
} reader;

static reader reader_of(const nr_values *t_s, const nr_values *value)
{
    reader r;
    nr_cursor_begin(&r.t, t_s);
    nr_cursor_begin(&r.v, value);
    return r;
}

static double line_between(double t_a, double v_a, double t_b, double v_b, double at)
{
    return v_a + (v_b - v_a) * (at - t_a) / (t_b - t_a);
}

/* Sum of squares of the departures from lines of half-length h, and their number. */
static double departures(const nr_values *t_s, const nr_values *value, size_t n, double h,
                         size_t *count)
{
    reader here = reader_of(t_s, value), before = here, after = here;
    double sum = 0;
    size_t a = 0, b = 0;
    *count = 0;
    for (size_t i = 0; i < n; i++) {
        double t = nr_at(&here.t, i);
        while (a + 1 < i && t - nr_at(&before.t, a + 1) >= 0.75 * h)
            a++;
        b = b < i ? i : b;
        while (b + 1 < n && nr_at(&after.t, b) - t < 0.75 * h)
            b++;
        double t_a = nr_at(&before.t, a), t_b = nr_at(&after.t, b);
        if (t - t_a < 0.75 * h || t_b - t < 0.75 * h || t - t_a > 1.5 * h || t_b - t > 1.5 * h)
            continue;
        double d =
            nr_at(&here.v, i) - line_between(t_a, nr_at(&before.v, a), t_b, nr_at(&after.v, b), t);
        sum += d * d;
        ++*count;
    }
    return sum;
}

static double spread_at(double r)
{
    return 1.5 + 0.5 * r * r - 2 * r;
}

/* The correlation of readings h apart from D(2h) / D(h). */
static double correlation(double ratio)
{
    double low = LEAST_R, high = 0.999;
    for (int i = 0; i < 40; i++) {
        double r = (low + high) / 2;
        if (spread_at(r * r) / spread_at(r) < ratio)
            low = r;
        else
            high = r;
    }
    return (low + high) / 2;
}

nr_unseen nr_unseen_of(const double *t_s, const double *value, size_t n, double h_s)
{
    nr_values t = {.plain = t_s}, v = {.plain = value};
    return nr_unseen_of_values(&t, &v, n, h_s);
}

nr_unseen nr_unseen_of_values(const nr_values *t_s, const nr_values *value, size_t n, double h_s)
{
    double mean = 0;
    nr_cursor v;
    nr_cursor_begin(&v, value);
    for (size_t i = 0; i < n; i++)
        mean += nr_at(&v, i) / (double)n;
    if (n == 0 || !(h_s > 0))
        return (nr_unseen){0, CLOUD_S};
    size_t seen, seen2;
    double one = departures(t_s, value, n, h_s, &seen);
    double two = departures(t_s, value, n, 2 * h_s, &seen2);
    /* Departures that overlap tell the same. */
    double apart = fmin((double)seen, (nr_number(t_s, n - 1) - nr_number(t_s, 0)) / h_s);
    double mean_square = seen ? one / (double)seen : 0;
    double unseen = CLOUDS * CLOUDS * pow(LESS_LIKELY, apart) * mean * mean;
    double d = unseen + (mean_square * apart + NOT_SEEN * NOT_SEEN * mean * mean) / (apart + 1);
    double r = seen2 && one > 0 ? correlation(two / (double)seen2 / mean_square) : LEAST_R;
    double tau = -h_s / log(r);
    if (tau > CLOUD_S && h_s >= SELDOM_S) {
        tau = CLOUD_S;
        r = exp(-h_s / tau);
    }
    return (nr_unseen){sqrt(d / spread_at(r)), tau};
}

double nr_unseen_integral_most(const nr_unseen *u, double length_s)
{
    return u->sd * u->sd * length_s * length_s * length_s / (6 * u->memory_s);
}

double nr_unseen_integral(const nr_unseen *u, double length_s)
{
    double y = length_s / u->memory_s;
    double shape = y < 1e-2 ? y * y * y / 6 : y * y / tanh(y / 2) - 2 * y;
    return u->sd * u->sd * u->memory_s * u->memory_s * shape;
}
