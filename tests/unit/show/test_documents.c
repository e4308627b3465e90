/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The JSON documents of plan, size, pump, season and a cool-down (DEVELOPERS.md, JSON): every
 * number of the answer is another one here, and stands under its own key. */
#include "analyze/show/cooldown.h"
#include "analyze/show/season.h"
#include "analyze/show/show.h"
#include "analyze/tell/season.h"
#include "tests/unit/show/document.h"

static nr_err err;
static nr_fit fit;

static void one_budget(size_t i, const char *label, double eta0, double a1)
{
    snprintf(fit.budget[i].label, sizeof fit.budget[i].label, "%s", label);
    fit.budget[i].share[NR_SHARE_ETA0] = eta0;
    fit.budget[i].share[NR_SHARE_A1] = a1;
}

static void make_fit(void)
{
    fit = (nr_fit){.eta0 = six(0.75, NR_UNIT_ONE),
                   .a1 = six(6, NR_UNIT_W_M2K),
                   .dT_range = {-3, 21},
                   .budget_items = 2};
    one_budget(0, "gross area", 0.61, 0.23);
    one_budget(1, "water in the store", 0.29, 0.71);
}

static json_t *plan_document(const nr_plan *p)
{
    FILE *to = write_to();
    ck_assert_int_eq(nr_json_plan(to, p, &err), NR_OK);
    fclose(to);
    return document();
}

START_TEST(plan)
{
    make_fit();
    nr_plan p = {.fit = &fit,
                 .test = {.day = {.sun_W_m2 = 801,
                                  .air_degC = 21.5,
                                  .wind_m_s = 1.25,
                                  .from_degC = 14.5,
                                  .clear_sky = false},
                          .duration_s = 5400,
                          .flow_L_min = 1.75,
                          .store_loss_W_K = 2.5},
                 .loss_includes_store = true,
                 .steps = 2,
                 .step = {{.action = NR_PLAN_LID,
                           .cost = NR_COST_NOTHING,
                           .u_eta0 = 0.031,
                           .u_a1 = 0.41,
                           .gain = 0.3,
                           .separates = true,
                           .a1_by_part = true},
                          {.action = NR_PLAN_BETTER_SUN,
                           .cost = NR_COST_MONEY,
                           .u_eta0 = 0.011,
                           .u_a1 = 0.42,
                           .gain = 0.6,
                           .eta0_by_part = true}},
                 .u_side_by_side = 0.012,
                 .u_apart = 0.037,
                 .power_side_by_side = 0.83,
                 .u_twice = 0.026,
                 .u_swapped = 0.019};
    json_t *j = plan_document(&p);
    number_is(j, "u_eta0", 0.75 / 16);
    number_is(j, "u_a1", 6.0 / 16);
    bool_is(j, "loss_includes_store", true);
    number_is(j, "supposed.eta0", 0.75);
    number_is(j, "supposed.a1", 6);
    number_is(j, "temperature_difference_K.0", -3);
    number_is(j, "temperature_difference_K.1", 21);
    length_is(j, "budget", 2);
    text_is(j, "budget.1.source", "water in the store");
    number_is(j, "budget.0.eta0", 0.61);
    number_is(j, "budget.0.a1", 0.23);
    number_is(j, "budget.1.eta0", 0.29);
    number_is(j, "budget.1.a1", 0.71);
    length_is(j, "improvements", 2);
    text_is(j, "improvements.0.code", "lid");
    text_is(j, "improvements.0.cost", "free");
    text_is(j, "improvements.0.text", "Put an insulating lid on the container.");
    number_is(j, "improvements.0.u_eta0", 0.031);
    number_is(j, "improvements.0.u_a1", 0.41);
    number_is(j, "improvements.0.gain", 0.3);
    bool_is(j, "improvements.0.separates_store_loss", true);
    bool_is(j, "improvements.0.eta0_by_part", false);
    bool_is(j, "improvements.0.a1_by_part", true);
    text_is(j, "improvements.1.code", "better-sun");
    text_is(j, "improvements.1.cost", "money");
    bool_is(j, "improvements.1.separates_store_loss", false);
    bool_is(j, "improvements.1.eta0_by_part", true);
    bool_is(j, "improvements.1.a1_by_part", false);
    number_is(j, "side_by_side.u_eta0_difference", 0.012);
    number_is(j, "side_by_side.u_eta0_difference_apart", 0.037);
    number_is(j, "side_by_side.u_eta0_difference_twice", 0.026);
    number_is(j, "side_by_side.u_eta0_difference_swapped", 0.019);
    number_is(j, "side_by_side.chance_to_show_10_percent", 0.83);
    bool_is(j, "test.clear_sky", false);
    number_is(j, "test.irradiance_W_m2", 801);
    number_is(j, "test.air_degC", 21.5);
    number_is(j, "test.wind_m_s", 1.25);
    number_is(j, "test.from_degC", 14.5);
    number_is(j, "test.duration_s", 5400);
    number_is(j, "test.flow_L_min", 1.75);
    number_is(j, "test.store_loss_W_K", 2.5);
    length_is(j, "warnings", 0);
    ck_assert_ptr_nonnull(strstr(json_string_value(at(j, "sentence")), "90 min"));
    ck_assert_ptr_nonnull(strstr(json_string_value(at(j, "limits")), "gross area (61 %"));
    json_decref(j);
    p.test.day.clear_sky = true;
    p.u_twice = p.u_swapped = NAN;
    j = plan_document(&p);
    bool_is(j, "test.clear_sky", true);
    number_is(j, "test.irradiance_W_m2", NAN);
    number_is(j, "side_by_side.u_eta0_difference_swapped", NAN);
    json_decref(j);
}
END_TEST

