/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Weather tables: the sums a publisher gives, the same day in every format, what is refused, and
 * what falls on a plane. */
#include "analyze/weather/weather.h"
#include "tests/unit/near.h"

#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Typical year TMY3, station 725650 (Denver Intl Ap), National Renewable Energy Laboratory, 2008, a
 * work of the US government. tests/data/README.md has where it is from. */
static nr_hourly *denver(void)
{
    char *text = malloc(3000000);
    FILE *from = popen("gzip -dc " TEST_DATA "/weather/denver-tmy3.epw.gz", "r");
    ck_assert_ptr_nonnull(from);
    size_t length = fread(text, 1, 3000000, from);
    ck_assert_int_eq(pclose(from), 0);
    nr_hourly *w = NULL;
    nr_err err;
    ck_assert_msg(nr_hourly_parse(text, length, "denver.epw", &w, &err) == NR_OK, "%s", err.text);
    free(text);
    return w;
}

typedef struct sums {
    double ghi_kWh_m2, dni_kWh_m2, dhi_kWh_m2, air_degC, wind_m_s;
} sums;

static sums sum(const nr_hourly *w)
{
    sums s = {0};
    for (size_t i = 0; i < w->rows; i++) {
        const nr_hourly_row *row = &w->row[i];
        double kWh = w->step_s / 3.6e6;
        s.ghi_kWh_m2 += kWh * row->ghi_W_m2;
        s.dni_kWh_m2 += kWh * row->dni_W_m2;
        s.dhi_kWh_m2 += kWh * row->dhi_W_m2;
        s.air_degC += row->air_degC / (double)w->rows;
        s.wind_m_s += row->wind_m_s / (double)w->rows;
    }
    return s;
}

START_TEST(a_typical_year_has_the_published_sums)
{
    nr_hourly *w = denver();
    sums s = sum(w);
    ck_assert_uint_eq(w->rows, 8760);
    ck_assert(w->typical);
    ck_assert_str_eq(w->format, "EPW");
    ck_assert_double_eq_tol(w->latitude_deg, 39.83, 1e-9);
    ck_assert_double_eq_tol(w->zone_h, -7, 1e-9);
    ck_assert_double_eq_tol(w->elevation_m, 1650, 1e-9);
    /* Summed from the file's columns 14, 15, 16, 7 and 22 by another program (awk). */
    ck_assert_double_eq_tol(s.ghi_kWh_m2, 1670.2, 0.05);
    ck_assert_double_eq_tol(s.dni_kWh_m2, 1977.6, 0.05);
    ck_assert_double_eq_tol(s.dhi_kWh_m2, 556.5, 0.05);
    ck_assert_double_eq_tol(s.air_degC, 10.875, 0.0005);
    ck_assert_double_eq_tol(s.wind_m_s, 3.917, 0.0005);
    /* The first row: hour 1 of 1 January ends at 01:00, seven hours behind UTC. 2025-01-01 07:00Z
     */
    ck_assert_double_eq_tol(w->row[0].from_s, 1735714800.0, 1e-6);
    for (size_t i = 1; i < w->rows; i++)
        ck_assert_double_eq_tol(w->row[i].from_s - w->row[i - 1].from_s, 3600, 1e-6);
    nr_hourly_free(w);
}
END_TEST

/* On a plane that lies flat the hours' own sums come back, but for what a low sun cannot give. */
START_TEST(a_flat_plane_gets_the_horizontal_irradiance)
{
    nr_hourly *w = denver();
    nr_hourly_plane flat = {.tilt_deg = 0, .azimuth_deg = 180, .albedo = 0.2};
    size_t n = 8760 * 6;
    nr_hourly_sample *s = malloc(n * sizeof *s);
    nr_hourly_samples(w, &flat, w->row[0].from_s, 600, n, s);
    double kWh = 0, air = 0;
    for (size_t i = 0; i < n; i++) {
        kWh += s[i].sun_W_m2 * 600 / 3.6e6;
        air += s[i].air_degC / (double)n;
    }
    ck_assert_double_eq_tol(kWh, 1670.2, 0.003 * 1670.2);
    ck_assert_double_eq_tol(air, 10.875, 0.002);
    free(s);
    nr_hourly_free(w);
}
END_TEST

