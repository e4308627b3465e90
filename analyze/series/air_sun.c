/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sun on the air's thermometer.
 *
 * Means over two minutes, from one to the next: air = k sun + what the air does by itself. The sun
 * is taken behind a lag, for a thermometer in a sleeve warms in a minute or so. Ordinary least
 * squares with an intercept, for both rise in the morning: differences of a wander that forgets in
 * ten minutes hardly know of each other. */
#include "analyze/series/air_sun.h"

#include <math.h>

#define WINDOW_S 120.0
/* Of a thermometer in air: half a minute in a breeze, two minutes in none. Common practice, no
 * source. */
#define LAG_S 60.0
/* Ground and walls warm the air with the sun, too, within such minutes: no thermometer can be told
 * from that. Common practice, no source. */
#define AIR_ITSELF_K 0.4
#define FEWEST 8

nr_air_sun nr_air_sun_of(const double *air_degC, const double *sun_W_m2, size_t steps,
                         double step_s)
{
    size_t window = (size_t)fmax(WINDOW_S / step_s, 1), n = 0;
    double felt = steps ? sun_W_m2[0] : 0, follow = 1 - exp(-step_s / LAG_S);
    double before[2] = {NAN, NAN}, xx = 0, xy = 0, yy = 0, sx = 0, sy = 0;
    for (size_t k = 0; k + window <= steps; k += window) {
        double sun = 0, air = 0;
        for (size_t i = k; i < k + window; i++) {
            felt += (sun_W_m2[i] - felt) * follow;
            sun += felt / 1000 / (double)window;
            air += air_degC[i] / (double)window;
        }
        double x = sun - before[0], y = air - before[1];
        before[0] = sun;
        before[1] = air;
        if (isnan(x) || isnan(y))
            continue;
        sx += x;
        sy += y;
        xx += x * x;
        xy += x * y;
        yy += y * y;
        n++;
    }
    xx -= sx * sx / fmax((double)n, 1);
    xy -= sx * sy / fmax((double)n, 1);
    yy -= sy * sy / fmax((double)n, 1);
    if (n < FEWEST || !(xx > 0))
        return (nr_air_sun){0, INFINITY};
    double k = xy / xx, left = fmax(yy - k * xy, 0) / (double)(n - 2);
    return (nr_air_sun){k, hypot(sqrt(left / xx), AIR_ITSELF_K)};
}
