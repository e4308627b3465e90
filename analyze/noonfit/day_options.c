/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/noonfit/day_options.h"

#include "analyze/forecast/day.h"
#include "analyze/noonfit/option_rows.h"
#include "analyze/physics/clearsky.h"
#include "logger/base/text.h"
#include "logger/base/utc.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Standard uncertainty of an air temperature said beforehand. Common practice, no source. */
#define FORECAST_AIR_K 2.0
#define SOLAR_S_PER_DEG 240.0

const nr_option nr_steady_day_options[] = {{.kind = NR_OPTION_HEADING, .name = "A steady day:"},
                                           NR_ROW_SUN(nr_day_options, day.sun_W_m2),
                                           {.kind = NR_OPTION_END}};

const nr_option nr_same_meter_option[] = {
    {.kind = NR_OPTION_ON,
     .name = "same-meter",
     .offset = offsetof(nr_day_options, day.same_meter),
     .help = "that irradiance is what the sensor of the record will show, so that its constant "
             "error cancels (default: it is the true irradiance)"},
    {.kind = NR_OPTION_END}};

const nr_option nr_clear_day_options[] = {
    {.kind = NR_OPTION_HEADING, .name = "A clear-sky day (an irradiance model, not a forecast):"},
    {.kind = NR_OPTION_TEXT,
     .name = "day",
     .value = "DATE",
     .offset = offsetof(nr_day_options, date),
     .help = "such as 2026-06-21"},
    {.kind = NR_OPTION_TEXT,
     .name = "start",
     .value = "TIME",
     .offset = offsetof(nr_day_options, start),
     .help = "10:30 (local solar time), 10:30Z or 10:30+02:00"},
    NR_ROW_LATITUDE(nr_day_options, day.latitude_deg,
                    "where, north positive (default: [site] of the rig file)"),
    NR_ROW_LONGITUDE(nr_day_options, day.longitude_deg),
    {.kind = NR_OPTION_QUANTITY,
     .name = "elevation",
     .value = "M",
     .offset = offsetof(nr_day_options, day.elevation_m),
     .help = "above the sea",
     .low = -430,
     .high = 6000,
     .unit = "m"},
    NR_ROW_TILT(nr_day_options, day.tilt_deg),
    NR_ROW_AZIMUTH(nr_day_options, day.azimuth_deg),
    {.kind = NR_OPTION_END}};

const nr_option nr_re_aimed_option[] = {NR_ROW_RE_AIMED(nr_day_options, day.re_aimed),
                                        {.kind = NR_OPTION_END}};

const nr_option nr_start_options[] = {{.kind = NR_OPTION_HEADING, .name = "Air and water:"},
                                      NR_ROW_AIR(nr_day_options, air),
                                      NR_ROW_FROM(nr_day_options, from, ""),
                                      NR_ROW_WIND(nr_day_options, day.wind_m_s),
                                      NR_ROW_STORE_LOSS(nr_day_options, day.store_loss_W_K),
                                      {.kind = NR_OPTION_END}};

const nr_option nr_use_options[] = {
    {.kind = NR_OPTION_HEADING, .name = "The use:"},
    NR_ROW_TO(nr_day_options, to, ""),
    NR_ROW_WATER(nr_day_options, day.water_kg),
    NR_ROW_AREA(nr_day_options, day.area_m2),
    {.kind = NR_OPTION_DURATION,
     .name = "within",
     .value = "D",
     .offset = offsetof(nr_day_options, day.limit_s),
     .help = "give up after, such as 3h (default 12 h, or at sunset)",
     .low = 60,
     .high = 7 * 86400.0},
    {.kind = NR_OPTION_END}};

const nr_option nr_weather_u_options[] = {
    {.kind = NR_OPTION_HEADING, .name = "How sure the weather is, as standard uncertainties:"},
    {.kind = NR_OPTION_NUMBER,
     .name = "u-sun",
     .value = "PERCENT",
     .offset = offsetof(nr_day_options, u_sun_percent),
     .help = "of the irradiance (default 0 for a steady day, 10 % for a clear-sky day)",
     .low = 0,
     .high = 100},
    {.kind = NR_OPTION_QUANTITY,
     .name = "u-air",
     .value = "K",
     .offset = offsetof(nr_day_options, u_air_K),
     .help = "of the air (default 0 for a steady day, 2 K for a clear-sky day)",
     .low = 0,
     .high = 30,
     .unit = "K"},
    {.kind = NR_OPTION_END}};