/* Tilted 40 degrees to the south, and turned after the sun: sums by tests/known-answer/plane.py,
 * which has its own place of the sun (Spencer 1971) and its own Hay and Davies, hour by hour. */
START_TEST(a_tilted_plane_agrees_with_another_program)
{
    double tilted, turned;
    FILE *from = popen("gzip -dc " TEST_DATA "/weather/denver-tmy3.epw.gz | python3 " TEST_DATA
                       "/../known-answer/plane.py",
                       "r");
    ck_assert_ptr_nonnull(from);
    ck_assert_int_eq(fscanf(from, "%lf %lf", &tilted, &turned), 2);
    ck_assert_int_eq(pclose(from), 0);
    nr_hourly *w = denver();
    nr_hourly_plane plane = {.tilt_deg = 40, .azimuth_deg = 180, .albedo = 0.2};
    size_t n = 8760 * 6;
    nr_hourly_sample *s = malloc(n * sizeof *s);
    for (int k = 0; k < 2; k++) {
        double kWh = 0, other = k ? turned : tilted;
        plane.re_aimed = k;
        nr_hourly_samples(w, &plane, w->row[0].from_s, 600, n, s);
        for (size_t i = 0; i < n; i++)
            kWh += s[i].sun_W_m2 * 600 / 3.6e6;
        /* 1 %: whole hours against six parts of one, most of all at sunrise and sunset */
        ck_assert_msg(fabs(kWh - other) < 0.01 * other, "%g against %g", kWh, other);
    }
    free(s);
    nr_hourly_free(w);
}
END_TEST

/* --- the same hours in other formats --------------------------------------------------------- */

/* A day of made-up weather, hour by hour of UTC+1 at 47 N 9 E: h begins the hour. */
static double made_ghi(int h)
{
    return h > 6 && h < 18 ? 800 * sin(M_PI * (h - 6 + 0.5) / 12) : 0;
}

static double made_air(int h)
{
    return 12 + 6 * sin(M_PI * (h - 9) / 12);
}

typedef enum format { PLAIN, SERVICE, GRID, TMY3, FORMATS } format;

static char *made(format f)
{
    char *text = NULL;
    size_t size;
    FILE *to = open_memstream(&text, &size);
    if (f == PLAIN)
        fputs("time_utc,GHI_W_m2,DHI_W_m2,air_degC,wind_m_s\n", to);
    if (f == SERVICE)
        fputs("Latitude (decimal degrees): 47.000\r\nLongitude (decimal degrees): 9.000\r\n"
              "Elevation (m): 420\r\nmonth,year\r\n6,2011\r\n"
              "time(UTC),T2m,RH,G(h),Gd(h),IR(h),WS10m\r\n",
              to);
    if (f == GRID)
        fputs(
            "Source,Location ID,City,Latitude,Longitude,Time Zone,Elevation\n"
            "made,77,-,47.0,9.0,1,420\nYear,Month,Day,Hour,Minute,DHI,GHI,Temperature,Wind Speed\n",
            to);
    if (f == TMY3)
        fputs("123456,\"A, HILL\",XX,1.0,47.000,9.000,420\n"
              "Date (MM/DD/YYYY),Time (HH:MM),ETR (W/m^2),GHI (W/m^2),GHI source,DHI (W/m^2),"
              "Dry-bulb (C),Dry-bulb source,Wspd (m/s)\n",
              to);
    for (int d = 20; d < 22; d++)
        for (int h = 0; h < 24; h++) {
            double ghi = made_ghi(h), dhi = 0.3 * ghi, air = made_air(h);
            int utc = h - 1, day = utc < 0 ? d - 1 : d;
            utc = (utc + 24) % 24;
            if (f == PLAIN)
                fprintf(to, "2011-06-%02dT%02d:00:00Z,%.3f,%.3f,%.3f,2.5\n", day, utc, ghi, dhi,
                        air);
            if (f == SERVICE)
                fprintf(to, "201106%02d:%02d00,%.3f,60,%.3f,%.3f,300,2.5\r\n", day, utc, air, ghi,
                        dhi);
            if (f == GRID)
                fprintf(to, "2011,6,%d,%d,30,%.3f,%.3f,%.3f,2.5\n", d, h, dhi, ghi, air);
            if (f == TMY3)
                fprintf(to, "06/%02d/2011,%02d:00,900,%.3f,1,%.3f,%.3f,A,2.5\n", d, h + 1, ghi, dhi,
                        air);
        }
    if (f == SERVICE)
        fputs("\r\nT2m: 2-m air temperature (degree Celsius)\r\nG(h): Global irradiance\r\n", to);
    fclose(to);
    return text;
}

