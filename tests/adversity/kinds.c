/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sizes of troubles are those that people report or that a clumsy hand makes; no source. */
#include "tests/adversity/kinds.h"

#include <gsl/gsl_randist.h>
#include <math.h>

static double between(gsl_rng *rng, double lo, double hi)
{
    return gsl_ran_flat(rng, lo, hi);
}

static double sign(gsl_rng *rng)
{
    return gsl_rng_uniform(rng) < 0.5 ? -1 : 1;
}

static double moment(const ad_case *c, gsl_rng *rng)
{
    return c->day.seconds * between(rng, 0.3, 0.75);
}

/* ---- good ---- */

static void no_wind_seen(ad_case *c, gsl_rng *rng)
{
    (void)rng;
    c->channel[AD_WIND].recorded = false;
}

static void wind_seen(ad_case *c, gsl_rng *rng)
{
    (void)rng;
    c->channel[AD_WIND].recorded = true;
}

static void loss_known(ad_case *c, gsl_rng *rng)
{
    c->loss_said = (c->store.loss_W_K + c->store.hose_W_K) * (1 + gsl_ran_gaussian(rng, 0.15));
}

static void loss_unknown(ad_case *c, gsl_rng *rng)
{
    (void)rng;
    c->loss_said = NAN;
}

static void pump_seen(ad_case *c, gsl_rng *rng)
{
    c->channel[AD_PUMP].recorded = true;
    loss_known(c, rng);
}

static void slow_noise(ad_case *c, gsl_rng *rng)
{
    c->channel[gsl_rng_uniform_int(rng, c->channel[AD_FLOW].recorded ? 3 : 1)].slow = 0.05;
}

static void few_rows(ad_case *c, gsl_rng *rng)
{
    c->interval_s = floor(between(rng, 20, 60));
    c->day.seconds = floor(60 * between(rng, 90, 120));
}

static void long_run(ad_case *c, gsl_rng *rng)
{
    c->day.seconds = floor(60 * between(rng, 150, 210));
    c->interval_s = 5;
}

static void light_back(ad_case *c, gsl_rng *rng)
{
    (void)rng;
    c->heater.board_J_m2K = 700;
    c->heater.board_W_m2K = 1.2;
}

static void stated_wood(ad_case *c, gsl_rng *rng)
{
    double mm = between(rng, 9, 15);
    c->heater.board_J_m2K = 880 * mm;
    c->heater.board_W_m2K = 130 / mm;
    c->heater.gap_W_m2K = between(rng, 2, 5);
}

static void hot_start(ad_case *c, gsl_rng *rng)
{
    c->water_degC = c->day.air_degC + between(rng, 10, 20);
}

static void mild_drift(ad_case *c, gsl_rng *rng)
{
    c->say_drift = false;
    for (ad_channel k = AD_STORE; k <= AD_AIR; k++)
        c->channel[k].drift = gsl_ran_gaussian(rng, 0.05);
    c->channel[AD_SUN].fade = gsl_ran_gaussian(rng, 0.005);
}

/* ---- the container is not what it should be, the loop is measured ---- */

static void conditioned(ad_case *c, gsl_rng *rng)
{
    (void)rng;
    c->inlet = AD_CONDITIONED;
}

static void mains(ad_case *c, gsl_rng *rng)
{
    (void)rng;
    c->inlet = AD_MAINS;
}

static void draw_water(ad_case *c, double share, double at, double over)
{
    c->draw_kg = share * c->store.water_kg;
    c->draw_s = at;
    c->draw_for_s = over;
    c->added_degC = 14;
}

static void refilled(ad_case *c, gsl_rng *rng)
{
    c->say_weighed = false;
    draw_water(c, -between(rng, 0.1, 0.3), moment(c, rng), 60);
}

static void leaking(ad_case *c, gsl_rng *rng)
{
    c->say_weighed = false;
    draw_water(c, between(rng, 0.08, 0.2), 0, c->day.seconds);
}