nr_day_options nr_day_options_none(const nr_command *command)
{
    return (nr_day_options){
        .command = command, .day = nr_day_stated(), .u_sun_percent = NAN, .u_air_K = NAN};
}

/* Two digits, at most `most`. */
static const char *two_digits(const char *text, long most, long *out)
{
    char *end;
    if (!isdigit((unsigned char)*text))
        return NULL;
    *out = strtol(text, &end, 10);
    return end - text <= 2 && *out <= most ? end : NULL;
}

static const char *hours_minutes(const char *text, double *seconds)
{
    long h, m;
    text = two_digits(text, 23, &h);
    if (!text || *text != ':')
        return NULL;
    text = two_digits(text + 1, 59, &m);
    if (text)
        *seconds = (double)(h * 3600 + m * 60);
    return text;
}

bool nr_day_time_parse(const char *text, double longitude_deg, double *solar_s, double *ahead_s,
                       bool *zone)
{
    double clock, offset = 0;
    const char *rest = hours_minutes(text, &clock);
    if (!rest)
        return false;
    *zone = *rest != '\0';
    *ahead_s = 0;
    if (*rest == '+' || *rest == '-') {
        double size, sign = *rest == '-' ? -1 : 1;
        rest = hours_minutes(rest + 1, &size);
        if (!rest || *rest)
            return false;
        offset = sign * size;
    } else if (*rest && strcmp(rest, "Z")) {
        return false;
    }
    if (*zone) {
        if (isnan(longitude_deg))
            return false;
        *ahead_s = offset - longitude_deg * SOLAR_S_PER_DEG;
    }
    *solar_s = clock - *ahead_s;
    return true;
}

nr_code nr_day_temperature(const nr_day_options *o, const char *name, const char *text,
                           nr_units units, double *out, nr_err *err)
{
    return nr_temperature_option(o->command, name, text, units == NR_UNITS_US, -60, 100, out, err);
}

nr_code nr_day_options_date(nr_day_options *o, nr_err *err)
{
    o->day.clear_sky = o->date != NULL;
    if (!o->date || nr_date_parse(o->date, &o->day.date_s))
        return NR_OK;
    return nr_usage(err, o->command, "--day %s: give a date such as 2026-06-21", o->date);
}

nr_code nr_day_options_finish(nr_day_options *o, nr_units units, const nr_rig *rig, nr_err *err)
{
    nr_code code = nr_day_temperature(o, "air", o->air, units, &o->day.air_degC, err);
    if (!code)
        code = nr_day_temperature(o, "from", o->from, units, &o->day.from_degC, err);
    if (!code)
        code = nr_day_temperature(o, "to", o->to, units, &o->day.to_degC, err);
    if (code)
        return code;
    code = nr_day_options_date(o, err);
    if (code)
        return code;
    if (isnan(o->day.longitude_deg) && rig->longitude_deg.given && isnan(o->day.latitude_deg))
        o->day.longitude_deg = rig->longitude_deg.value;
    if (o->start && !o->day.clear_sky)
        return nr_usage(err, o->command, "--start belongs to a clear-sky day: give --day DATE too");
    if (o->day.clear_sky && isfinite(o->day.sun_W_m2))
        return nr_usage(err, o->command,
                        "--sun and --day exclude each other: a steady day or a clear-sky day");
    if (o->start && !nr_day_time_parse(o->start, o->day.longitude_deg, &o->day.start_s,
                                       &o->day.clock_ahead_s, &o->day.clock_given))
        return nr_usage(err, o->command,
                        "--start %s: give a time such as 10:30, 10:30Z or 10:30+02:00%s", o->start,
                        isnan(o->day.longitude_deg) ? " (with a zone, also --longitude)" : "");
    double sky_u = o->day.clear_sky ? NR_CLEAR_SKY_U : 0;
    o->day.u_sun = isnan(o->u_sun_percent) ? sky_u : o->u_sun_percent / 100;
    double air_u = o->day.clear_sky ? FORECAST_AIR_K : 0;
    o->day.u_air_K = isnan(o->u_air_K) ? air_u : o->u_air_K;
    return NR_OK;
}
