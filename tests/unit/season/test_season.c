/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A collector through six weeks of invented weather: what is summed is what its days say, counted
 * here once more; and what a change would bring is what the changed question gives. */
#include "analyze/physics/water.h"
#include "analyze/season/season.h"
#include "tests/unit/quality/records.h"

#include <time.h>

enum { DAYS_IN_TABLE = 40, DRAWS = 8 };
static nr_virtual_run *run;
static const nr_run *one;
static nr_hourly weather;
static nr_err err;

/* From 15 January 2025 on, in the place of the record: some days are cloudy, some nights freeze. */
static void set_up(void)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.duration_s = 1800;
    p.interval_s = 30;
    run = simulate(&p);
    one = &run->run;
    weather = (nr_hourly){.latitude_deg = 51.9,
                          .longitude_deg = 0.6,
                          .elevation_m = 40,
                          .step_s = 3600,
                          .rows = 24 * DAYS_IN_TABLE};
    weather.row = calloc(weather.rows, sizeof *weather.row);
    ck_assert_ptr_nonnull(weather.row);
    for (size_t i = 0; i < weather.rows; i++) {
        size_t nth = i / 24;
        double hour = (double)(i % 24) + 0.5, up = fmax(0, sin((hour - 7) / 10 * M_PI));
        double ghi =
            (hour > 7 && hour < 17 ? up : 0) * (nth % 3 == 2 ? 120 : 350 + 6 * (double)nth);
        weather.row[i] =
            (nr_hourly_row){.from_s = 1736899200.0 + 3600.0 * (double)i,
                            .ghi_W_m2 = ghi,
                            .dni_W_m2 = NAN,
                            .dhi_W_m2 = NAN,
                            .air_degC = 4 + 0.26 * (double)nth - 5 * cos((hour - 3) / 12 * M_PI),
                            .wind_m_s = 1.5};
    }
}

static void tear_down(void)
{
    nr_virtual_run_free(run);
    free(weather.row);
}

static nr_season_question question(void)
{
    nr_season_question q = nr_season_open();
    q.draws = DRAWS;
    q.water_kg = 25;
    q.area_m2 = 1.5;
    q.tilt_deg = 50;
    q.azimuth_deg = 180;
    q.to_degC = 24;
    q.use_degC = 22;
    q.tap_degC = 8;
    q.start_s = 10 * 3600;
    q.by_s = 16 * 3600;
    q.store_loss_W_K = 2;
    return q;
}

static nr_season *season(const nr_season_question *q)
{
    nr_fit_options options = nr_fit_defaults();
    nr_season *s = NULL;
    nr_code code = nr_season_runs(&one, 1, &weather, q, &options, NULL, NULL, &s, &err);
    ck_assert_msg(code == NR_OK, "%s", err.text);
    return s;
}

