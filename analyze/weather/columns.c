/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/weather/columns.h"

#include "logger/base/text.h"
#include "logger/base/utc.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>
#include <time.h>

/* A stamp at the half of its hour is its middle. */
#define MIDDLE_MIN 30

typedef struct known {
    const char *name; /* lower case, without its unit */
    int column;
} known;

/* Names of the formats in weather.h, and plain words. */
static const known names_known[] = {
    {"time_utc", NR_WEATHER_TIME},
    {"time(utc)", NR_WEATHER_TIME},
    {"time", NR_WEATHER_TIME},
    {"timestamp", NR_WEATHER_TIME},
    {"datetime", NR_WEATHER_TIME},
    {"date", NR_WEATHER_DATE},
    {"year", NR_WEATHER_YEAR},
    {"month", NR_WEATHER_MONTH},
    {"day", NR_WEATHER_DAY},
    {"hour", NR_WEATHER_HOUR},
    {"minute", NR_WEATHER_MINUTE},
    {"ghi", NR_WEATHER_GHI},
    {"g(h)", NR_WEATHER_GHI},
    {"global horizontal irradiance", NR_WEATHER_GHI},
    {"global horizontal", NR_WEATHER_GHI},
    {"global", NR_WEATHER_GHI},
    {"dni", NR_WEATHER_DNI},
    {"gb(n)", NR_WEATHER_DNI},
    {"direct normal irradiance", NR_WEATHER_DNI},
    {"direct normal", NR_WEATHER_DNI},
    {"dhi", NR_WEATHER_DHI},
    {"gd(h)", NR_WEATHER_DHI},
    {"diffuse horizontal irradiance", NR_WEATHER_DHI},
    {"diffuse horizontal", NR_WEATHER_DHI},
    {"diffuse", NR_WEATHER_DHI},
    {"t2m", NR_WEATHER_AIR},
    {"temperature", NR_WEATHER_AIR},
    {"dry-bulb", NR_WEATHER_AIR},
    {"dry bulb", NR_WEATHER_AIR},
    {"air", NR_WEATHER_AIR},
    {"air temperature", NR_WEATHER_AIR},
    {"temp", NR_WEATHER_AIR},
    {"ws10m", NR_WEATHER_WIND},
    {"wind speed", NR_WEATHER_WIND},
    {"wspd", NR_WEATHER_WIND},
    {"wind", NR_WEATHER_WIND},
};

/* Units behind a name: cut off, and what they say kept. */
typedef struct suffix {
    const char *text;
    bool fahrenheit;
    double wind;
} suffix;
static const suffix suffixes[] = {
    {"_w_m2", false, 1},         {" (w/m^2)", false, 1},     {" (w/m2)", false, 1},
    {" [w/m2]", false, 1},       {"_degc", false, 1},        {"_c", false, 1},
    {" (c)", false, 1},          {" (degc)", false, 1},      {"_degf", true, 1},
    {" (f)", true, 1},           {"_m_s", false, 1},         {" (m/s)", false, 1},
    {" [m/s]", false, 1},        {"_mph", false, 0.44704},   {"_km_h", false, 1 / 3.6},
    {" (km/h)", false, 1 / 3.6}, {" (mph)", false, 0.44704}, {" (mm/dd/yyyy)", false, 1},
    {" (hh:mm)", false, 1},      {"_utc", false, 1},
};

/* The column a name stands for, or -1. */
static int find_name(const char *name)
{
    for (size_t i = 0; i < sizeof names_known / sizeof *names_known; i++)
        if (!strcmp(names_known[i].name, name))
            return names_known[i].column;
    return -1;
}

static int known_column(const char *name, const suffix **unit)
{
    char low[160];
    *unit = NULL;
    snprintf(low, sizeof low, "%s", name);
    for (char *p = low; *p; p++)
        *p = (char)tolower((unsigned char)*p);
    int column = find_name(low);
    size_t length = strlen(low);
    for (size_t i = 0; column < 0 && i < sizeof suffixes / sizeof *suffixes; i++) {
        size_t tail = strlen(suffixes[i].text);
        if (length <= tail || strcmp(low + length - tail, suffixes[i].text))
            continue;
        low[length - tail] = '\0';
        column = find_name(low);
        *unit = &suffixes[i];
        low[length - tail] = suffixes[i].text[0];
    }
    return column;
}

bool nr_hourly_columns_find(const char *const *names, size_t count, nr_hourly_columns *out)
{
    *out = (nr_hourly_columns){.wind_to_m_s = 1, .format = "plain"};
    for (size_t i = 0; i < NR_WEATHER_COLUMNS; i++)
        out->at[i] = -1;
    bool date_and_clock = false;
    for (size_t i = 0; i < count; i++) {
        const suffix *unit;
        int column = known_column(names[i], &unit);
        if (!strncasecmp(names[i], "Time (HH:MM)", 12)) {
            column = NR_WEATHER_CLOCK;
            date_and_clock = true;
        }
        if (column < 0 || out->at[column] >= 0)
            continue; /* of two columns of one name the first counts */
        out->at[column] = (int)i;
        if (unit && column == NR_WEATHER_AIR)
            out->fahrenheit = unit->fahrenheit;
        if (unit && column == NR_WEATHER_WIND)
            out->wind_to_m_s = unit->wind;
        if (column == NR_WEATHER_TIME)
            out->utc = true; /* a table of ours, or of a service that says so in the name */
        if (column == NR_WEATHER_TIME && !strcasecmp(names[i], "time(UTC)"))
            out->format = "service CSV";
    }
    bool fields = out->at[NR_WEATHER_YEAR] >= 0 && out->at[NR_WEATHER_MONTH] >= 0 &&
                  out->at[NR_WEATHER_DAY] >= 0 && out->at[NR_WEATHER_HOUR] >= 0;
    if (date_and_clock && out->at[NR_WEATHER_DATE] >= 0) {
        out->ends = true;
        out->format = "TMY3 CSV";
    } else if (fields) {
        out->format = "grid CSV";
    } else if (out->at[NR_WEATHER_TIME] < 0) {
        return false;
    }
    return out->at[NR_WEATHER_GHI] >= 0 ||
           (out->at[NR_WEATHER_DNI] >= 0 && out->at[NR_WEATHER_DHI] >= 0);
}

