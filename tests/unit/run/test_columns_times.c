/* SPDX-License-Identifier: GPL-3.0-or-later */
/* readings.csv: what names of columns mean together, times that are nearly ones, and numbers of so
 * many decimals; the quick way of reading against the long one, which a quoted cell takes. */
#include "logger/run/readings.h"
#include "tests/unit/near.h"

static nr_err err;

static nr_readings *read_text(const char *text)
{
    nr_readings *r = NULL;
    err.text[0] = '\0';
    return nr_readings_parse(text, strlen(text), "r.csv", &r, &err) == NR_OK ? r : NULL;
}

/* One channel has one column. What looks like a unit and is none is part of the name where another
 * column would have the same. */
START_TEST(names_beside_each_other)
{
    static const struct {
        const char *header, *channels; /* NULL: refused */
    } of[] = {
        {"t_a,t_b", "t a;t_b ;"},
        {"t_a,t_degC", "t_a ;t degC;"},
        {"t_degC,t_a", "t degC;t_a ;"},
        {"t_a,t_b,t_degC", "t_a ;t_b ;t degC;"},
        {"t_a,t_b,t_c", "t a;t_b ;t_c ;"},
        {"t_a,s_a,t_b", "t a;s a;t_b ;"},
        {"t_x_a,t_x_b", "t_x a;t_x_b ;"},
        {"t_degC,s_degC", "t degC;s degC;"},
        {"t_V", "t V;"},
        {"t", "t ;"},
        {"_t", "_t ;"},
        {"t_degC,t_K", NULL},
        {"t_degC,t_V", NULL},
        {"t_degC,t_degC", NULL},
        {"t_a,t_a", NULL},
        {"s,t_a,t_b,t_a", NULL},
        {"t_a,t_b,t_b", NULL},
        {"t,t", NULL},
        {"t,t_degC", NULL},
        {"t_degC,t", NULL},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char text[300], found[200] = "";
        snprintf(text, sizeof text, "time_utc,elapsed_s,%s\n2026-05-04T00:00:00Z,0,1,2,3,4",
                 of[i].header);
        size_t columns = 1;
        for (const char *p = of[i].header; *p; p++)
            columns += *p == ',';
        sprintf(strstr(text, ",1,2,3,4") + 2 * columns, "\n");
        nr_readings *r = read_text(text);
        if (!of[i].channels) {
            ck_assert_msg(!r && strstr(err.text, "already has a column"), "%s: %s", of[i].header,
                          err.text);
            ck_assert_int_eq(err.line, 1);
            continue;
        }
        ck_assert_msg(r, "%s: %s", of[i].header, err.text);
        for (size_t c = 0; c < r->columns; c++) {
            size_t used = strlen(found);
            snprintf(found + used, sizeof found - used, "%s %s;", r->column[c].channel,
                     r->column[c].unit);
        }
        ck_assert_str_eq(found, of[i].channels);
        nr_readings_free(r);
    }
}
END_TEST

/* A column is named as it stands in the header, whatever its unit. */
START_TEST(named_as_written)
{
    static const char *const names[] = {"fan", "t_V", "store_degF", "t_odd", "a_b_c", "x_W"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        char text[200], wanted[80];
        snprintf(text, sizeof text, "time_utc,elapsed_s,%s\n2026-05-04T00:00:00Z,0,?\n", names[i]);
        snprintf(wanted, sizeof wanted, "column %s: \"?\" is not a number", names[i]);
        ck_assert(!read_text(text));
        ck_assert_msg(strstr(err.text, wanted), "%s", err.text);
    }
}
END_TEST

/* The second row's time, quickly read and not: the same, or refused alike. */
static void both_ways(const char *time)
{
    nr_readings *r[2];
    for (int quick = 0; quick < 2; quick++) {
        char text[300];
        const char *quote = quick ? "" : "\"";
        snprintf(text, sizeof text,
                 "time_utc,elapsed_s,fan\n2026-05-04T11:22:33.456Z,%s0%s,1\n%s,%s1%s,2\n", quote,
                 quote, time, quote, quote);
        r[quick] = read_text(text);
    }
    ck_assert_msg(!r[0] == !r[1], "\"%s\" is taken one way only", time);
    if (r[0])
        ck_assert_msg(r[0]->utc_s[1] == r[1]->utc_s[1], "\"%s\": %.4f and %.4f", time,
                      r[0]->utc_s[1], r[1]->utc_s[1]);
    nr_readings_free(r[0]);
    nr_readings_free(r[1]);
}

START_TEST(times_that_are_nearly_ones)
{
    static const char whole[] = "2026-05-04T11:22:33.456Z", others[] = "0123456789:.-TZ z/;@";
    for (size_t at = 0; at < sizeof whole - 1; at++) {
        char time[80];
        for (const char *c = others; *c; c++) {
            strcpy(time, whole);
            time[at] = *c;
            both_ways(time);
        }
        snprintf(time, sizeof time, "%.*s%s", (int)at, whole, whole + at + 1); /* one less */
        both_ways(time);
        snprintf(time, sizeof time, "%.*s0%s", (int)at, whole, whole + at); /* one more */
        both_ways(time);
        snprintf(time, sizeof time, "%.*s", (int)at, whole);
        both_ways(time);
    }
}
END_TEST

/* Every second and some milliseconds of a minute, and the minute behind it. */
START_TEST(times_within_a_minute)
{
    for (int s = 0; s < 120; s++)
        for (int ms = 0; ms < 1000; ms += 97) {
            char text[200];
            snprintf(text, sizeof text,
                     "time_utc,elapsed_s,fan\n2026-05-04T11:22:00.000Z,0,1\n"
                     "2026-05-04T11:%02d:%02d.%03dZ,1,2\n",
                     22 + s / 60, s % 60, ms);
            nr_readings *r = read_text(text);
            ck_assert_msg(r, "%s", err.text);
            /* 2026-05-04T11:22:00Z is 1777893720 (date -u +%s) */
            if (fabs(r->utc_s[1] - (1777893720.0 + s + ms / 1000.0)) > 1e-6)
                ck_abort_msg("%s: %.4f", text, r->utc_s[1]);
            nr_readings_free(r);
        }
}
END_TEST

/* Up to fifteen digits are read quickly, more of them not: always the nearest double. */
START_TEST(digits)
{
    static const char all[] = "98765432101234567";
    for (size_t count = 1; count < sizeof all; count++)
        for (size_t point = 0; point <= count; point++)
            for (int minus = 0; minus < 2; minus++) {
                char number[40], text[200];
                snprintf(number, sizeof number, "%s%.*s.%.*s", minus ? "-" : "", (int)point, all,
                         (int)(count - point), all + point);
                snprintf(text, sizeof text,
                         "time_utc,elapsed_s,fan\n2026-05-04T11:22:33.456Z,0,%s\n", number);
                nr_readings *r = read_text(text);
                ck_assert_msg(r, "%s: %s", number, err.text);
                ck_assert_msg(r->column[0].value[0] == strtod(number, NULL), "%s: %.17g", number,
                              r->column[0].value[0]);
                nr_readings_free(r);
            }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        names_beside_each_other, named_as_written, times_that_are_nearly_ones,
        times_within_a_minute,   digits,           NULL};
    return run_tests("columns_times", tests);
}
