/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the rig file leaves open about the sensors of the weather. */
#include "analyze/series/air_sun.h"
#include "analyze/series/inside.h"
#include "analyze/series/other_plane.h"

#include <math.h>

/* Rows farther apart do not show what goes with a cloud. */
#define SELDOM_S 125.0

/* The part that tells most counts: they are one probe. */
static void air(nr_series *s)
{
    s->air_sun_u_K = INFINITY;
    bool told_of = s->usual_s <= SELDOM_S && !s->sun_modelled;
    for (size_t i = 0; i < s->parts && told_of; i++) {
        const nr_part *p = &s->part[i];
        nr_air_sun told = nr_air_sun_of(p->air_degC, p->sun_W_m2, p->steps, s->step_s);
        if (told.u < s->air_sun_u_K) {
            s->air_sun_u_K = told.u;
            s->air_sun_K = told.kelvin;
        }
    }
}

void nr_series_doubts(nr_series *s)
{
    const nr_rig *rig = &s->run->rig;
    const nr_rig_collector *c = &rig->collector;
    const nr_rig_channel *sun = nr_rig_channel_find(rig, "sun");
    air(s);
    if (!sun || sun->plane != NR_PLANE_UNKNOWN || s->sun_modelled || !rig->latitude_deg.given ||
        !rig->longitude_deg.given || !c->tilt_deg.given || !c->azimuth_deg.given)
        return;
    nr_place place = {.latitude_deg = rig->latitude_deg.value,
                      .longitude_deg = rig->longitude_deg.value,
                      .elevation_m = rig->elevation_m.given ? rig->elevation_m.value : 0,
                      .tilt_deg = c->tilt_deg.value,
                      .azimuth_deg = c->azimuth_deg.value};
    nr_other_plane other =
        nr_other_plane_of(place, s->run->readings->utc_s[0], s->duration_s, c->aim != NR_AIM_FIXED);
    s->other_plane_gain = other.gain;
    s->other_plane_drift = other.drift;
}
