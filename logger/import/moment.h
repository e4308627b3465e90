/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One cell that says when: what can be read in it without knowing the country it is from.
 *
 * Dates with the year first (ISO 8601) or a month's name are certain; of "5/6/2026" only the three
 * numbers are kept: which of them is the day, the whole column decides (times.h).
 */
#ifndef NR_IMPORT_MOMENT_H
#define NR_IMPORT_MOMENT_H

#include <stdbool.h>

typedef enum nr_half { NR_HALF_NONE, NR_HALF_AM, NR_HALF_PM } nr_half;

typedef struct nr_moment {
    bool has_date, sure; /* sure: year, month, day are known; else part[] */
    int year, month, day;
    int part[3];    /* as they stand */
    bool four_last; /* the last of them has four figures: it is the year */
    char between;   /* '/', '-' or '.' */
    bool has_time;
    long hour; /* may be 24 and more in a duration; as written, before am and pm */
    int minute;
    double second;
    int groups;   /* numbers of the time: 2 (h:mm) or 3 */
    char sign;    /* between them: ':', '.' or 'h'; '\0' where none is */
    int fraction; /* figures behind the second */
    long days;    /* before the time: "1 day 02:03:04", "1d 2:03", "1.02:03:04" */
    bool has_days, negative;
    nr_half half;
    bool has_offset;
    double offset_s; /* east of Greenwich: UTC = local - offset */
} nr_moment;

/* The whole cell, blanks around it aside. False: it is no date and no time (or 25:61). */
bool nr_moment_read(const char *cell, nr_moment *out);

/* "10.15" or "10.15.00" alone: a time of day as some countries write it, if anything says that it
 * is one. */
bool nr_moment_dotted(const char *cell);

/* By a pattern: %Y %y %m %d %e %j %H %I %M %S %p %b %B %a %A %z %s %T %R %D %F %% as in strftime,
 * %f figures behind the second (%S takes them too), %L milliseconds. A blank stands for any blanks
 * or none. Where the pattern has %H%M or %H%M%S together, leading zeros may be missing ("905"). */
bool nr_moment_by(const char *cell, const char *pattern, nr_moment *out);

/* Is it a date of the calendar? */
bool nr_date_exists(int year, int month, int day);

/* Seconds since 1970-01-01 00:00 of a date that exists, as if its zone were UTC. */
double nr_days_s(int year, int month, int day);

/* Of the time part, am and pm applied: seconds since midnight. NAN: 13 pm and the like. */
double nr_moment_time_s(const nr_moment *m);

#endif
