/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What people build and where they test it, at random. */
#include "tests/adversity/kinds.h"

#include <gsl/gsl_randist.h>
#include <math.h>

static double between(gsl_rng *rng, double lo, double hi)
{
    return gsl_ran_flat(rng, lo, hi);
}

static double factor(gsl_rng *rng, double lo, double hi)
{
    return exp(gsl_ran_flat(rng, log(lo), log(hi)));
}

static bool chance(gsl_rng *rng, double p)
{
    return gsl_rng_uniform(rng) < p;
}

static bool choose(gsl_rng *rng, unsigned needs, unsigned yes, unsigned no, double p)
{
    bool draw = chance(rng, p);
    return needs & yes ? true : needs & no ? false : draw;
}

static double one_of(gsl_rng *rng, const double *from, size_t n)
{
    return from[gsl_rng_uniform_int(rng, n)];
}

static void draw_heater(ad_heater *h, gsl_rng *rng)
{
    h->area_m2 = factor(rng, 0.5, 2);
    h->optical = h->glazed ? between(rng, 0.66, 0.84) : between(rng, 0.8, 0.94);
    h->b0 = h->glazed ? fmax(0, 0.1 + gsl_ran_gaussian(rng, 0.04)) : 0;
    h->emittance = between(rng, 0.82, 0.95);
    h->absorber_J_m2K = factor(rng, 2500, 8000);
    h->cover_J_m2K = factor(rng, 1800, 6500);
    h->cover_absorbs = between(rng, 0.02, 0.06);
    h->bond_W_m2K = factor(rng, 45, 200);
    h->fluid_kg = h->area_m2 * factor(rng, 0.2, 0.9);
    double mm = between(rng, 4, 9); /* plywood: 550 kg/m3, 1600 J/(kg K), 0.13 W/(m K) */
    h->board_J_m2K = 880 * mm;
    h->board_W_m2K = 130 / mm;
    h->gap_W_m2K = factor(rng, 0.8, 2.5);
    if (chance(rng, 0.35)) { /* foil on foam */
        h->board_J_m2K = 700;
        h->board_W_m2K = 1.2;
    }
    h->wind0 = between(rng, 3, 6);
    h->wind1 = between(rng, 2, 3.6);
}

static void draw_store(const ad_heater *h, ad_store *s, gsl_rng *rng)
{
    s->water_kg = h->area_m2 * factor(rng, 20, 55);
    s->dry_J_K = 1500 + gsl_ran_gaussian(rng, 200);
    s->loss_W_K = factor(rng, 0.5, 2.5) * sqrt(s->water_kg / 30);
    s->hose_W_K = between(rng, 0.05, 0.3);
    s->pump_W = between(rng, 1, 5);
    s->probe_height = 0.5;
}

static void draw_day(ad_case *c, unsigned needs, gsl_rng *rng)
{
    ad_day *d = &c->day;
    d->latitude_deg = between(rng, 36, 52);
    d->longitude_deg = between(rng, -5, 20);
    d->humidity = between(rng, 0.3, 0.75);
    double day = floor(between(rng, 110, 260)), hour = between(rng, 9.3, 13);
    d->start_utc_s = 86400 * (20454 + day) + 3600 * (hour - d->longitude_deg / 15);
    d->start_utc_s = floor(d->start_utc_s);
    d->seconds = floor(60 * between(rng, 55, 115));
    d->turbidity = between(rng, 0.62, 0.74);
    d->air_degC = between(rng, 12, 29);
    d->air_rise_K = between(rng, 0, 3);
    d->wind_m_s = factor(rng, 0.4, 3);
    d->gust_share = 0.28;
    d->gust_s = 6;
    d->sky_below_K = between(rng, 8, 18);
    bool clouded = choose(rng, needs, AD_CLOUDY, AD_CLOUDLESS, 0.4), broken = chance(rng, 0.4);
    d->sky = !clouded ? AD_CLEAR : broken ? AD_BROKEN : AD_CLOUDS;
    c->collector = (ad_plane){between(rng, 15, 50), between(rng, 150, 210)};
    c->sensor = c->stated = c->collector;
    c->water_degC = d->air_degC + between(rng, -7, 8);
}

static void err(ad_sensor *s, gsl_rng *rng)
{
    s->offset = gsl_ran_gaussian(rng, s->u_offset);
    s->gain = gsl_ran_gaussian(rng, s->u_gain);
}

