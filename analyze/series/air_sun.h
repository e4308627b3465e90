/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whether the sun reaches the air's thermometer, as clouds tell: its reading falls and rises with
 * them within minutes, which air does not. */
#ifndef NR_SERIES_AIR_SUN_H
#define NR_SERIES_AIR_SUN_H

#include <stddef.h>

typedef struct nr_air_sun {
    double kelvin; /* the reading is warmer by this in 1000 W/m2 */
    double u;      /* standard uncertainty; INFINITY: no clouds, the record cannot tell */
} nr_air_sun;

/* From air [steps] degC and irradiance [steps] W/m2, dense readings. Pure. */
nr_air_sun nr_air_sun_of(const double *air_degC, const double *sun_W_m2, size_t steps,
                         double step_s);

#endif
