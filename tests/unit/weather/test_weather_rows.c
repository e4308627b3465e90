/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Names, units, stamps and codes of weather tables, each limit from both sides; what is refused
 * names its line. Seconds are the C library's, factors of units those of NIST SP 811. */
#include "analyze/weather/columns.h"
#include "analyze/weather/weather.h"
#include "tests/unit/near.h"

#include <time.h>

static nr_err err;

static double utc_of(int year, int month, int day, int hour, int minute)
{
    struct tm tm = {.tm_year = year - 1900,
                    .tm_mon = month - 1,
                    .tm_mday = day,
                    .tm_hour = hour,
                    .tm_min = minute};
    return (double)timegm(&tm);
}

START_TEST(names_and_units)
{
    static const struct {
        const char *name;
        int column;
        double wind;
        bool fahrenheit;
    } of[] = {
        {"GHI", NR_WEATHER_GHI, 1, false},
        {"GHI_W_m2", NR_WEATHER_GHI, 1, false},
        {"GHI (W/m^2)", NR_WEATHER_GHI, 1, false},
        {"ghi [W/m2]", NR_WEATHER_GHI, 1, false},
        {"Global Horizontal", NR_WEATHER_GHI, 1, false},
        {"G(h)", NR_WEATHER_GHI, 1, false},
        {"DNI (W/m2)", NR_WEATHER_DNI, 1, false},
        {"Gb(n)", NR_WEATHER_DNI, 1, false},
        {"Direct Normal Irradiance", NR_WEATHER_DNI, 1, false},
        {"DHI", NR_WEATHER_DHI, 1, false},
        {"Gd(h)", NR_WEATHER_DHI, 1, false},
        {"Diffuse", NR_WEATHER_DHI, 1, false},
        {"air_degC", NR_WEATHER_AIR, 1, false},
        {"T2m", NR_WEATHER_AIR, 1, false},
        {"Dry-bulb (C)", NR_WEATHER_AIR, 1, false},
        {"air_degF", NR_WEATHER_AIR, 1, true},
        {"Temperature (F)", NR_WEATHER_AIR, 1, true},
        {"wind_m_s", NR_WEATHER_WIND, 1, false},
        {"Wspd (m/s)", NR_WEATHER_WIND, 1, false},
        {"wind_mph", NR_WEATHER_WIND, 0.44704, false},
        {"Wind Speed (mph)", NR_WEATHER_WIND, 0.44704, false},
        {"wind_km_h", NR_WEATHER_WIND, 1 / 3.6, false},
        {"Wind Speed (km/h)", NR_WEATHER_WIND, 1 / 3.6, false},
        {"WS10m", NR_WEATHER_WIND, 1, false},
        {"rain", -1, 1, false},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        const char *names[] = {"time_utc", "ghi", "x", of[i].name};
        nr_hourly_columns c;
        names[1] = of[i].column == NR_WEATHER_GHI ? "dni" : "ghi";
        names[2] = of[i].column == NR_WEATHER_GHI ? "dhi" : "x";
        ck_assert_msg(nr_hourly_columns_find(names, 4, &c), "%s", of[i].name);
        for (int k = NR_WEATHER_AIR; k < NR_WEATHER_COLUMNS; k++)
            ck_assert_msg(c.at[k] == (k == of[i].column ? 3 : -1), "%s is column %d at %d",
                          of[i].name, k, c.at[k]);
        ck_assert(of[i].column < 0 || c.at[of[i].column] == 3);
        NEAR_AT(of[i].name, c.wind_to_m_s, of[i].wind, 1e-12);
        ck_assert(c.fahrenheit == of[i].fahrenheit && c.utc && !c.ends);
        ck_assert_str_eq(c.format, "plain");
    }
}
END_TEST

