/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/base/utc.h"
#include "tests/unit/near.h"

#include <time.h>

START_TEST(known_instants)
{
    /* POSIX.1, "Seconds Since the Epoch"; 2^31 and the leap days of 2000 and 2024 by date -u. */
    static const struct {
        double unix_s;
        const char *text;
    } rows[] = {{0, "1970-01-01T00:00:00.000Z"},
                {951782400, "2000-02-29T00:00:00.000Z"},
                {1709164799.999, "2024-02-28T23:59:59.999Z"},
                {1709164800, "2024-02-29T00:00:00.000Z"},
                {2147483648.0, "2038-01-19T03:14:08.000Z"},
                {1777893753.456, "2026-05-04T11:22:33.456Z"},
                {4107542400.0, "2100-03-01T00:00:00.000Z"},
                {253402300799.0, "9999-12-31T23:59:59.000Z"}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[NR_UTC_SIZE];
        double back = NAN;
        nr_utc_format(rows[i].unix_s, text);
        ck_assert_str_eq(text, rows[i].text);
        ck_assert(nr_utc_parse(text, &back));
        NEAR_AT(text, back, rows[i].unix_s, 1e-6);
    }
}
END_TEST

START_TEST(every_day_against_the_c_library)
{
    for (long day = 0; day < 84000; day += 3) {
        time_t at = (time_t)day * 86400 + 43200;
        struct tm tm;
        char text[NR_UTC_SIZE], wanted[NR_UTC_SIZE];
        double back;
        gmtime_r(&at, &tm);
        strftime(wanted, sizeof wanted, "%Y-%m-%dT%H:%M:%S.000Z", &tm);
        nr_utc_format((double)at, text);
        ck_assert_str_eq(text, wanted);
        ck_assert(nr_utc_parse(text, &back) && back == (double)at);
    }
}
END_TEST

START_TEST(rounding_carries)
{
    char text[NR_UTC_SIZE];
    nr_utc_format(1709164799.9996, text);
    ck_assert_str_eq(text, "2024-02-29T00:00:00.000Z");
    nr_utc_format(0.0004, text);
    ck_assert_str_eq(text, "1970-01-01T00:00:00.000Z");
}
END_TEST

START_TEST(outside_is_empty)
{
    static const double out[] = {-1, NAN, INFINITY, -INFINITY, 253402300800.0, 1e300};
    for (size_t i = 0; i < sizeof out / sizeof *out; i++) {
        char text[NR_UTC_SIZE] = "x";
        nr_utc_format(out[i], text);
        ck_assert_str_eq(text, "");
    }
}
END_TEST

START_TEST(fractions)
{
    double s = 0;
    ck_assert(nr_utc_parse("1970-01-01T00:00:01Z", &s) && s == 1);
    ck_assert(nr_utc_parse("1970-01-01T00:00:01.5Z", &s) && s == 1.5);
    ck_assert(nr_utc_parse("1970-01-01T00:00:01.123456789Z", &s));
    NEAR(s, 1.123456789, 1e-12);
}
END_TEST

START_TEST(refused)
{
    static const char *const texts[] = {"",
                                        "2026-05-04",
                                        "2026-05-04T11:22:33",
                                        "2026-05-04 11:22:33Z",
                                        "2026-05-04T11:22:33.Z",
                                        "2026-05-04T11:22:33.1234567890Z",
                                        "2026-05-04T11:22:33.456z",
                                        "2026-05-04T11:22:33.456Z ",
                                        " 2026-05-04T11:22:33.456Z",
                                        "2026-05-04T11:22:33+00:00",
                                        "2026-13-04T11:22:33Z",
                                        "2026-00-04T11:22:33Z",
                                        "2026-02-29T11:22:33Z",
                                        "2100-02-29T00:00:00Z",
                                        "2026-04-31T11:22:33Z",
                                        "2026-05-00T11:22:33Z",
                                        "2026-05-04T24:00:00Z",
                                        "2026-05-04T11:60:33Z",
                                        "2026-05-04T11:22:60Z",
                                        "1969-12-31T23:59:59Z",
                                        "2026-5-4T11:22:33Z",
                                        "20260504T112233Z",
                                        "2026-05-04T11:22:3",
                                        "2026-05-04T1"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        double s = 42;
        ck_assert_msg(!nr_utc_parse(texts[i], &s) && s == 42, "\"%s\" accepted", texts[i]);
    }
}
END_TEST

START_TEST(dates)
{
    double s = 42;
    ck_assert(!nr_date_parse("2026-05-04T", &s) && !nr_date_parse("2026-02-30", &s) && s == 42);
    ck_assert(nr_date_parse("2026-05-04", &s));
    NEAR(s, 1777852800.0, 0);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {known_instants,
                                  every_day_against_the_c_library,
                                  rounding_carries,
                                  outside_is_empty,
                                  fractions,
                                  refused,
                                  dates,
                                  NULL};
    return run_tests("utc", tests);
}
