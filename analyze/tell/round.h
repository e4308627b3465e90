/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers for people: rounded to their uncertainty (JCGM 100, 7.2.6). */
#ifndef NR_TELL_ROUND_H
#define NR_TELL_ROUND_H

#include <stddef.h>

#define NR_ROUNDED 40

/* The decimal place to round to so that u keeps this many significant digits: u 0.0225, digits
 * 2 -> 3; u 187, digits 2 -> -1. u that is not positive or not finite: NR_NO_PLACE. */
#define NR_NO_PLACE 99
int nr_round_place(double u, int digits);

/* value rounded to that decimal place, halves away from zero as they stand in decimal (0.0225 to
 * 3 places is 0.023, although its binary form lies a hair below the half). NR_NO_PLACE: four
 * significant digits. NAN: "?". Never "-0". Returns text. */
char *nr_round_text(double value, int place, char text[NR_ROUNDED]);

/* A stated or chosen number, without an uncertainty: up to digits significant digits, no trailing
 * zeros ("40", "0.52", "10.6"). NAN: "?". Returns text. */
char *nr_plain_text(double value, int digits, char text[NR_ROUNDED]);

#endif