START_TEST(what_a_table_needs)
{
    static const struct {
        const char *names[8];
        size_t count;
        bool good, ends, utc;
        const char *format;
    } of[] = {
        {{"time_utc", "ghi"}, 2, true, false, true, "plain"},
        {{"time(UTC)", "G(h)"}, 2, true, false, true, "service CSV"},
        {{"time_utc", "dni"}, 2, false, false, false, ""},
        {{"time_utc", "dhi"}, 2, false, false, false, ""},
        {{"time_utc", "dni", "dhi"}, 3, true, false, true, "plain"},
        {{"ghi", "air"}, 2, false, false, false, ""},
        {{"Year", "Month", "Day", "Hour", "GHI"}, 5, true, false, false, "grid CSV"},
        {{"Year", "Month", "Day", "GHI"}, 4, false, false, false, ""},
        {{"Month", "Day", "Hour", "GHI"}, 4, false, false, false, ""},
        {{"Date (MM/DD/YYYY)", "Time (HH:MM)", "GHI (W/m^2)"}, 3, true, true, false, "TMY3 CSV"},
        {{"Time (HH:MM)", "GHI (W/m^2)"}, 2, false, false, false, ""},
        {{"Date (MM/DD/YYYY)", "GHI (W/m^2)"}, 2, false, false, false, ""},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_hourly_columns c;
        bool good = nr_hourly_columns_find(of[i].names, of[i].count, &c);
        ck_assert_msg(good == of[i].good, "%zu", i);
        if (!good)
            continue;
        ck_assert_msg(c.ends == of[i].ends && c.utc == of[i].utc, "%zu", i);
        ck_assert_str_eq(c.format, of[i].format);
    }
    nr_hourly_columns c; /* of two columns of one name the first */
    const char *twice[] = {"time_utc", "ghi", "GHI_W_m2"};
    ck_assert(nr_hourly_columns_find(twice, 3, &c) && c.at[NR_WEATHER_GHI] == 1);
}
END_TEST

/* --- stamps ---------------------------------------------------------------------------------- */

START_TEST(stamps)
{
    const char *names[] = {"time_utc", "ghi"};
    static const struct {
        const char *text;
        bool good;
    } of[] = {
        {"20260516:1030", true},
        {"2026-05-16T10:30", true},
        {"2026-05-16 10:30", true},
        {"2026-05-16T10:30Z", true},
        {"2026-05-16T10:30:00", true},
        {"2026-05-16 10:30:00", true},
        {"2026-05-16T10:30:00Z", true},
        {"2026-05-16T10:30:00+00:00", true},
        {"2026-05-16T10:30:00.000Z", true},
        {"20261316:1030", false},
        {"20260016:1030", false},
        {"20260532:1030", false},
        {"20260500:1030", false},
        {"20260516:2530", false},
        {"20260516:1060", false},
        {"20260516:10300", false},
        {"20260516:103", false},
        {"2026-05-16", false},
        {"2026-05-16T10:3", false},
        {"", false},
        {"soon", false},
    };
    nr_hourly_columns c;
    ck_assert(nr_hourly_columns_find(names, 2, &c));
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        double s = NAN;
        const char *fields[] = {of[i].text, "500"};
        bool good = nr_hourly_columns_time(&c, fields, 2, 5, &s);
        ck_assert_msg(good == of[i].good, "\"%s\"", of[i].text);
        if (good)
            NEAR_AT(of[i].text, s, utc_of(2026, 5, 16, 10, 30), 1e-6);
    }
    double s;
    const char *midnight[] = {"20260516:2400", ""};
    ck_assert(nr_hourly_columns_time(&c, midnight, 2, 0, &s) && s == utc_of(2026, 5, 17, 0, 0));
}
END_TEST

