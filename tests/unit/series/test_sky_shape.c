/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings against a cloudless sky's course, worked out a second time on drawn mornings and
 * afternoons: means of three minutes, a straight line by deviations from the means, and what other
 * skies and planes would do to it, each a line of its own. Limits and uncertainties are the
 * project's own (sky_shape.c: common practice, no source); the sky is physics/'s. */
#include "analyze/series/sky_shape.h"
#include "tests/unit/quality/records.h"

#define MOST 6000
#define WINDOWS 100

/* Slope of y over t, by deviations from the means. */
static double slope_of(const double *t, const double *y, int n, double *mean_t, double *mean_y,
                       double *squares)
{
    double product = 0;
    *mean_t = *mean_y = *squares = 0;
    for (int i = 0; i < n; i++) {
        *mean_t += t[i] / n;
        *mean_y += y[i] / n;
    }
    for (int i = 0; i < n; i++) {
        product += (t[i] - *mean_t) * (y[i] - *mean_y);
        *squares += pow(t[i] - *mean_t, 2);
    }
    return product / *squares;
}

static double plane(double utc_s, nr_place place, double turbidity)
{
    return nr_clear_sky_at(utc_s, place, turbidity, 0.2).plane.total;
}

typedef struct windows {
    int n;
    double t_h[WINDOWS];
    double ratio[WINDOWS], changed[4][WINDOWS]; /* logarithms */
} windows;

/* The sun at least 15 degrees high, no more than 65 from the normal, and more than 150 W/m2. */
static void take(windows *w, nr_place place, double from_s, double t_h, double sun)
{
    double at_s = from_s + 3600 * t_h;
    nr_clear_instant clear = nr_clear_sky_at(at_s, place, 3, 0.2);
    nr_place tilted = place, turned = place;
    tilted.tilt_deg += 1.5;
    turned.azimuth_deg += 3;
    if (clear.zenith_deg >= 75 || clear.incidence_deg >= 65)
        return;
    if (isnan(sun) || fmin(sun, clear.plane.total) <= 150)
        return;
    int i = w->n++;
    ck_assert_int_lt(i, WINDOWS);
    w->t_h[i] = t_h;
    w->ratio[i] = log(sun) - log(clear.plane.total);
    w->changed[0][i] = log(plane(at_s, place, 4)) - log(clear.plane.total);
    w->changed[1][i] = log(plane(at_s, tilted, 3)) - log(clear.plane.total);
    w->changed[2][i] = log(plane(at_s, turned, 3)) - log(clear.plane.total);
    w->changed[3][i] = 0.04 * log(nr_air_mass(clear.zenith_deg));
}

/* What is told where at least nine windows lie within 3 % of their line. */
static nr_sky_shape by_hand(const windows *w)
{
    if (w->n < 9)
        return (nr_sky_shape){0, INFINITY};
    double mean_t, mean, squares, left = 0, hours = w->t_h[w->n - 1] - w->t_h[0];
    double along = slope_of(w->t_h, w->ratio, w->n, &mean_t, &mean, &squares);
    for (int i = 0; i < w->n; i++) {
        double d = w->ratio[i] - mean - along * (w->t_h[i] - mean_t);
        if (fabs(d) > 0.03)
            return (nr_sky_shape){0, INFINITY};
        left += d * d;
    }
    /* The scatter of a line's slope; one window in a quarter of an hour is independent. */
    double variance = left / w->n / fmax(4 * hours, 1) / (squares / w->n);
    variance += 1e-4 / hours; /* haze */
    for (int k = 0; k < 4; k++) {
        double a, b, c;
        variance += pow(slope_of(w->t_h, w->changed[k], w->n, &a, &b, &c), 2);
    }
    return (nr_sky_shape){along, sqrt(variance)};
}

typedef struct drawn {
    nr_place place;
    double from_s, step_s;
    size_t steps;
} drawn;

static void draw(drawn *d, double *sun, unsigned long long *seed)
{
    double south = chance(seed) < 0.3 ? -1 : 1;
    d->place = (nr_place){.latitude_deg = south * (20 + 35 * chance(seed)),
                          .longitude_deg = 15 * floor(20 * chance(seed) - 10),
                          .elevation_m = 800 * chance(seed),
                          .tilt_deg = 60 * chance(seed),
                          .azimuth_deg = (south > 0 ? 180 : 0) + 80 * (chance(seed) - 0.5)};
    double local_h = 6 + 10 * chance(seed),
           midnight = 1767225600 + 86400 * floor(365 * chance(seed));
    d->from_s = midnight + 3600 * (local_h - d->place.longitude_deg / 15);
    static const double steps[] = {5, 30, 59, 100, 180, 200};
    d->step_s = steps[(size_t)(6 * chance(seed))];
    double hours = chance(seed) < 0.4 ? 0.4 + 0.15 * chance(seed) : 0.6 + 2 * chance(seed);
    d->steps = (size_t)(3600 * hours / d->step_s);
    double gain = chance(seed) < 0.2 ? 0.2 + 0.3 * chance(seed) : 0.8 + 0.4 * chance(seed);
    double fades = 0.2 * (chance(seed) - 0.5);
    double off = 0.006 * normal(seed), cloud = chance(seed) < 0.3 ? 0.08 * chance(seed) : 0;
    for (size_t k = 0; k < d->steps; k++) {
        double h = ((double)k + 0.5) * d->step_s / 3600;
        bool dim = h > 0.3 && h < 0.4;
        /* One sky for a quarter of an hour: the test is quick, and the ratio bends. */
        double at_s = d->from_s + 900 * floor(4 * h) + 450;
        static double last_s, last;
        last = at_s == last_s && k ? last : plane(at_s, d->place, 3);
        last_s = at_s;
        double inside = 1 + off * sin(7 * h) - (dim ? cloud : 0);
        sun[k] = gain * last * exp(fades * h) * inside;
    }
    if (chance(seed) < 0.1)
        sun[d->steps / 2] = NAN;
}

START_TEST(drawn_days)
{
    static double sun[MOST];
    unsigned long long seed = 8202;
    int told = 0, none = 0;
    for (int one = 0; one < 80; one++) {
        drawn d;
        draw(&d, sun, &seed);
        ck_assert_uint_lt(d.steps, MOST);
        windows w = {0};
        size_t each = (size_t)fmax(floor(180 / d.step_s), 1);
        for (size_t k = 0; k + each <= d.steps; k += each) {
            double mean = 0;
            for (size_t i = k; i < k + each; i++)
                mean += sun[i];
            take(&w, d.place, d.from_s, ((double)k + (double)each / 2) * d.step_s / 3600,
                 mean / (double)each);
        }
        nr_sky_shape s = nr_sky_shape_of(d.place, d.from_s, sun, d.steps, d.step_s);
        nr_sky_shape e = by_hand(&w);
        char what[64];
        (void)snprintf(what, sizeof what, "day %d, %zu steps of %g s", one, d.steps, d.step_s);
        ck_assert_msg(isinf(s.u) == isinf(e.u), "%s: %g, expected %g", what, s.u, e.u);
        NEAR_AT(what, s.per_hour, e.per_hour, 1e-7);
        if (!isinf(e.u))
            NEAR_AT(what, s.u, e.u, 1e-6 * e.u);
        told += !isinf(e.u);
        none += isinf(e.u);
    }
    ck_assert_msg(told > 15 && none > 15, "%d and %d", told, none);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {drawn_days, NULL};
    return run_tests("sky_shape", tests);
}
