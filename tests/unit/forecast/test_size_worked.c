/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sizes worked out a second time: each answer tried to both sides, the ends of what is looked for,
 * which sizes a curve shows, what is said beside them and what a question lacks. Simulated in a
 * few steps: how exact one is has tests of its own. */
#include "analyze/forecast/day.h"
#include "analyze/forecast/reach.h"
#include "analyze/forecast/size.h"
#include "analyze/forecast/size_cautions.h"
#include "analyze/forecast/size_curve.h"
#include "analyze/physics/sun.h"
#include "tests/unit/fit/simulated.h"

static nr_virtual_run *record;
static nr_solved solved;
static nr_size answer;
static nr_fit fit;
static nr_heatup_case c;
static const nr_weather_u u = {0.05, 1};
static const double sun = 800, air = 20;

static void set_up(void)
{
    nr_virtual_params p = exact_glazed();
    nr_fit_options options = nr_fit_defaults();
    nr_err err = {.text = ""};
    p.duration_s = 1800;
    p.interval_s = 30;
    record = simulated(&p);
    const nr_run *one = &record->run;
    ck_assert_msg(nr_solve_runs(&one, 1, &options, &solved, &err) == NR_OK, "%s", err.text);
    c = (nr_heatup_case){
        .weather = {.count = 1, .every_s = 3600, .sun_W_m2 = &sun, .air_degC = &air},
        .piece = solved.at.piece,
        .water_kg = 30,
        .store_loss_W_K = NAN,
        .flow_W_K = solved.at.conditions.flow_W_K,
        .from_degC = 15,
        .to_degC = 38,
        .limit_s = 7200,
        .steps = 40};
}

static void tear_down(void)
{
    nr_solved_free(&solved);
    nr_virtual_run_free(record);
}

/* ---- what reaches a target ---- */

/* Warmest of the heat-up of so many times the area, so much water, from so warm; less k of its u.
 */
static double warmest(double grow, double water_kg, double from, double k)
{
    static nr_heatup_spread o;
    nr_heatup_case one = c;
    double most = -INFINITY;
    one.grow = grow;
    one.water_kg = water_kg;
    one.from_degC = from;
    ck_assert(nr_heatup_spread_make(solved.joint, &one, &u, &o));
    for (int i = 0; i < NR_HEATUP_SPREAD_POINTS; i++)
        most = fmax(most, o.store_degC[i] - k * o.u[i]);
    NEAR(nr_reach_degC(solved.joint, &one, &u, k), most, 1e-9);
    return most;
}

/* Roots are found to 1e-4 of a size. */
START_TEST(to_both_sides)
{
    static const double targets[] = {30, 38, 46}, ks[] = {0, 1.645};
    for (int i = 0; i < 6; i++) {
        double k = ks[i % 2];
        c.to_degC = targets[i / 2];
        double grow = nr_reach_grow_sure(solved.joint, &c, &u, k);
        double water = nr_reach_water_sure_kg(solved.joint, &c, &u, k);
        ck_assert(warmest(grow * 1.0005, 30, 15, k) > c.to_degC);
        ck_assert(warmest(grow * 0.9995, 30, 15, k) < c.to_degC);
        ck_assert(warmest(1, water * 0.9995, 15, k) > c.to_degC);
        ck_assert(warmest(1, water * 1.0005, 15, k) < c.to_degC);
        if (k > 0)
            continue;
        NEAR_RELATIVE(nr_reach_grow(solved.joint, &c), grow, 1e-9);
        NEAR_RELATIVE(nr_reach_water_kg(solved.joint, &c), water, 1e-9);
    }
    c.to_degC = warmest(1, 30, 15, 0) + 3;
    double start = nr_reach_start_degC(solved.joint, &c);
    ck_assert(start > 15 && start < c.to_degC);
    NEAR(warmest(1, 30, start, 0), c.to_degC, 0.01);
    c.to_degC = warmest(1, 30, 15, 0) - 1; /* it is reached as it is */
    ck_assert(isnan(nr_reach_start_degC(solved.joint, &c)));
}
END_TEST

