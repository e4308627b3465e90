/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Does an irradiance sensor follow a cloudless sky's course? Its level tells nothing, for the sky's
 * turbidity is not known; its course does: a sensor that fades, or lies in another plane, drifts
 * against the sky while nothing else does. */
#ifndef NR_SERIES_SKY_SHAPE_H
#define NR_SERIES_SKY_SHAPE_H

#include "analyze/physics/clearsky.h"

#include <stddef.h>

typedef struct nr_sky_shape {
    double per_hour; /* relative change of readings over a cloudless sky's in that plane, 1/h */
    double u;        /* standard uncertainty; INFINITY: clouds, too short, sun too low */
} nr_sky_shape;

/* sun [steps] W/m2 from utc_s on, dense readings; place: with the plane that they should be in.
 * Pure. */
nr_sky_shape nr_sky_shape_of(nr_place place, double utc_s, const double *sun_W_m2, size_t steps,
                             double step_s);

#endif
