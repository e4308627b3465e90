/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The test that a plan supposes: what is filled in where nobody stated it (the figures of an
 * ordinary collector, as decided, both kinds), weather and readings by their statistics, and the
 * temperatures against the model run once more with those figures and the very wind that was
 * recorded. */
#include "analyze/forecast/day.h"
#include "analyze/model/loop.h"
#include "analyze/physics/clearsky.h"
#include "analyze/physics/iam.h"
#include "analyze/physics/longwave.h"
#include "analyze/physics/water.h"
#include "analyze/plan/plan.h"
#include "tests/unit/near.h"

enum { MOST = 1500 };
#define CHANNELS                                                                                   \
    "[channel sun]\nunit = W_m2\n[channel air]\nunit = degC\n[channel store]\nunit = degC\n"       \
    "[channel inlet]\nunit = degC\n[channel outlet]\nunit = degC\nlag_s = 12\n"                    \
    "[channel flow]\nunit = L_min\n[channel wind]\nunit = m_s\n[channel box]\nunit = degC\n"

static nr_err err;
static nr_run *run;
static double got[8][MOST];
enum { SUN, AIR, STORE, INLET, OUTLET, FLOW, WIND, BOX };

static void simulate(const char *rig, nr_plan_test *t)
{
    static const char *const name[] = {"sun",    "air",  "store", "inlet",
                                       "outlet", "flow", "wind",  "box"};
    ck_assert_msg(nr_plan_simulate(rig, "rig.ini", NULL, NULL, t, &run, &err) == NR_OK, "%s",
                  err.text);
    ck_assert_uint_le(run->readings->rows, MOST);
    for (size_t c = 0; c < 8; c++) {
        nr_values v = nr_readings_values(run->readings, name[c]);
        for (size_t k = 0; k < run->readings->rows; k++)
            got[c][k] = nr_number(&v, k);
    }
}

static nr_plan_test steady(void)
{
    nr_plan_test t = nr_plan_test_open();
    t.duration_s = 5400;
    t.day.sun_W_m2 = 800;
    t.day.air_degC = 17;
    t.seed = 3;
    return t;
}

/* --- what is filled in -------------------------------------------------------------------------
 */

static nr_plan_test filled(const char *collector, const char *store, nr_plan_test t)
{
    char rig[2000];
    snprintf(
        rig, sizeof rig,
        "[collector]\nname = Bench\ngross_area_m2 = 1.5\n%s[store]\nwater_kg = 40\n%s" CHANNELS,
        collector, store);
    t.duration_s = 60;
    simulate(rig, &t);
    nr_run_free(run);
    return t;
}

START_TEST(what_is_filled_in)
{
    nr_plan_test open = steady(), t = filled("glazing = single\n", "lid = yes\n", open);
    ck_assert(t.optical == 0.77 && t.loss_W_m2K == 6.5 && t.day.wind_m_s == 1.5);
    NEAR(t.flow_L_min, 1.1 * 1.5, 1e-9);
    NEAR(t.store_loss_W_K, 2 * cbrt(2) * cbrt(2), 1e-9); /* twice the water: the surface */
    NEAR(t.day.from_degC, 13, 1e-9);                     /* four degrees below the air */
    t = filled("glazing = none\n", "lid = no\n", open);
    ck_assert(t.optical == 0.90);
    NEAR(t.loss_W_m2K, 7.7 + 3.8 * 1.5, 1e-9);
    NEAR(t.store_loss_W_K, 2.5 * 2 * cbrt(4), 1e-9);
    open.day.air_degC = 5;
    open.day.wind_m_s = 3;
    t = filled("glazing = none\n", "loss_W_K = 1.25\n", open);
    NEAR(t.day.from_degC, 2, 1e-9); /* not ice */
    NEAR(t.loss_W_m2K, 7.7 + 3.8 * 3, 1e-9);
    NEAR(t.store_loss_W_K, 1.25, 1e-9);
    open.optical = 0.5;
    open.loss_W_m2K = 3;
    open.store_loss_W_K = 4;
    open.flow_L_min = 5;
    open.day.from_degC = 6;
    t = filled("glazing = single\n", "loss_W_K = 1.25\n", open);
    ck_assert(t.optical == 0.5 && t.loss_W_m2K == 3 && t.store_loss_W_K == 4 && t.flow_L_min == 5 &&
              t.day.from_degC == 6 && t.day.wind_m_s == 3);
}
END_TEST

/* --- readings ----------------------------------------------------------------------------------
 */

typedef struct spread {
    double mean, sd, keeps; /* keeps: correlation from one row to the next */
} spread;

