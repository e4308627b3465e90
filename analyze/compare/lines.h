/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What builds are compared by, as straight lines in everything that is not known exactly: the
 * parameters of the joint estimate and the weather of records under different skies. Each result's
 * gradient is taken once a build; a difference is a difference of gradients. */
#ifndef NR_COMPARE_LINES_H
#define NR_COMPARE_LINES_H

#include "analyze/compare/compare.h"
#include "analyze/compare/skies.h"
#include "analyze/fit/results.h"

typedef struct nr_line {
    bool known;
    double value;
    double *slope; /* [parameters of the whole + weather factors] */
} nr_line;

typedef struct nr_lines {
    const nr_joint *whole;
    size_t builds, factors;
    nr_line line[NR_COMPARED][NR_BUILDS];
    double *work; /* [parameters + factors] */
} nr_lines;

nr_code nr_lines_begin(nr_lines *lines, const nr_joint *whole, const nr_skies *weather,
                       nr_err *err);
void nr_lines_free(nr_lines *lines);

/* Adds a result of one build, a function of its part of the estimate. */
nr_code nr_lines_add(nr_lines *lines, nr_compared by, size_t build, const nr_joint *part,
                     const nr_skies *weather, nr_result_fn fn, const void *context, nr_err *err);

/* of - against, with its 95 % interval; not known where one of them is not. */
nr_quantity nr_lines_difference(const nr_lines *lines, nr_compared by, size_t of, size_t against,
                                nr_quantity_unit unit);

double nr_lines_covariance(const nr_lines *lines, nr_compared by, size_t a, nr_compared other,
                           size_t b);

#endif
