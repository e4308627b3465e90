/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/noonfit/day_options.h"

#include "analyze/answer/day.h"
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

const char nr_day_options_help[] =
    "A steady day:\n"
    "  --sun W_m2 --air T     irradiance in the collector's plane, air\n"
    "  --same-meter           the irradiance is what the sensor of the record will show, so that\n"
    "                         its constant error cancels (default: it is the true irradiance)\n"
    "A clear-sky day (an irradiance model, not a forecast):\n"
    "  --day DATE --start TIME --air T\n"
    "                         2026-06-21; TIME as 10:30 (local solar time), 10:30Z or 10:30+02:00\n"
    "  --latitude --longitude --elevation   where (default: [site] of rig.ini)\n"
    "  --tilt --azimuth       the plane in degrees (default: [collector] of rig.ini)\n"
    "  --re-aimed             turned after the sun all day\n"
    "The use:\n"
    "  --from T --to T        water at the start and as wanted\n"
    "  --water KG  --store-loss W_K  --wind M_S   other than in the record\n"
    "  --area M2              a collector of the same build in another size\n"
    "  --within DURATION      give up after, such as 3h (default 12 h, or at sunset)\n"
    "How sure the weather is, as standard uncertainties:\n"
    "  --u-sun PERCENT --u-air K   (default 0 for a steady day, 10 % and 2 K for a clear-sky "
    "day)\n" NR_QUANTITIES_HELP;

nr_day_options nr_day_options_none(const char *command)
{
    return (nr_day_options){.command = command, .day = nr_day_stated()};
}

nr_code nr_day_number(const char *command, const char *name, const char *text, double low,
                      double high, double *out, nr_err *err)
{
    if (nr_parse_double(text, out) && *out >= low && *out <= high)
        return NR_OK;
    return nr_usage(err, command, "--%s %s: give a number from %g to %g", name, text, low, high);
}

typedef struct numeric {
    int option;
    const char *name;
    const char *unit; /* of a bare number; NULL: it has none */
    double low, high;
    size_t offset; /* of the double in nr_day */
} numeric;

static const numeric numbers[] = {
    {NR_DAY_SUN, "sun", "W_m2", 50, 1500, offsetof(nr_day, sun_W_m2)},
    {NR_DAY_WATER, "water", "kg", 0.1, 10000, offsetof(nr_day, water_kg)},
    {NR_DAY_AREA, "area", "m2", 0.01, 1000, offsetof(nr_day, area_m2)},
    {NR_DAY_WIND, "wind", "m_s", 0, 50, offsetof(nr_day, wind_m_s)},
    {NR_DAY_STORE_LOSS, "store-loss", "W_K", 0, 1000, offsetof(nr_day, store_loss_W_K)},
    {NR_DAY_LATITUDE, "latitude", NULL, -90, 90, offsetof(nr_day, latitude_deg)},
    {NR_DAY_LONGITUDE, "longitude", NULL, -180, 180, offsetof(nr_day, longitude_deg)},
    {NR_DAY_ELEVATION, "elevation", "m", -430, 6000, offsetof(nr_day, elevation_m)},
    {NR_DAY_TILT, "tilt", NULL, 0, 90, offsetof(nr_day, tilt_deg)},
    {NR_DAY_AZIMUTH, "azimuth", NULL, 0, 360, offsetof(nr_day, azimuth_deg)},
    {NR_DAY_U_SUN, "u-sun", NULL, 0, 100, offsetof(nr_day, u_sun)},
    {NR_DAY_U_AIR, "u-air", "K", 0, 30, offsetof(nr_day, u_air_K)},
};

static nr_code take_text(nr_day_options *o, int option, const char *argument, bool *taken,
                         nr_err *err)
{
    switch (option) {
    case NR_DAY_AIR:
        o->air = argument;
        return NR_OK;
    case NR_DAY_FROM:
        o->from = argument;
        return NR_OK;
    case NR_DAY_TO:
        o->to = argument;
        return NR_OK;
    case NR_DAY_START:
        o->start = argument;
        return NR_OK;
    case NR_DAY_RE_AIMED:
        o->day.re_aimed = true;
        return NR_OK;
    case NR_DAY_SAME_METER:
        o->day.same_meter = true;
        return NR_OK;
    case NR_DAY_DATE:
        o->day.clear_sky = true;
        if (nr_date_parse(argument, &o->day.date_s))
            return NR_OK;
        return nr_usage(err, o->command, "--day %s: give a date such as 2026-06-21", argument);
    case NR_DAY_WITHIN:
        if (nr_parse_duration(argument, &o->day.limit_s) && o->day.limit_s >= 60 &&
            o->day.limit_s <= 7 * 86400.0)
            return NR_OK;
        return nr_usage(err, o->command, "--within %s: give a duration such as 3h", argument);
    default:
        *taken = false;
        return NR_OK;
    }
}

nr_code nr_day_option(nr_day_options *o, int option, const char *argument, bool *taken, nr_err *err)
{
    *taken = true;
    o->u_sun_given = o->u_sun_given || option == NR_DAY_U_SUN;
    o->u_air_given = o->u_air_given || option == NR_DAY_U_AIR;
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
        const numeric *n = &numbers[i];
        if (n->option != option)
            continue;
        double *to = (double *)(void *)((char *)&o->day + n->offset);
        nr_code code = n->unit
                           ? nr_quantity_option(o->command, n->name, argument, n->unit, n->low,
                                                n->high, to, err)
                           : nr_day_number(o->command, n->name, argument, n->low, n->high, to, err);
        if (!code && option == NR_DAY_U_SUN)
            o->day.u_sun /= 100;
        return code;
    }
    return take_text(o, option, argument, taken, err);
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
    if (!text || nr_parse_temperature(text, units == NR_UNITS_US, out))
        return NR_OK;
    return nr_usage(err, o->command, "--%s %s: give a temperature, such as 43C or 110F", name,
                    text);
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
    if (o->day.clear_sky && !o->u_sun_given)
        o->day.u_sun = NR_CLEAR_SKY_U;
    if (o->day.clear_sky && !o->u_air_given)
        o->day.u_air_K = FORECAST_AIR_K;
    return NR_OK;
}