START_TEST(dates_apart)
{
    const char *names[] = {"year", "month", "day", "hour", "minute", "ghi"};
    static const struct {
        const char *f[5];
        bool good;
        int hour, minute;
    } of[] = {
        {{"2026", "5", "16", "10", "0"}, true, 10, 0},
        {{"2026", "5", "16", "10", "30"}, true, 10, 0},
        {{"2026", "5", "16", "10", "15"}, true, 10, 15},
        {{"2026", "5", "16", "0", "59"}, true, 0, 59},
        {{"2026", "5", "16", "24", "0"}, true, 24, 0},
        {{"2026", "5", "16", "25", "0"}, false, 0, 0},
        {{"2026", "5", "16", "-1", "0"}, false, 0, 0},
        {{"2026", "5", "16", "10", "60"}, false, 0, 0},
        {{"2026", "5", "16", "10", ""}, false, 0, 0},
        {{"2026", "13", "16", "10", "0"}, false, 0, 0},
        {{"2026", "0", "16", "10", "0"}, false, 0, 0},
        {{"2026", "5", "32", "10", "0"}, false, 0, 0},
        {{"2026", "5", "0", "10", "0"}, false, 0, 0},
        {{"1799", "5", "16", "10", "0"}, false, 0, 0},
        {{"2201", "5", "16", "10", "0"}, false, 0, 0},
    };
    nr_hourly_columns c;
    ck_assert(nr_hourly_columns_find(names, 6, &c));
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        double s = NAN;
        const char *fields[6] = {of[i].f[0], of[i].f[1], of[i].f[2], of[i].f[3], of[i].f[4], "5"};
        ck_assert_msg(nr_hourly_columns_time(&c, fields, 6, 2, &s) == of[i].good, "%zu", i);
        if (of[i].good) /* two hours east of Greenwich */
            NEAR_AT(of[i].f[3], s, utc_of(2026, 5, 16, of[i].hour - 2, of[i].minute), 1e-3);
    }
    const char *few[] = {"2026", "5", "16"};
    double s;
    ck_assert(!nr_hourly_columns_time(&c, few, 3, 2, &s));
    ck_assert(nr_hourly_utc(1970, 1, 2, -1.5) == 81000);
}
END_TEST

START_TEST(dates_and_clocks)
{
    const char *names[] = {"Date (MM/DD/YYYY)", "Time (HH:MM)", "GHI (W/m^2)"};
    static const struct {
        const char *date, *clock;
        bool good;
    } of[] = {{"05/16/2026", "10:00", true},   {"05/16/2026", "24:00", true},
              {"05/16/2026", "25:00", false},  {"05/16/2026", "10:60", false},
              {"13/16/2026", "10:00", false},  {"00/16/2026", "10:00", false},
              {"05/32/2026", "10:00", false},  {"05/00/2026", "10:00", false},
              {"05/16/1799", "10:00", false},  {"05/16/1800", "10:00", true},
              {"05/16/2026x", "10:00", false}, {"05/16/2026", "10:00x", false},
              {"05/16", "10:00", false},       {"05/16/2026", "10", false}};
    nr_hourly_columns c;
    ck_assert(nr_hourly_columns_find(names, 3, &c) && c.ends);
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        double s = NAN;
        const char *fields[] = {of[i].date, of[i].clock, "5"};
        ck_assert_msg(nr_hourly_columns_time(&c, fields, 3, -7, &s) == of[i].good, "%s %s",
                      of[i].date, of[i].clock);
        if (of[i].good && of[i].date[9] == '6') /* ends its hour, seven west */
            NEAR_AT(of[i].clock, s, utc_of(2026, 5, 16, atoi(of[i].clock) - 1 + 7, 0), 1e-3);
    }
}
END_TEST

/* --- EPW ---------------------------------------------------------------------------------------
 */

static const char place[] = "LOCATION,Hill,XX,YYY,made,123456,47.1,9.2,1.0,420\n";

static char *epw(const char *location, const char *last, int hours)
{
    char *text = NULL;
    size_t size;
    FILE *to = open_memstream(&text, &size);
    fputs(location, to);
    fputs("DESIGN CONDITIONS,0\nDATA PERIODS,1,1,Data,Sunday,1/1,12/31\n", to);
    for (int h = 0; h < hours; h++)
        fprintf(to, "2011,6,%d,%d,60,x,%d,10,50,95000,0,0,300,%d,%d,%d,0,0,0,0,180,%d,5\n",
                1 + h / 24, 1 + h % 24, 10 + h % 24, 100 + h, 200 + h, 50 + h, h % 9);
    fputs(last, to);
    fclose(to);
    return text;
}

