/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The options that state a day, a place and a use: of predict and size, and in part of plan. */
#ifndef NR_NOONFIT_DAY_OPTIONS_H
#define NR_NOONFIT_DAY_OPTIONS_H

#include "analyze/answer/predict.h"
#include "analyze/noonfit/commands.h"

#include <getopt.h>

typedef struct nr_day_options {
    const char *command; /* for messages */
    nr_day day;
    const char *air, *from, *to, *start; /* read when the units are known */
    bool u_sun_given, u_air_given;
} nr_day_options;

enum {
    NR_DAY_SUN = NR_OPT_OWN,
    NR_DAY_AIR,
    NR_DAY_FROM,
    NR_DAY_TO,
    NR_DAY_WATER,
    NR_DAY_WIND,
    NR_DAY_AREA,
    NR_DAY_STORE_LOSS,
    NR_DAY_DATE,
    NR_DAY_START,
    NR_DAY_LATITUDE,
    NR_DAY_LONGITUDE,
    NR_DAY_ELEVATION,
    NR_DAY_TILT,
    NR_DAY_AZIMUTH,
    NR_DAY_RE_AIMED,
    NR_DAY_SAME_METER,
    NR_DAY_WITHIN,
    NR_DAY_U_SUN,
    NR_DAY_U_AIR,
    NR_DAY_OWN
};

/* The sky over the collector, where it stands, and the water it starts with: what a test is planned
 * by, too. */
#define NR_DAY_TEST_OPTIONS                                                                        \
    {"sun", required_argument, NULL, NR_DAY_SUN}, {"air", required_argument, NULL, NR_DAY_AIR},    \
        {"from", required_argument, NULL, NR_DAY_FROM},                                            \
        {"wind", required_argument, NULL, NR_DAY_WIND},                                            \
        {"store-loss", required_argument, NULL, NR_DAY_STORE_LOSS},                                \
        {"day", required_argument, NULL, NR_DAY_DATE},                                             \
        {"start", required_argument, NULL, NR_DAY_START},                                          \
        {"latitude", required_argument, NULL, NR_DAY_LATITUDE},                                    \
        {"longitude", required_argument, NULL, NR_DAY_LONGITUDE},                                  \
        {"elevation", required_argument, NULL, NR_DAY_ELEVATION},                                  \
        {"tilt", required_argument, NULL, NR_DAY_TILT},                                            \
    {                                                                                              \
        "azimuth", required_argument, NULL, NR_DAY_AZIMUTH                                         \
    }

/* All of it, with the use that is made of the water. */
#define NR_DAY_OPTIONS                                                                             \
    NR_DAY_TEST_OPTIONS, {"to", required_argument, NULL, NR_DAY_TO},                               \
        {"water", required_argument, NULL, NR_DAY_WATER},                                          \
        {"area", required_argument, NULL, NR_DAY_AREA},                                            \
        {"re-aimed", no_argument, NULL, NR_DAY_RE_AIMED},                                          \
        {"same-meter", no_argument, NULL, NR_DAY_SAME_METER},                                      \
        {"within", required_argument, NULL, NR_DAY_WITHIN},                                        \
        {"u-sun", required_argument, NULL, NR_DAY_U_SUN},                                          \
    {                                                                                              \
        "u-air", required_argument, NULL, NR_DAY_U_AIR                                             \
    }

/* For --help. */
extern const char nr_day_options_help[];

nr_day_options nr_day_options_none(const char *command);

/* Takes one of the options above; *taken says whether it was one. */
nr_code nr_day_option(nr_day_options *o, int option, const char *argument, bool *taken,
                      nr_err *err);

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

/* A number option within limits. */
nr_code nr_day_number(const char *command, const char *name, const char *text, double low,
                      double high, double *out, nr_err *err);

#endif
