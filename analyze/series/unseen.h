/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a quantity that wanders may have done between its readings. */
#ifndef NR_SERIES_UNSEEN_H
#define NR_SERIES_UNSEEN_H

#include "logger/run/values.h"

#include <stddef.h>

typedef struct nr_unseen {
    double sd;       /* of its wander about its course, in the quantity's unit */
    double memory_s; /* in which it forgets */
} nr_unseen;

/* From n readings at rising times, as they show at distances of h_s. Pure. */
nr_unseen nr_unseen_of(const double *t_s, const double *value, size_t n, double h_s);
nr_unseen nr_unseen_of_values(const nr_values *t_s, const nr_values *value, size_t n, double h_s);

/* Variance of its time integral by a straight line between two readings length_s apart, as their
 * share of a record's, (unit * s)^2. */
double nr_unseen_integral(const nr_unseen *unseen, double length_s);
/* Not less than that: the Brownian bridge's, of which any memory leaves less (y^2 coth(y / 2) - 2 y
 * <= y^3 / 6 for y >= 0), for who asks whether it matters at all. */
double nr_unseen_integral_most(const nr_unseen *unseen, double length_s);

#endif