/* ---- size ---- */

static nr_size size;

static void make_size(void)
{
    make_fit();
    size = (nr_size){.fit = &fit,
                     .asked = {.day = {.clear_sky = true,
                                       .date_s = 1750464000, /* 21 June 2025 */
                                       .start_s = 36000,
                                       .longitude_deg = 15,
                                       .air_degC = 22,
                                       .from_degC = 13,
                                       .to_degC = 41,
                                       .water_kg = 37,
                                       .limit_s = 21600},
                               .by_s = 57600,
                               .tap_degC = 11,
                               .use_degC = 39,
                               .use_L = 6},
                     .warmest_degC = six(44, NR_UNIT_DEGC),
                     .probability = 0.71,
                     .area_m2 = {1.25, 1.5},
                     .water_kg = {40, 33},
                     .latest_s = {43200, 41400},
                     .use = {51, 8.5, 7.25, 9.75},
                     .months = 1};
    for (int i = 0; i < NR_SIZE_CURVE; i++) {
        size.by_area[i] = (nr_size_point){0.5 + i, six(20 + i, NR_UNIT_DEGC)};
        size.by_water[i] = (nr_size_point){10 + i, six(60 - i, NR_UNIT_DEGC)};
    }
    for (int i = 0; i < NR_SIZE_MAP; i++)
        size.map[i] = (nr_size_border){1 + i, {10 * (1 + i), 8 * (1 + i)}};
    size.month[0] = (nr_size_month){.date_s = 1750464000 + 30 * 86400.0, /* 21 July */
                                    .air_degC = 23,
                                    .from_degC = 14,
                                    .sun = true,
                                    .start_s = 39600,
                                    .warmest_degC = six(48, NR_UNIT_DEGC),
                                    .probability = 0.77,
                                    .latest_s = 45000,
                                    .water_kg = 42,
                                    .uses = 9};
}

static json_t *size_document(void)
{
    FILE *to = write_to();
    ck_assert_int_eq(nr_json_size(to, &size, &err), NR_OK);
    fclose(to);
    return document();
}

