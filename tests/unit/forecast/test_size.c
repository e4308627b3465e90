/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sizing: round trips. What `size` answers, `predict` must give back. */
#include "analyze/forecast/day.h"
#include "analyze/forecast/size.h"
#include "tests/unit/fit/simulated.h"

static nr_virtual_run *record;

static nr_size *size_of(const nr_size_question *q)
{
    nr_size *z = NULL;
    nr_err err = {.text = ""};
    nr_fit_options options = nr_fit_defaults();
    const nr_run *run = &record->run;
    ck_assert_msg(nr_size_runs(&run, 1, q, &options, &z, &err) == NR_OK, "%s", err.text);
    return z;
}

static nr_predict *predict(const nr_day *day)
{
    nr_predict *p = NULL;
    nr_err err = {.text = ""};
    nr_fit_options options = nr_fit_defaults();
    const nr_run *run = &record->run;
    ck_assert_msg(nr_predict_runs(&run, 1, day, &options, &p, &err) == NR_OK, "%s", err.text);
    return p;
}

/* Time to the target when the given day is predicted. */
static double time_of(nr_day day, double water_kg, double area_m2)
{
    day.water_kg = water_kg;
    day.area_m2 = area_m2;
    day.limit_s = 0;
    nr_predict *p = predict(&day);
    double t = p->time_s.value;
    nr_predict_free(p);
    return t;
}

START_TEST(steady_round_trips)
{
    nr_size_question q = nr_size_open();
    q.curves = false;
    q.day = steady_day(800, 20, 15, 38);
    q.day.limit_s = 2 * 3600;
    nr_size *z = size_of(&q);
    /* The root is found to 1e-4 of the size and the heat-up time follows it about one to one. */
    NEAR(time_of(q.day, z->water_kg.best, NAN), 7200, 5);
    NEAR(time_of(q.day, NAN, z->area_m2.best), 7200, 5);
    /* The safe size is safe: 95 % one-sided is 1.645 standard uncertainties. */
    nr_day sure = q.day;
    sure.water_kg = z->water_kg.sure;
    nr_predict *p = predict(&sure);
    NEAR(p->time_s.value + 1.645 * p->time_s.u, 7200, 30);
    nr_predict_free(p);
    ck_assert(z->water_kg.sure < z->water_kg.best && z->area_m2.sure > z->area_m2.best);
    ck_assert(!isfinite(z->latest_s.best));
    nr_size_free(z);
}
END_TEST

START_TEST(clear_day_round_trips)
{
    nr_size_question q = nr_size_open();
    q.curves = false;
    q.day = clear_day(NAN, 22, 12, 40);
    q.day.u_sun = 0.1;
    q.by_s = 15 * 3600;
    nr_size *z = size_of(&q);
    ck_assert(z->best_start && z->probability > 0.95);
    ck_assert(z->latest_s.sure < z->latest_s.best && z->latest_s.best < q.by_s);
    nr_day late = q.day;
    late.start_s = z->latest_s.best;
    nr_predict *p = predict(&late);
    /* Starts are tried to 5 s, the sun on a grid of 2 minutes. */
    NEAR(late.start_s + p->time_s.value, q.by_s, 20);
    nr_predict_free(p);
    nr_day full = q.day;
    full.start_s = z->asked.day.start_s;
    NEAR(full.start_s + time_of(full, z->water_kg.best, NAN), q.by_s, 60);
    nr_size_free(z);
}
END_TEST

START_TEST(the_year)
{
    nr_size_question q = nr_size_open();
    q.curves = false;
    q.day = clear_day(NAN, 10, 8, 40);
    q.day.u_sun = 0.1;
    q.by_s = 15 * 3600;
    q.months = true;
    q.tap_degC = 8;
    for (int m = 0; m < NR_MONTHS; m++) {
        q.month_air_degC[m] = 11 - 11 * cos((m - 0.5) * M_PI / 6);
        q.month_from_degC[m] = 8;
    }
    nr_size *z = size_of(&q);
    ck_assert_uint_eq(z->months, 12);
    const nr_size_month *june = &z->month[5], *december = &z->month[11];
    ck_assert(june->warmest_degC.value > december->warmest_degC.value + 10);
    ck_assert(june->water_kg > december->water_kg);
    ck_assert(june->uses > december->uses);
    /* Each row is a sizing of its own. */
    nr_size_question one = q;
    one.months = false;
    one.day.date_s = june->date_s;
    one.day.air_degC = june->air_degC;
    one.day.from_degC = june->from_degC;
    nr_size *alone = size_of(&one);
    NEAR(alone->warmest_degC.value, june->warmest_degC.value, 1e-9);
    NEAR(alone->latest_s.best, june->latest_s, 1e-9);
    NEAR(alone->water_kg.best, june->water_kg, 1e-9);
    char date[NR_CLOCK_TEXT];
    nr_day day = {.date_s = december->date_s};
    ck_assert_str_eq(nr_day_date(&day, date), "2026-12-21");
    nr_size_free(alone);
    nr_size_free(z);
    /* Polar winter: no sun, no answer, no crash. */
    q.day.latitude_deg = 75;
    z = size_of(&q);
    ck_assert(!z->month[11].sun && !z->month[11].warmest_degC.known);
    nr_size_free(z);
}
END_TEST

