/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Is a record sound, reading by reading?
 *
 * Arrays in, verdicts out. The estimate asks first and leaves out what is marked, counting it, so
 * a verdict needs evidence: a cloud edge, a hot slug after a pump stop or a coarse thermometer in
 * truly still water must pass. What is only suspicious is left to `inspect`, which words it.
 *
 * How each verdict is reached stands at the top of the file that gives it: range.c, spikes.c,
 * stuck.c, duplicates.c, noise.c, pump.c, timing.c. The limits are ours: common practice, no
 * source, tuned for few false alarms on simulated runs.
 */
#ifndef NR_QUALITY_QUALITY_H
#define NR_QUALITY_QUALITY_H

#include "logger/base/err.h"
#include "logger/run/folder.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

/* The channels that have a meaning. */
typedef enum nr_role {
    NR_ROLE_STORE,
    NR_ROLE_INLET,
    NR_ROLE_OUTLET,
    NR_ROLE_AIR,
    NR_ROLE_BOX,
    NR_ROLE_SUN,
    NR_ROLE_FLOW,
    NR_ROLE_WIND,
    NR_ROLE_PUMP,
    NR_ROLE_SKY, /* degC, or W/m2 of long-wave irradiance */
    NR_ROLE_HUMIDITY,
    NR_ROLE_DIFFUSE,
    NR_ROLES
} nr_role;

/* "store", "inlet", ...: the channel's name in rig.ini and readings.csv. */
const char *nr_role_name(nr_role role);
bool nr_role_is_temperature(nr_role role);

/* Whether a value is that of a quantity at rest (no sun, no flow, no wind; a pump's supply always):
 * equal readings of it say nothing. */
bool nr_at_rest(nr_role role, double value);

/* Why a reading is not to be used. One reason a reading: the first that was found. */
typedef enum nr_bad {
    NR_GOOD = 0,
    NR_BAD_DUPLICATE, /* the row repeats, in a long stretch of such, although sensors have noise */
    NR_BAD_RANGE,     /* outside low..high of the rig file, or what the quantity can be at all */
    NR_BAD_SPIKE,     /* one to three samples away from both neighbours */
    NR_BAD_SATURATED, /* pressed against the upper or lower end of what the sensor can say */
    NR_BAD_STUCK,     /* exactly equal for longer than noise, resolution and trend allow */
    NR_BADS
} nr_bad;

/* Rows from..to, both included. */
typedef struct nr_quality_span {
    size_t from, to;
    nr_bad why;
} nr_quality_span;

#define NR_QUALITY_SPANS 32
#define NR_QUALITY_EVENTS 64

typedef struct nr_quality_channel {
    const nr_values *value; /* [rows]; NULL: not recorded. NAN: no reading */
    unsigned char *bad; /* [rows], nr_bad; 0 also where there is no reading. NULL: not recorded */
    size_t readings;    /* cells that hold a number */
    size_t good;        /* of those, not marked bad */
    size_t count[NR_BADS];
    double noise;       /* standard deviation of fast changes, resolution included; NAN unknown */
    double quiet_noise; /* the same in the quieter quarter of the record; NAN unknown */
    double step;        /* resolution: the smallest usual change; NAN: never changed */
    double low, high;   /* believable range that was used */
    bool range_stated;  /* low or high comes from the rig file */
    size_t spans;       /* stuck, saturated and out-of-range stretches, longest kept */
    nr_quality_span span[NR_QUALITY_SPANS];
    double longest_flat_s; /* longest stretch of equal readings (sun, flow, wind at rest: not) */
    double flat_from_s;    /* where it begins */
} nr_quality_channel;

typedef enum nr_pump_source {
    NR_PUMP_FROM_NOTHING, /* nothing in the record tells */
    NR_PUMP_FROM_FLOW,
    NR_PUMP_FROM_SUPPLY, /* the pump channel: a stalled pump under voltage looks running */
    NR_PUMP_FROM_NOTES   /* notes of kind pump */
} nr_pump_source;

typedef enum nr_pump_state { NR_PUMP_IS_OFF, NR_PUMP_IS_ON, NR_PUMP_IS_UNKNOWN } nr_pump_state;