/* At 15 degrees east the mean sun is an hour ahead of UTC. */
START_TEST(sizes)
{
    make_size();
    json_t *j = size_document();
    quantity_is(j, "warmest_degC", 44, "degC");
    number_is(j, "probability_reached", 0.71);
    number_is(j, "area_m2.best", 1.25);
    number_is(j, "area_m2.sure95", 1.5);
    number_is(j, "water_kg.best", 40);
    number_is(j, "water_kg.sure95", 33);
    number_is(j, "latest_start_utc_s.best", 39600);
    number_is(j, "latest_start_utc_s.sure95", 37800);
    number_is(j, "uses.tap_degC", 11);
    number_is(j, "uses.use_degC", 39);
    number_is(j, "uses.each_L", 6);
    number_is(j, "uses.mixed_L", 51);
    number_is(j, "uses.count", 8.5);
    number_is(j, "uses.lo95", 7.25);
    number_is(j, "uses.hi95", 9.75);
    length_is(j, "months", 1);
    text_is(j, "months.0.date", "2025-07-21");
    number_is(j, "months.0.air_degC", 23);
    number_is(j, "months.0.from_degC", 14);
    number_is(j, "months.0.start_utc_s", 36000);
    quantity_is(j, "months.0.warmest_degC", 48, "degC");
    number_is(j, "months.0.probability_reached", 0.77);
    number_is(j, "months.0.latest_start_utc_s", 41400);
    number_is(j, "months.0.water_kg", 42);
    number_is(j, "months.0.uses", 9);
    length_is(j, "by_area", 25);
    length_is(j, "by_water", 25);
    for (int i = 0; i < 25; i += 24) {
        char path[40];
        snprintf(path, sizeof path, "by_area.%d.area_m2", i);
        number_is(j, path, 0.5 + i);
        snprintf(path, sizeof path, "by_area.%d.warmest_degC", i);
        quantity_is(j, path, 20 + i, "degC");
        snprintf(path, sizeof path, "by_water.%d.water_kg", i);
        number_is(j, path, 10 + i);
        snprintf(path, sizeof path, "by_water.%d.warmest_degC", i);
        quantity_is(j, path, 60 - i, "degC");
    }
    length_is(j, "map", 6);
    number_is(j, "map.5.area_m2", 6);
    number_is(j, "map.5.water_kg.best", 60);
    number_is(j, "map.5.water_kg.sure95", 48);
    bool_is(j, "day.clear_sky", true);
    number_is(j, "day.irradiance_W_m2", NAN);
    text_is(j, "day.date", "2025-06-21");
    number_is(j, "day.air_degC", 22);
    number_is(j, "day.from_degC", 13);
    number_is(j, "day.to_degC", 41);
    number_is(j, "day.store_kg", 37);
    number_is(j, "day.start_utc_s", 32400);
    number_is(j, "day.by_utc_s", 54000);
    number_is(j, "day.within_s", 21600);
    text_is(j, "trust.grade", "good");
    json_decref(j);
    size.asked.day.clear_sky = false;
    size.asked.day.sun_W_m2 = 777;
    size.asked.tap_degC = NAN;
    j = size_document();
    number_is(j, "latest_start_utc_s", NAN);
    number_is(j, "uses", NAN);
    bool_is(j, "day.clear_sky", false);
    number_is(j, "day.irradiance_W_m2", 777);
    number_is(j, "day.date", NAN);
    number_is(j, "day.start_utc_s", NAN);
    number_is(j, "day.by_utc_s", NAN);
    json_decref(j);
}
END_TEST

/* ---- pump ---- */