/* Twenty times the area, or a twentieth of it; half a litre; twenty times the water, or twenty
 * litres: nobody builds beyond that. The target is what the size just short of it, or just beyond,
 * gets to. */
START_TEST(nothing_sensible)
{
    static const struct {
        double grow, water;
        bool found;
    } rows[] = {{19.9, 30, true}, {20.1, 30, false}, {1 / 19.9, 30, true}, {1 / 20.1, 30, false},
                {1, 0.505, true}, {1, 0.495, false}, {1, 597, true},       {1, 603, false}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double other = rows[i].water;
        c.water_kg = 30;
        c.to_degC = warmest(rows[i].grow, other, 15, 0);
        double got = i < 4 ? nr_reach_grow(solved.joint, &c) : nr_reach_water_kg(solved.joint, &c);
        ck_assert_msg(isnan(got) != rows[i].found, "row %zu: %g", i, got);
        if (rows[i].found)
            NEAR_RELATIVE(got, i < 4 ? rows[i].grow : other, 1e-3);
    }
    c.water_kg = 0.2; /* of next to nothing, twenty litres */
    c.to_degC = warmest(1, 19.9, 15, 0);
    NEAR_RELATIVE(nr_reach_water_kg(solved.joint, &c), 19.9, 1e-3);
    c.to_degC = warmest(1, 20.1, 15, 0);
    ck_assert(isnan(nr_reach_water_kg(solved.joint, &c)));
}
END_TEST

START_TEST(warmest_as_a_quantity)
{
    static nr_heatup_spread o;
    static const double falling[2] = {800, 100}, cool[2] = {20, 5};
    c.weather = (nr_forecast){
        .count = 2, .every_s = 7200, .sun_W_m2 = falling, .air_degC = cool}; /* falls at last */
    c.limit_s = 9000;
    ck_assert(nr_heatup_spread_make(solved.joint, &c, &u, &o));
    int top = 0;
    for (int i = 0; i < NR_HEATUP_SPREAD_POINTS; i++)
        top = o.store_degC[i] > o.store_degC[top] ? i : top;
    ck_assert(top > 100 && top < 600);
    nr_quantity q = nr_reach_quantity(solved.joint, &c, &u);
    NEAR(q.value, o.store_degC[top], 1e-9);
    NEAR(q.u, o.u[top], 1e-9);
    NEAR(q.u_random, o.u_random[top], 1e-9);
    NEAR(q.hi95 - q.value, 1.959964 * o.u[top], 1e-5);
}
END_TEST

/* ---- curves ---- */

/* The largest of a curve: what is and what just suffices, and a third more; three times where for
 * sure nothing does; and where nothing does twenty times the area. */
static void curves_are(nr_size_bound area, nr_size_bound water, double warm, double most_m2,
                       double most_kg)
{
    nr_size *z = &answer;
    memset(z, 0, sizeof *z);
    z->area_m2 = area;
    z->water_kg = water;
    z->warmest_degC.value = warm;
    z->asked.day.to_degC = c.to_degC;
    z->asked.day.water_kg = c.water_kg;
    nr_size_curves(solved.joint, &c, &u, 2, z);
    for (int i = 0; i < NR_SIZE_CURVE; i++) { /* closer together below: by the square */
        double part = pow(i / 24.0, 2), least_kg = fmax(0.025 * most_kg, 0.5);
        NEAR_RELATIVE(z->by_area[i].x, most_m2 * (0.025 + 0.975 * part), 1e-9);
        NEAR_RELATIVE(z->by_water[i].x, least_kg + (most_kg - least_kg) * part, 1e-9);
    }
    for (int i = 0; i < NR_SIZE_CURVE; i += 8) {
        NEAR(z->by_area[i].warmest_degC.value, warmest(z->by_area[i].x / 2, c.water_kg, 15, 0),
             1e-9);
        NEAR(z->by_water[i].warmest_degC.value, warmest(c.grow, z->by_water[i].x, 15, 0), 1e-9);
    }
    for (int i = 0; i < NR_SIZE_MAP; i++) {
        NEAR_RELATIVE(z->map[i].area_m2, most_m2 * (0.1 + 0.18 * i), 1e-9);
        nr_heatup_case one = c;
        one.grow = z->map[i].area_m2 / 2;
        double best = nr_reach_water_kg(solved.joint, &one);
        ck_assert(isnan(best) == isnan(z->map[i].water_kg.best));
        if (!isnan(best))
            NEAR_RELATIVE(z->map[i].water_kg.best, best, 1e-9);
        if (i % 3)
            continue;
        double sure = nr_reach_water_sure_kg(solved.joint, &one, &u, NR_SIZE_K_SURE);
        ck_assert(isnan(sure) == isnan(z->map[i].water_kg.sure));
        if (!isnan(sure))
            NEAR_RELATIVE(z->map[i].water_kg.sure, sure, 1e-9);
    }
}

