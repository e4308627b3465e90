/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of `noonfit predict`: how a fitted collector heats a store on a stated day. */
#ifndef NR_FORECAST_PREDICT_H
#define NR_FORECAST_PREDICT_H

#include "analyze/fit/fit.h"

typedef struct nr_day {
    bool clear_sky; /* false: constant sun and air as stated */
    double sun_W_m2, air_degC, wind_m_s;
    double date_s;  /* clear sky: 00:00 UTC of the date, seconds since 1970 */
    double start_s; /* clear sky: start, seconds after local mean solar midnight */
    double latitude_deg, longitude_deg, elevation_m, tilt_deg, azimuth_deg;
    bool re_aimed;                   /* plane follows the sun */
    double water_kg, store_loss_W_K; /* NAN: as in the record */
    double from_degC, to_degC;
    double area_m2;       /* a larger or smaller one of the same build, its flow in proportion; 0
                             or NAN: as in the record */
    double limit_s;       /* give up after this long; 0: 12 h, or until the sun is down */
    double clock_ahead_s; /* the user's clock minus local mean solar time; 0: he reads solar time */
    bool clock_given;     /* the user named his time zone */
    /* Standard uncertainties of the weather itself, 0: exactly as stated. */
    double u_sun; /* relative */
    double u_air_K;
    bool same_meter; /* sun_W_m2 is what the record's own pyranometer will read */
} nr_day;

/* A stated steady day with everything open: NAN, no uncertainty of the weather. */
nr_day nr_day_stated(void);

typedef struct nr_trace_point {
    double t_s, store_degC, lo95, hi95, sun_W_m2;
} nr_trace_point;

/* What would reach a target that is not reached. */
typedef enum nr_remedy_kind {
    NR_REMEDY_NONE,       /* it is reached */
    NR_REMEDY_PANEL,      /* the pump on its panel would not start: panel_start_W_m2 */
    NR_REMEDY_WAYS,       /* those of the members that are not NAN, each by itself */
    NR_REMEDY_OTHER_BUILD /* nothing sensible with this build */
} nr_remedy_kind;

typedef struct nr_remedy {
    nr_remedy_kind kind;
    double panel_start_W_m2;
    double water_kg;
    double times_area, area_m2; /* of this build, its flow in proportion */
    double start_degC;          /* a whole degree */
} nr_remedy;

typedef struct nr_predict {
    nr_fit *fit;
    nr_day day;
    bool reached;
    double probability_reached;
    nr_quantity time_s;     /* not known when not reached */
    nr_quantity final_degC; /* at the end of the trace */
    double u_parameter, u_model,
        u_weather; /* shares of time_s, s (of final_degC, K, if not reached) */
    bool outside_tested;
    size_t count;
    nr_trace_point *trace;
    nr_remedy remedy;
    nr_warnings cautions;
} nr_predict;

/* runs[count]: all of one collector. What `day` leaves NAN comes from the records: wind, water,
 * container loss; of a clear-sky day also site, tilt and azimuth. NR_BAD when the question is
 * incomplete, NR_CANNOT with the reason when the records cannot answer. Free with
 * nr_predict_free. */
nr_code nr_predict_runs(const nr_run *const *runs, size_t count, const nr_day *day,
                        const nr_fit_options *options, nr_predict **out, nr_err *err);
void nr_predict_free(nr_predict *predict);

#endif
