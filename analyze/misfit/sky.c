/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A sensor of the sun that fades drifts against two things: against a cloudless sky's course
 * (series/sky_shape.h), by what it loses, and against the collector, which seems to gain as much.
 * Each alone has a likely other cause, haze or a collector that changes; the same drift in both has
 * hardly any. So the two estimates are taken together, weighted by their variances. */
#include "analyze/misfit/inside.h"

#include <math.h>

void nr_misfit_sky(nr_misfit_search *s)
{
    const nr_series *series = s->view.series;
    double hours = (double)s->blocks * series->block_s / 3600;
    double sky = series->sky_course_per_h * hours, u = series->sky_course_u_per_h * hours;
    double gain, gain_u;
    if (!isfinite(u))
        return;
    nr_misfit_gain_drift(s, &gain, &gain_u);
    double weight = 1 / (u * u), other = 1 / (gain_u * gain_u), sum = weight + other;
    double size = (weight * sky - other * gain) / sum, z = size * sqrt(sum);
    /* The fit takes a mean over the record: at each end it is off by half. */
    nr_misfit_add(s, &(nr_misfit_finding){.kind = NR_MISFIT_SUN_COURSE,
                                          .strength = fmin(fabs(z) / nr_misfit_limit(1),
                                                           nr_misfit_matters(s, size / 2)),
                                          .run = s->view.run,
                                          .at_s = NAN,
                                          .until_s = NAN,
                                          .channel = -1,
                                          .size = size,
                                          .u = 1 / sqrt(sum)});
}
