/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/season/season.h"

#include "analyze/physics/water.h"
#include "analyze/season/inside.h"

#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define USUAL_TO_DEGC 40.0
#define USUAL_USE_DEGC 40.0 /* warm water on the hands: common practice, no source */
#define USUAL_USE_L 5.0     /* a wash-up at a stand: common practice, no source */
#define USUAL_START_S (9 * 3600.0)
#define USUAL_BY_S (18 * 3600.0)
#define USUAL_DRAWS 200
/* Another year, where the table has only a typical one: every week is taken from at most so many
 * days before or after. Weather remembers some days; a week keeps its spells together. */
#define BLOCK_DAYS 7
#define SHIFT_DAYS 21
#define OTHER_YEARS 400
#define YEAR_DAYS 365.0

nr_season_question nr_season_open(void)
{
    return (nr_season_question){.to_degC = USUAL_TO_DEGC,
                                .from_degC = NAN,
                                .start_s = USUAL_START_S,
                                .by_s = USUAL_BY_S,
                                .water_kg = NAN,
                                .area_m2 = NAN,
                                .store_loss_W_K = NAN,
                                .tilt_deg = NAN,
                                .azimuth_deg = NAN,
                                .latitude_deg = NAN,
                                .longitude_deg = NAN,
                                .tap_degC = NAN,
                                .use_degC = USUAL_USE_DEGC,
                                .use_L = USUAL_USE_L,
                                .draws = USUAL_DRAWS,
                                .seed = 1};
}

void nr_season_free(nr_season *s)
{
    if (!s)
        return;
    nr_fit_free(s->fit);
    free(s->day);
    free(s);
}

static void take(double *open, const nr_value *given)
{
    if (isnan(*open) && given->given)
        *open = given->value;
}

nr_code nr_season_complete(const nr_solved *s, const nr_hourly *w, nr_season_question *q,
                           nr_err *err)
{
    const nr_rig *rig = nr_solved_rig(s);
    if (isnan(q->latitude_deg) && isnan(q->longitude_deg)) {
        q->latitude_deg = w->latitude_deg;
        q->longitude_deg = w->longitude_deg;
    }
    take(&q->latitude_deg, &rig->latitude_deg);
    take(&q->longitude_deg, &rig->longitude_deg);
    take(&q->tilt_deg, &rig->collector.tilt_deg);
    take(&q->azimuth_deg, &rig->collector.azimuth_deg);
    take(&q->water_kg, &rig->store.water_kg);
    if (isnan(q->latitude_deg + q->longitude_deg))
        return nr_fail_asked(err, "latitude,longitude", "the table does not say where it is from");
    if (!q->re_aimed && isnan(q->tilt_deg + q->azimuth_deg))
        return nr_fail_asked(err, "tilt,azimuth,re-aimed",
                             "the collector's plane is not known; tilt_deg and azimuth_deg in "
                             "[collector] of rig.ini would tell it");
    if (isnan(q->water_kg))
        return nr_fail_asked(err, "water",
                             "say how much water, here or as water_kg in [store] of rig.ini");
    if (q->by_s - q->start_s < 1800)
        return nr_fail_asked(err, "by,start",
                             "the deadline must be half an hour after the start or more");
    if (q->from_degC >= q->to_degC)
        return nr_fail_asked(err, "to,from", "the target must be warmer than the start");
    return NR_OK;
}

void nr_season_interval(double *values, size_t count, double *lo, double *hi)
{
    if (!count) {
        *lo = *hi = NAN;
        return;
    }
    gsl_sort(values, 1, count);
    *lo = gsl_stats_quantile_from_sorted_data(values, 1, count, 0.025);
    *hi = gsl_stats_quantile_from_sorted_data(values, 1, count, 0.975);
}

/* --- counts ------------------------------------------------------------------------------------
 */

static int month_of(const nr_season_day *day)
{
    time_t at = (time_t)day->date_s;
    struct tm t;
    gmtime_r(&at, &t);
    return t.tm_mon;
}