/* A time span (a gap, a pump stop) or a jump (a clock step: length_s is the step). */
typedef struct nr_quality_event {
    double at_s, length_s;
} nr_quality_event;

typedef struct nr_quality {
    size_t rows;
    double interval_s;   /* median time between rows; NAN with fewer than two rows */
    double duration_s;   /* first to last row */
    nr_values elapsed_s; /* [rows] */
    nr_values busy_s;    /* [rows] elapsed since the first row, as if no pause had been longer than
                             some minutes: grids over this time cost what rows cost, not years */
    double pause_most_s; /* that much of a pause counts */
    double *busy_from_s; /* of the first row of each NR_VALUES_BLOCK: the rest is counted anew */
    nr_quality_channel channel[NR_ROLES];
    nr_values numbers[NR_ROLES]; /* what channel[].value points at */

    size_t gaps; /* all of them; the first NR_QUALITY_EVENTS are listed */
    double gaps_s;
    nr_quality_event gap[NR_QUALITY_EVENTS]; /* from the last row before to the first after */

    size_t duplicates; /* rows; those of long stretches are marked */
    double longest_freeze_s, freeze_from_s;

    size_t clock_steps; /* sudden changes of time_utc - elapsed_s */
    nr_quality_event clock_step[NR_QUALITY_EVENTS];
    double clock_rate; /* drift of time_utc against elapsed_s, s/s, steps left out; NAN unknown */

    nr_pump_source pump_source;
    unsigned char *pump; /* [rows] nr_pump_state */
    double pump_on_s, pump_off_s;
    double pump_typical; /* flow (L/min) or supply when running; NAN unknown */
    bool flow_dead;    /* the flow meter showed no flow while the store went on heating: those flow
                          readings are marked stuck, and the pump's state there is unknown */
    size_t pump_stops; /* off stretches after the pump had been running */
    nr_quality_event pump_stop[NR_QUALITY_EVENTS];
} nr_quality;

/* What the check looks at. Numbers are borrowed and must outlive the nr_quality. */
typedef struct nr_quality_source {
    size_t rows;
    nr_values elapsed_s;                  /* strictly increasing */
    nr_values utc_s;                      /* or none */
    nr_values value[NR_ROLES];            /* or none; canonical units; NAN: no reading */
    double low[NR_ROLES], high[NR_ROLES]; /* NAN: not stated */
    const nr_notes *notes;                /* or NULL */
} nr_quality_source;

/* Checks the meaningful channels of a run, which must outlive the result. A bad record is not an
 * error: NR_OK with everything marked. NR_CANNOT only without rows; NR_BAD out of memory.
 * Free with nr_quality_free. */
nr_code nr_quality_check(const nr_run *run, nr_quality **out, nr_err *err);
nr_code nr_quality_check_values(const nr_quality_source *source, nr_quality **out, nr_err *err);
void nr_quality_free(nr_quality *quality);

/* The reading when it is there and good, else NAN: a single one (nr_number), or row by row. */
static inline double nr_quality_value(const nr_quality *quality, nr_role role, size_t row)
{
    const nr_quality_channel *channel = &quality->channel[role];
    return channel->value && !channel->bad[row] ? nr_number(channel->value, row) : NAN;
}

typedef struct nr_good_rows {
    const nr_quality *quality;
    nr_cursor cursor[NR_ROLES];
} nr_good_rows;

void nr_good_begin(nr_good_rows *good, const nr_quality *quality);

static inline double nr_good_at(nr_good_rows *good, nr_role role, size_t row)
{
    const nr_quality_channel *channel = &good->quality->channel[role];
    return channel->value && !channel->bad[row] ? nr_at(&good->cursor[role], row) : NAN;
}

/* The k-th smallest (from 0) of values that are none of them NAN, and their median (of an even
 * number: the mean of the two in the middle; NAN of none). Both reorder the values. */
double nr_smallest(double *values, size_t count, size_t k);
double nr_median(double *values, size_t count);

/* Readings of one channel that are marked bad. */
size_t nr_quality_marked(const nr_quality *quality, nr_role role);

#endif
