/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/base/utc.h"
#include "logger/base/text.h"

#include <math.h>
#include <stdio.h>

#define DAY_S 86400LL /* a long of 32 bits ends in 2038 */
#define LAST_MS 253402300799999LL /* 9999-12-31T23:59:59.999Z */

/* Days since 1970-01-01 of a date of the proleptic Gregorian calendar. Years are counted from
 * March, so that the leap day is the last of its year. */
static long days_from_date(long year, long month, long day)
{
    year -= month <= 2;
    long era = year / 400;
    long year_of_era = year - era * 400;
    long day_of_year = (153 * (month > 2 ? month - 3 : month + 9) + 2) / 5 + day - 1;
    long day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    return era * 146097 + day_of_era - 719468;
}

static void date_from_days(long days, int *year, int *month, int *day)
{
    days += 719468;
    long era = days / 146097;
    long doe = days - era * 146097;
    long yoe = (doe - doe / 1460 + doe / 36524 - doe / 146096) / 365;
    long doy = doe - (365 * yoe + yoe / 4 - yoe / 100);
    long mp = (5 * doy + 2) / 153;
    *day = (int)(doy - (153 * mp + 2) / 5 + 1);
    *month = (int)(mp < 10 ? mp + 3 : mp - 9);
    *year = (int)(yoe + era * 400 + (*month <= 2));
}

void nr_utc_format(double unix_s, char out[NR_UTC_SIZE])
{
    out[0] = '\0';
    if (!(unix_s >= 0) || unix_s > (double)LAST_MS / 1000)
        return;
    long long ms = llround(unix_s * 1000);
    if (ms > LAST_MS)
        return;
    int year, month, day;
    date_from_days((long)(ms / 1000 / DAY_S), &year, &month, &day);
    /* Wider than any number printed here: gcc reasons about the types, not the values. */
    char text[80];
    int s = (int)(ms / 1000 % DAY_S);
    snprintf(text, sizeof text, "%04d-%02d-%02dT%02d:%02d:%02d.%03dZ", year, month, day, s / 3600,
             s / 60 % 60, s % 60, (int)(ms % 1000));
    nr_copy(out, NR_UTC_SIZE, text);
}

/* Exactly count digits; -1 otherwise. */
static int fixed_digits(const char *text, int count)
{
    int value = 0;
    for (int i = 0; i < count; i++) {
        if (text[i] < '0' || text[i] > '9')
            return -1;
        value = value * 10 + (text[i] - '0');
    }
    return value;
}

/* "2026-05-04" at the start of text -> days; false when it is not a date. */
static bool parse_date(const char *text, long *days)
{
    static const int length[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    int year = fixed_digits(text, 4);
    if (year < 1970 || text[4] != '-')
        return false;
    int month = fixed_digits(text + 5, 2);
    if (month < 1 || month > 12 || text[7] != '-')
        return false;
    int day = fixed_digits(text + 8, 2);
    bool leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    if (day < 1 || day > length[month - 1] + (leap && month == 2))
        return false;
    *days = days_from_date(year, month, day);
    return true;
}

bool nr_utc_parse(const char *text, double *unix_s)
{
    long days;
    if (!parse_date(text, &days) || text[10] != 'T')
        return false;
    int hour = fixed_digits(text + 11, 2);
    if (hour < 0 || hour > 23 || text[13] != ':')
        return false;
    int minute = fixed_digits(text + 14, 2);
    if (minute < 0 || minute > 59 || text[16] != ':')
        return false;
    int second = fixed_digits(text + 17, 2);
    if (second < 0 || second > 59)
        return false;
    const char *p = text + 19;
    long long fraction = 0, unit = 1;
    if (*p == '.') {
        int count = 0;
        for (p++; *p >= '0' && *p <= '9' && count < 9; p++, count++) {
            fraction = fraction * 10 + (*p - '0');
            unit *= 10;
        }
        if (count == 0)
            return false;
    }
    if (p[0] != 'Z' || p[1] != '\0')
        return false;
    *unix_s = (double)(days * DAY_S + hour * 3600L + minute * 60L + second) +
              (double)fraction / (double)unit;
    return true;
}

bool nr_date_parse(const char *text, double *unix_s)
{
    long days;
    if (!parse_date(text, &days) || text[10] != '\0')
        return false;
    *unix_s = (double)days * DAY_S;
    return true;
}