static nr_hourly *read_epw(const char *location, const char *last, int hours)
{
    char *text = epw(location, last, hours);
    nr_hourly *w = NULL;
    err = (nr_err){.text = ""};
    (void)nr_hourly_parse(text, strlen(text), "w.epw", &w, &err);
    free(text);
    return w;
}

START_TEST(rows_of_an_epw)
{
    nr_hourly *w = read_epw(place, "", 48);
    ck_assert_msg(w != NULL, "%s", err.text);
    ck_assert_str_eq(w->format, "EPW");
    ck_assert_str_eq(w->place, "Hill");
    ck_assert(w->latitude_deg == 47.1 && w->longitude_deg == 9.2 && w->zone_h == 1 &&
              w->elevation_m == 420 && w->rows == 48 && w->step_s == 3600 && !w->typical);
    for (int h = 0; h < 48; h++) { /* the hour 1 begins at 0, an hour east */
        ck_assert(w->row[h].from_s == utc_of(2011, 6, 1, h - 1, 0));
        ck_assert(w->row[h].ghi_W_m2 == 100 + h && w->row[h].dni_W_m2 == 200 + h &&
                  w->row[h].dhi_W_m2 == 50 + h);
        ck_assert(w->row[h].air_degC == 10 + h % 24 && w->row[h].wind_m_s == h % 9);
    }
    ck_assert_uint_eq(w->holes, 0);
    nr_hourly_free(w);
}
END_TEST

/* Codes for "missing": 99.9 degC, 9999 W/m2, 999 m/s and up; -900 and down. */
START_TEST(codes_of_an_epw)
{
    static const struct {
        const char *air, *ghi, *wind;
        double air_degC, ghi_W_m2, wind_m_s;
    } of[] = {{"99.8", "9998", "998", 99.8, 9998, 998},
              {"99.9", "9999", "999", 33, NAN, 2}, /* along the line from the row before */
              {"-899", "-899", "-899", -899, -899, -899},
              {"-900", "-900", "-900", 33, NAN, 2},
              {"", "x", "", 33, NAN, 2}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char last[200];
        (void)snprintf(last, sizeof last,
                       "2011,6,3,1,60,x,%s,10,50,95000,0,0,300,%s,200,50,0,0,0,0,180,%s,5\n",
                       of[i].air, of[i].ghi, of[i].wind);
        nr_hourly *w = read_epw(place, last, 48);
        ck_assert_msg(w != NULL, "%s", err.text);
        const nr_hourly_row *row = &w->row[48];
        NEAR_AT(of[i].air, row->air_degC, of[i].air_degC, 1e-9);
        NEAR_AT(of[i].wind, row->wind_m_s, of[i].wind_m_s, 1e-9);
        ck_assert((isnan(of[i].ghi_W_m2) && isnan(row->ghi_W_m2)) ||
                  row->ghi_W_m2 == of[i].ghi_W_m2);
        ck_assert_uint_eq(w->holes, isnan(of[i].ghi_W_m2) ? 2 : 0);
        nr_hourly_free(w);
    }
}
END_TEST

