/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Wall-clock time as text: ISO 8601, UTC, milliseconds, 'Z'. */
#ifndef NR_BASE_UTC_H
#define NR_BASE_UTC_H

#include <stdbool.h>
#include <stddef.h>

#define NR_UTC_SIZE 32

/* Seconds since 1970-01-01T00:00:00Z (no leap seconds) -> "2026-05-04T11:22:33.456Z".
 * Rounded to the millisecond. Years 1970..9999; outside, an empty string. */
void nr_utc_format(double unix_s, char out[NR_UTC_SIZE]);

/* Accepts what nr_utc_format writes, with or without the fraction (1 to 9 digits). */
bool nr_utc_parse(const char *text, double *unix_s);

/* "2026-05-04" -> seconds at 00:00:00Z of that date. */
bool nr_date_parse(const char *text, double *unix_s);

#endif