static const char *field(const nr_hourly_columns *c, int column, const char *const *fields,
                         size_t count)
{
    int at = c->at[column];
    return at >= 0 && (size_t)at < count ? fields[at] : "";
}

/* Year, month, day, hour and minute in columns of their own. */
static bool apart(const nr_hourly_columns *c, const char *const *fields, size_t count,
                  double zone_h, double *from_s)
{
    long y, mo, d, h, min = 0;
    if (!nr_parse_long(field(c, NR_WEATHER_YEAR, fields, count), 1800, 2200, &y) ||
        !nr_parse_long(field(c, NR_WEATHER_MONTH, fields, count), 1, 12, &mo) ||
        !nr_parse_long(field(c, NR_WEATHER_DAY, fields, count), 1, 31, &d) ||
        !nr_parse_long(field(c, NR_WEATHER_HOUR, fields, count), 0, 24, &h) ||
        (c->at[NR_WEATHER_MINUTE] >= 0 &&
         !nr_parse_long(field(c, NR_WEATHER_MINUTE, fields, count), 0, 59, &min)))
        return false;
    double hour = (double)h + (min == MIDDLE_MIN ? 0 : (double)min / 60);
    *from_s = nr_hourly_utc(y, mo, d, hour - zone_h);
    return true;
}

/* MM/DD/YYYY and HH:MM, 24:00 included. */
static bool date_and_time(const nr_hourly_columns *c, const char *const *fields, size_t count,
                          double zone_h, double *from_s)
{
    int mo, d, y, h, min, used = 0, used_too = 0;
    const char *date = field(c, NR_WEATHER_DATE, fields, count);
    const char *clock = field(c, NR_WEATHER_CLOCK, fields, count);
    if (sscanf(date, "%2d/%2d/%4d%n", &mo, &d, &y, &used) != 3 || date[used] ||
        sscanf(clock, "%2d:%2d%n", &h, &min, &used_too) != 2 || clock[used_too] || mo < 1 ||
        mo > 12 || d < 1 || d > 31 || h < 0 || h > 24 || min < 0 || min > 59 || y < 1800)
        return false;
    *from_s = nr_hourly_utc(y, mo, d, h + min / 60.0 - 1 - zone_h);
    return true;
}

/* 20050101:0000, or ISO 8601 with T or a blank, with or without seconds and Z. */
static bool stamp(const char *text, double *from_s)
{
    int y, mo, d, h, min, used = 0;
    if (sscanf(text, "%4d%2d%2d:%2d%2d%n", &y, &mo, &d, &h, &min, &used) == 5 && !text[used] &&
        used == 13 && /* "20050101:103" is torn */
        mo >= 1 && mo <= 12 && d >= 1 && d <= 31 && h >= 0 && h <= 24 && min >= 0 && min < 60) {
        *from_s = nr_hourly_utc(y, mo, d, h + min / 60.0);
        return true;
    }
    char iso[NR_UTC_SIZE + 8];
    size_t length = strlen(text);
    if (length < 16 || length > NR_UTC_SIZE)
        return false;
    snprintf(iso, sizeof iso, "%s", text);
    if (iso[10] == ' ')
        iso[10] = 'T';
    if (length == 16) /* without seconds */
        snprintf(iso + 16, sizeof iso - 16, ":00Z");
    else if (length == 17 && iso[16] == 'Z')
        snprintf(iso + 16, sizeof iso - 16, ":00Z");
    else if (iso[length - 1] != 'Z' && !strchr(iso + 11, '+') && !strchr(iso + 11, '-'))
        snprintf(iso + length, sizeof iso - length, "Z");
    else if (!strcmp(iso + length - 6, "+00:00"))
        snprintf(iso + length - 6, 8, "Z");
    return nr_utc_parse(iso, from_s);
}

bool nr_hourly_columns_time(const nr_hourly_columns *c, const char *const *fields, size_t count,
                            double zone_h, double *from_s)
{
    if (c->ends)
        return date_and_time(c, fields, count, zone_h, from_s);
    if (c->at[NR_WEATHER_TIME] >= 0)
        return stamp(field(c, NR_WEATHER_TIME, fields, count), from_s);
    return apart(c, fields, count, zone_h, from_s);
}

double nr_hourly_utc(long year, long month, long day, double hour)
{
    struct tm t = {.tm_year = (int)year - 1900, .tm_mon = (int)month - 1, .tm_mday = (int)day};
    return (double)timegm(&t) + 3600 * hour;
}