START_TEST(refused_with_their_line)
{
    static const struct {
        const char *location, *last;
        long line;
        const char *words;
    } of[] = {
        {"LOCATION,Hill,XX,YYY,made,123456,47.1,9.2,1.0\n", "", 1, "fewer than ten fields"},
        {"LOCATION,Hill,XX,YYY,made,123456,91,9.2,1.0,420\n", "", 1, "does not give latitude"},
        {"LOCATION,Hill,XX,YYY,made,123456,47,181,1.0,420\n", "", 1, "does not give latitude"},
        {"LOCATION,Hill,XX,YYY,made,123456,47,9.2,15,420\n", "", 1, "does not give latitude"},
        {"LOCATION,Hill,XX,YYY,made,123456,47,9.2,1,9000\n", "", 1, "does not give latitude"},
        {place, "2011,13,3,1,60,x,9,9,9,9,9,9,9,9,9,9,9,9,9,9,9,9\n", 52, "not a row of an EPW"},
        {place, "2011,6,32,1,60,x,9,9,9,9,9,9,9,9,9,9,9,9,9,9,9,9\n", 52, "not a row of an EPW"},
        {place, "2011,6,3,0,60,x,9,9,9,9,9,9,9,9,9,9,9,9,9,9,9,9\n", 52, "not a row of an EPW"},
        {place, "2011,6,3,25,60,x,9,9,9,9,9,9,9,9,9,9,9,9,9,9,9,9\n", 52, "not a row of an EPW"},
        {place, "2011,6,3,1,60,x,9,9,9,9,9,9,9,9,9,9,9,9,9,9,9\n", 52, "not a row of an EPW"},
        {place, "2011,6,3,5,60,x,9,9,9,9,9,9,9,9,9,9,9,9,9,9,9,9\n", 0, NULL},
        {place, "2011,6,2,24,60,x,9,9,9,9,9,9,9,9,9,9,9,9,9,9,9,9\n", 0,
         "stands in the table twice"},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_hourly *w = read_epw(of[i].location, of[i].last, 48);
        ck_assert_msg((w != NULL) == (of[i].words == NULL), "%zu: %s", i, err.text);
        ck_assert_msg(w || strstr(err.text, of[i].words), "%zu: %s", i, err.text);
        ck_assert_msg(err.line == of[i].line, "%zu: line %ld", i, err.line);
        ck_assert(w || strcmp(err.file, "w.epw") == 0);
        nr_hourly_free(w);
    }
}
END_TEST

/* --- the table as a whole ----------------------------------------------------------------------
 */

static nr_hourly *table_of(const char *head, int rows, int minutes, const char *cells,
                           const char *last)
{
    char *text = NULL;
    size_t size;
    FILE *to = open_memstream(&text, &size);
    nr_hourly *w = NULL;
    fprintf(to, "%s\n", head);
    for (int r = 0; r < rows; r++)
        fprintf(to, "2011-06-%02dT%02d:%02d:00Z,%s\n", 1 + r * minutes / 1440,
                r * minutes / 60 % 24, r * minutes % 60, cells);
    fputs(last, to);
    fclose(to);
    err = (nr_err){.text = ""};
    (void)nr_hourly_parse(text, strlen(text), "w.csv", &w, &err);
    free(text);
    return w;
}

START_TEST(limits_of_a_table)
{
    static const char head[] = "time_utc,ghi,air_degC,wind_m_s";
    static const struct {
        const char *cells;
        double ghi, air, wind; /* NAN of ghi: refused; of the others: as beside it */
    } of[] = {{"2000,150,400", 2000, 150, 400}, {"2001,150,400", NAN, 0, 0},
              {"-50,-90,0", -50, -90, 0},       {"-51,20,0", NAN, 0, 0},
              {"500,150.1,3", 500, NAN, 3},     {"500,-90.1,3", 500, NAN, 3},
              {"500,20,-0.1", 500, 20, NAN},    {"500,20,401", 500, 20, NAN}};
    char last[80];
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        (void)snprintf(last, sizeof last, "2011-06-02T06:00:00Z,%s\n", of[i].cells);
        nr_hourly *w = table_of(head, 30, 60, "100,12,4", last);
        ck_assert_msg((w != NULL) == isfinite(of[i].ghi), "%s: %s", of[i].cells, err.text);
        if (!w) {
            ck_assert_ptr_nonnull(strstr(err.text, "row 31 of the table has no irradiance"));
            continue;
        }
        NEAR_AT(of[i].cells, w->row[30].ghi_W_m2, of[i].ghi, 1e-9);
        NEAR_AT(of[i].cells, w->row[30].air_degC, isnan(of[i].air) ? 12 : of[i].air, 1e-9);
        NEAR_AT(of[i].cells, w->row[30].wind_m_s, isnan(of[i].wind) ? 4 : of[i].wind, 1e-9);
        ck_assert_uint_eq(w->holes, isnan(of[i].air + of[i].wind) ? 1u : 0u);
        nr_hourly_free(w);
    }
    nr_hourly *w = table_of(head, 48, 30, "100,12,4", "");
    ck_assert(w && w->step_s == 1800);
    nr_hourly_free(w);
    ck_assert_ptr_null(table_of(head, 30, 61, "100,12,4", ""));
    ck_assert_ptr_nonnull(strstr(err.text, "rows are 61 minutes apart"));
    w = table_of("time_utc,ghi,air_degC,wind_mph", 30, 60, "100,12,10", "");
    ck_assert(w);
    NEAR(w->row[0].wind_m_s, 4.4704, 1e-9);
    nr_hourly_free(w);
    w = table_of("time_utc,ghi,air_degF", 30, 60, "100,50", "");
    ck_assert(w);
    NEAR(w->row[0].air_degC, 10, 1e-9);
    nr_hourly_free(w);
}
END_TEST

