/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How fast the water warms, and when it will be warm enough. Pure. */
#ifndef NR_WATCH_TREND_H
#define NR_WATCH_TREND_H

#include "logger/convert/straight_line.h"
#include "logger/run/rig.h"

/* The rate is taken over this long: shorter shows clouds, longer shows the past. */
#define NR_TREND_WINDOW_S 300.0
#define NR_TREND_ROWS_MIN 20
#define NR_TREND_SPAN_MIN_S 20.0

typedef struct nr_trend {
    bool known;
    double at_s;             /* time of the newest reading */
    double now, u_now;       /* the line there */
    double rate_s, u_rate_s; /* per second, standard uncertainty */
    double age_s;            /* the rate is that of so long ago: the window's middle */
} nr_trend;

/* Of the last NR_TREND_WINDOW_S of the readings; NAN are left out. */
nr_trend nr_trend_of(const double *time_s, const double *value, size_t count);

typedef enum nr_time_to_kind {
    NR_TIME_TO_UNKNOWN, /* too few readings, or the rate cannot be told from nothing */
    NR_TIME_TO_REACHED,
    NR_TIME_TO_AWAY, /* it is going the other way */
    NR_TIME_TO_COMING
} nr_time_to_kind;

typedef struct nr_time_to {
    nr_time_to_kind kind;
    double seconds, lo95_s, hi95_s; /* NR_TIME_TO_COMING; hi95_s INFINITY when it may never come */
} nr_time_to;

/* The warmer the water, the slower it warms: by so much of the rate for each kelvin, 1/s. That is
 * (loss coefficient times area) over heat capacity; from the rig where it says, with the range that
 * collectors of that kind have. */
typedef struct nr_slowing {
    double lo_1_s, mid_1_s, hi_1_s;
} nr_slowing;

/* An area or heat capacity that is NAN: none, all 0. */
nr_slowing nr_slowing_of(nr_glazing glazing, double area_m2, double capacity_J_K);

/* When the target is met, going on from here as long as the sun stays as it is. */
nr_time_to nr_trend_time_to(const nr_trend *trend, double target, nr_slowing slowing);

/* The value so many seconds after the newest reading, in the same sun, and its 95 % interval. Needs
 * a trend that is known. */
double nr_trend_ahead(const nr_trend *trend, nr_slowing slowing, double seconds, double *lo95,
                      double *hi95);

#endif
