/* SPDX-License-Identifier: GPL-3.0-or-later */
/* When each row was: time columns are found, read, put in order.
 *
 * Two steps. The plan says in which columns the time stands and how it is written; it comes from
 * the data or from the user. Then every row gets its seconds: of a calendar (UTC, by the zone's
 * clocks), of a clock without a date, or since the start.
 *
 * Never guessed: day-first against month-first (some day above 12, or midnight is crossed, or it is
 * asked), h:mm against m:ss of a duration, the unit of a count without one.
 */
#ifndef NR_IMPORT_TIMES_H
#define NR_IMPORT_TIMES_H

#include "logger/import/moment.h"
#include "logger/import/said.h"
#include "logger/import/table.h"
#include "logger/import/zone.h"

#define NR_TIME_COLUMNS 6

typedef enum nr_time_from {
    NR_TIME_MOMENTS,    /* text, the columns joined by a blank */
    NR_TIME_PATTERN,    /* the same, by a pattern */
    NR_TIME_COUNT,      /* one column of numbers: value * scale_s (+ origin) */
    NR_TIME_DAY_NUMBER, /* a spreadsheet's: days since 1899-12-30; a second column is added */
    NR_TIME_PARTS       /* columns of year, month, day or day of the year, hour ... */
} nr_time_from;

typedef enum nr_time_kind {
    NR_TIME_CALENDAR, /* date and time of day */
    NR_TIME_CLOCK,    /* time of day alone */
    NR_TIME_ELAPSED   /* since the start */
} nr_time_kind;

typedef enum nr_time_part {
    NR_PART_YEAR,
    NR_PART_MONTH,
    NR_PART_DAY,
    NR_PART_OF_YEAR,
    NR_PART_HHMM,
    NR_PART_HOUR,
    NR_PART_MINUTE,
    NR_PART_SECOND
} nr_time_part;

typedef struct nr_time_plan {
    nr_time_from from;
    nr_time_kind kind;
    size_t columns;
    size_t column[NR_TIME_COLUMNS];
    nr_time_part part[NR_TIME_COLUMNS]; /* NR_TIME_PARTS */
    double scale_s;                     /* NR_TIME_COUNT */
    bool minutes_first;                 /* durations of two numbers are m:ss */
    bool hours;                         /* beside a date (or its number) stands the hour, 0 to 24 */
    char pattern[80];                   /* NR_TIME_PATTERN */
} nr_time_plan;

/* What the user said; NULL or "": nothing. columns: "Date+Time" or "2+3". format: a pattern
 * (moment.h) or s, min, h, ms, epoch, epoch-ms, days. */
typedef struct nr_time_stated {
    const char *columns, *format;
} nr_time_stated;

nr_code nr_times_plan(const nr_table *table, const nr_time_stated *stated, nr_time_plan *out,
                      nr_import_said *said, nr_err *err);

typedef struct nr_times {
    nr_time_kind kind;
    double *at_s;   /* [table->rows] CALENDAR: UTC seconds since 1970; else seconds from some
                       start. NAN: the row's time cannot be read */
    double step_s;  /* what the stamps are written to: 60 for hh:mm, 1, 0.001 ... */
    bool zone_used; /* local times without an offset of their own were brought to UTC */
    char order[16]; /* "day first", "month first", "year first"; "" where it is no question */
    bool backwards; /* newest row first: order[] of rows is from the last to the first */
} nr_times;

/* Free with nr_times_free, also after an error. */
nr_code nr_times_read(const nr_table *table, const nr_time_plan *plan, const nr_zone *zone,
                      nr_times *out, nr_import_said *said, nr_err *err);
void nr_times_free(nr_times *times);

/* Is a column part of the plan? */
bool nr_time_has(const nr_time_plan *plan, size_t column);

#endif