/* A legend below the table ends it; a table that goes on below names the line where it broke. */
START_TEST(the_end_of_a_table)
{
    static const char head[] = "time_utc,ghi,air_degC";
    nr_hourly *w = table_of(head, 30, 60, "100,12", "\nG: irradiance\nair: of the air\n");
    ck_assert(w && w->rows == 30);
    nr_hourly_free(w);
    w = table_of(head, 30, 60, "100,12", "oh,1,2\nha,3,4\n2011-06-02T08:00:00Z,100,12\n");
    ck_assert(!w && err.line == 32);
    ck_assert_ptr_nonnull(strstr(err.text, "the table goes on below"));
    w = table_of(head, 0, 60, "", "oh,1,2\n");
    ck_assert(!w && err.line == 2);
    ck_assert_ptr_nonnull(strstr(err.text, "the first row's time cannot be read"));
    char long_head[1200] = "";
    for (int lines = 58; lines < 61; lines++) { /* sixty lines may stand before the names */
        long_head[0] = '\0';
        for (int k = 0; k < lines; k++)
            strcat(long_head, "a remark\n");
        strcat(long_head, head);
        w = table_of(long_head, 30, 60, "100,12", "");
        ck_assert_msg((w != NULL) == (lines < 60), "%d lines: %s", lines, err.text);
        ck_assert(w || (err.line == 60 && strstr(err.text, "no line names the columns")));
        nr_hourly_free(w);
    }
}
END_TEST

/* Months of several years go into one without a leap day, each hour to its own. */
START_TEST(a_typical_year)
{
    char last[2000] = "";
    for (int h = 0; h < 24; h++) {
        char row[60];
        (void)snprintf(row, sizeof row, "2008-02-%02dT%02d:30:00Z,%d,5\n", h < 12 ? 28 : 29, h,
                       300 + h);
        strcat(last, row);
    }
    nr_hourly *w = table_of("time_utc,ghi,air_degC", 30, 60, "100,12", last);
    ck_assert_msg(w != NULL, "%s", err.text);
    ck_assert(w->typical && w->rows == 42); /* without the twelve of the 29th */
    ck_assert(w->row[0].from_s == utc_of(NR_TYPICAL_YEAR, 2, 28, 0, 30));
    ck_assert(w->row[0].ghi_W_m2 == 300 && w->row[11].ghi_W_m2 == 311);
    ck_assert(w->row[12].from_s == utc_of(NR_TYPICAL_YEAR, 6, 1, 0, 0));
    ck_assert(w->row[41].from_s == utc_of(NR_TYPICAL_YEAR, 6, 2, 5, 0));
    nr_hourly_free(w);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {names_and_units,    what_a_table_needs,      stamps,
                                  dates_apart,        dates_and_clocks,        rows_of_an_epw,
                                  codes_of_an_epw,    refused_with_their_line, limits_of_a_table,
                                  the_end_of_a_table, a_typical_year,          NULL};
    return run_tests("weather rows", tests);
}