static spread spread_of(const double *v, size_t n)
{
    spread s = {0};
    double next = 0;
    for (size_t k = 0; k < n; k++)
        s.mean += v[k] / (double)n;
    for (size_t k = 0; k < n; k++) {
        s.sd += (v[k] - s.mean) * (v[k] - s.mean) / (double)n;
        next += k > 0 ? (v[k] - s.mean) * (v[k - 1] - s.mean) / (double)n : 0;
    }
    s.keeps = next / s.sd;
    s.sd = sqrt(s.sd);
    return s;
}

static double over(double value, double lowest)
{
    return value < lowest ? lowest : value;
}

/* The collector that is supposed. stated: fluid, heat capacities and b0 stand in the rig file. */
static nr_loop_params device(const nr_plan_test *t, bool bare, bool stated)
{
    double cp = nr_water_cp_J_kgK(t->day.from_degC);
    return (nr_loop_params){.area_m2 = 1.5,
                            .optical = t->optical,
                            .loss_W_m2K = t->loss_W_m2K,
                            .loss2_W_m2K2 = 0.015,
                            .wind_Ws_m3K = bare ? 3.8 : 0.3,
                            .exchange_W_m2K = 110,
                            .capacity_J_m2K = stated ? 9000 / 1.5 : 5000,
                            .cover_J_m2K = bare ? 0 : 6000,
                            .fluid_J_K = (stated ? 1.1 : 0.5 * 1.5) * cp,
                            .store_J_K = 40 * cp + (stated ? 8000 : 0.4 * cp),
                            .sky = bare ? NR_BARE_SKY_SHARE : 0,
                            .store_loss_W_K = t->store_loss_W_K,
                            .flow_factor = 1,
                            .b0 = stated ? 0.2 : nr_iam_default_b0(bare ? 0 : 1),
                            .t_store_degC = t->day.from_degC,
                            .t_collector_degC = t->day.air_degC + 5};
}

static void temperatures_are_right(const nr_plan_test *t, bool bare, bool stated, double tilt_deg)
{
    static double in_sun[MOST], oblique[MOST], wind[MOST], air[MOST], flow[MOST], sky[MOST];
    static double out[3][MOST], rest[MOST];
    size_t n = run->readings->rows;
    double W_K = t->flow_L_min / 60000 * nr_water_density_kg_m3(t->day.from_degC) *
                 nr_water_cp_J_kgK(t->day.from_degC);
    nr_place place = {t->day.latitude_deg, t->day.longitude_deg, t->day.elevation_m,
                      t->day.tilt_deg, t->day.azimuth_deg};
    nr_values utc = nr_readings_utc(run->readings);
    for (size_t k = 0; k < n; k++) {
        in_sun[k] = t->day.sun_W_m2;
        oblique[k] = 0;
        if (t->day.clear_sky) {
            nr_clear_instant now =
                nr_clear_sky_at(nr_number(&utc, k), place, NR_LINKE_DEFAULT, NR_ALBEDO_DEFAULT);
            in_sun[k] = over(now.plane.total, 0);
            oblique[k] = 1 / cos(now.incidence_deg * M_PI / 180) - 1;
        }
        wind[k] = got[WIND][k] - t->day.wind_m_s;
        air[k] = t->day.air_degC;
        flow[k] = W_K;
        sky[k] = nr_net_longwave_W_m2(air[k], NR_USUAL_SKY_EMISSIVITY, tilt_deg);
        rest[k] = got[SUN][k] - in_sun[k];
    }
    spread s = spread_of(rest, n);
    NEAR(s.mean, 0, 0.4);
    NEAR(s.sd, 2, 0.25); /* W/m2, with steps of the file's digits */
    nr_loop_params p = device(t, bare, stated);
    nr_loop_input in = {.blocks = n,
                        .steps_per_block = 1,
                        .step_s = 5,
                        .sun_W_m2 = in_sun,
                        .air_degC = air,
                        .flow_W_K = flow,
                        .wind_m_s = wind,
                        .obliquity = oblique,
                        .sky_W_m2 = sky,
                        .lag_s = {0, 0, 12}};
    nr_loop_output o = {.reading = {out[0], out[1], out[2]}};
    nr_loop_run(&in, &p, &o);
    for (int c = 0; c < 3; c++) {
        for (size_t k = 0; k < n; k++)
            rest[k] = got[STORE + c][k] - out[c][k];
        s = spread_of(rest, n);
        double slow = c == 2 ? 0.010 : 0.005, fast = 0.02 / sqrt(5); /* of five a step */
        NEAR(s.mean, 0, 0.25 * slow);
        NEAR(s.sd, hypot(slow, fast), 0.0015);
        NEAR(s.keeps, 0.96 * slow * slow / (slow * slow + fast * fast), 0.1);
        NEAR(rest[0] + rest[1] + rest[2], 0, 0.12); /* from the beginning on */
    }
}