static void layered(ad_case *c, gsl_rng *rng)
{
    c->store.mix_W_K = between(rng, 0.5, 3);
    c->store.probe_height = sign(rng) > 0 ? between(rng, 0.75, 0.95) : between(rng, 0.1, 0.3);
}

static void open_bucket(ad_case *c, gsl_rng *rng)
{
    c->say_weighed = false;
    c->store.opening_m2 = 0.07 * c->store.water_kg / 19 * between(rng, 0.7, 1.3);
    c->lid_said = false;
    c->water_degC += 8;
    loss_known(c, rng);
}

/* ---- wrong numbers ---- */

static void sun_half(ad_case *c, gsl_rng *rng)
{
    (void)rng;
    c->channel[AD_SUN].gain = -0.5;
}

static void sun_third(ad_case *c, gsl_rng *rng)
{
    (void)rng;
    c->channel[AD_SUN].gain = -0.7;
}

static void store_in_degF(ad_case *c, gsl_rng *rng)
{
    (void)rng;
    c->store_in_degF = true;
}

static void square_feet(ad_case *c, gsl_rng *rng)
{
    (void)rng;
    c->area_said *= 10.764;
}

static void water_wrong(ad_case *c, gsl_rng *rng)
{
    c->water_said *= 1 + sign(rng) * between(rng, 0.12, 0.25);
}

static void flow_wrong(ad_case *c, gsl_rng *rng)
{
    c->channel[AD_FLOW].gain = sign(rng) * between(rng, 0.15, 0.3);
}

static void swapped(ad_case *c, gsl_rng *rng)
{
    (void)rng;
    c->swapped = true;
}

/* ---- wrong planes ---- */

static void turned(ad_case *c, gsl_rng *rng)
{
    c->collector.azimuth_deg += 30 * sign(rng);
    c->say_plane = false;
}

static void lying_flat(ad_case *c, gsl_rng *rng)
{
    (void)rng;
    c->sensor.tilt_deg = 0;
    c->say_plane = false;
}

static void re_aimed(ad_case *c, gsl_rng *rng)
{
    c->day.turns_every_s = 60 * between(rng, 10, 20);
    c->say_plane = false;
}

/* ---- water ---- */

static void drawn_off(ad_case *c, gsl_rng *rng)
{
    c->say_weighed = false;
    draw_water(c, between(rng, 0.08, 0.15), moment(c, rng), 60);
}

static void added(ad_case *c, gsl_rng *rng)
{
    c->say_weighed = false;
    draw_water(c, -between(rng, 0.04, 0.1), moment(c, rng), 30);
}

/* ---- sensors that change ---- */

static void drift(ad_case *c, ad_channel k, gsl_rng *rng)
{
    c->channel[k].drift = sign(rng) * between(rng, 0.4, 0.7);
}

static void outlet_drift(ad_case *c, gsl_rng *rng)
{
    c->say_drift = false;
    drift(c, AD_OUTLET, rng);
}

static void inlet_drift(ad_case *c, gsl_rng *rng)
{
    c->say_drift = false;
    drift(c, AD_INLET, rng);
}

static void store_drift(ad_case *c, gsl_rng *rng)
{
    c->say_drift = false;
    drift(c, AD_STORE, rng);
    c->channel[AD_STORE].drift *= 3;
}

static void bump(ad_case *c, ad_channel k, double size, gsl_rng *rng)
{
    c->channel[k].jump = sign(rng) * size * between(rng, 0.8, 1.5);
    c->channel[k].jump_s = moment(c, rng);
}

static void outlet_bump(ad_case *c, gsl_rng *rng)
{
    bump(c, AD_OUTLET, 0.5, rng);
}

static void inlet_bump(ad_case *c, gsl_rng *rng)
{
    bump(c, AD_INLET, 0.5, rng);
}

static void store_bump(ad_case *c, gsl_rng *rng)
{
    bump(c, AD_STORE, 1, rng);
}

static void sun_fades(ad_case *c, gsl_rng *rng)
{
    c->channel[AD_SUN].fade = sign(rng) * between(rng, 0.05, 0.08);
}

