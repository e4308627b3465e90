/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sun, air and wind of one test, drawn in advance on a grid of seconds, so that two rigs with the
 * same day_seed stand under the same sky whatever their sampling intervals. */
#ifndef NR_VIRTUAL_WEATHER_H
#define NR_VIRTUAL_WEATHER_H

#include "sample-runs/rig/virtual.h"

typedef struct nr_weather {
    size_t seconds; /* entries in each array: one a second from 0 to the end of the test */
    double *sun_W_m2, *air_degC, *wind_m_s;
    double *cos_incidence; /* 1 = straight on; <= 0: the sun is behind the plane */
} nr_weather;

nr_code nr_weather_draw(const nr_virtual_params *p, nr_weather *w, nr_err *err);
void nr_weather_free(nr_weather *w);

/* Linear between the seconds; t_s within the test. */
double nr_weather_at(const nr_weather *w, const double *series, double t_s);

/* Position of the sun, own formulas (see the .c), good to about 0.02 degrees, no refraction:
 * cosine of the zenith angle, and of the incidence angle on a plane (azimuth clockwise from
 * north). */
void nr_weather_sun(double unix_s, double latitude_deg, double longitude_deg, double tilt_deg,
                    double azimuth_deg, double *cos_zenith, double *cos_incidence);

#endif
