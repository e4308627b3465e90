/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Between the files of this room. */
#ifndef NR_SEASON_INSIDE_H
#define NR_SEASON_INSIDE_H

#include "analyze/season/season.h"

/* Collectors drawn from the joint estimate, as departures of its lasting parameters. */
typedef struct nr_season_draws {
    size_t count, lasting;
    size_t *parameter; /* [lasting] */
    double *departure; /* [count][lasting] */
} nr_season_draws;

nr_code nr_season_draw(const nr_solved *solved, size_t count, unsigned long seed,
                       nr_season_draws *out, nr_err *err);
void nr_season_draws_free(nr_season_draws *draws);

/* The days of a year for one question, with every draw's warmest: warmest[draw][day]. */
typedef struct nr_season_run {
    size_t days, draws;
    nr_season_day *day;
    double *warmest;
} nr_season_run;

nr_code nr_season_simulate(const nr_solved *solved, const nr_season_draws *draws,
                           const nr_hourly *weather, const nr_season_question *question,
                           nr_season_progress progress, void *progress_context, nr_season_run *out,
                           nr_err *err);
void nr_season_run_free(nr_season_run *run);

/* Fills what the question leaves open, and checks it. */
nr_code nr_season_complete(const nr_solved *solved, const nr_hourly *weather,
                           nr_season_question *question, nr_err *err);

/* Uses that water of a warmth gives on a day. */
double nr_season_uses(const nr_season_question *q, const nr_season_day *day, double warmest_degC);

/* 2.5 % and 97.5 % of values, which are sorted. */
void nr_season_interval(double *values, size_t count, double *lo, double *hi);

#endif