START_TEST(the_same_hours_in_every_format)
{
    char *text = made((format)_i);

    nr_hourly *w = NULL;
    nr_err err;
    ck_assert_msg(nr_hourly_parse(text, strlen(text), "made", &w, &err) == NR_OK, "%s", err.text);
    ck_assert_uint_eq(w->rows, 48);
    ck_assert(!w->typical);
    /* 2011-06-20 00:00 at UTC+1 = 2011-06-19 23:00Z = 1308524400 (GNU date) */
    ck_assert_double_eq_tol(w->row[0].from_s, 1308524400.0, 1e-6);
    for (int h = 0; h < 24; h++) {
        ck_assert_double_eq_tol(w->row[h].ghi_W_m2, made_ghi(h), 1e-3);
        ck_assert_double_eq_tol(w->row[h].dhi_W_m2, 0.3 * made_ghi(h), 1e-3);
        ck_assert_double_eq_tol(w->row[h].air_degC, made_air(h), 1e-3);
        ck_assert_double_eq_tol(w->row[h].wind_m_s, 2.5, 1e-9);
    }
    static const char *const names[] = {"plain", "service CSV", "grid CSV", "TMY3 CSV"};
    ck_assert_str_eq(w->format, names[_i]);
    if (_i == PLAIN)
        ck_assert(isnan(w->latitude_deg));
    else
        ck_assert_double_eq_tol(w->latitude_deg + w->longitude_deg + w->elevation_m, 476, 1e-9);
    nr_hourly_free(w);
    free(text);
}
END_TEST

/* --- what is wrong -----------------------------------------------------------------------------
 */

static nr_err err;

static nr_code parse(const char *text)
{
    nr_hourly *w = NULL;
    nr_code code = nr_hourly_parse(text, strlen(text), "w.csv", &w, &err);
    nr_hourly_free(w);
    return code;
}

static char *hours(const char *head, int count, int hole_from, int hole_to)
{
    char *text = NULL;
    size_t size;
    FILE *to = open_memstream(&text, &size);
    fputs(head, to);
    for (int h = 0; h < count; h++) {
        char air[16] = "";
        if (h < hole_from || h >= hole_to)
            snprintf(air, sizeof air, "%d", h);
        fprintf(to, "2011-06-%02dT%02d:00:00Z,%d,%s\n", 1 + h / 24, h % 24, 100, air);
    }
    fclose(to);
    return text;
}

START_TEST(what_is_refused_and_why)
{
    ck_assert_int_eq(parse(""), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "0 hours of weather"));
    ck_assert_int_eq(parse("a,b,c\n1,2,3\n"), NR_BAD);
    ck_assert_int_eq(parse("time_utc,air_degC\n2011-06-01T00:00:00Z,1\n"), NR_BAD);
    ck_assert_int_eq(parse("LOCATION,X\n"), NR_BAD);
    ck_assert_int_eq(err.line, 1);
    static const char head[] = "time_utc,GHI_W_m2,air_degC\n";
    char *text = hours(head, 24, 0, 0);
    ck_assert_int_eq(parse(text), NR_OK);
    free(text);
    text = hours(head, 23, 0, 0);
    ck_assert_int_eq(parse(text), NR_BAD);
    free(text);
    text = hours(head, 48, 10, 16); /* six hours are filled, seven not */
    ck_assert_int_eq(parse(text), NR_OK);
    free(text);
    text = hours(head, 48, 10, 17);
    ck_assert_int_eq(parse(text), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "air temperature is missing for more than 6 rows"));
    free(text);
}
END_TEST

