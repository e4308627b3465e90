/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which column of a weather table is what, by its name, and how its stamps read. */
#ifndef NR_WEATHER_COLUMNS_H
#define NR_WEATHER_COLUMNS_H

#include <stdbool.h>
#include <stddef.h>

enum {
    NR_WEATHER_TIME, /* one column with date and time */
    NR_WEATHER_DATE,
    NR_WEATHER_CLOCK, /* hh:mm beside a date */
    NR_WEATHER_YEAR,
    NR_WEATHER_MONTH,
    NR_WEATHER_DAY,
    NR_WEATHER_HOUR,
    NR_WEATHER_MINUTE,
    NR_WEATHER_GHI,
    NR_WEATHER_DNI,
    NR_WEATHER_DHI,
    NR_WEATHER_AIR,
    NR_WEATHER_WIND,
    NR_WEATHER_COLUMNS
};

typedef struct nr_hourly_columns {
    int at[NR_WEATHER_COLUMNS]; /* -1: not there */
    bool utc;                   /* stamps are UTC whatever the file's zone */
    bool ends;                  /* a stamp ends its interval (TMY3) */
    bool fahrenheit;            /* air */
    double wind_to_m_s;         /* factor */
    const char *format;
} nr_hourly_columns;

/* False: these are not names of a time and an irradiance. */
bool nr_hourly_columns_find(const char *const *names, size_t count, nr_hourly_columns *out);

/* Where the interval of a row begins, UTC. False: its time cannot be read. */
bool nr_hourly_columns_time(const nr_hourly_columns *columns, const char *const *fields,
                            size_t count, double zone_h, double *from_s);

/* UTC seconds of a date and an hour (which may lie outside 0..24). */
double nr_hourly_utc(long year, long month, long day, double hour);

#endif