START_TEST(pumps)
{
    make_fit();
    static nr_pump p;
    p = (nr_pump){.fit = &fit,
                  .flow_measured = true,
                  .flow_L_min = six(2, NR_UNIT_L_MIN),
                  .transit_s = 71,
                  .hydraulic_W = {0.25, 0.375},
                  .removal = six(0.875, NR_UNIT_ONE),
                  .loss_W_m2K = 7.5,
                  .efficiency_factor = 0.9375,
                  .rows = NR_PUMP_ROWS,
                  .panel = {.driven = true,
                            .start = {.events = 3, .W_m2 = six(320, NR_UNIT_W_M2)},
                            .stall = {.events = 5, .W_m2 = {.known = false}}},
                  .power_at_twice = {7, 8}};
    static const double times[NR_PUMP_ROWS] = {0.25, 0.5, 0.75, 1, 1.5, 2, 4};
    for (int k = 0; k < NR_PUMP_ROWS; k++)
        p.row[k] = (nr_pump_row){.times = times[k],
                                 .flow_L_min = 2 * times[k],
                                 .reynolds = k == 6 ? (double)NAN : 1900 + k,
                                 .drop_Pa = {.regime = k < 6 ? NR_FLOW_LAMINAR : NR_FLOW_TURBULENT,
                                             .low = k == 6 ? (double)NAN : 810 + k,
                                             .high = 820 + k},
                                 .removal = 0.8125 + 0.01 * k,
                                 .gain_W = 420 + k,
                                 .outlet_degC = 35 - k,
                                 .change = six(-0.5 + 0.25 * k, NR_UNIT_ONE)};
    FILE *to = write_to();
    ck_assert_int_eq(nr_json_pump(to, &p, &err), NR_OK);
    fclose(to);
    json_t *j = document();
    quantity_is(j, "flow_L_min", 2, "L/min");
    bool_is(j, "flow_measured", true);
    number_is(j, "transit_s", 71);
    number_is(j, "hydraulic_power_W.0", 0.25);
    number_is(j, "hydraulic_power_W.1", 0.375);
    quantity_is(j, "heat_removal_factor", 0.875, "");
    number_is(j, "loss_W_m2K", 7.5);
    number_is(j, "efficiency_factor", 0.9375);
    length_is(j, "flows", NR_PUMP_ROWS);
    number_is(j, "flows.0.flow_L_min", 0.5);
    number_is(j, "flows.6.flow_L_min", 8);
    number_is(j, "flows.1.reynolds", 1901);
    text_is(j, "flows.0.regime", "laminar");
    text_is(j, "flows.6.regime", "turbulent");
    number_is(j, "flows.5.pressure_drop_Pa.0", 815);
    number_is(j, "flows.5.pressure_drop_Pa.1", 825);
    number_is(j, "flows.6.pressure_drop_Pa.0", NAN);
    number_is(j, "flows.6.reynolds", NAN);
    number_is(j, "flows.0.heat_removal_factor", 0.8125);
    number_is(j, "flows.4.gain_W", 424);
    number_is(j, "flows.4.outlet_degC", 31);
    quantity_is(j, "flows.0.change", -0.5, "");
    quantity_is(j, "flows.6.change", 1, "");
    bool_is(j, "panel_driven", true);
    number_is(j, "start.events", 3);
    number_is(j, "stall.events", 5);
    quantity_is(j, "start.irradiance_W_m2", 320, "W/m2");
    number_is(j, "stall.irradiance_W_m2", NAN);
    json_decref(j);
}
END_TEST

/* ---- season ---- */

static nr_season_day days[2];
static nr_season year;
static nr_season_gain gains[NR_CHANGES];