static void sun_late(ad_case *c, gsl_rng *rng)
{
    c->channel[AD_SUN].late_s = between(rng, 180, 400);
}

static void sun_saturates(ad_case *c, gsl_rng *rng)
{
    c->channel[AD_SUN].ceiling = between(rng, 600, 700);
}

static void sun_covered(ad_case *c, gsl_rng *rng)
{
    ad_sensor *s = &c->channel[AD_SUN];
    s->cover = between(rng, 0.1, 0.5);
    s->cover_from_s = c->day.seconds * between(rng, 0.2, 0.5);
    s->cover_to_s = s->cover_from_s + 27 * 60;
    s->noise = 15;
}

static void pole_on_sensor(ad_case *c, gsl_rng *rng)
{
    ad_sensor *s = &c->channel[AD_SUN];
    s->cover = between(rng, 0.5, 0.75);
    s->cover_from_s = moment(c, rng);
    s->cover_to_s = s->cover_from_s + 60 * between(rng, 6, 14);
}

static void air_in_sun(ad_case *c, gsl_rng *rng)
{
    c->channel[AD_AIR].from_sun_K = between(rng, 2.5, 4);
    c->say_shaded = false;
}

static void strapped(ad_case *c, gsl_rng *rng)
{
    c->channel[AD_OUTLET].to_air = between(rng, 0.06, 0.12);
}

static void strapped_inlet(ad_case *c, gsl_rng *rng)
{
    c->channel[AD_INLET].to_air = between(rng, 0.08, 0.15);
}

static void slow_probe(ad_case *c, gsl_rng *rng)
{
    c->channel[AD_STORE].lag_s = between(rng, 120, 240);
    c->channel[AD_OUTLET].lag_s = between(rng, 40, 90);
}

/* ---- the collector changes ---- */

static void heavy_wood(ad_case *c, gsl_rng *rng)
{
    double mm = between(rng, 12, 22);
    c->heater.board_J_m2K = 880 * mm;
    c->heater.board_W_m2K = 130 / mm;
    c->heater.gap_W_m2K = between(rng, 5, 11);
    c->say_back = false;
}

static void dew(ad_case *c, gsl_rng *rng)
{
    c->say_dry = false;
    c->dew = between(rng, 0.12, 0.25);
    c->dew_s = 60 * between(rng, 12, 25);
}

static void stated_dew(ad_case *c, gsl_rng *rng)
{
    dew(c, rng);
    c->say_dew = true;
}

static void shadow(ad_case *c, gsl_rng *rng)
{
    c->shadow = between(rng, 0.15, 0.35);
    c->shadow_from_s = c->day.seconds * between(rng, 0.2, 0.6);
    c->shadow_to_s = c->shadow_from_s + 60 * between(rng, 12, 30);
}

static void shadow_to_end(ad_case *c, gsl_rng *rng)
{
    c->shadow = between(rng, 0.1, 0.25);
    c->shadow_from_s = moment(c, rng);
    c->shadow_to_s = INFINITY;
}

static void breeze_rises(ad_case *c, gsl_rng *rng)
{
    c->channel[AD_WIND].recorded = false;
    c->day.wind_m_s = between(rng, 1.5, 2.5);
    c->day.wind_trend = between(rng, 1.2, 1.8);
}

static void airlock(ad_case *c, gsl_rng *rng)
{
    c->bubbles_s = moment(c, rng);
    c->airlock = between(rng, 0.5, 0.75);
    c->bubbles = between(rng, 1.2, 1.5);
}

static void hot_pump(ad_case *c, gsl_rng *rng)
{
    c->store.pump_W = between(rng, 20, 40) * c->heater.area_m2;
    c->say_pump = false;
}

/* ---- rows ---- */

static void rare_rows(ad_case *c, gsl_rng *rng)
{
    c->interval_s = 60 * between(rng, 3, 7);
    c->day.seconds = floor(60 * between(rng, 100, 160));
}

static void jittery_rows(ad_case *c, gsl_rng *rng)
{
    c->interval_s = 120;
    c->jitter_s = between(rng, 50, 70);
}

