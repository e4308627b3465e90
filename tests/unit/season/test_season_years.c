/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What differs from year to year: of a table of whole years these years as they were; of a typical
 * one 400 other years, each week taken from at most 21 days before or after (season.c), drawn here
 * once more with the same generator (Mersenne twister, GSL). The days' own numbers are the
 * answer's. */
#include "analyze/season/inside.h"
#include "tests/unit/quality/records.h"

#include <gsl/gsl_rng.h>
#include <time.h>

enum { YEARS = 400 };
static nr_virtual_run *run;
static const nr_run *one;
static nr_err err;

static void set_up(void)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.duration_s = 1800;
    p.interval_s = 30;
    run = simulate(&p);
    one = &run->run;
}

static void tear_down(void)
{
    nr_virtual_run_free(run);
}

/* Summer and winter, clouds every third day of odd years and every second of even ones. */
static nr_season *season_from(double from_s, size_t days)
{
    static nr_hourly weather;
    weather = (nr_hourly){.latitude_deg = 51.9,
                          .longitude_deg = 0.6,
                          .elevation_m = 40,
                          .step_s = 3600,
                          .rows = 24 * days,
                          .row = calloc(24 * days, sizeof *weather.row)};
    ck_assert_ptr_nonnull(weather.row);
    for (size_t i = 0; i < weather.rows; i++) {
        double hour = (double)(i % 24) + 0.5, of_year = (double)(i / 24) * 2 * M_PI / 365;
        size_t nth = i / 24, every = nth / 365 % 2 ? 2 : 3;
        double up = hour > 6 && hour < 18 ? sin((hour - 6) / 12 * M_PI) : 0;
        weather.row[i] =
            (nr_hourly_row){.from_s = from_s + 3600.0 * (double)i,
                            .ghi_W_m2 = up * (nth % every ? 450 - 350 * cos(of_year) : 90),
                            .dni_W_m2 = NAN,
                            .dhi_W_m2 = NAN,
                            .air_degC = 10 - 8 * cos(of_year) - 4 * cos((hour - 3) / 12 * M_PI),
                            .wind_m_s = 1.5};
    }
    nr_season_question q = nr_season_open();
    q.draws = 1;
    q.seed = 5;
    q.water_kg = 25;
    q.area_m2 = 1.5;
    q.tilt_deg = 50;
    q.azimuth_deg = 180;
    q.to_degC = 35;
    q.use_degC = 30;
    q.tap_degC = 8;
    q.start_s = 11 * 3600; /* a short day is a quick one */
    q.by_s = 13 * 3600;
    q.store_loss_W_K = 2;
    nr_fit_options options = nr_fit_defaults();
    nr_season *s = NULL;
    nr_code code = nr_season_runs(&one, 1, &weather, &q, &options, NULL, NULL, &s, &err);
    ck_assert_msg(code == NR_OK, "%s", err.text);
    free(weather.row);
    return s;
}

static struct tm date_of(const nr_season *s, size_t d)
{
    time_t at = (time_t)s->day[d].date_s;
    struct tm t;
    gmtime_r(&at, &t);
    return t;
}

static double counted(const nr_season *s, size_t d, bool uses)
{
    return uses ? s->day[d].uses : s->day[d].warmest_degC >= 35;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Between the two values beside it (Hyndman and Fan's seventh, GSL's). */
static double quantile(double *v, size_t n, double p)
{
    qsort(v, n, sizeof *v, by_size);
    double at = p * (double)(n - 1), k = floor(at);
    return k + 1 < (double)n ? v[(size_t)k] + (at - k) * (v[(size_t)k + 1] - v[(size_t)k])
                             : v[n - 1];
}

static void interval_is(const char *what, const nr_season_count *c, double *v, size_t n)
{
    NEAR_AT(what, c->year_lo95, quantile(v, n, 0.025), 1e-9);
    NEAR_AT(what, c->year_hi95, quantile(v, n, 0.975), 1e-9);
}

/* From October on, to the end of the second year behind: the first is not whole. */
START_TEST(years_as_they_were)
{
    nr_season *s = season_from(1601510400, 92 + 2 * 365); /* 1 October 2020 */
    for (int uses = 0; uses < 2; uses++) {
        double total[8] = {0}, whole[8], all = 0, of_month[12] = {0};
        size_t days[8] = {0}, years = 0;
        for (size_t d = 0; d < s->days; d++) {
            int y = date_of(s, d).tm_year - 120;
            total[y] += counted(s, d, uses);
            all += counted(s, d, uses);
            of_month[date_of(s, d).tm_mon] += counted(s, d, uses);
            days[y]++;
        }
        for (int y = 0; y < 8; y++)
            if (days[y] >= 360)
                whole[years++] = total[y];
        ck_assert_uint_eq(years, 2);
        ck_assert(whole[0] != whole[1]);
        const nr_season_count *c = uses ? &s->uses : &s->reached;
        interval_is(uses ? "uses" : "reached", c, whole, years);
        double in_years = (double)s->days / 365;
        NEAR(c->value, all / in_years, 1e-6);
        for (int m = 0; m < 12; m++)
            NEAR((uses ? s->month[m].uses : s->month[m].reached).value, of_month[m] / in_years,
                 1e-6);
        ck_assert(isnan((uses ? s->month[5].uses : s->month[5].reached).year_lo95));
    }
    ck_assert_uint_eq(s->years, 2);
    nr_season_free(s);
}
END_TEST

START_TEST(other_years_of_a_typical_one)
{
    nr_season *s = season_from(1609459200, 366); /* 1 January 2021; one end is no whole day */
    size_t n = s->days;
    ck_assert_msg(n >= 364 && n <= 366, "%zu days", n);
    for (int uses = 0; uses < 2; uses++) {
        static double year[YEARS], month[12][YEARS];
        gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
        gsl_rng_set(rng, 5);
        memset(month, 0, sizeof month);
        for (int k = 0; k < YEARS; k++) {
            long shift = 0;
            year[k] = 0;
            for (size_t d = 0; d < n; d++) {
                if (d % 7 == 0)
                    shift = (long)gsl_rng_uniform_int(rng, 43) - 21;
                double v = counted(s, (size_t)((long)(d + n) + shift) % n, uses);
                year[k] += v;
                month[date_of(s, d).tm_mon][k] += v;
            }
        }
        gsl_rng_free(rng);
        interval_is("year", uses ? &s->uses : &s->reached, year, YEARS);
        for (int m = 0; m < 12; m++)
            interval_is("month", uses ? &s->month[m].uses : &s->month[m].reached, month[m], YEARS);
        ck_assert(s->reached.year_hi95 > s->reached.year_lo95 + 1);
    }
    nr_season_free(s);
}
END_TEST

/* A year has 360 days at least: of fewer nothing is said. */
START_TEST(less_than_a_year)
{
    nr_season *s = season_from(1609459200, 350);
    ck_assert(isnan(s->reached.year_lo95) && isnan(s->uses.year_hi95));
    ck_assert(isnan(s->month[3].reached.year_lo95));
    ck_assert_uint_eq(s->years, 1);
    nr_season_free(s);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {years_as_they_were, other_years_of_a_typical_one,
                                  less_than_a_year, NULL};
    return run_tests_in("season_years", tests, set_up, tear_down);
}