static int year_of(const nr_season_day *day)
{
    time_t at = (time_t)day->date_s;
    struct tm t;
    gmtime_r(&at, &t);
    return t.tm_year;
}

/* What is counted of a day that gets so warm. */
typedef double (*counted)(const nr_season_question *q, const nr_season_day *day, double T);

static double is_reached(const nr_season_question *q, const nr_season_day *day, double T)
{
    (void)day;
    return T >= q->to_degC;
}

static double heat_kWh(const nr_season_question *q, const nr_season_day *day, double T)
{
    return q->water_kg * nr_water_cp_J_kgK((T + day->from_degC) / 2) * fmax(T - day->from_degC, 0) /
           3.6e6;
}

/* Over the days of a month (-1: all), per year. scratch[draws]. */
static nr_season_count count_up(const nr_season_run *run, const nr_season_question *q, int month,
                                counted of, double years, double *scratch)
{
    nr_season_count c = {.year_lo95 = NAN, .year_hi95 = NAN};
    for (size_t d = 0; d < run->days; d++)
        if (month < 0 || month_of(&run->day[d]) == month)
            c.value += of(q, &run->day[d], run->day[d].warmest_degC) / years;
    for (size_t k = 0; k < run->draws; k++) {
        scratch[k] = 0;
        for (size_t d = 0; d < run->days; d++)
            if (month < 0 || month_of(&run->day[d]) == month)
                scratch[k] += of(q, &run->day[d], run->warmest[k * run->days + d]) / years;
    }
    nr_season_interval(scratch, run->draws, &c.lo95, &c.hi95);
    return c;
}

/* One other year: weeks of the same season, exchanged. total[0]: the year, [1 + month]: each. */
static void other_year(const nr_season_run *run, const double *of_day, gsl_rng *rng,
                       double total[1 + NR_SEASON_MONTHS])
{
    long n = (long)run->days;
    memset(total, 0, (1 + NR_SEASON_MONTHS) * sizeof *total);
    for (long from = 0; from < n; from += BLOCK_DAYS) {
        long shift = (long)gsl_rng_uniform_int(rng, 2 * SHIFT_DAYS + 1) - SHIFT_DAYS;
        for (long d = from; d < from + BLOCK_DAYS && d < n; d++) {
            double value = of_day[((d + shift) % n + n) % n];
            total[0] += value;
            total[1 + month_of(&run->day[d])] += value;
        }
    }
}

/* The whole years of a longer table as they were. */
static size_t real_years(const nr_season_run *run, const double *of_day, double *total)
{
    size_t years = 0, days = 0;
    for (size_t d = 0; d < run->days; d++) {
        if (d == 0 || year_of(&run->day[d]) != year_of(&run->day[d - 1])) {
            years += days >= 360; /* one that was not whole is overwritten */
            days = 0;
            total[years] = 0;
        }
        total[years] += of_day[d];
        days++;
    }
    return years + (days >= 360);
}

static nr_code year_to_year(const nr_season_run *run, const nr_season_question *q, counted of,
                            nr_season_count *year, nr_season_month *month,
                            nr_season_count *(*which)(nr_season_month *), nr_err *err)
{
    size_t most = run->days / 360 + 2, rows = 1 + NR_SEASON_MONTHS;
    double *of_day = calloc(run->days + most, sizeof *of_day), *total = of_day + run->days;
    double *others = calloc(OTHER_YEARS * rows, sizeof *others);
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    nr_code code = of_day && others && rng ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    for (size_t d = 0; !code && d < run->days; d++)
        of_day[d] = of(q, &run->day[d], run->day[d].warmest_degC);
    if (!code && run->days >= 360 && run->days < 720) {
        double one[1 + NR_SEASON_MONTHS];
        gsl_rng_set(rng, q->seed);
        for (size_t k = 0; k < OTHER_YEARS; k++) {
            other_year(run, of_day, rng, one);
            for (size_t r = 0; r < rows; r++)
                others[r * OTHER_YEARS + k] = one[r];
        }
        nr_season_interval(others, OTHER_YEARS, &year->year_lo95, &year->year_hi95);
        for (int m = 0; m < NR_SEASON_MONTHS; m++) {
            nr_season_count *c = which(&month[m]);
            nr_season_interval(others + (size_t)(1 + m) * OTHER_YEARS, OTHER_YEARS, &c->year_lo95,
                               &c->year_hi95);
        }
    } else if (!code && run->days >= 720) {
        size_t years = real_years(run, of_day, total);
        nr_season_interval(total, years, &year->year_lo95, &year->year_hi95);
    }
    gsl_rng_free(rng);
    free(of_day);
    free(others);
    return code;
}