static void by_hand(ad_case *c, gsl_rng *rng)
{
    c->interval_s = 60 * between(rng, 2, 4);
    c->spread = 0.6;
    c->day.seconds = floor(60 * between(rng, 90, 130));
}

static void cloud_unseen(ad_case *c, gsl_rng *rng)
{
    (void)rng;
    c->clear_sky = true;
    c->channel[AD_SUN].recorded = false;
}

/* The same under a sky without a cloud. Its turbidity is the day's, not the model's. */
static void cloudless_unseen(ad_case *c, gsl_rng *rng)
{
    cloud_unseen(c, rng);
}

static void stated_flat(ad_case *c, gsl_rng *rng)
{
    (void)rng;
    c->sensor.tilt_deg = 0;
    c->say_flat = true;
}

#define L AD_LOOP
#define S AD_STORE_ONLY
#define G AD_GLAZED
#define B AD_BARE

const ad_kind ad_kinds[] = {
    {"g-glazed", "one pane, loop channels", AD_GOOD, L | G | AD_MAINS_PUMP, NULL},
    {"g-bare-wind", "no glass, loop channels, wind", AD_GOOD, L | B | AD_MAINS_PUMP, wind_seen},
    {"g-bare", "no glass, loop channels", AD_GOOD, L | B | AD_MAINS_PUMP, no_wind_seen},
    {"g-store", "store, air, sun; loss stated", AD_GOOD, S | G | AD_MAINS_PUMP, loss_known},
    {"g-store-lumped", "store, air, sun", AD_GOOD, S | G | AD_MAINS_PUMP, loss_unknown},
    {"g-store-bare", "no glass; store, air, sun", AD_GOOD, S | B | AD_MAINS_PUMP, NULL},
    {"g-panel", "panel pump, loop channels", AD_GOOD, L | AD_PANEL, NULL},
    {"g-panel-store", "panel pump seen, store", AD_GOOD, S | AD_PANEL, pump_seen},
    {"g-clouds", "clouds", AD_GOOD, AD_CLOUDY, NULL},
    {"g-slow-noise", "0.05 K of slow noise in a probe", AD_GOOD, 0, slow_noise},
    {"g-rows-60s", "rows of 20 to 60 s", AD_GOOD, 0, few_rows},
    {"g-long", "three hours", AD_GOOD, 0, long_run},
    {"g-light-back", "light back, stated", AD_GOOD, G, light_back},
    {"g-wood-stated", "wooden back, stated", AD_GOOD, G, stated_wood},
    {"g-hot-start", "begins hot", AD_GOOD, 0, hot_start},
    {"g-mild-drift", "drifts of 0.05 K", AD_GOOD, 0, mild_drift},
    {"g-clear-sky", "no cloud, --clear-sky", AD_GOOD, AD_CLOUDLESS, cloudless_unseen},
    {"g-flat-stated", "pyranometer lies flat, stated", AD_GOOD, 0, stated_flat},
    {"g-dew-stated", "dew dries slowly, stated", AD_GOOD, G, stated_dew},
    {"c-conditioned", "inlet set by a bench", AD_CONTAINER, L, conditioned},
    {"c-mains", "mains water through", AD_CONTAINER, L, mains},
    {"c-refilled", "refilled, 10 to 30 %", AD_CONTAINER, L, refilled},
    {"c-leaking", "leaking, 8 to 20 %", AD_CONTAINER, L, leaking},
    {"c-layered", "layered container", AD_CONTAINER, L, layered},
    {"c-open", "open container", AD_CONTAINER, L, open_bucket},
    {"sun-half", "irradiance halved", AD_TROUBLE, 0, sun_half},
    {"sun-third", "irradiance x 0.3", AD_TROUBLE, 0, sun_third},
    {"store-degF", "store in degF, said degC", AD_TROUBLE, 0, store_in_degF},
    {"square-feet", "area in square feet, said m2", AD_TROUBLE, 0, square_feet},
    {"water-wrong", "water 12 to 25 % off", AD_TROUBLE, 0, water_wrong},
    {"flow-wrong", "flow meter 15 to 30 % off", AD_TROUBLE, L, flow_wrong},
    {"swapped", "inlet and outlet crosswise", AD_TROUBLE, L, swapped},
    {"turned", "collector 30 degrees off", AD_TROUBLE, 0, turned},
    {"lying-flat", "pyranometer lies flat", AD_TROUBLE, 0, lying_flat},
    {"re-aimed", "re-aimed, pyranometer fixed", AD_TROUBLE, AD_CLOUDLESS, re_aimed},
    {"drawn-off", "8 to 15 % of water drawn off", AD_TROUBLE, S, drawn_off},
    {"leak", "8 to 20 % leaks away", AD_TROUBLE, S, leaking},
    {"added", "4 to 10 % of cold water added", AD_TROUBLE, S, added},
    {"outlet-drift", "outlet drifts 0.4 to 0.7 K", AD_TROUBLE, L, outlet_drift},
    {"inlet-drift", "inlet drifts 0.4 to 0.7 K", AD_TROUBLE, L, inlet_drift},
    {"store-drift", "store drifts 1.2 to 2.1 K", AD_TROUBLE, 0, store_drift},
    {"outlet-bump", "outlet bumped, 0.4 to 0.8 K", AD_TROUBLE, L, outlet_bump},
    {"inlet-bump", "inlet bumped, 0.4 to 0.8 K", AD_TROUBLE, L, inlet_bump},
    {"store-bump", "store probe moved, 0.8 to 1.5 K", AD_TROUBLE, S, store_bump},
    {"sun-fades", "irradiance fades 5 to 8 %", AD_TROUBLE, 0, sun_fades},
    {"sun-late", "irradiance 3 to 7 min late", AD_TROUBLE, AD_CLOUDY, sun_late},
    {"sun-ceiling", "irradiance saturates", AD_TROUBLE, 0, sun_saturates},
    {"sun-covered", "sun sensor covered 27 min", AD_TROUBLE, 0, sun_covered},
    {"sun-pole", "a pole's shadow on the sensor", AD_TROUBLE, 0, pole_on_sensor},
    {"air-in-sun", "air probe in the sun", AD_TROUBLE, 0, air_in_sun},
    {"strapped", "outlet probe strapped on", AD_TROUBLE, L, strapped},
    {"strapped-in", "inlet probe strapped on", AD_TROUBLE, L, strapped_inlet},
    {"slow-probe", "store and outlet lag minutes", AD_TROUBLE, 0, slow_probe},
    {"heavy-wood", "12 to 22 mm of wood, not stated", AD_TROUBLE, G, heavy_wood},
    {"dew", "dew dries slowly", AD_TROUBLE, G, dew},
    {"shadow", "shadow for 12 to 30 min", AD_TROUBLE, 0, shadow},
    {"shadow-stays", "shadow from some time on", AD_TROUBLE, 0, shadow_to_end},
    {"breeze", "breeze rises, no wind channel", AD_TROUBLE, B, breeze_rises},
    {"air-lock", "air in the loop", AD_TROUBLE, L, airlock},
    {"open-store", "open bucket, store only", AD_TROUBLE, S, open_bucket},
    {"layered-store", "layered, store only", AD_TROUBLE, S, layered},
    {"hot-pump", "pump of 20 to 40 W/m2, not stated", AD_TROUBLE, 0, hot_pump},
    {"rows-rare", "rows of 3 to 7 min", AD_TROUBLE, 0, rare_rows},
    {"rows-jitter", "rows with 50 to 70 s jitter", AD_TROUBLE, 0, jittery_rows},
    {"rows-by-hand", "rows by hand", AD_TROUBLE, 0, by_hand},
    {"clouds-unseen", "clouds, --clear-sky", AD_TROUBLE, AD_CLOUDY, cloud_unseen},
};

const size_t ad_kind_count = sizeof ad_kinds / sizeof ad_kinds[0];