START_TEST(how_far_curves_go)
{
    c.grow = 1;
    c.steps = 20;
    curves_are((nr_size_bound){1.5, 2.5}, (nr_size_bound){40, 35}, 39, 1.3 * 2.5, 1.3 * 40);
    curves_are((nr_size_bound){1.5, 1.8}, (nr_size_bound){20, 15}, 39, 1.3 * 2, 1.3 * 30);
    c.grow = 1.5; /* as asked: three square metres */
    curves_are((nr_size_bound){4, NAN}, (nr_size_bound){NAN, NAN}, 37, 3 * 4, 1.3 * 30);
    curves_are((nr_size_bound){NAN, NAN}, (nr_size_bound){NAN, NAN}, 37, 20 * 3, 1.3 * 30);
    curves_are((nr_size_bound){NAN, NAN}, (nr_size_bound){NAN, NAN}, 38, 1.3 * 3, 3 * 30);
}
END_TEST

START_TEST(a_cup_of_water)
{
    c.grow = 1;
    c.steps = 20;
    c.water_kg = 0.3;
    nr_size *z = &answer;
    z->area_m2 = (nr_size_bound){NAN, NAN};
    z->water_kg = (nr_size_bound){NAN, NAN};
    z->asked.day.water_kg = 0.3;
    z->asked.day.to_degC = 38;
    nr_size_curves(solved.joint, &c, &u, 2, z);
    NEAR(z->by_water[0].x, 0.5, 1e-12);
    NEAR(z->by_water[NR_SIZE_CURVE - 1].x, 1, 1e-12);
}
END_TEST

/* ---- a clear day ---- */

static nr_day_weather sky;
static double from_s;

/* The weather of a completed day from so early on, until the deadline. */
static void open_sky(nr_day day, double start_s, double by_s)
{
    nr_err err = {.text = ""};
    from_s = day.start_s = start_s;
    day.limit_s = by_s - start_s;
    ck_assert_msg(nr_day_weather_make(&solved, &day, &sky, &err) == NR_OK, "%s", err.text);
    c = nr_day_case(&solved, &day, &sky);
}

static double warmest_from(double start_s, double by_s, const nr_weather_u *of, double k)
{
    nr_heatup_case one = c;
    one.weather.from_s = start_s - from_s;
    one.limit_s = by_s - start_s;
    return nr_reach_degC(solved.joint, &one, of, k);
}

/* Starts to twenty minutes from sunrise on, none within five minutes of the deadline; then the
 * latest that reaches the target, to five seconds: with it in time, with five more not. */
static void starts_are(const nr_size *z, double rise_s, const nr_weather_u *of)
{
    double best = NAN, most = -INFINITY, by = z->asked.by_s, to = z->asked.day.to_degC;
    for (double at = rise_s; at < by - 300; at += 1200) {
        double T = warmest_from(at, by, of, 0);
        best = T > most ? at : best;
        most = fmax(most, T);
    }
    NEAR(z->warmest_start_s, best, 1);
    const double late[] = {z->latest_s.best, z->latest_s.sure}, k[] = {0, 1.644853627};
    for (int i = 0; i < 2; i++) {
        if (warmest_from(best, by, of, k[i]) < to) {
            ck_assert(isnan(late[i]));
            continue;
        }
        ck_assert(warmest_from(late[i], by, of, k[i]) >= to - 1e-6);
        ck_assert(by - late[i] - 5.01 < 300 || warmest_from(late[i] + 5.01, by, of, k[i]) < to);
    }
}