START_TEST(sums_are_those_of_the_days)
{
    const nr_season_question q = question();
    nr_season *s = season(&q);
    double reached = 0, uses = 0, heat = 0, frost = 0, of_month[12] = {0}, uses_of[12] = {0};
    double sun[12] = {0}, warm[12] = {0}, air[12] = {0};
    size_t days[12] = {0};
    /* The first and the last are no whole ones by the sun. */
    ck_assert_msg(s->days >= DAYS_IN_TABLE - 2 && s->days <= DAYS_IN_TABLE, "%zu days", s->days);
    for (size_t d = 0; d < s->days; d++) {
        const nr_season_day *of = &s->day[d];
        time_t at = (time_t)of->date_s;
        struct tm t;
        gmtime_r(&at, &t);
        double mixed = of->warmest_degC > q.use_degC /* 22 degC of 8 and of the container's */
                           ? 25 * (of->warmest_degC - 8) / (22 - 8) / 5
                           : 0;
        reached += of->warmest_degC >= 24;
        uses += mixed;
        frost += of->least_air_degC < 0;
        heat += 25 * nr_water_enthalpy_rise_J_kg(of->from_degC, of->warmest_degC) / 3.6e6;
        of_month[t.tm_mon] += of->warmest_degC >= 24;
        uses_of[t.tm_mon] += mixed;
        sun[t.tm_mon] += of->sun_kWh_m2;
        warm[t.tm_mon] += of->warmest_degC;
        air[t.tm_mon] += of->air_degC;
        days[t.tm_mon]++;
        NEAR(of->uses, mixed, 0.01 * mixed + 1e-9); /* litres of 0.997 kg */
        ck_assert(of->warmest_degC >= of->from_degC && of->u_K > 0);
        ck_assert(of->probability >= 0 && of->probability <= 1);
    }
    ck_assert_msg(reached > 5 && reached < 35, "%g", reached);
    NEAR(s->reached.value, reached, 1e-9); /* less than a year counts as one */
    NEAR(s->uses.value, uses, 0.01 * uses);
    NEAR(s->frost_nights, frost, 1e-9);
    NEAR(s->heat_kWh, heat, 3e-3 * heat); /* the heat capacity half way up, not its mean */
    ck_assert(frost > 2 && s->heat_lo95 < s->heat_kWh && s->heat_hi95 > s->heat_kWh);
    ck_assert(s->reached.lo95 <= reached && s->reached.hi95 >= reached);
    ck_assert(isnan(s->reached.year_lo95) && isnan(s->month[1].reached.year_hi95));
    for (int m = 0; m < 2; m++) {
        const nr_season_month *month = &s->month[m];
        ck_assert_uint_eq(month->days, days[m]);
        NEAR(month->reached.value, of_month[m], 1e-9);
        NEAR(month->uses.value, uses_of[m], 0.01 * uses_of[m] + 1e-9);
        NEAR(month->sun_kWh_m2, sun[m], 1e-9);
        NEAR(month->warmest_degC, warm[m] / (double)days[m], 1e-9);
        NEAR(month->air_degC, air[m] / (double)days[m], 1e-9);
    }
    ck_assert_uint_eq(s->month[6].days, 0);
    nr_season_free(s);
}
END_TEST

/* The water is as cold as the day's mean air, though never below 1 degC; the air there is the
 * table's. */
START_TEST(a_day_by_hand)
{
    nr_season_question q = question();
    nr_season *s = season(&q);
    for (size_t d = 0; d < s->days; d++) {
        size_t first = (size_t)((s->day[d].date_s - 1736899200.0) / 3600);
        double mean = 0, least = INFINITY, span = 0, n = 0;
        for (size_t h = 0; h < 24; h++) { /* the place's sun is three minutes ahead */
            double air = weather.row[first + h].air_degC;
            mean += air / 24;
            least = fmin(least, air);
            span += h >= 10 && h < 16 ? air : 0;
            n += h >= 10 && h < 16;
        }
        NEAR(s->day[d].from_degC, fmax(mean, 1), 0.1);
        NEAR(s->day[d].least_air_degC, least, 0.3);
        NEAR(s->day[d].air_degC, span / n, 0.3);
        /* The sun by minutes, from ten to four by mean solar time (0.6 degrees east). */
        enum { MINUTES = 360 };
        static nr_hourly_sample minute[MINUTES];
        const nr_hourly_plane plane = {50, 180, false, 0.2};
        double kWh_m2 = 0;
        nr_hourly_samples(&weather, &plane, s->day[d].date_s - 0.6 * 240 + 36000, 60, MINUTES,
                          minute);
        for (int k = 0; k < MINUTES; k++)
            kWh_m2 += minute[k].sun_W_m2 * 60 / 3.6e6;
        NEAR(s->day[d].sun_kWh_m2, kWh_m2, 0.01 * kWh_m2);
    }
    nr_season_free(s);
    q.from_degC = 7;
    s = season(&q);
    NEAR(s->day[5].from_degC, 7, 1e-12);
    nr_season_free(s);
}
END_TEST

/* Changes are differences of two questions; half again as much water, two thirds, twice the area,
 * half the loss, 15 degrees, two hours. */
