/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What an irradiance sensor may be off by whose plane nobody stated. */
#ifndef NR_SERIES_OTHER_PLANE_H
#define NR_SERIES_OTHER_PLANE_H

#include "analyze/physics/clearsky.h"

#include <stdbool.h>

typedef struct nr_other_plane {
    double gain;  /* relative standard uncertainty of the readings' mean */
    double drift; /* ... of their change relative to the collector's, first to last */
} nr_other_plane;

/* For the collector's plane and a record of length_s from utc_s on. may_follow: nobody said either
 * that the collector was left as it stood. Zeros while the sun is down. Pure. */
nr_other_plane nr_other_plane_of(nr_place collector, double utc_s, double length_s,
                                 bool may_follow);

#endif