static void make_season(void)
{
    make_fit();
    for (int d = 0; d < 2; d++)
        days[d] = (nr_season_day){.date_s = 1750464000 + 86400.0 * d,
                                  .from_degC = 12 + d,
                                  .air_degC = 22 + d,
                                  .sun_kWh_m2 = 4.5 + d,
                                  .warmest_degC = 38 + d,
                                  .u_K = 1.25 + d,
                                  .probability = 0.25 + 0.5 * d,
                                  .uses = 6 + d,
                                  .least_air_degC = 9};
    year = (nr_season){.fit = &fit,
                       .asked = {.to_degC = 40,
                                 .from_degC = NAN,
                                 .start_s = 32400,
                                 .by_s = 64800,
                                 .water_kg = 45,
                                 .tilt_deg = 50,
                                 .azimuth_deg = 180,
                                 .latitude_deg = 52,
                                 .longitude_deg = 1,
                                 .re_aimed = true,
                                 .tap_degC = 10,
                                 .use_degC = 38,
                                 .use_L = 5.5,
                                 .draws = 200,
                                 .seed = 7},
                       .place = "Somewhere",
                       .format = "tmy",
                       .typical = true,
                       .years = 2,
                       .holes = 3,
                       .days = 2,
                       .day = days,
                       .reached = {101, 91, 111, 81, 121},
                       .uses = {801, 701, 901, 601, 1001},
                       .frost_nights = 33,
                       .heat_kWh = 400,
                       .heat_lo95 = 370,
                       .heat_hi95 = 430};
    year.month[6] = (nr_season_month){.days = 31,
                                      .reached = {21, 18, 24, 15, 27},
                                      .uses = {150, 1, 2, 3, 4},
                                      .sun_kWh_m2 = 130,
                                      .warmest_degC = 43,
                                      .air_degC = 20};
    for (int k = 0; k < NR_CHANGES; k++)
        gains[k] = (nr_season_gain){.change = (nr_season_change)k,
                                    .possible = k == 1 || k == 4,
                                    .reached = 10 + k,
                                    .lo95 = 5 + k,
                                    .hi95 = 20 + k,
                                    .uses = 30 + k,
                                    .heat_kWh = 40 + k};
}

static json_t *season_document(bool changes, double price)
{
    FILE *to = write_to();
    ck_assert_int_eq(nr_json_season(to, &year, changes ? gains : NULL, price, &err), NR_OK);
    fclose(to);
    return document();
}

static void count_is(json_t *root, const char *path, const char *name, const nr_season_count *c)
{
    json_t *j = at(root, path);
    number_is(j, name, c->value);
    number_is(j, "lo95", c->lo95);
    number_is(j, "hi95", c->hi95);
    number_is(j, "year_lo95", c->year_lo95);
    number_is(j, "year_hi95", c->year_hi95);
}

START_TEST(seasons)
{
    make_season();
    json_t *j = season_document(true, 1000);
    text_is(j, "weather.place", "Somewhere");
    text_is(j, "weather.format", "tmy");
    bool_is(j, "weather.typical", true);
    number_is(j, "weather.years", 2);
    number_is(j, "weather.filled", 3);
    number_is(j, "asked.to_degC", 40);
    number_is(j, "asked.from_degC", NAN);
    number_is(j, "asked.start_solar_s", 32400);
    number_is(j, "asked.by_solar_s", 64800);
    number_is(j, "asked.water_kg", 45);
    number_is(j, "asked.tilt_deg", 50);
    number_is(j, "asked.azimuth_deg", 180);
    bool_is(j, "asked.re_aimed", true);
    number_is(j, "asked.latitude_deg", 52);
    number_is(j, "asked.longitude_deg", 1);
    number_is(j, "asked.draws", 200);
    number_is(j, "asked.seed", 7);
    count_is(j, "days", "reached", &year.reached);
    number_is(j, "days.of", 1); /* two days of two years */
    count_is(j, "uses", "count", &year.uses);
    number_is(j, "uses.use_degC", 38);
    number_is(j, "uses.each_L", 5.5);
    number_is(j, "uses.tap_degC", 10);
    number_is(j, "heat_kWh.value", 400);
    number_is(j, "heat_kWh.lo95", 370);
    number_is(j, "heat_kWh.hi95", 430);
    number_is(j, "frost_days", 33);
    length_is(j, "by_month", 1);
    number_is(j, "by_month.0.month", 7);
    number_is(j, "by_month.0.days", 31);
    count_is(j, "by_month.0", "reached", &year.month[6].reached);
    number_is(j, "by_month.0.uses", 150);
    number_is(j, "by_month.0.sun_kWh_m2", 130);
    number_is(j, "by_month.0.warmest_degC", 43);
    number_is(j, "by_month.0.air_degC", 20);
    length_is(j, "calendar", 2);
    text_is(j, "calendar.0.date", "2025-06-21");
    text_is(j, "calendar.1.date", "2025-06-22");
    number_is(j, "calendar.1.warmest_degC", 39);
    number_is(j, "calendar.1.u_K", 2.25);
    number_is(j, "calendar.1.probability_reached", 0.75);
    number_is(j, "calendar.1.from_degC", 13);
    number_is(j, "calendar.1.air_degC", 23);
    number_is(j, "calendar.1.sun_kWh_m2", 5.5);
    number_is(j, "calendar.1.uses", 7);
    length_is(j, "changes", 2);
    text_is(j, "changes.0.code", nr_season_change_code(NR_CHANGE_LID));
    text_is(j, "changes.1.code", nr_season_change_code(NR_CHANGE_STEEPER));
    text_is(j, "changes.1.text", nr_season_change_words(NR_CHANGE_STEEPER));
    number_is(j, "changes.1.days", 14);
    number_is(j, "changes.1.lo95", 9);
    number_is(j, "changes.1.hi95", 24);
    number_is(j, "changes.1.uses", 34);
    number_is(j, "changes.1.heat_kWh", 44);
    number_is(j, "cost_per_kWh", 0.25); /* 1000 over ten years of 400 kWh */
    text_is(j, "trust.grade", "good");
    json_decref(j);
    j = season_document(false, NAN);
    number_is(j, "changes", NAN);
    number_is(j, "cost_per_kWh", NAN);
    json_decref(j);
    year.heat_kWh = 0;
    year.years = 0;
    j = season_document(false, 1000);
    number_is(j, "cost_per_kWh", NAN);
    number_is(j, "days.of", 2);
    json_decref(j);
}
END_TEST