START_TEST(a_change_is_another_question)
{
    const nr_season_question q = question();
    nr_fit_options options = nr_fit_defaults();
    nr_season_gain gain[NR_CHANGES];
    weather.rows = 24 * 12;
    nr_season *then = season(&q);
    ck_assert(nr_season_changes(&one, 1, &weather, &q, &options, NULL, NULL, gain, &err) == NR_OK);
    for (int k = 0; k < NR_CHANGES; k++) {
        const nr_season_gain *g = &gain[k];
        nr_season_question c = q;
        c.area_m2 *= g->change == NR_CHANGE_SECOND ? 2 : 1;
        c.store_loss_W_K *= g->change == NR_CHANGE_LID ? 0.5 : 1;
        c.water_kg *= g->change == NR_CHANGE_MORE_WATER ? 1.5 : 1;
        c.water_kg *= g->change == NR_CHANGE_LESS_WATER ? 2.0 / 3 : 1;
        c.tilt_deg += g->change == NR_CHANGE_STEEPER   ? 15
                      : g->change == NR_CHANGE_FLATTER ? -15
                                                       : 0;
        c.start_s += g->change == NR_CHANGE_LATER     ? 7200
                     : g->change == NR_CHANGE_EARLIER ? -7200
                                                      : 0;
        c.re_aimed = g->change == NR_CHANGE_RE_AIMED;
        ck_assert(g->possible);
        nr_season *now = season(&c);
        NEAR(g->reached, now->reached.value - then->reached.value, 1e-9);
        NEAR(g->uses, now->uses.value - then->uses.value, 1e-6);
        NEAR(g->heat_kWh, now->heat_kWh - then->heat_kWh, 1e-3 * then->heat_kWh);
        ck_assert(g->lo95 <= g->reached + 2 && g->hi95 >= g->reached - 2 && g->lo95 <= g->hi95);
        ck_assert(k == 0 || gain[k - 1].reached > g->reached ||
                  (gain[k - 1].reached == g->reached && gain[k - 1].uses >= g->uses));
        nr_season_free(now);
    }
    nr_season_free(then);
}
END_TEST

/* What makes no sense, or is so already: a plane beyond upright or flat, a start before 4:00, less
 * than an hour to the deadline, a collector that is turned anyway. */
START_TEST(changes_that_make_no_sense)
{
    static const struct {
        nr_season_change change;
        double tilt_deg, start_h;
        bool turned, possible;
    } of[] = {
        {NR_CHANGE_STEEPER, 75, 10, false, true},  {NR_CHANGE_STEEPER, 75.5, 10, false, false},
        {NR_CHANGE_FLATTER, 15, 10, false, true},  {NR_CHANGE_FLATTER, 14.5, 10, false, false},
        {NR_CHANGE_EARLIER, 50, 6, false, true},   {NR_CHANGE_EARLIER, 50, 5.9, false, false},
        {NR_CHANGE_LATER, 50, 13, false, true},    {NR_CHANGE_LATER, 50, 13.1, false, false},
        {NR_CHANGE_RE_AIMED, 50, 10, true, false}, {NR_CHANGE_STEEPER, 50, 10, true, false}};
    nr_fit_options options = nr_fit_defaults();
    weather.rows = 24 * 2;
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_season_question q = question();
        nr_season_gain gain[NR_CHANGES];
        q.tilt_deg = of[i].tilt_deg;
        q.start_s = 3600 * of[i].start_h;
        q.re_aimed = of[i].turned;
        q.draws = 1;
        ck_assert(nr_season_changes(&one, 1, &weather, &q, &options, NULL, NULL, gain, &err) ==
                  NR_OK);
        for (int k = 0; k < NR_CHANGES; k++)
            if (gain[k].change == of[i].change)
                ck_assert_msg(gain[k].possible == of[i].possible, "%zu", i);
            else
                ck_assert(k == 0 || gain[k - 1].possible || !gain[k].possible); /* those last */
    }
}
END_TEST

START_TEST(questions_that_are_none)
{
    nr_fit_options options = nr_fit_defaults();
    nr_season *s = NULL;
    nr_season_question q = question();
    weather.rows = 24 * 3;
    q.by_s = q.start_s + 1799;
    ck_assert(nr_season_runs(&one, 1, &weather, &q, &options, NULL, NULL, &s, &err) == NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "half an hour"));
    q.by_s = q.start_s + 1800;
    nr_season_free(season(&q));
    q = question();
    q.from_degC = q.to_degC;
    ck_assert(nr_season_runs(&one, 1, &weather, &q, &options, NULL, NULL, &s, &err) == NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "warmer than the start"));
    q = question();
    weather.rows = 20;
    ck_assert(nr_season_runs(&one, 1, &weather, &q, &options, NULL, NULL, &s, &err) == NR_CANNOT);
    ck_assert_ptr_nonnull(strstr(err.text, "no whole day"));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {sums_are_those_of_the_days,   a_day_by_hand,
                                  a_change_is_another_question, changes_that_make_no_sense,
                                  questions_that_are_none,      NULL};
    return run_tests_in("season", tests, set_up, tear_down);
}
