/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A sensor of unstated plane.
 *
 * Most are fixed to the collector, some lie flat on the ground, and some stay where they are while
 * the collector is turned after the sun. What the second and the third would read, of what the
 * collector gets, is geometry: the ratio under a cloudless sky, its mean and its course. A mixture
 * of "right" and "off by d with chance p" has the root mean square sqrt(p) d. The chances are
 * common practice, no source. */
#include "analyze/series/other_plane.h"

#include <math.h>

#define LIES_FLAT 0.25
#define FOLLOWED 0.15
#define POINTS 16

typedef struct ratio {
    double mean, change; /* of readings over what the collector gets, -1; first to last */
} ratio;

static ratio ratio_of(const double *r, const double *weight)
{
    double w = 0, x = 0, y = 0, xx = 0, xy = 0;
    for (int i = 0; i < POINTS; i++) {
        double at = (i + 0.5) / POINTS - 0.5;
        w += weight[i];
        x += weight[i] * at;
        y += weight[i] * r[i];
        xx += weight[i] * at * at;
        xy += weight[i] * at * r[i];
    }
    if (!(w > 0) || !(xx - x * x / w > 0))
        return (ratio){0, 0};
    return (ratio){y / w - 1, (xy - x * y / w) / (xx - x * x / w) / (y / w)};
}

nr_other_plane nr_other_plane_of(nr_place collector, double utc_s, double length_s, bool may_follow)
{
    double flat[POINTS], followed[POINTS], sun[POINTS];
    for (int i = 0; i < POINTS; i++) {
        double at = utc_s + length_s * (i + 0.5) / POINTS;
        nr_clear_instant now = nr_clear_sky_at(at, collector, NR_LINKE_DEFAULT, NR_ALBEDO_DEFAULT);
        nr_place facing = collector;
        facing.tilt_deg = fmin(now.zenith_deg, 90);
        facing.azimuth_deg = now.azimuth_deg;
        nr_clear_instant aimed = nr_clear_sky_at(at, facing, NR_LINKE_DEFAULT, NR_ALBEDO_DEFAULT);
        bool shines = now.zenith_deg < 85 && now.incidence_deg < 80 && now.plane.total > 0;
        sun[i] = shines ? now.plane.total : 0;
        flat[i] = shines ? now.sky.ghi / now.plane.total : 1;
        followed[i] = shines ? now.plane.total / aimed.plane.total : 1;
    }
    ratio lies = ratio_of(flat, sun), turned = ratio_of(followed, sun);
    double p = may_follow ? FOLLOWED : 0;
    return (nr_other_plane){hypot(sqrt(LIES_FLAT) * lies.mean, sqrt(p) * turned.mean),
                            hypot(sqrt(LIES_FLAT) * lies.change, sqrt(p) * turned.change)};
}
