/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a stated day to the weather a simulation needs.
 *
 * Steady: the sun, air and wind as stated. Clear sky: irradiance in the collector's plane by
 * physics/clearsky.h, every two minutes. Its diffuse part counts at the incidence modifier of the
 * record, since the record's own diffuse part did; only the beam's changes with the sun's angle.
 */
#ifndef NR_FORECAST_DAY_H
#define NR_FORECAST_DAY_H

#include "analyze/fit/solved.h"
#include "analyze/forecast/heatup.h"
#include "analyze/forecast/predict.h"

/* What the day leaves open is filled from the record; an incomplete or impossible day is NR_BAD,
 * with what is missing. Of a clear-sky day limit_s becomes the time until sunset when open. */
nr_code nr_day_complete(const nr_solved *solved, nr_day *day, nr_err *err);

/* UTC of a local mean solar time of the day (seconds after its midnight). */
double nr_day_utc_s(const nr_day *day, double solar_s);

/* The day's forecast from start_s on, over limit_s. Free with nr_day_weather_free. */
typedef struct nr_day_weather {
    nr_forecast forecast;
    double *values; /* the forecast's arrays, sun first */
} nr_day_weather;
nr_code nr_day_weather_make(const nr_solved *solved, const nr_day *day, nr_day_weather *out,
                            nr_err *err);
void nr_day_weather_free(nr_day_weather *weather);

/* The heat-up of the day as a case for heatup.h; borrows the weather. */
nr_heatup_case nr_day_case(const nr_solved *solved, const nr_day *day,
                           const nr_day_weather *weather);

/* b0 that must be put into an irradiance because the record, without a known sun angle, has left it
 * out of the fit; 0 where it has not. */
double nr_day_unfitted_b0(const nr_solved *solved);

/* Mean obliquity 1/cos(incidence) - 1 of an irradiance of which beam_share comes straight from the
 * sun; the rest counts as in the record. */
double nr_day_obliquity(const nr_solved *solved, double beam_share, double incidence_deg);

/* The same of the rig's table of modifiers; 0: the fit used none. */
double nr_day_modifier(const nr_solved *solved, double beam_share, double incidence_deg);

/* A pump that the records show on its own panel stands until the sun starts it and runs until it
 * stalls; any other always runs. */
bool nr_day_pump_runs(const nr_solved *solved, double sun_W_m2, bool running);

/* A time of the day on the user's clock, "14:05"; "24:00" and past as "0:10 the next day". */
#define NR_CLOCK_TEXT 64
char *nr_day_clock(const nr_day *day, double solar_s, char text[NR_CLOCK_TEXT]);

/* Which clock that is: "UTC+02:00", "UTC", or "solar time" where the user named no zone. */
char *nr_day_clock_name(const nr_day *day, char text[NR_CLOCK_TEXT]);

/* "2026-06-21". */
char *nr_day_date(const nr_day *day, char text[NR_CLOCK_TEXT]);

#endif
