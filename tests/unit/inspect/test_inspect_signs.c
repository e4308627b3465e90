/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inspect: the limits of what it says of sun and units, from both sides, as test_inspect_limits
 * does of the rest (common practice, no source, but for the sun's own numbers). */
#include "tests/unit/inspect/desk.h"

static void sun_of_all(desk *d, double v)
{
    for (size_t b = 0; b < BLOCKS; b++)
        d->block[b].sun_W_m2 = v;
}
/* One five minutes may be a reflection; two say that the sun is not where it should be. */
static void suns_in(desk *d, double v, nr_sky_block what)
{
    for (size_t b = 0; b < (size_t)v; b++)
        d->block[2 * b] = what;
}
static const nr_sky_block usual_block = {.sun_W_m2 = 800,
                                         .pump_share = 1,
                                         .zenith_deg = 40,
                                         .incidence_deg = 20,
                                         .beyond_W_m2 = 1200,
                                         .clear_W_m2 = 900};
static void blocks_at_night(desk *d, double v)
{
    nr_sky_block b = usual_block;
    b.zenith_deg = 93;
    b.sun_W_m2 = 51;
    suns_in(d, v, b);
}
static void twilight(desk *d, double v)
{
    nr_sky_block b = usual_block;
    b.zenith_deg = v;
    b.sun_W_m2 = 51;
    suns_in(d, 3, b);
}
static void light_at_night(desk *d, double v)
{
    nr_sky_block b = usual_block;
    b.zenith_deg = 93;
    b.sun_W_m2 = v;
    suns_in(d, 3, b);
}
static void behind(desk *d, double v)
{
    nr_sky_block b = usual_block;
    b.incidence_deg = v;
    b.sun_W_m2 = 451;
    suns_in(d, 3, b);
}
static void light_behind(desk *d, double v)
{
    nr_sky_block b = usual_block;
    b.incidence_deg = 94;
    b.sun_W_m2 = v;
    suns_in(d, 3, b);
}
/* A clear sky of 500 W/m2 may give 1.3 times as much and 60 more: 710. */
static void brighter(desk *d, double v)
{
    nr_sky_block b = usual_block;
    b.clear_W_m2 = 500;
    b.beyond_W_m2 = 1300;
    b.sun_W_m2 = v;
    suns_in(d, 3, b);
}
static void brighter_than_any(desk *d, double v)
{
    brighter(d, v); /* beyond the atmosphere there are 1300, and 60 more are the sensor's */
    for (size_t b = 0; b < BLOCKS; b++)
        d->block[b].beyond_W_m2 = 1300;
}
static void brighter_nobody_knows_where(desk *d, double v)
{
    d->x.place_known = false;
    suns_in(d, 2,
            (nr_sky_block){.sun_W_m2 = v,
                           .pump_share = 1,
                           .zenith_deg = NAN,
                           .incidence_deg = NAN,
                           .beyond_W_m2 = NAN,
                           .clear_W_m2 = NAN});
}
static void oblique(desk *d, double v)
{
    for (size_t b = 0; b < BLOCKS; b++)
        d->block[b].incidence_deg = v;
}
/* Half of the blocks are at 80 degrees; they count when they are sunny enough. */
static void oblique_in(desk *d, double v)
{
    oblique(d, 30);
    for (size_t b = 0; b < BLOCKS; b++)
        if (b) {
            d->block[b].incidence_deg = 80;
            d->block[b].sun_W_m2 = v;
        }
}
static void oblique_pumped_for(desk *d, double v)
{
    oblique(d, 30);
    for (size_t b = 2; b < BLOCKS; b++) {
        d->block[b].incidence_deg = 80;
        d->block[b].pump_share = v;
    }
}
static void dark_beside(desk *d, double v)
{
    sun_of_all(d, 10);
    d->x.unit_wrong[(int)v] = true;
}

static void dark_without_readings(desk *d, double v)
{
    sun_of_all(d, 10);
    d->q.channel[NR_ROLE_SUN].readings = (size_t)v;
}

static void air_reads(desk *d, double v)
{
    channel_is(d, NR_ROLE_AIR, v, v + 0.01);
}
static void store_reads(desk *d, double v)
{
    channel_is(d, NR_ROLE_STORE, v, v + 0.01);
}
static void sun_reads(desk *d, double v)
{
    channel_is(d, NR_ROLE_SUN, v, v);
}
static void sun_at_zenith(desk *d, double v)
{
    sun_reads(d, 0.8);
    channel_is(d, NR_ROLE_STORE, 20, 20.5); /* that would tell of the sun, too */
    for (size_t b = 0; b < BLOCKS; b++)
        d->block[b].zenith_deg = v;
}
/* Nobody knows where; the store warmed by this from the first five minutes to the last. */
static void store_warmed(desk *d, double v)
{
    sun_reads(d, 0.8);
    d->x.place_known = false;
    for (size_t i = 0; i < ROWS; i++)
        d->value[NR_ROLE_STORE][i] = 20 + (d->elapsed_s[i] > 1800 ? v : 0);
}
static void loop_in_L_h(desk *d, double v)
{
    loop_over_store(d, 60 * exp(v));
}
static void loop_in_gallons(desk *d, double v)
{
    loop_over_store(d, exp(v) / 3.785411784);
}
/* 6 m/s in a tube of 10 mm are 28.27 L/min. */
static void fast(desk *d, double v)
{
    d->run.rig.collector.tube_bore_mm = (nr_value){.given = true, .value = 10};
    d->q.pump_typical = v;
}
static void fast_in_a_tube_of(desk *d, double v)
{
    fast(d, 40);
    d->run.rig.collector.tube_bore_mm.value = v;
}
static void fast_in_what(desk *d, double v)
{
    fast(d, 40);
    d->run.rig.collector.tube_bore_mm.given = v > 0;
}

/* The outlet, 4 K over an inlet of 25 degC, in degF: 84.2, so that the loop seems to gather 59.2/4
 * times too much. What is said must explain that, within 0.6 to 1.6. */
static void outlet_in_degF(desk *d, double v)
{
    channel_is(d, NR_ROLE_INLET, 25, 25);
    channel_is(d, NR_ROLE_OUTLET, 84.2, 84.2);
    loop_over_store(d, v * 59.2 / 4);
}
static void outlet_in_degF_if_known(desk *d, double v)
{
    outlet_in_degF(d, 1);
    d->x.heat.loop_known = v > 0;
    d->q.pump_typical = 2;
}
/* The inlet alone in degF, of an outlet at 24.8 degC in the first ten minutes: four times 3 K about
 * it. */
static void inlet_in_degF(desk *d, double v)
{
    channel_is(d, NR_ROLE_OUTLET, 24.8, 24.8);
    channel_is(d, NR_ROLE_STORE, 24.8, 24.8);
    channel_is(d, NR_ROLE_INLET, 1.8 * v + 32, 1.8 * v + 32);
}

static const limit limits[] = {
    {"no-sun", sun_of_all, 49, 51, DOUBT, UNSAID},
    {"no-sun", dark_beside, NR_ROLE_SUN, NR_ROLE_FLOW, UNSAID, DOUBT},
    {"no-sun", dark_without_readings, 0, ROWS, UNSAID, DOUBT},
    {"wrong-unit", air_reads, 44.9, 45.1, UNSAID, FAULT},
    {"wrong-unit", air_reads, 239.9, 240.1, UNSAID, FAULT},
    {"wrong-unit", air_reads, 399.9, 400.1, FAULT, UNSAID},
    {"wrong-unit", air_reads, 112, 114, FAULT, UNSAID}, /* 45 degC are 113 degF */
    {"wrong-unit", store_reads, 239.9, 240.1, UNSAID, FAULT},
    {"wrong-unit", outlet_in_degF, 0.59, 0.61, UNSAID, FAULT},
    {"wrong-unit", outlet_in_degF, 1.59, 1.61, FAULT, UNSAID},
    {"wrong-unit", outlet_in_degF_if_known, 0, 1, UNSAID, FAULT},
    {"wrong-unit", inlet_in_degF, 12.7, 12.9, UNSAID, FAULT},
    {"wrong-unit", inlet_in_degF, 36.7, 36.9, FAULT, UNSAID},
    {"wrong-unit", sun_reads, 0.019, 0.021, UNSAID, FAULT},
    {"wrong-unit", sun_reads, 19.9, 20.1, FAULT, UNSAID},
    {"wrong-unit", sun_at_zenith, 74.9, 75.1, FAULT, UNSAID},
    {"wrong-unit", store_warmed, 0.9, 1.1, UNSAID, FAULT},
    {"wrong-unit", loop_in_L_h, -0.23, -0.21, UNSAID, FAULT},
    {"wrong-unit", loop_in_L_h, 0.21, 0.23, FAULT, UNSAID},
    {"wrong-unit", loop_in_gallons, -0.23, -0.21, UNSAID, FAULT},
    {"wrong-unit", fast, 28.2, 28.4, UNSAID, FAULT},
    {"wrong-unit", fast_in_a_tube_of, 0, 10, UNSAID, FAULT},
    {"wrong-unit", fast_in_what, 0, 1, UNSAID, FAULT},
    {"clock-or-site", blocks_at_night, 1, 2, UNSAID, FAULT},
    {"clock-or-site", twilight, 91.9, 92.1, UNSAID, FAULT},
    {"clock-or-site", light_at_night, 49, 51, UNSAID, FAULT},
    {"clock-or-site", behind, 92.9, 93.1, UNSAID, FAULT},
    {"clock-or-site", light_behind, 449, 451, UNSAID, FAULT},
    {"clock-or-site", brighter, 709, 711, UNSAID, DOUBT},
    {"clock-or-site", brighter, 1249, 1251, DOUBT, UNSAID}, /* then it is the sensor */
    {"sun-too-high", brighter, 1249, 1251, UNSAID, DOUBT},
    {"sun-too-high", brighter_than_any, 1359, 1361, DOUBT, FAULT},
    {"sun-too-high", brighter_nobody_knows_where, 1399, 1401, UNSAID, DOUBT},
    {"oblique-sun", oblique, 44.9, 45.1, UNSAID, NOTE},
    {"oblique-sun", oblique_in, 319, 321, UNSAID, NOTE}, /* 0.4 of 800 */
    {"oblique-sun", oblique_pumped_for, 0.49, 0.51, UNSAID, NOTE},
};

START_TEST(both_sides)
{
    holds(&limits[_i], _i);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("inspect_signs");
    TCase *t = tcase_create("signs");
    tcase_add_loop_test(t, both_sides, 0, (int)(sizeof limits / sizeof *limits));
    suite_add_tcase(s, t);
    return run_suite(s);
}