START_TEST(a_glazed_one)
{
    nr_plan_test t = steady();
    simulate("[collector]\nname = Bench\ngross_area_m2 = 1.5\nglazing = single\n[store]\n"
             "water_kg = 40\nlid = yes\n" CHANNELS,
             &t);
    size_t n = run->readings->rows;
    ck_assert_uint_eq(n, 5400 / 5);
    nr_values elapsed = nr_readings_elapsed(run->readings);
    for (size_t k = 0; k < n; k++) {
        NEAR(nr_number(&elapsed, k), 5 * ((double)k + 0.5), 1e-6);
        ck_assert(isnan(got[BOX][k])); /* no part of the test */
    }
    spread s = spread_of(got[AIR], n);
    NEAR(s.mean, 17, 0.008);
    NEAR(s.sd, 0.05, 0.006);
    s = spread_of(got[FLOW], n);
    NEAR(s.mean, 1.65, 0.003);
    NEAR(s.sd, 0.02, 0.003);
    s = spread_of(got[WIND], n); /* gusts of four tenths, kept over eddies of 40 m */
    NEAR(s.mean, 1.5, 0.15);
    NEAR(s.sd, 0.4 * 1.5, 0.1);
    NEAR(s.keeps, exp(-5 * 1.5 / 40), 0.06);
    for (size_t k = 0; k < n; k++)
        ck_assert(got[WIND][k] > 0.04);
    temperatures_are_right(&t, false, false, NR_USUAL_TILT_DEG);
    ck_assert(!run->rig.latitude_deg.given && !run->rig.longitude_deg.given);
    nr_run_free(run);
}
END_TEST

START_TEST(a_bare_one)
{
    nr_plan_test t = steady();
    simulate("[collector]\nname = Bench\ngross_area_m2 = 1.5\nglazing = none\ntilt_deg = 20\n"
             "fluid_kg = 1.1\nheat_capacity_J_K = 9000\niam_b0 = 0.2\n[store]\nwater_kg = 40\n"
             "dry_heat_capacity_J_K = 8000\n" CHANNELS,
             &t);
    temperatures_are_right(&t, true, true, 20);
    nr_run_free(run);
}
END_TEST

static nr_plan_test clear_morning(void)
{
    nr_plan_test t = steady();
    t.day.clear_sky = true;
    t.day.date_s = 1782000000.0;
    t.day.start_s = 8.5 * 3600;
    t.day.latitude_deg = 46;
    t.day.longitude_deg = 7.5;
    t.day.elevation_m = 400;
    t.day.tilt_deg = 45;
    t.day.azimuth_deg = 160;
    return t;
}

START_TEST(under_a_clear_sky)
{
    nr_plan_test t = clear_morning();
    simulate("[collector]\nname = Bench\ngross_area_m2 = 1.5\nglazing = single\n[store]\n"
             "water_kg = 40\nlid = yes\n" CHANNELS,
             &t);
    nr_values utc = nr_readings_utc(run->readings);
    NEAR(nr_number(&utc, 0), nr_day_utc_s(&t.day, t.day.start_s) + 2.5, 0.01);
    temperatures_are_right(&t, false, false, 45);
    const nr_rig *rig = &run->rig;
    ck_assert(rig->latitude_deg.given && rig->latitude_deg.value == 46 &&
              rig->longitude_deg.given && rig->longitude_deg.value == 7.5 &&
              rig->collector.tilt_deg.value == 45 && rig->collector.azimuth_deg.value == 160);
    nr_run_free(run);
}
END_TEST

/* A table of factors of 1 - 0.2 (1 / cos - 1), two decimals more than are needed, is that b0. */
START_TEST(by_a_table_of_angles)
{
#define OF(modifier)                                                                               \
    "[collector]\nname = Bench\ngross_area_m2 = 1.5\nglazing = single\n" modifier                  \
    "\n[store]\nwater_kg = 40\nlid = yes\n" CHANNELS
    nr_plan_test t = clear_morning();
    simulate(OF("iam_b0 = 0.2"), &t);
    size_t n = run->readings->rows;
    double *by_b0 = calloc(n, sizeof *by_b0), most = 0;
    for (size_t k = 0; k < n; k++)
        by_b0[k] = got[STORE][k];
    nr_run_free(run);
    t = clear_morning();
    simulate(OF("iam = 0:1, 10:0.9969, 20:0.9872, 30:0.9691, 40:0.9389, 45:0.9172, 50:0.8889, "
                "55:0.8513, 60:0.8, 65:0.7268, 70:0.6152, 75:0.4273"),
             &t);
    ck_assert_uint_eq(run->readings->rows, n);
    for (size_t k = 0; k < n; k++)
        most = fmax(most, fabs(got[STORE][k] - by_b0[k]));
    ck_assert_msg(most < 0.05, "%.3f K apart", most);
    free(by_b0);
    nr_run_free(run);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {what_is_filled_in, a_glazed_one,         a_bare_one,
                                  under_a_clear_sky, by_a_table_of_angles, NULL};
    return run_tests("plan simulated", tests);
}