static double sunrise_s(const nr_day *day)
{
    double noon = day->date_s + 43200 - day->longitude_deg * 240;
    return nr_sun_day_of(noon, day->latitude_deg, day->longitude_deg).rise_s - (noon - 43200);
}

static double clear_day_is(double start_h, double by_h, double to_degC, double faces_deg)
{
    nr_size_question q = nr_size_open();
    nr_fit_options options = nr_fit_defaults();
    nr_err err = {.text = ""};
    nr_size *z = NULL;
    const nr_run *one = &record->run;
    q.curves = false;
    q.day = clear_day(start_h, 22, 12, to_degC);
    q.day.azimuth_deg = faces_deg;
    q.day.air_degC = faces_deg > 200 ? 0 : 22;
    q.day.u_sun = 0.05;
    q.by_s = by_h * 3600;
    ck_assert_msg(nr_size_runs(&one, 1, &q, &options, &z, &err) == NR_OK, "%s", err.text);
    const nr_weather_u of = {0.05, 0};
    const nr_day *day = &z->asked.day;
    double rise = sunrise_s(day), start = isnan(start_h) ? z->warmest_start_s : start_h * 3600;
    ck_assert(z->best_start == isnan(start_h) && z->months == 0);
    NEAR(day->start_s, start, 0);
    open_sky(*day, isnan(start_h) ? rise : fmin(rise, start), q.by_s);
    starts_are(z, from_s, &of);
    c.weather.from_s = start - from_s;
    c.limit_s = q.by_s - start;
    nr_quantity warm = nr_reach_quantity(solved.joint, &c, &of);
    NEAR(z->warmest_degC.value, warm.value, 1e-3);
    NEAR(z->warmest_degC.u, warm.u, 1e-3);
    NEAR(z->probability, 0.5 * erfc((to_degC - warm.value) / warm.u / sqrt(2)), 1e-3);
    double area = record->run.rig.collector.gross_area_m2.value;
    const double got[] = {z->area_m2.best / area, z->area_m2.sure / area, z->water_kg.best,
                          z->water_kg.sure},
                 due[] = {nr_reach_grow(solved.joint, &c),
                          nr_reach_grow_sure(solved.joint, &c, &of, NR_SIZE_K_SURE),
                          nr_reach_water_kg(solved.joint, &c),
                          nr_reach_water_sure_kg(solved.joint, &c, &of, NR_SIZE_K_SURE)};
    for (int i = 0; i < 4; i++) {
        ck_assert(isnan(got[i]) == isnan(due[i]));
        if (!isnan(due[i]))
            NEAR_RELATIVE(got[i], due[i], 2e-4);
    }
    double after_rise_s = z->warmest_start_s - rise;
    nr_day_weather_free(&sky);
    nr_size_free(z);
    return after_rise_s;
}

START_TEST(clear_days)
{
    clear_day_is(10, 13, 28, 180);
    clear_day_is(3, 11, 60, 180);     /* before sunrise; and too much to ask */
    clear_day_is(NAN, 13, 12.2, 180); /* within minutes of the deadline */
    /* Facing west on a cold day: before the sun is round the water would only cool. */
    double later = clear_day_is(NAN, 15, 20, 290);
    ck_assert_msg(later > 3600 && lround(later / 1200) % 2, "%g s: this tests nothing", later);
}
END_TEST

/* ---- beside them ---- */

static const nr_warning *said(nr_warning_code code)
{
    memset(&answer.cautions, 0, sizeof answer.cautions);
    nr_size_caution(&answer);
    for (size_t i = 0; i < answer.cautions.count; i++)
        if (answer.cautions.item[i].code == code)
            return &answer.cautions.item[i];
    return NULL;
}

