/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The course of the sun's readings against a cloudless sky's.
 *
 * The logarithm of their ratio in means of some minutes, and a straight line through it. What a
 * cloudless sky may do to that line is worked out as it is for this hour and plane: another
 * turbidity, another law of the air mass, a plane that was aimed by eye; and the haze of a day
 * comes and goes. Where the ratio leaves its line by more than haze does, there were clouds, and
 * nothing is said. */
#include "analyze/series/sky_shape.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#define WINDOW_S 180.0
#define FEWEST 9
/* Departures from the line beyond this are clouds, shadows or steps. */
#define CLOUDLESS 0.03
#define LOWEST_ZENITH_DEG 75.0
#define LOWEST_INCIDENCE_DEG 65.0
#define LEAST_W_M2 150.0
/* Standard uncertainties. Turbidity 2 to 5 between mountains and cities; clear-sky models bend
 * against each other and against measured days by some hundredths between one and two air masses;
 * tilt by a level or an angle gauge, azimuth by a compass. Haze: of the course of measured clear
 * mornings, after an hour. Common practice, no source. */
#define TURBIDITY_U 1.0
#define AIR_MASS_U 0.04
#define TILT_U_DEG 1.5
#define AZIMUTH_U_DEG 3.0
#define HAZE_H 0.01
/* Windows that hardly know of each other. */
#define INDEPENDENT_S 900.0

enum { AS_IS, TURBID, TILTED, TURNED, SKIES };

/* Sums of a straight line through each of some courses over the same times. */
typedef struct lines {
    double n, t, tt;
    double y[SKIES + 1], ty[SKIES + 1]; /* the last one: air mass */
} lines;

static nr_clear_instant sky_of(const nr_sun *at, nr_place place, double utc_s, int which)
{
    place.tilt_deg += which == TILTED ? TILT_U_DEG : 0;
    place.azimuth_deg += which == TURNED ? AZIMUTH_U_DEG : 0;
    double turbidity = NR_LINKE_DEFAULT + (which == TURBID ? TURBIDITY_U : 0);
    return nr_clear_sky_of(at, utc_s, place, turbidity, NR_ALBEDO_DEFAULT);
}

/* The logarithm of the ratio as it is, and what each uncertainty changes of it. */
static bool look(nr_sun_path *path, nr_place place, double utc_s, double sun, double y[SKIES + 1])
{
    nr_sun at = nr_sun_along(path, utc_s, place.latitude_deg, place.longitude_deg);
    nr_clear_instant clear = sky_of(&at, place, utc_s, AS_IS);
    bool high = clear.zenith_deg < LOWEST_ZENITH_DEG && clear.incidence_deg < LOWEST_INCIDENCE_DEG;
    if (!high || !(sun > LEAST_W_M2) || !(clear.plane.total > LEAST_W_M2))
        return false;
    y[AS_IS] = log(sun / clear.plane.total);
    for (int k = TURBID; k < SKIES; k++)
        y[k] = log(sky_of(&at, place, utc_s, k).plane.total / clear.plane.total);
    y[SKIES] = AIR_MASS_U * log(nr_air_mass(clear.zenith_deg));
    return true;
}

static double slope(const lines *l, int k)
{
    return (l->ty[k] - l->t * l->y[k] / l->n) / (l->tt - l->t * l->t / l->n);
}

static nr_sky_shape judge(const lines *l, const double *at_h, const double *ratio, size_t n)
{
    double along = slope(l, AS_IS), left = 0, hours = at_h[n - 1] - at_h[0];
    for (size_t i = 0; i < n; i++) {
        double d = ratio[i] - l->y[AS_IS] / l->n - along * (at_h[i] - l->t / l->n);
        if (!(fabs(d) < CLOUDLESS))
            return (nr_sky_shape){0, INFINITY};
        left += d * d;
    }
    double apart = fmax(hours * 3600 / INDEPENDENT_S, 1);
    double scatter = left / (double)n / apart / ((l->tt - l->t * l->t / l->n) / l->n);
    double variance = scatter + HAZE_H * HAZE_H / hours;
    for (int k = TURBID; k <= SKIES; k++)
        variance += pow(slope(l, k), 2);
    return (nr_sky_shape){along, sqrt(variance)};
}

nr_sky_shape nr_sky_shape_of(nr_place place, double utc_s, const double *sun_W_m2, size_t steps,
                             double step_s)
{
    size_t window = (size_t)fmax(WINDOW_S / step_s, 1), most = steps / window, n = 0;
    double *at_h = malloc((2 * most + 1) * sizeof *at_h);
    double *ratio = at_h ? at_h + most : NULL;
    nr_sky_shape told = {0, INFINITY};
    lines l = {0};
    nr_sun_path path = {0};
    for (size_t k = 0; at_h && k < most; k++) {
        double sun = 0, y[SKIES + 1], h = ((double)k + 0.5) * (double)window * step_s / 3600;
        for (size_t i = k * window; i < (k + 1) * window; i++)
            sun += sun_W_m2[i] / (double)window;
        if (!look(&path, place, utc_s + 3600 * h, sun, y))
            continue;
        at_h[n] = h;
        ratio[n++] = y[AS_IS];
        l.n += 1;
        l.t += h;
        l.tt += h * h;
        for (int c = 0; c <= SKIES; c++) {
            l.y[c] += y[c];
            l.ty[c] += h * y[c];
        }
    }
    if (n >= FEWEST && l.tt - l.t * l.t / l.n > 0)
        told = judge(&l, at_h, ratio, n);
    free(at_h);
    return told;
}
