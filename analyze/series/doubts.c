/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the rig file leaves open about the sensors of the weather. */
#include "analyze/series/air_sun.h"
#include "analyze/series/inside.h"
#include "analyze/series/other_plane.h"
#include "analyze/series/sky_shape.h"

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

/* The longest part tells most of a course. A collector that is turned takes its sensor along, or
 * leaves it in no plane that is known. */
static void course(nr_series *s, nr_place place)
{
    const nr_part *longest = &s->part[0];
    for (size_t i = 1; i < s->parts; i++)
        longest = s->part[i].steps > longest->steps ? &s->part[i] : longest;
    if (s->parts == 0 || s->usual_s > SELDOM_S || s->run->rig.collector.aim == NR_AIM_FOLLOWED)
        return;
    const nr_readings *r = s->run->readings;
    nr_values utc = nr_readings_utc(r), elapsed = nr_readings_elapsed(r);
    double utc_s = nr_number(&utc, 0) - nr_number(&elapsed, 0) + longest->start_s;
    nr_sky_shape told = nr_sky_shape_of(place, utc_s, longest->sun_W_m2, longest->steps, s->step_s);
    s->sky_course_per_h = told.per_hour;
    s->sky_course_u_per_h = told.u;
}

void nr_series_doubts(nr_series *s)
{
    const nr_rig *rig = &s->run->rig;
    const nr_rig_collector *c = &rig->collector;
    const nr_rig_channel *sun = nr_rig_channel_find(rig, "sun");
    s->sky_course_u_per_h = INFINITY;
    air(s);
    if (!sun || s->sun_modelled || !rig->latitude_deg.given || !rig->longitude_deg.given ||
        !c->tilt_deg.given || !c->azimuth_deg.given)
        return;
    nr_place place = {.latitude_deg = rig->latitude_deg.value,
                      .longitude_deg = rig->longitude_deg.value,
                      .elevation_m = rig->elevation_m.given ? rig->elevation_m.value : 0,
                      .tilt_deg = c->tilt_deg.value,
                      .azimuth_deg = c->azimuth_deg.value};
    bool unknown = sun->plane == NR_PLANE_UNKNOWN;
    if ((unknown || sun->plane == NR_PLANE_COLLECTOR) && !sun->law->stated)
        course(s, place);
    if (!unknown)
        return;
    nr_values utc = nr_readings_utc(s->run->readings);
    nr_other_plane other =
        nr_other_plane_of(place, nr_number(&utc, 0), s->duration_s, c->aim != NR_AIM_FIXED);
    s->other_plane_gain = other.gain;
    s->other_plane_drift = other.drift;
}