START_TEST(cautions_of_a_size)
{
    fit = (nr_fit){.dT_range = {-3, 20}, .mean_flow_L_min = 3, .gross_area_m2 = 1.5};
    answer = (nr_size){.fit = &fit};
    answer.asked.day = steady_day(800, 15, 10, 30);
    answer.warmest_degC = nr_quantity_make(35.9, 1, 0, INFINITY, NR_UNIT_DEGC);
    NEAR(said(NR_WARN_SAME_BUILD)->number[0], 2, 1e-12);
    ck_assert(!said(NR_WARN_OUTSIDE_TESTED_RISE) && !said(NR_WARN_CLEAR_SKY));
    answer.warmest_degC.value = 36.1; /* a kelvin over the 20 that were tested, over air of 15 */
    ck_assert(said(NR_WARN_OUTSIDE_TESTED_RISE)->number[0] == -3 &&
              said(NR_WARN_OUTSIDE_TESTED_RISE)->number[1] == 20);
    answer.warmest_degC.value = 20;
    answer.asked.day.to_degC = 36.1;
    ck_assert(said(NR_WARN_OUTSIDE_TESTED_RISE));
    answer.asked.day.clear_sky = true;
    answer.asked.day.u_sun = 0.07;
    ck_assert(said(NR_WARN_CLEAR_SKY)->number[0] == 0.07);
    for (int m = 0; m < NR_MONTHS; m++)
        answer.asked.month_air_degC[m] = NAN;
    ck_assert(!said(NR_WARN_SAME_AIR));
    answer.months = NR_MONTHS;
    ck_assert(said(NR_WARN_SAME_AIR));
    answer.asked.month_air_degC[NR_MONTHS - 1] = 5;
    ck_assert(!said(NR_WARN_SAME_AIR));
}
END_TEST

/* ---- what a question lacks ---- */

static void asked(nr_size_question q, nr_code code, const char *words)
{
    nr_err err = {.text = ""};
    nr_size *z = NULL;
    nr_fit_options options = nr_fit_defaults();
    const nr_run *one = &record->run;
    q.curves = false;
    nr_code got = nr_size_runs(&one, 1, &q, &options, &z, &err);
    ck_assert_msg(got == code && strstr(err.text, words), "%d: %s", (int)got, err.text);
    nr_size_free(z);
}

START_TEST(what_is_missing)
{
    nr_size_question q = nr_size_open(), steady = q;
    ck_assert(q.curves && isnan(q.by_s) && isnan(q.tap_degC) && q.use_degC == 40 && q.use_L == 5);
    for (int m = 0; m < NR_MONTHS; m++)
        ck_assert(isnan(q.month_air_degC[m]) && isnan(q.month_from_degC[m]));
    steady.day = steady_day(800, 20, 15, 30);
    asked(steady, NR_BAD, "how long it may take");
    steady.day.limit_s = 1200;
    asked(steady, NR_OK, "");
    steady.tap_degC = 40;
    asked(steady, NR_BAD, "tap water must be colder");
    steady.tap_degC = NAN;
    steady.months = true;
    asked(steady, NR_BAD, "a table of months");
    q.day = clear_day(12, 20, 15, 30);
    asked(q, NR_BAD, "say until when");
    q.by_s = 12 * 3600 + 300;
    asked(q, NR_BAD, "the deadline must be after the start");
    q.by_s = 4 * 3600; /* the sun of midsummer rises at about a quarter past four */
    q.day.start_s = 3 * 3600;
    asked(q, NR_CANNOT, "the sun is not up there before that deadline");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {to_both_sides,      nothing_sensible, warmest_as_a_quantity,
                                  how_far_curves_go,  a_cup_of_water,   clear_days,
                                  cautions_of_a_size, what_is_missing,  NULL};
    return run_tests_in("size_worked", tests, set_up, tear_down);
}