static nr_season_count *reached_of(nr_season_month *m)
{
    return &m->reached;
}

static nr_season_count *uses_of(nr_season_month *m)
{
    return &m->uses;
}

static nr_code sum_up(const nr_season_run *run, nr_season *s, nr_err *err)
{
    const nr_season_question *q = &s->asked;
    double years = fmax((double)run->days / YEAR_DAYS, 1);
    s->years = (size_t)lround(years);
    double *scratch = calloc(run->draws + 1, sizeof *scratch);
    if (!scratch)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    for (int m = 0; m < NR_SEASON_MONTHS; m++) {
        s->month[m].reached = count_up(run, q, m, is_reached, years, scratch);
        s->month[m].uses = count_up(run, q, m, nr_season_uses, years, scratch);
    }
    s->reached = count_up(run, q, -1, is_reached, years, scratch);
    s->uses = count_up(run, q, -1, nr_season_uses, years, scratch);
    nr_season_count heat = count_up(run, q, -1, heat_kWh, years, scratch);
    s->heat_kWh = heat.value;
    s->heat_lo95 = heat.lo95;
    s->heat_hi95 = heat.hi95;
    free(scratch);
    for (size_t d = 0; d < run->days; d++) {
        nr_season_month *m = &s->month[month_of(&run->day[d])];
        m->days++;
        m->sun_kWh_m2 += run->day[d].sun_kWh_m2;
        m->warmest_degC += run->day[d].warmest_degC;
        m->air_degC += run->day[d].air_degC;
        s->frost_nights += (run->day[d].least_air_degC < 0) / years;
    }
    for (int k = 0; k < NR_SEASON_MONTHS; k++) {
        nr_season_month *m = &s->month[k];
        m->warmest_degC /= (double)m->days;
        m->air_degC /= (double)m->days;
        m->sun_kWh_m2 /= years;
    }
    nr_code code = year_to_year(run, q, is_reached, &s->reached, s->month, reached_of, err);
    return code ? code : year_to_year(run, q, nr_season_uses, &s->uses, s->month, uses_of, err);
}

nr_code nr_season_runs(const nr_run *const *runs, size_t count, const nr_hourly *weather,
                       const nr_season_question *question, const nr_fit_options *options,
                       nr_season_progress progress, void *progress_context, nr_season **out,
                       nr_err *err)
{
    *out = NULL;
    nr_solved solved;
    nr_season_draws draws = {0};
    nr_season_run run = {0};
    nr_season *s = calloc(1, sizeof *s);
    nr_code code = nr_solve_runs(runs, count, options, &solved, err);
    if (!code && !s)
        code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (!code) {
        s->asked = *question;
        s->typical = weather->typical;
        s->holes = weather->holes;
        memcpy(s->place, weather->place, sizeof s->place);
        memcpy(s->format, weather->format, sizeof s->format);
        code = nr_season_complete(&solved, weather, &s->asked, err);
    }
    if (!code)
        code = nr_season_draw(&solved, s->asked.draws, s->asked.seed, &draws, err);
    if (!code)
        code = nr_season_simulate(&solved, &draws, weather, &s->asked, progress, progress_context,
                                  &run, err);
    if (!code)
        code = sum_up(&run, s, err);
    if (!code) {
        s->days = run.days;
        s->day = run.day;
        run.day = NULL;
        s->fit = solved.fit;
        solved.fit = NULL;
        *out = s;
    } else {
        nr_season_free(s);
    }
    nr_season_run_free(&run);
    nr_season_draws_free(&draws);
    nr_solved_free(&solved);
    return code;
}