START_TEST(a_hole_is_filled_along_a_line)
{
    char *text = hours("time_utc,GHI_W_m2,air_degC\n", 48, 10, 16);
    nr_hourly *w = NULL;
    ck_assert_int_eq(nr_hourly_parse(text, strlen(text), "w.csv", &w, &err), NR_OK);
    ck_assert_uint_eq(w->holes, 6);
    for (int h = 0; h < 48; h++)
        ck_assert_double_eq_tol(w->row[h].air_degC, h, 1e-9);
    nr_hourly_free(w);
    free(text);
}
END_TEST

START_TEST(fahrenheit_and_miles)
{
    char *text = hours("time_utc,GHI_W_m2,air_degF\n", 24, 0, 0);
    nr_hourly *w = NULL;
    ck_assert_int_eq(nr_hourly_parse(text, strlen(text), "w.csv", &w, &err), NR_OK);
    ck_assert_double_eq_tol(w->row[23].air_degC, (23 - 32) / 1.8, 1e-9);
    nr_hourly_free(w);
    free(text);
}
END_TEST

/* What joint/terms_collector.c says of a bare plate's loss under a wind that nobody measured: 7.7 +
 * 3.8 v in a garden with 0.3 of the station's wind, from one sunny hour (400 W/m2 and more) to the
 * next and to the one after it, where it is no more than 3 m/s there. */
START_TEST(the_loss_of_a_bare_plate_changes_with_the_wind)
{
    static const double expected[] = {0.17, 0.21};
    nr_hourly *w = denver();
    for (size_t lag = 1; lag <= 2; lag++) {
        double squares = 0, n = 0;
        for (size_t i = 0; i + lag < w->rows && w->step_s == 3600; i++) {
            bool sunny = i % 24 + lag < 24;
            for (size_t k = i; k <= i + lag; k++)
                sunny = sunny && w->row[k].ghi_W_m2 > 400;
            double a = 0.3 * w->row[i].wind_m_s, b = 0.3 * w->row[i + lag].wind_m_s;
            if (!sunny || (a + b) / 2 > 3)
                continue;
            squares += pow(3.8 * (b - a) / (7.7 + 3.8 * (a + b) / 2), 2);
            n++;
        }
        ck_assert(n > 1000);
        ck_assert_double_eq_tol(sqrt(squares / n), expected[lag - 1], 0.005);
    }
    nr_hourly_free(w);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("weather");
    tcase_add_test(case_of(suite, "a_typical_year_has_the_published_sums"),
                   a_typical_year_has_the_published_sums);
    tcase_add_test(case_of(suite, "a_flat_plane_gets_the_horizontal_irradiance"),
                   a_flat_plane_gets_the_horizontal_irradiance);
    tcase_add_test(case_of(suite, "a_tilted_plane_agrees_with_another_program"),
                   a_tilted_plane_agrees_with_another_program);
    tcase_add_loop_test(case_of(suite, "the_same_hours_in_every_format"),
                        the_same_hours_in_every_format, 0, FORMATS);
    tcase_add_test(case_of(suite, "what_is_refused_and_why"), what_is_refused_and_why);
    tcase_add_test(case_of(suite, "a_hole_is_filled_along_a_line"), a_hole_is_filled_along_a_line);
    tcase_add_test(case_of(suite, "fahrenheit_and_miles"), fahrenheit_and_miles);
    tcase_add_test(case_of(suite, "the_loss_of_a_bare_plate_changes_with_the_wind"),
                   the_loss_of_a_bare_plate_changes_with_the_wind);
    return run_suite(suite);
}
