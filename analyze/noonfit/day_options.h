/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The options that state a day, a place and a use: of predict and size, and in part of plan. */
#ifndef NR_NOONFIT_DAY_OPTIONS_H
#define NR_NOONFIT_DAY_OPTIONS_H

#include "analyze/forecast/predict.h"
#include "analyze/noonfit/commands.h"

typedef struct nr_day_options {
    const nr_command *command; /* for messages */
    nr_day day;
    const char *air, *from, *to, *date, *start; /* read when the units are known */
    double u_sun_percent, u_air_K;              /* NAN: not given */
} nr_day_options;

/* Groups of a command's table, of an nr_day_options. The sky over the collector, where it stands,
 * and the water it starts with are what a test is planned by, too. */
extern const nr_option nr_steady_day_options[], nr_same_meter_option[], nr_clear_day_options[],
    nr_re_aimed_option[], nr_start_options[], nr_use_options[], nr_weather_u_options[];

/* All of them, as predict and size take them; `member` is the nr_day_options in the arguments. */
#define NR_DAY_GROUPS(arguments, member)                                                           \
    {nr_steady_day_options, offsetof(arguments, member)},                                          \
        {nr_same_meter_option, offsetof(arguments, member)},                                       \
        {nr_clear_day_options, offsetof(arguments, member)},                                       \
        {nr_re_aimed_option, offsetof(arguments, member)},                                         \
        {nr_start_options, offsetof(arguments, member)},                                           \
        {nr_use_options, offsetof(arguments, member)},                                             \
    {                                                                                              \
        nr_weather_u_options, offsetof(arguments, member)                                          \
    }

nr_day_options nr_day_options_none(const nr_command *command);

/* Reads the date, which makes it a clear-sky day; nr_day_options_finish does so, too. */
nr_code nr_day_options_date(nr_day_options *o, nr_err *err);

/* Reads what depends on the units, and sets what follows: a clear-sky day where a date was given,
 * its uncertainty where none was stated. rig: of the first run, for the site's longitude. */
nr_code nr_day_options_finish(nr_day_options *o, nr_units units, const nr_rig *rig, nr_err *err);

/* "10:30", "10:30Z", "10:30+02:00" -> local mean solar seconds after midnight at a longitude;
 * *ahead: the clock minus solar time, *zone: whether one was named. False: not a time. */
bool nr_day_time_parse(const char *text, double longitude_deg, double *solar_s, double *ahead_s,
                       bool *zone);

/* The same options for the temperature of the command. */
nr_code nr_day_temperature(const nr_day_options *o, const char *name, const char *text,
                           nr_units units, double *out, nr_err *err);

#endif
