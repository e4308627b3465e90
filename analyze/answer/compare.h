/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of `noonfit compare`: two to six builds against each other in one joint estimate,
 * so that errors of shared sensors cancel by themselves. */
#ifndef NR_ANSWER_COMPARE_H
#define NR_ANSWER_COMPARE_H

#include "analyze/answer/fit.h"

#define NR_BUILDS 6

/* The common use the builds are judged by. */
typedef struct nr_reference_day {
    double sun_W_m2, air_degC, wind_m_s;
    double store_kg;
    double from_degC, to_degC;
    bool stated; /* by the user; otherwise derived from the records */
} nr_reference_day;

/* Heat-up of one build on the reference day. */
typedef struct nr_heat_up {
    nr_quantity time_s; /* to the target; not known: not reached */
    double probability_reached;
    size_t count;
    double *t_s, *store_degC, *lo95, *hi95; /* [count] */
} nr_heat_up;

typedef struct nr_difference {
    size_t of, against; /* indices of builds: value(of) - value(against) */
    nr_quantity eta0, a1, heat_up_s;
    double probability_better;  /* that `of` heats up faster on the reference day */
    double confidence_adjusted; /* level used per pair so that all together hold at 95 % */
    bool crossing_known;
    double crossing_K; /* T - Tair at the reference irradiance where the curves cross */
    double power;      /* chance that a test like this shows a difference of 10 % in eta0 */
} nr_difference;

typedef struct nr_compare {
    size_t builds;
    nr_fit *build[NR_BUILDS]; /* of the joint fit, all on one reference temperature */
    char label[NR_BUILDS][NR_NAME];
    nr_heat_up heat_up[NR_BUILDS];
    size_t differences;
    nr_difference difference[NR_BUILDS * (NR_BUILDS - 1) / 2];
    nr_reference_day day;
    char verdict[1400]; /* one or two plain sentences, figures marked (figure.h) */
    nr_warnings warnings;
} nr_compare;

/* groups[g]: the runs of one build; counts[g] of them. day may be NULL. */
nr_code nr_compare_builds(const nr_run *const *const *groups, const size_t *counts, size_t builds,
                          const nr_reference_day *day, const nr_fit_options *options,
                          nr_compare **out, nr_err *err);
void nr_compare_free(nr_compare *compare);

#endif
