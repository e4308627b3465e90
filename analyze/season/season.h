/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of `noonfit season`: a fitted collector through a year of weather, a day at a time.
 *
 * Every day the container is filled with water as cold as the day (or as stated), the collector
 * works from a start to a deadline, and what counts is the warmest that the container gets until
 * then. The collector's own uncertainty is common to all days: so many collectors are drawn from
 * the joint estimate, and each is taken through the whole year (on the tangent of the simulation).
 * What another year would bring is told apart from it: by the years of the table, or, of a typical
 * year, by weeks of the same season exchanged at random.
 */
#ifndef NR_SEASON_SEASON_H
#define NR_SEASON_SEASON_H

#include "analyze/fit/solved.h"
#include "analyze/weather/weather.h"

#define NR_SEASON_MONTHS 12
#define NR_SEASON_DRAWS_MOST 10000

typedef struct nr_season_question {
    double to_degC;
    double from_degC;                         /* NAN: the day's mean air, never below 1 degC */
    double start_s, by_s;                     /* mean solar time after midnight */
    double water_kg, area_m2, store_loss_W_K; /* NAN: as in the record */
    double tilt_deg, azimuth_deg;             /* NAN: [collector] of the rig file */
    double latitude_deg, longitude_deg;       /* NAN: the weather's own, else [site] */
    bool re_aimed;
    double tap_degC;        /* of the cold water that is mixed in; NAN: as the start */
    double use_degC, use_L; /* of the mixed water, of one use */
    size_t draws;
    unsigned long seed;
} nr_season_question;

/* to 40 degC from 9:00 until 18:00, five litres of 40 degC a use, 200 draws. */
nr_season_question nr_season_open(void);

/* A number of days or uses: the best estimate and two 95 % intervals, by what makes them wide. */
typedef struct nr_season_count {
    double value;
    double lo95, hi95;           /* the collector's uncertainty alone */
    double year_lo95, year_hi95; /* from year to year alone */
} nr_season_count;

typedef struct nr_season_day {
    double date_s;              /* 00:00 UTC of its date */
    double from_degC, air_degC; /* at the start; mean from start to deadline */
    double sun_kWh_m2;          /* in the plane, from start to deadline */
    double warmest_degC, u_K;   /* by the deadline; standard uncertainty by the collector */
    double probability;         /* that the target is reached, over the draws */
    double uses;                /* of the water at its warmest */
    double least_air_degC;      /* of the whole day, for frost */
} nr_season_day;

typedef struct nr_season_month {
    size_t days;
    nr_season_count reached, uses;
    double sun_kWh_m2, warmest_degC, air_degC; /* sum; means */
} nr_season_month;

typedef struct nr_season {
    nr_fit *fit;
    nr_season_question asked; /* completed */
    char place[128], format[24];
    bool typical;
    size_t years, holes;
    size_t days;
    nr_season_day *day; /* [days] */
    nr_season_month month[NR_SEASON_MONTHS];
    nr_season_count reached, uses; /* a year */
    double frost_nights;           /* days whose air falls below 0 degC, a year */
    double heat_kWh;               /* into the water by its warmest, a year, best estimate */
    double heat_lo95, heat_hi95;   /* the collector's uncertainty */
} nr_season;

/* Called with days done and days in all. May be NULL. */
typedef void (*nr_season_progress)(void *context, size_t done, size_t of);

/* NR_BAD when the question is incomplete or makes no sense, NR_CANNOT when the table has no whole
 * day. Free with nr_season_free. The weather is borrowed during the call. */
nr_code nr_season_runs(const nr_run *const *runs, size_t count, const nr_hourly *weather,
                       const nr_season_question *question, const nr_fit_options *options,
                       nr_season_progress progress, void *progress_context, nr_season **out,
                       nr_err *err);
void nr_season_free(nr_season *season);

/* What a change to the build or its use would bring over the year. */
typedef enum nr_season_change {
    NR_CHANGE_SECOND,     /* a second collector of the same build */
    NR_CHANGE_LID,        /* the container's loss halved: a lid, insulation */
    NR_CHANGE_MORE_WATER, /* half as much again */
    NR_CHANGE_LESS_WATER, /* two thirds */
    NR_CHANGE_STEEPER,    /* tilt 15 degrees more */
    NR_CHANGE_FLATTER,    /* and less */
    NR_CHANGE_RE_AIMED,   /* turned after the sun */
    NR_CHANGE_EARLIER,    /* the start two hours earlier */
    NR_CHANGE_LATER,      /* and later */
    NR_CHANGES
} nr_season_change;

typedef struct nr_season_gain {
    nr_season_change change;
    bool possible;              /* false: it is so already, or makes no sense */
    double reached, lo95, hi95; /* days more a year, the collector's uncertainty */
    double uses;                /* uses more a year */
    double heat_kWh;            /* more a year */
} nr_season_gain;

/* gain[NR_CHANGES], best first by days (then by uses). The same draws throughout, so that what is
 * common cancels. */
nr_code nr_season_changes(const nr_run *const *runs, size_t count, const nr_hourly *weather,
                          const nr_season_question *question, const nr_fit_options *options,
                          nr_season_progress progress, void *progress_context,
                          nr_season_gain gain[NR_CHANGES], nr_err *err);

#endif