/* ---- a cool-down ---- */

START_TEST(cool_downs)
{
    static nr_cooldown x;
    x = (nr_cooldown){.folder = "evening",
                      .title = "Pump off",
                      .collector = "tank",
                      .rows = 900,
                      .used = 880,
                      .duration_s = 9000,
                      .loss_W_K = six(2, NR_UNIT_W_K),
                      .time_constant_s = 86000,
                      .from_degC = 45,
                      .to_degC = 39,
                      .air_degC = 17,
                      .over_air_K = {21, 29},
                      .heat_capacity_J_K = 171000,
                      .share_water = 0.25,
                      .share_probes = 0.5,
                      .share_model = 0.125,
                      .share_noise = 0.0625,
                      .rms_K = 0.03};
    FILE *to = write_to();
    ck_assert_int_eq(nr_json_cooldown(to, &x, &err), NR_OK);
    fclose(to);
    json_t *j = document();
    bool_is(j, "cool_down", true);
    text_is(j, "runs.0.folder", "evening");
    text_is(j, "runs.0.title", "Pump off");
    number_is(j, "runs.0.rows", 900);
    number_is(j, "runs.0.used", 880);
    number_is(j, "runs.0.duration_s", 9000);
    text_is(j, "collector.name", "tank");
    number_is(j, "collector.gross_area_m2", NAN);
    bool_is(j, "loss_includes_store", false);
    quantity_is(j, "parameters.store_loss", 2, "W/K");
    number_is(j, "parameters.eta0", NAN);
    number_is(j, "parameters.a1", NAN);
    number_is(j, "curve", NAN);
    number_is(j, "time_constant_s", 86000);
    number_is(j, "from_degC", 45);
    number_is(j, "to_degC", 39);
    number_is(j, "air_degC", 17);
    number_is(j, "over_air_K.0", 21);
    number_is(j, "over_air_K.1", 29);
    number_is(j, "heat_capacity_J_K", 171000);
    number_is(j, "residual_rms_K", 0.03);
    number_is(j, "shares.probes", 0.5);
    number_is(j, "shares.readings", 0.0625);
    number_is(j, "shares.masses", 0.25);
    number_is(j, "shares.law", 0.125);
    json_decref(j);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {plan, sizes, pumps, seasons, cool_downs, NULL};
    return run_tests("documents", tests);
}
