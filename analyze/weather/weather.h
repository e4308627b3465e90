/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A year (or more) of weather as a table of hours, and what of it falls on a plane.
 *
 * Read are the open hourly formats of building simulation and of public solar services, told apart
 * by their first lines, and any table whose columns say what they are:
 *
 *   EPW           LOCATION line, 8 header lines; the hour 1..24 ends its interval, local standard
 *                 time of the header's zone
 *   TMY3 CSV      station line, names with units; the time 01:00..24:00 ends its interval
 *   service CSV   lines "Latitude (decimal degrees): 45.0" before the names, stamps 20050101:0000
 *                 UTC that begin their hour
 *   grid CSV      a line of names and one of values (Latitude, Longitude, Time Zone, Elevation),
 *                 columns Year, Month, Day, Hour, Minute; a Minute of 30 is the middle of its hour
 *   plain         time_utc,GHI_W_m2,DHI_W_m2,air_degC,wind_m_s in any order: a stamp begins its
 * hour
 *
 * A typical year joins months of several years: rows that do not ascend in time are put, month by
 * month, into one year without a leap day.
 */
#ifndef NR_WEATHER_WEATHER_H
#define NR_WEATHER_WEATHER_H

#include "logger/base/err.h"

#include <stdbool.h>
#include <stddef.h>

typedef struct nr_hourly_row {
    double from_s;                       /* UTC, where the interval begins */
    double ghi_W_m2, dni_W_m2, dhi_W_m2; /* means over it; NAN: not given */
    double air_degC, wind_m_s;           /* NAN: not given */
} nr_hourly_row;

typedef struct nr_hourly {
    char place[128], format[24];
    double latitude_deg, longitude_deg, elevation_m; /* NAN: the file does not say */
    double zone_h;                                   /* of the file's clock, hours east of UTC */
    double step_s;                                   /* between rows */
    bool typical;                                    /* months of several years, joined */
    size_t rows;
    nr_hourly_row *row; /* [rows] ascending */
    size_t holes;       /* values that were missing and were filled from the rows beside them */
} nr_hourly;

/* The year that a typical year is put into: not a leap year, and the next one is none. */
#define NR_TYPICAL_YEAR 2025

/* Reads a file. NR_BAD names file, line and what would be right. Holes of up to six rows in air and
 * wind are filled along a straight line; of longer ones those of the air are an error and the wind
 * is 3 m/s (common practice, no source); irradiance is filled by none: an hour without it is an
 * error. Free with nr_hourly_free. */
nr_code nr_hourly_read(const char *path, nr_hourly **out, nr_err *err);

/* The same from text that is in memory; name is for messages. */
nr_code nr_hourly_parse(const char *text, size_t length, const char *name, nr_hourly **out,
                        nr_err *err);

void nr_hourly_free(nr_hourly *weather);

/* A plane in the weather's place. */
typedef struct nr_hourly_plane {
    double tilt_deg, azimuth_deg;
    bool re_aimed; /* follows the sun: straight on at any time */
    double albedo; /* of the ground around */
} nr_hourly_plane;

typedef struct nr_hourly_sample {
    double sun_W_m2;  /* in the plane: beam, sky and ground */
    double beam_W_m2; /* of that, straight from the sun */
    double incidence_deg, air_degC, wind_m_s;
} nr_hourly_sample;

/* count samples at from_s + (k + 1/2) every_s. Within an hour the sun moves on: the beam keeps its
 * normal irradiance and the diffuse goes with the sun's height, so that the hour's means come back.
 * Missing parts by Erbs 1982 from the clearness of the hour; to the plane by Hay and Davies 1980
 * (physics/clearsky.h). Outside the table: NAN. */
void nr_hourly_samples(const nr_hourly *weather, const nr_hourly_plane *plane, double from_s,
                       double every_s, size_t count, nr_hourly_sample *out);

#endif
