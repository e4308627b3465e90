/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For the tests of import: a table from text, its times read, seconds by the C library's calendar.
 */
#ifndef NR_TESTS_TABLES_H
#define NR_TESTS_TABLES_H

#include "logger/import/times.h"
#include "tests/unit/near.h"

#include <time.h>

/* What was said and refused, of the table at hand. */
typedef struct looked {
    nr_table table;
    nr_time_plan plan;
    nr_zone zone;
    nr_times times;
    nr_import_said said;
    nr_err err;
} looked;

static inline bool was_said(const looked *l, const char *words)
{
    for (size_t i = 0; i < l->said.count; i++)
        if (strstr(l->said.text[i], words))
            return true;
    return false;
}

static inline void read_table(looked *l, const char *text)
{
    memset(l, 0, sizeof *l);
    ck_assert_msg(nr_table_read(text, strlen(text), "table", 0, &l->table, &l->err) == NR_OK,
                  "%s in:\n%s", l->err.text, text);
}

static inline nr_code read_times(looked *l, const char *text, const char *columns,
                                 const char *format, const char *zone)
{
    const nr_time_stated stated = {.columns = columns, .format = format};
    read_table(l, text);
    ck_assert(nr_zone_find(zone, &l->zone, &l->err) == NR_OK);
    nr_code code = nr_times_plan(&l->table, &stated, &l->plan, &l->said, &l->err);
    return code != NR_OK
               ? code
               : nr_times_read(&l->table, &l->plan, &l->zone, &l->times, &l->said, &l->err);
}

static inline void forget(looked *l)
{
    nr_times_free(&l->times);
    nr_table_free(&l->table);
}

/* Seconds since 1970 of a date and time of UTC; day may be the day of the year with month 1. */
static inline double utc_of(int year, int month, int day, int hour, int minute, int second)
{
    struct tm tm = {.tm_year = year - 1900,
                    .tm_mon = month - 1,
                    .tm_mday = day,
                    .tm_hour = hour,
                    .tm_min = minute,
                    .tm_sec = second};
    return (double)timegm(&tm);
}

#endif
