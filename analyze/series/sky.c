/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/physics/clearsky.h"
#include "analyze/series/inside.h"

#include <math.h>
#include <stdlib.h>

/* The sky is computed this often and joined by straight lines. */
#define EVERY_S 60.0

nr_code nr_grid_clear_sky(const nr_run *run, double step_s, nr_grid *grid, nr_err *err)
{
    const nr_rig *rig = &run->rig;
    if (!rig->latitude_deg.given || !rig->longitude_deg.given || !rig->collector.tilt_deg.given ||
        !rig->collector.azimuth_deg.given)
        return nr_fail(err, NR_CANNOT, rig->path, 0,
                       "a clear-sky irradiance needs [site] latitude_deg and longitude_deg and "
                       "[collector] tilt_deg and azimuth_deg");
    nr_place place = {.latitude_deg = rig->latitude_deg.value,
                      .longitude_deg = rig->longitude_deg.value,
                      .elevation_m = rig->elevation_m.given ? rig->elevation_m.value : 0,
                      .tilt_deg = rig->collector.tilt_deg.value,
                      .azimuth_deg = rig->collector.azimuth_deg.value};
    double *sun = malloc((grid->steps ? grid->steps : 1) * sizeof(double));
    if (!sun)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    double utc0 = run->readings->utc_s[0] - run->readings->elapsed_s[0] + grid->start_s;
    size_t stride = (size_t)fmax(EVERY_S / step_s, 1);
    double here = nr_clear_sky_at(utc0, place, NR_LINKE_DEFAULT, NR_ALBEDO_DEFAULT).plane.total;
    for (size_t k = 0; k < grid->steps; k += stride) {
        double then = utc0 + step_s * (double)(k + stride);
        double next = nr_clear_sky_at(then, place, NR_LINKE_DEFAULT, NR_ALBEDO_DEFAULT).plane.total;
        for (size_t i = k; i < grid->steps && i < k + stride; i++)
            sun[i] = here + (next - here) * (double)(i - k) / (double)stride;
        here = next;
    }
    free(grid->value[NR_ROLE_SUN]);
    grid->value[NR_ROLE_SUN] = sun;
    return NR_OK;
}
