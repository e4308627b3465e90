/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of `noonfit size`: the question of `predict` turned round. How large, how much water,
 * how late a start still reaches the target by a time; in which months; how many wash-ups it is. */
#ifndef NR_FORECAST_SIZE_H
#define NR_FORECAST_SIZE_H

#include "analyze/forecast/predict.h"

#define NR_MONTHS 12

typedef struct nr_size_question {
    nr_day day;  /* start_s NAN on a clear day: the best start for each question. Steady day:
                    limit_s is the time allowed */
    double by_s; /* clear day: the deadline, local mean solar seconds after midnight */
    bool months; /* the table over the year as well; a clear day only */
    double month_air_degC[NR_MONTHS], month_from_degC[NR_MONTHS]; /* NAN: as in day */
    double tap_degC;        /* cold water to mix with; NAN: no wash-ups asked for */
    double use_degC, use_L; /* of the mixed water, of one use */
    bool curves;            /* by_area, by_water and map as well: most of the time it takes */
} nr_size_question;

/* Grades of the chance that the target is reached. */
typedef enum nr_chance {
    NR_CHANCE_SURE,   /* 95 times in 100 and more */
    NR_CHANCE_LIKELY, /* more likely than not */
    NR_CHANCE_UNLIKELY,
    NR_CHANCE_NONE,  /* less than 5 times in 100 */
    NR_CHANCE_NO_SUN /* of a month without sun before the deadline */
} nr_chance;

nr_chance nr_chance_of(double probability);

/* best: reaches the target on the best estimate; sure: 95 times in 100. NAN: nothing sensible
 * does. */
typedef struct nr_size_bound {
    double best, sure;
} nr_size_bound;

/* One size and what it would reach, everything else as asked. */
#define NR_SIZE_CURVE 25
typedef struct nr_size_point {
    double x;                 /* area, m2, or water, kg */
    nr_quantity warmest_degC; /* by the deadline */
} nr_size_point;

/* A place on the border of what reaches the target: with that area, at most that much water. */
#define NR_SIZE_MAP 6
typedef struct nr_size_border {
    double area_m2;
    nr_size_bound water_kg;
} nr_size_border;

typedef struct nr_size_use {
    double mixed_L, count; /* of the best estimate */
    double lo95, hi95;     /* of the count */
} nr_size_use;

typedef struct nr_size_month {
    double date_s; /* the 21st */
    double air_degC, from_degC;
    bool sun;                 /* the sun rises before the deadline */
    double start_s;           /* solar */
    nr_quantity warmest_degC; /* by the deadline */
    double probability;       /* that the target is reached */
    double latest_s;          /* latest start, solar, best estimate; NAN not reached */
    double water_kg;          /* that just reaches the target, best estimate */
    double uses;              /* wash-ups; NAN not asked */
} nr_size_month;

typedef struct nr_size {
    nr_fit *fit;
    nr_size_question asked;   /* completed; day.start_s as used */
    bool best_start;          /* start_s was found, not stated */
    nr_quantity warmest_degC; /* as built, by the deadline */
    double probability;
    nr_size_bound area_m2, water_kg, latest_s; /* latest_s: solar; a clear day only */
    double warmest_start_s; /* the start that gets warmest, solar; a clear day only */
    /* Zero where curves were not asked for. */
    nr_size_point by_area[NR_SIZE_CURVE], by_water[NR_SIZE_CURVE]; /* rising x */
    nr_size_border map[NR_SIZE_MAP]; /* rising area, to the largest of by_area */
    nr_size_use use;                 /* when asked */
    size_t months;
    nr_size_month month[NR_MONTHS];
    nr_warnings cautions;
} nr_size;

nr_chance nr_size_month_chance(const nr_size_month *month);

/* A question with everything open, with curves. */
nr_size_question nr_size_open(void);

nr_code nr_size_runs(const nr_run *const *runs, size_t count, const nr_size_question *question,
                     const nr_fit_options *options, nr_size **out, nr_err *err);
void nr_size_free(nr_size *size);

#endif