START_TEST(wash_ups)
{
    nr_size_question q = nr_size_open();
    q.curves = false;
    q.day = steady_day(850, 20, 15, 38);
    q.day.limit_s = 3 * 3600;
    q.tap_degC = 10;
    q.use_degC = 35;
    q.use_L = 4;
    nr_size *z = size_of(&q);
    /* Heat balance by hand, cp constant, 0.994 kg/L at 35 degC. */
    double litres = 36 * (z->warmest_degC.value - 10) / (35.0 - 10) / 0.994;
    NEAR_RELATIVE(z->use.mixed_L, litres, 0.003);
    NEAR_RELATIVE(z->use.count, litres / 4, 0.003);
    ck_assert(z->use.lo95 < z->use.count && z->use.count < z->use.hi95);
    nr_size_free(z);
}
END_TEST

/* The curves are sizings of their own, and pass through what was solved for. */
START_TEST(other_sizes)
{
    nr_size_question q = nr_size_open();
    q.day = steady_day(800, 20, 15, 38);
    q.day.limit_s = 2 * 3600;
    nr_size *z = size_of(&q);
    double own = z->fit->gross_area_m2, area = NAN, water = NAN;
    for (int i = 1; i < NR_SIZE_CURVE; i++) {
        const nr_size_point *a = &z->by_area[i], *w = &z->by_water[i];
        ck_assert(a->x > a[-1].x && a->warmest_degC.value > a[-1].warmest_degC.value);
        ck_assert(w->x > w[-1].x && w->warmest_degC.value < w[-1].warmest_degC.value);
        /* where the line between two points meets the target */
        double up =
            (38 - a[-1].warmest_degC.value) / (a->warmest_degC.value - a[-1].warmest_degC.value);
        double down =
            (38 - w[-1].warmest_degC.value) / (w->warmest_degC.value - w[-1].warmest_degC.value);
        area = up >= 0 && up < 1 ? a[-1].x + up * (a->x - a[-1].x) : area;
        water = down >= 0 && down < 1 ? w[-1].x + down * (w->x - w[-1].x) : water;
    }
    NEAR_RELATIVE(area, z->area_m2.best, 0.005);
    NEAR_RELATIVE(water, z->water_kg.best, 0.005);
    ck_assert(z->by_area[NR_SIZE_CURVE - 1].x > 1.2 * fmax(own, z->area_m2.sure));
    /* The border of the map: a sizing of that area has that water as its way. */
    nr_size_question there = q;
    there.curves = false;
    there.day.area_m2 = z->map[3].area_m2;
    nr_size *at = size_of(&there);
    NEAR_RELATIVE(z->map[3].water_kg.best, at->water_kg.best, 1e-3);
    NEAR_RELATIVE(z->map[3].water_kg.sure, at->water_kg.sure, 1e-3);
    ck_assert(z->map[3].water_kg.sure < z->map[3].water_kg.best);
    ck_assert(z->map[4].water_kg.best > z->map[3].water_kg.best);
    ck_assert(at->map[3].area_m2 == 0 && at->by_area[9].x == 0); /* not asked for, not there */
    nr_size_free(at);
    nr_size_question one = q;
    one.curves = false;
    one.day.area_m2 = z->by_area[9].x;
    nr_size *alone = size_of(&one);
    NEAR(alone->warmest_degC.value, z->by_area[9].warmest_degC.value, 1e-9);
    NEAR(alone->warmest_degC.u, z->by_area[9].warmest_degC.u, 1e-9);
    nr_size_free(alone);
    nr_size_free(z);
}
END_TEST

START_TEST(nothing_reaches_it)
{
    nr_size_question q = nr_size_open();
    q.day = steady_day(150, 0, 5, 60);
    q.day.limit_s = 3600;
    nr_size *z = size_of(&q);
    ck_assert(isnan(z->area_m2.best) && isnan(z->water_kg.best));
    ck_assert(z->probability < 0.01);
    /* Twenty times the area is drawn, to see that it levels off below. */
    NEAR_RELATIVE(z->by_area[NR_SIZE_CURVE - 1].x, 20 * z->fit->gross_area_m2, 1e-9);
    ck_assert(z->by_area[NR_SIZE_CURVE - 1].warmest_degC.hi95 < 60);
    nr_size_free(z);
}
END_TEST

int main(void)
{
    nr_virtual_params p = exact_glazed();
    record = simulated(&p);
    const TTest *const tests[] = {steady_round_trips, clear_day_round_trips, the_year, wash_ups,
                                  other_sizes,        nothing_reaches_it,    NULL};
    int status = run_tests("size", tests);
    nr_virtual_run_free(record);
    return status;
}
