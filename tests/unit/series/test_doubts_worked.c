/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sun on the air's thermometer and a sensor in another plane, worked out a second time: straight
 * lines about means, windows one by one. The chances and times are the project's own (common
 * practice, no source); the sky is plane/'s. */
#include "analyze/series/air_sun.h"
#include "analyze/series/other_plane.h"
#include "tests/unit/quality/by_hand.h"

#include <stdbool.h>

enum { STEPS = 1200 };

/* Slope of y on x and what is left of y, by weighted least squares about the means. */
static double slope_of(const double *x, const double *y, const double *weight, size_t n,
                       double *left, double *spread)
{
    double w = 0, mx = 0, my = 0, up = 0, down = 0;
    for (size_t i = 0; i < n; i++) {
        w += weight[i];
        mx += weight[i] * x[i];
        my += weight[i] * y[i];
    }
    for (size_t i = 0; i < n; i++) {
        up += weight[i] * (x[i] - mx / w) * (y[i] - my / w);
        down += weight[i] * pow(x[i] - mx / w, 2);
    }
    *left = 0;
    *spread = down;
    for (size_t i = 0; i < n; i++)
        *left += weight[i] * pow(y[i] - my / w - up / down * (x[i] - mx / w), 2);
    return up / down;
}

/* Two minutes each; the sun behind a minute's lag, per 1000 W/m2; changes from one to the next. */
static nr_air_sun expected(const double *air, const double *sun, size_t steps, double step_s)
{
    size_t each = step_s < 120 ? (size_t)(120 / step_s) : 1, n = 0;
    double x[STEPS], y[STEPS], ones[STEPS], felt = sun[0], left, spread;
    double mean_x[STEPS], mean_y[STEPS];
    for (size_t b = 0; b < steps / each; b++) {
        mean_x[b] = mean_y[b] = 0;
        for (size_t i = b * each; i < (b + 1) * each; i++) {
            felt = sun[i] + (felt - sun[i]) * exp(-step_s / 60);
            mean_x[b] += felt / 1000 / (double)each;
            mean_y[b] += air[i] / (double)each;
        }
        if (b == 0 || isnan(mean_y[b] + mean_y[b - 1]))
            continue;
        x[n] = mean_x[b] - mean_x[b - 1];
        y[n] = mean_y[b] - mean_y[b - 1];
        ones[n++] = 1;
    }
    if (n < 8)
        return (nr_air_sun){0, INFINITY};
    double k = slope_of(x, y, ones, n, &left, &spread);
    if (!(spread > 1e-20))
        return (nr_air_sun){0, INFINITY};
    return (nr_air_sun){k, sqrt(left / (double)(n - 2) / spread + 0.4 * 0.4)};
}

START_TEST(sun_on_the_air)
{
    unsigned long long s = 17;
    static double air[STEPS], sun[STEPS];
    for (int number = 0; number < 120; number++) {
        static const double step[] = {2.5, 5, 10, 30, 150};
        double step_s = step[below(&s, 5)], warms = 3 * normal(&s), level = 600;
        /* Nine windows give eight changes; fewer tell nothing. */
        size_t each = step_s < 120 ? (size_t)(120 / step_s) : 1, windows = 6 + below(&s, 8);
        size_t steps = windows * each + below(&s, each);
        bool steady = below(&s, 10) == 0, holes = below(&s, 4) == 0;
        for (size_t i = 0; i < steps; i++) {
            level = below(&s, 20) || steady ? level : 200 + 700 * chance(&s);
            sun[i] = level;
            air[i] = holes && i == steps / 2 ? NAN : 20 + warms * level / 1000 + 0.1 * normal(&s);
        }
        nr_air_sun is = nr_air_sun_of(air, sun, steps, step_s);
        nr_air_sun should = expected(air, sun, steps, step_s);
        if (isinf(should.u)) {
            ck_assert_msg(isinf(is.u) && is.kelvin == 0, "record %d: %g +- %g", number, is.kelvin,
                          is.u);
            continue;
        }
        NEAR(is.kelvin, should.kelvin, 1e-6 * (1 + fabs(should.kelvin)));
        NEAR_RELATIVE(is.u, should.u, 1e-6);
    }
    ck_assert(isinf(nr_air_sun_of(air, sun, 0, 5).u));
}
END_TEST

/* Of a quarter of the records the sensor lies flat; of 0.15, where it may, it stays while the
 * collector is turned. Each counts by the root of its chance. */
START_TEST(in_another_plane)
{
    unsigned long long s = 23;
    for (int number = 0; number < 24; number++) {
        nr_place here = {.latitude_deg = 50 * chance(&s),
                         .longitude_deg = 10,
                         .elevation_m = 300,
                         .tilt_deg = 60 * chance(&s),
                         .azimuth_deg = 120 + 120 * chance(&s)};
        double from_s = 1779526800 + 86400 * (double)below(&s, 60) + 3600 * (double)below(&s, 14);
        double length_s = 3600 * (1 + 5 * chance(&s)), part[2][2] = {{0}};
        double at[16], ratio[2][16], sun[16], left, spread;
        int lit = 0;
        for (int i = 0; i < 16; i++) {
            at[i] = (2 * i + 1) / 32.0;
            double when = from_s + length_s * at[i];
            nr_clear_instant now = nr_clear_sky_at(when, here, NR_LINKE_DEFAULT, NR_ALBEDO_DEFAULT);
            nr_place turned = here;
            turned.tilt_deg = now.zenith_deg > 90 ? 90 : now.zenith_deg;
            turned.azimuth_deg = now.azimuth_deg;
            bool up = now.zenith_deg < 85 && now.incidence_deg < 80 && now.plane.total > 0;
            sun[i] = up ? now.plane.total : 0;
            lit += up;
            ratio[0][i] = ratio[1][i] = 1;
            if (!up)
                continue;
            ratio[0][i] = now.sky.ghi / sun[i];
            ratio[1][i] =
                sun[i] /
                nr_clear_sky_at(when, turned, NR_LINKE_DEFAULT, NR_ALBEDO_DEFAULT).plane.total;
        }
        if (lit == 1) /* of one point there is no course, but for rounding */
            continue;
        for (int k = 0; k < 2; k++) {
            double w = 0, mean = 0;
            for (int i = 0; i < 16; i++) {
                w += sun[i];
                mean += sun[i] * ratio[k][i];
            }
            double slope = slope_of(at, ratio[k], sun, 16, &left, &spread);
            bool any = w > 0 && spread > 1e-9 * w;
            part[k][0] = any ? mean / w - 1 : 0;
            part[k][1] = any ? slope / (mean / w) : 0;
        }
        for (int may = 0; may < 2; may++) {
            nr_other_plane is = nr_other_plane_of(here, from_s, length_s, may);
            double p = may ? 0.15 : 0;
            double gain = sqrt(0.25 * pow(part[0][0], 2) + p * pow(part[1][0], 2));
            double drift = sqrt(0.25 * pow(part[0][1], 2) + p * pow(part[1][1], 2));
            NEAR(is.gain, gain, 1e-9);
            NEAR(is.drift, drift, 1e-9);
        }
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {sun_on_the_air, in_another_plane, NULL};
    return run_tests("series: what the sensors' places do", tests);
}