static void draw_sensors(ad_case *c, unsigned needs, gsl_rng *rng)
{
    static const double probe_u[] = {0.05, 0.15, 0.15, 0.25}, sun_u[] = {0.02, 0.03, 0.05};
    static const double step[] = {0, 0.0625, 0.1};
    double u = one_of(rng, probe_u, 4), resolution = one_of(rng, step, 3);
    bool loop = choose(rng, needs, AD_LOOP, AD_STORE_ONLY, 0.65);
    for (ad_channel k = AD_STORE; k <= AD_OUTLET; k++) {
        double lag = k == AD_STORE ? 12 : 4;
        c->channel[k] = (ad_sensor){.recorded = k == AD_STORE || loop,
                                    .u_offset = u,
                                    .lag_s = lag,
                                    .stated_lag_s = lag,
                                    .resolution = resolution,
                                    .noise = factor(rng, 0.005, 0.04),
                                    .slow = factor(rng, 0.003, 0.02)};
    }
    c->channel[AD_AIR] = (ad_sensor){.recorded = true,
                                     .u_offset = 0.3,
                                     .lag_s = 30,
                                     .stated_lag_s = 30,
                                     .noise = 0.03,
                                     .resolution = 0.0625};
    c->channel[AD_SUN] = (ad_sensor){
        .recorded = true, .u_gain = one_of(rng, sun_u, 3), .noise = 2, .resolution = 0.1};
    c->channel[AD_FLOW] = (ad_sensor){.recorded = loop,
                                      .u_gain = 0.02,
                                      .noise = 0.02,
                                      .lag_s = 2,
                                      .stated_lag_s = 2,
                                      .resolution = 0.001};
    c->channel[AD_WIND] = (ad_sensor){
        .recorded = chance(rng, 0.5), .u_gain = 0.05, .noise = 0.05, .resolution = 0.01};
    c->channel[AD_PUMP] = (ad_sensor){.recorded = c->panel_pump && (!loop || chance(rng, 0.5)),
                                      .u_gain = 0.01,
                                      .noise = 0.02,
                                      .resolution = 0.01};
    for (ad_channel k = 0; k < AD_CHANNELS; k++) {
        err(&c->channel[k], rng);
        c->channel[k].jump_s = INFINITY;
    }
    c->interval_s = floor(factor(rng, 1, 11));
}

static double said(double truth, double u, gsl_rng *rng)
{
    return truth / (1 + gsl_ran_gaussian(rng, u));
}

static void draw_said(ad_case *c, gsl_rng *rng)
{
    const ad_heater *h = &c->heater;
    c->area_said = said(h->area_m2, 0.005, rng);
    c->water_said = said(c->store.water_kg, 0.006, rng);
    c->fluid_said = said(h->fluid_kg, 0.1, rng);
    c->u_capacity = 0.2;
    c->capacity_said = said(h->absorber_J_m2K * h->area_m2, 0.15, rng); /* the key: no panes */
    bool known = chance(rng, c->channel[AD_FLOW].recorded ? 0.3 : 0.6);
    c->loss_said = known ? said(c->store.loss_W_K + c->store.hose_W_K, 0.15, rng) : NAN;
    c->lid_said = c->lid = true;
    c->say_back = c->say_plane = c->say_pump = true;
    c->say_dry = c->say_drift = c->say_weighed = true;
    c->say_shaded = fmod(c->day.start_utc_s, 2) < 1; /* no draw: records stay what they were */
}

void ad_draw(const ad_kind *kind, gsl_rng *rng, ad_case *c)
{
    unsigned needs = kind->needs;
    *c = (ad_case){
        .airlock = 1, .bubbles = 1, .bubbles_s = INFINITY, .draw_s = INFINITY, .draw_for_s = 1};
    c->heater.glazed = choose(rng, needs, AD_GLAZED, AD_BARE, 0.6);
    c->panel_pump = choose(rng, needs, AD_PANEL, AD_MAINS_PUMP, 0.3);
    draw_heater(&c->heater, rng);
    draw_store(&c->heater, &c->store, rng);
    draw_day(c, needs, rng);
    draw_sensors(c, needs, rng);
    draw_said(c, rng);
    c->flow_L_min = c->heater.area_m2 * factor(rng, 0.7, 1.8);
    /* The return's jet stirs: what it drags along is some ten times what it brings (entrainment of
     * a round jet, 0.3 a diameter of way: Ricou and Spalding, J. Fluid Mech. 11 (1961) 21-32, from
     * memory). No more than the steps of half a second can carry. */
    double stirred = factor(rng, 8, 40) * c->flow_L_min / 60 * AD_CP;
    c->store.mix_W_K = fmin(stirred, 0.1 * c->store.water_kg * AD_CP / AD_LAYERS);
    if (kind->spoil)
        kind->spoil(c, rng);
}

unsigned long ad_seed(const ad_kind *kind, unsigned long seed)
{
    unsigned long h = 2166136261u;
    for (const char *p = kind->name; *p; p++)
        h = ((h ^ (unsigned char)*p) * 16777619u) & 0xffffffffu;
    return (h ^ (seed * 2654435761u)) & 0xffffffffu;
}
