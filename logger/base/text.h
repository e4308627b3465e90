/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Text from outside: strict numbers, and strings made safe to show. */
#ifndef NR_BASE_TEXT_H
#define NR_BASE_TEXT_H

#include <stdbool.h>
#include <stddef.h>

/* A finite decimal number and nothing else ("12.5", "-3e2"); surrounding blanks are allowed.
 * Independent of the locale. No hexadecimal, no inf, no nan. False leaves *out untouched. */
bool nr_parse_double(const char *text, double *out);

/* A decimal integer and nothing else, within [lo, hi]. */
bool nr_parse_long(const char *text, long lo, long hi, long *out);

/* yes/no, true/false, on/off, 1/0. */
bool nr_parse_yes(const char *text, bool *out);

/* A duration: "90", "90s", "45m", "2h", "1h30m", "1d" -> seconds. Largest unit first. */
bool nr_parse_duration(const char *text, double *seconds);

/* A number as text with a decimal point whatever the locale says. decimals < 0: up to 10
 * significant digits, shortest form. Not finite: an empty text. Never "-0.00". Returns the length,
 * or 0 when there is nothing or it did not fit (out is then empty). */
size_t nr_format_number(char *out, size_t size, double value, int decimals);

/* Copies at most size-1 bytes, always terminates; true when all of it fitted. */
bool nr_copy(char *to, size_t size, const char *from);

/* Copies text with control characters (C0, DEL, and the C1 range when encoded in UTF-8) and
 * malformed UTF-8 replaced by '?', so that it can go to a terminal, a note or a plot as data.
 * Bidirectional-override characters are replaced too. */
void nr_clean(char *to, size_t size, const char *from, size_t from_length);

/* Removes blanks at both ends, in place. Returns text. */
char *nr_trim(char *text);

#endif
