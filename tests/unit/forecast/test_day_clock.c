/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Times of a day as a clock on the wall shows them. Mean solar time is ahead of UTC by four minutes
 * for each degree of longitude to the east (24 h for 360 degrees). */
#include "analyze/forecast/day.h"
#include "tests/unit/near.h"

static const char *clock_at(double ahead_s, double solar_s)
{
    static char text[NR_CLOCK_TEXT];
    nr_day d = {.clock_given = true, .clock_ahead_s = ahead_s};
    return nr_day_clock(&d, solar_s, text);
}

START_TEST(hours_and_minutes)
{
    ck_assert_str_eq(clock_at(0, 9.5 * 3600), "9:30");
    ck_assert_str_eq(clock_at(3600, 9.5 * 3600), "10:30");
    ck_assert_str_eq(clock_at(29, 0), "0:00");
    ck_assert_str_eq(clock_at(31, 0), "0:01");
    ck_assert_str_eq(clock_at(0, 86399 - 60), "23:59");
    ck_assert_str_eq(clock_at(0, 86400), "0:00 the next day");
    ck_assert_str_eq(clock_at(7200, 23 * 3600), "1:00 the next day");
    ck_assert_str_eq(clock_at(-60, 0), "23:59 the day before");
    ck_assert_str_eq(clock_at(-7200, 3600), "23:00 the day before");
}
END_TEST

START_TEST(names_of_zones)
{
    static const struct {
        double east_deg, zone_s;
        const char *name;
    } rows[] = {
        {10, 3600, "UTC+01:00"},       {10, 7200, "UTC+02:00"},    {10, 0, "UTC"},
        {-10, 60, "UTC+00:01"},        {-10, -60, "UTC-00:01"},    {-70, -14400, "UTC-04:00"},
        {83, 5.5 * 3600, "UTC+05:30"}, {-52, -12600, "UTC-03:30"}, {0, 0, "UTC"}};
    char text[NR_CLOCK_TEXT];
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        nr_day d = {.clock_given = true,
                    .longitude_deg = rows[i].east_deg,
                    .clock_ahead_s = rows[i].zone_s - 240 * rows[i].east_deg};
        ck_assert_str_eq(nr_day_clock_name(&d, text), rows[i].name);
    }
    nr_day d = {.clock_given = false, .longitude_deg = 10, .clock_ahead_s = 1200};
    ck_assert_str_eq(nr_day_clock_name(&d, text), "solar time");
    d = (nr_day){.clock_given = true, .longitude_deg = NAN, .clock_ahead_s = 1200};
    ck_assert_str_eq(nr_day_clock_name(&d, text), "solar time");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {hours_and_minutes, names_of_zones, NULL};
    return run_tests("clock of a day", tests);
}
