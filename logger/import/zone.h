/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Local times to UTC by the system's time zones (tz database). */
#ifndef NR_IMPORT_ZONE_H
#define NR_IMPORT_ZONE_H

#include "logger/base/err.h"

#include <stdbool.h>
#include <stddef.h>

#define NR_ZONE 64

typedef struct nr_zone {
    char name[NR_ZONE]; /* "America/Denver"; of a fixed one "UTC", "UTC+02:00" */
    bool fixed;
    double offset_s; /* fixed: east of Greenwich */
} nr_zone;

/* "America/Denver", "UTC", "+02:00", "UTC-7" (east is positive, as people say it). NULL or "": this
 * computer's own. NR_BAD: there is no such zone. */
nr_code nr_zone_find(const char *text, nr_zone *out, nr_err *err);

/* The UTC times that this zone's clocks showed as local_s (seconds since 1970-01-01 00:00, as if
 * UTC), the earlier first: 0 in the hour that spring leaves out, 2 in autumn's double hour, else 1.
 * Sets and restores TZ: not for programs with several threads. */
size_t nr_zone_utc(const nr_zone *zone, double local_s, double utc_s[2]);

#endif
