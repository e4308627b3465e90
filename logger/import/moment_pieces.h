/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pieces of a date that both ways of reading it use (moment.c, moment_by.c). Text is folded and
 * small. */
#ifndef NR_IMPORT_MOMENT_PIECES_H
#define NR_IMPORT_MOMENT_PIECES_H

#include "logger/import/moment.h"

/* Up to `most` figures; returns what follows. count 0: none there. */
const char *nr_moment_figures(const char *p, int most, long *value, int *count);

/* A month's name, whole or its beginning; 1 to 12 and *p behind it, or 0. */
int nr_moment_month(const char **p);

/* am, PM, p.m., a. m.; p itself where none stands. */
const char *nr_moment_half(const char *p, nr_half *half);

/* Z, +02:00, UTC+2, CEST; p itself where none stands. */
const char *nr_moment_zone(const char *p, nr_moment *m);

/* What follows a day of the week's name; p itself where none stands. */
const char *nr_moment_weekday(const char *p);

#endif
