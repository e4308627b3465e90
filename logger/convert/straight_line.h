/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A straight line through readings in time whose errors are not independent.
 *
 * Readings a second apart share their noise: lag, mixing, steps. The scatter about the line and its
 * lag-1 autocorrelation give the number of readings that count, and with it honest standard
 * uncertainties; taking the readings as independent makes them 5 to 10 times too small.
 */
#ifndef NR_CONVERT_STRAIGHT_LINE_H
#define NR_CONVERT_STRAIGHT_LINE_H

#include <stdbool.h>
#include <stddef.h>

typedef struct nr_straight_line {
    size_t count;
    double mean_time_s, mean; /* the line's middle */
    double slope;             /* per second */
    double sd;                /* scatter about the line */
    double lag1;              /* autocorrelation of the scatter, 0..1 */
    double effective;         /* readings that count */
    double u_mean, u_slope;   /* standard uncertainties; uncorrelated with each other */
} nr_straight_line;

/* time_s rising, count >= 3, no NAN. False: too few, or no time between them. residual: room for
 * count numbers, filled with what is left of the line. */
bool nr_straight_line_through(const double *time_s, const double *value, size_t count,
                              double *residual, nr_straight_line *out);

/* The line at a time, with its standard uncertainty. */
double nr_straight_line_at(const nr_straight_line *line, double time_s, double *u);

#endif
