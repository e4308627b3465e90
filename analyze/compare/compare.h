/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of `noonfit compare`: two to twenty-four builds against each other in one joint
 * estimate, so that errors of shared sensors cancel by themselves. */
#ifndef NR_COMPARE_COMPARE_H
#define NR_COMPARE_COMPARE_H

#include "analyze/fit/fit.h"

#define NR_BUILDS 24
#define NR_EXCHANGED 12
#define NR_PAIRS (NR_BUILDS * (NR_BUILDS - 1) / 2)

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

/* What builds are compared by. */
typedef enum nr_compared { NR_BY_ETA0, NR_BY_A1, NR_BY_TIME, NR_COMPARED } nr_compared;

/* Each difference with its own 95 % interval; nr_compare.all_k has the factor for all pairs. */
typedef struct nr_difference {
    size_t of, against; /* indices of builds: value(of) - value(against) */
    nr_quantity eta0, a1, heat_up_s;
    double probability_better;  /* that `of` heats up faster on the reference day */
    double confidence_adjusted; /* level for each pair so that the heat-up times of all together
                                   hold at 95 % */
    bool crossing_known;
    double crossing_K;    /* T - Tair at the reference irradiance where the curves cross */
    nr_quantity crossing; /* the same with its interval (Fieller) */
    double power;         /* chance that a test like this shows a difference of 10 % in eta0 */
} nr_difference;

/* A build's place among all, by the heat-up on the reference day. */
typedef struct nr_rank {
    size_t build;
    size_t lo95, hi95;           /* range of ranks, 1 the fastest */
    double probability_first;    /* that no other is faster */
    char letters[NR_BUILDS + 1]; /* builds without a letter in common are told apart, all pairs
                                    together at 95 %; "" does not get there */
} nr_rank;

#define NR_RANK_DRAWS 20000
#define NR_RANK_SEED 1UL

/* The best build against one other, by the heat-up on the reference day. */
typedef enum nr_against_outcome {
    NR_AGAINST_SLOWER,     /* the other is slower: the interval of the gain is above zero */
    NR_AGAINST_ALIKE,      /* they cannot be told apart */
    NR_AGAINST_NOT_REACHED /* the other does not get there */
} nr_against_outcome;

typedef struct nr_against {
    nr_against_outcome outcome;
    double gain_s, lo95_s, hi95_s; /* time of the other - time of the best */
    double u_s;                    /* standard uncertainty to round by */
} nr_against;

/* What would settle a difference that does not show; only of two builds. */
typedef enum nr_settle {
    NR_SETTLE_NOTHING,       /* settled, or more than two builds */
    NR_SETTLE_SAME_ENOUGH,   /* whatever it is, it is below NR_SAME_ENOUGH of the time */
    NR_SETTLE_MORE_TESTS,    /* so many like these, fitted together */
    NR_SETTLE_BETTER_SENSORS /* no number of tests would: the sensors stand in the way */
} nr_settle;

/* An interval inside this part of the heat-up time, to both sides, settles it: nobody's day
 * changes. */
#define NR_SAME_ENOUGH 0.05

typedef struct nr_verdict {
    bool reached;                  /* by any build; else only `best` is set */
    size_t best;                   /* the fastest */
    size_t next;                   /* the second fastest; best itself where no other gets there */
    nr_against against[NR_BUILDS]; /* the one of `best` is empty */
    nr_settle settle;
    double tests;     /* of NR_SETTLE_MORE_TESTS */
    bool crossing;    /* the curves cross, at difference[0].crossing_K */
    size_t cold, hot; /* builds that gather more below and above it */
} nr_verdict;

typedef struct nr_compare {
    size_t builds;
    nr_fit *build[NR_BUILDS]; /* of the joint fit, all on one reference temperature */
    char label[NR_BUILDS][NR_NAME];
    nr_heat_up heat_up[NR_BUILDS];
    size_t differences;
    nr_difference difference[NR_PAIRS];
    double all_k[NR_COMPARED]; /* coverage factor with which all pairs together hold at 95 %; of two
                                  builds the usual one */
    nr_rank rank[NR_BUILDS];   /* fastest first */
    size_t skies; /* records under so many different skies: more than one brings its weather in */
    size_t exchanged_count; /* sensors that changed places between the records (exchanged.h) */
    const char *exchanged[NR_EXCHANGED]; /* their channels: "sun", "flow" */
    bool like; /* some builds are of one kind and tested together: they share most of the model's
                  own error */
    nr_reference_day day;
    nr_verdict verdict;
    nr_trust trust; /* of all builds together; each says whose */
    nr_warnings warnings;
} nr_compare;

/* groups[g]: the runs of one build; counts[g] of them. day may be NULL. */
nr_code nr_compare_builds(const nr_run *const *const *groups, const size_t *counts, size_t builds,
                          const nr_reference_day *day, const nr_fit_options *options,
                          nr_compare **out, nr_err *err);
void nr_compare_free(nr_compare *compare);

const nr_quantity *nr_difference_by(const nr_difference *difference, nr_compared by);
/* A difference with the interval that holds for all pairs together at 95 %, in lo95 and hi95. */
nr_quantity nr_difference_of_all(const nr_compare *compare, const nr_difference *difference,
                                 nr_compared by);

#endif
