/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What drives the model, made ready: weather, flow, the probes at the collector, the sky. */
#include "analyze/physics/longwave.h"
#include "analyze/series/inside.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Longest holes bridged by a straight line. Irradiance and flow can do anything in a minute, unless
 * they are the same afterwards; air, water and wind (its mean) hardly change in ten. */
#define BRIDGE_FAST_S 60.0
#define BRIDGE_SLOW_S 600.0
#define ALIKE 0.1
/* Readings may come slower than that: then this many intervals. */
#define BRIDGE_INTERVALS 3.5
/* Flow is averaged over at most this time to each side: four minutes in all. */
#define SMOOTH_S 120.0
/* And while it does not change, over this time to each side. */
#define CALM_S 1920.0
/* And wind: five minutes in all where it blows on glass, one on a bare absorber. */
#define WIND_GLAZED_S 150.0
#define WIND_BARE_S 30.0
/* Probes that drive: their noise would act as an error in the variables, their steps as flow. */
#define PROBE_SMOOTH_S 60.0
#define PROBE_CALM_S 480.0
/* A channel drives when so much of it is good. */
#define GOOD_ENOUGH 0.5
/* Diffuse irradiance above the global one: a shading device that lost the sun, not a sky. */
#define CREDIBLE_DIFFUSE 1.02

bool nr_series_can_drive(const nr_quality *q)
{
    static const nr_role needed[] = {NR_ROLE_INLET, NR_ROLE_OUTLET, NR_ROLE_FLOW};
    for (size_t i = 0; i < 3; i++)
        if ((double)q->channel[needed[i]].good < GOOD_ENOUGH * (double)q->rows)
            return false;
    return true;
}

/* The sun of a record that is read seldom, and not as means. */
static bool is_seldom(const nr_series *s)
{
    const nr_rig_channel *sun = nr_rig_channel_find(&s->run->rig, "sun");
    bool read = !s->sun_modelled && !(sun && sun->law->stated);
    return read && s->sparse && s->can_drive && s->run->rig.rows != NR_ROWS_MEAN;
}

/* False: out of memory. */
static bool bridge_sun(nr_series *s, nr_grid *g, double limit, double far)
{
    double *v = g->value[NR_ROLE_SUN];
    double *raw = is_seldom(s) ? malloc((g->steps ? g->steps : 1) * sizeof(double)) : NULL;
    if (is_seldom(s) && !raw)
        return false;
    if (raw)
        memcpy(raw, v, g->steps * sizeof(double));
    s->bridged_steps += nr_grid_bridge(v, g->steps, s->step_s, limit, far, ALIKE);
    bool good = !raw || nr_grid_forget(raw, v, g->steps, s->step_s, s->quality->interval_s);
    free(raw);
    return good;
}

static bool bridge_all(nr_series *s, nr_grid *g)
{
    double usual = fmax(BRIDGE_INTERVALS * s->quality->interval_s, s->usual_s);
    double fast = fmax(BRIDGE_FAST_S, usual), slow = fmax(BRIDGE_SLOW_S, usual);
    static const struct {
        nr_role role;
        bool slow;
    } weather[] = {{NR_ROLE_SUN, false},   {NR_ROLE_FLOW, false},    {NR_ROLE_AIR, true},
                   {NR_ROLE_WIND, true},   {NR_ROLE_HUMIDITY, true}, {NR_ROLE_SKY, true},
                   {NR_ROLE_DIFFUSE, true}};
    for (size_t i = 0; i < sizeof weather / sizeof weather[0]; i++) {
        double *v = g->value[weather[i].role];
        double limit = weather[i].slow ? slow : fast, far = slow;
        /* A cloudless sky's irradiance is there in every row but those under clouds. */
        if (weather[i].role == NR_ROLE_SUN && s->sun_modelled)
            limit = far = 1.5 * s->quality->interval_s;
        if (weather[i].role == NR_ROLE_SUN && v && !bridge_sun(s, g, limit, far))
            return false;
        if (weather[i].role != NR_ROLE_SUN && v)
            s->bridged_steps += nr_grid_bridge(v, g->steps, s->step_s, limit, far, ALIKE);
    }
    return true;
}

static double lag_of(const nr_series *s, const char *channel)
{
    const nr_rig_channel *c = nr_rig_channel_find(&s->run->rig, channel);
    return c && c->lag_s > 0 ? c->lag_s : 0;
}

/* Readings of a channel in a step, blanks and bad ones not counted. */
static double readings_a_step(const nr_series *s, nr_role role)
{
    return (double)s->quality->channel[role].good * s->step_s / s->quality->duration_s;
}

/* What drives the model without noise, which acts as an error in the variables: over some minutes,
 * and further where it goes straight. each: readings a step. */
static bool smooth(double *value, size_t steps, double noise, double each, size_t reach,
                   size_t farthest)
{
    double *raw = malloc((steps ? steps : 1) * sizeof(double));
    if (!raw)
        return false;
    memcpy(raw, value, steps * sizeof(double));
    bool good = nr_grid_smooth(value, steps, noise, reach) &&
                nr_grid_calm(raw, value, steps, noise, each, reach, farthest);
    free(raw);
    return good;
}

/* A small flow meter's pulses are coarse: taken as they come, each would be a false change of the
 * outlet temperature, and the estimate would bend the collector to damp it. Real flow changes with
 * the pump's supply, in steps or over minutes. Glass takes minutes to answer the wind, and the cup
 * is not where the collector is. */
static bool smooth_weather(const nr_series *s, nr_grid *g)
{
    double noise = s->quality->channel[NR_ROLE_FLOW].noise;
    double wind_s = nr_series_glazed(&s->run->rig) ? WIND_GLAZED_S : WIND_BARE_S;
    if (g->value[NR_ROLE_WIND] &&
        !nr_grid_smooth(g->value[NR_ROLE_WIND], g->steps, INFINITY, (size_t)(wind_s / s->step_s)))
        return false;
    if (!g->value[NR_ROLE_FLOW] || !(noise > 0))
        return true;
    double each = readings_a_step(s, NR_ROLE_FLOW);
    return smooth(g->value[NR_ROLE_FLOW], g->steps, noise / sqrt(fmax(each, 1)), each,
                  (size_t)(SMOOTH_S / s->step_s), (size_t)(CALM_S / s->step_s));
}

/* A probe's reading as the water that drives. NULL: out of memory. */
static double *driving(const nr_series *s, const nr_grid *g, nr_role role)
{
    double *v = malloc((g->steps ? g->steps : 1) * sizeof(double));
    if (!v)
        return NULL;
    memcpy(v, g->value[role], g->steps * sizeof(double));
    double interval = s->quality->interval_s, noise = s->quality->channel[role].noise;
    double bridge = fmax(BRIDGE_SLOW_S, fmax(BRIDGE_INTERVALS * interval, s->usual_s));
    (void)nr_grid_bridge(v, g->steps, s->step_s, bridge, bridge, 0);
    bool good = true;
    double step = s->quality->channel[role].step;
    if (noise > 0 && interval < PROBE_SMOOTH_S) {
        double each = readings_a_step(s, role), fast = noise / sqrt(fmax(each, 1));
        /* Across the steps of its resolution, too: they are no steps of the water. */
        good = smooth(v, g->steps, step > 0 ? hypot(fast, step / 2) : fast, each,
                      (size_t)(PROBE_SMOOTH_S / s->step_s), (size_t)(PROBE_CALM_S / s->step_s));
    }
    if (good && nr_grid_unlag(v, g->steps, s->step_s, lag_of(s, nr_role_name(role))))
        return v;
    free(v);
    return NULL;
}

static double sky_at(const nr_series *s, const nr_grid *g, size_t k, double tilt)
{
    double air = g->value[NR_ROLE_AIR][k];
    if (s->sky_source == NR_SKY_MEASURED_DEGC)
        return nr_black_W_m2(g->value[NR_ROLE_SKY][k]) - nr_black_W_m2(air);
    if (s->sky_source == NR_SKY_MEASURED_W_M2)
        return g->value[NR_ROLE_SKY][k] - nr_black_W_m2(air);
    double emissivity = NR_USUAL_SKY_EMISSIVITY;
    if (s->sky_source == NR_SKY_FROM_HUMIDITY)
        emissivity = nr_clear_sky_emissivity(nr_dew_point_degC(air, g->value[NR_ROLE_HUMIDITY][k]));
    return nr_net_longwave_W_m2(air, emissivity, tilt);
}

static nr_sky_source source_of(const nr_series *s, const nr_grid *g)
{
    const nr_rig_channel *c = nr_rig_channel_find(&s->run->rig, "sky");
    bool told =
        s->quality->channel[NR_ROLE_SKY].good > 0 || s->quality->channel[NR_ROLE_HUMIDITY].good > 0;
    if (nr_series_glazed(&s->run->rig) && !told)
        return NR_SKY_NOT_USED;
    if (g->value[NR_ROLE_SKY])
        return c && c->unit->dimension == NR_DIM_TEMPERATURE ? NR_SKY_MEASURED_DEGC
                                                             : NR_SKY_MEASURED_W_M2;
    return g->value[NR_ROLE_HUMIDITY] ? NR_SKY_FROM_HUMIDITY : NR_SKY_FROM_AIR;
}

static bool fill_sky(nr_series *s, nr_grid *g)
{
    if (s->sky_source == NR_SKY_UNDECIDED)
        s->sky_source = source_of(s, g);
    if (s->sky_source == NR_SKY_NOT_USED)
        return true;
    const nr_value *stated = &s->run->rig.collector.tilt_deg;
    double tilt = stated->given ? stated->value : NR_USUAL_TILT_DEG, last = NAN;
    g->sky = malloc((g->steps ? g->steps : 1) * sizeof(double));
    for (size_t k = 0; g->sky && k < g->steps; k++) {
        double now = sky_at(s, g, k, tilt);
        if (isnan(now) && !isnan(g->value[NR_ROLE_AIR][k])) /* a hole in the humidity */
            now = isnan(last) ? nr_net_longwave_W_m2(g->value[NR_ROLE_AIR][k],
                                                     NR_USUAL_SKY_EMISSIVITY, tilt)
                              : last;
        g->sky[k] = last = now;
    }
    return g->sky != NULL;
}

/* Share of the irradiance that is diffuse, in place of the diffuse channel; NULL where it is not
 * credible. */
static void settle_diffuse(nr_series *s, nr_grid *g)
{
    double *diffuse = g->value[NR_ROLE_DIFFUSE];
    const double *sun = g->value[NR_ROLE_SUN];
    size_t wrong = 0, bright = 0;
    for (size_t k = 0; diffuse && k < g->steps; k++) {
        if (!(sun[k] > 100) || isnan(diffuse[k]))
            continue;
        bright++;
        wrong += diffuse[k] > CREDIBLE_DIFFUSE * sun[k] || diffuse[k] < 0;
    }
    if (!diffuse || (wrong == 0 && bright > 0))
        return;
    s->diffuse_doubtful = bright > 0;
    free(diffuse);
    g->value[NR_ROLE_DIFFUSE] = NULL;
}

bool nr_grid_prepare(nr_series *s, nr_grid *g)
{
    if (!bridge_all(s, g))
        return false;
    settle_diffuse(s, g);
    if (!smooth_weather(s, g) || !fill_sky(s, g))
        return false;
    double *flow = g->value[NR_ROLE_FLOW];
    if (flow && !nr_grid_unlag(flow, g->steps, s->step_s, lag_of(s, "flow")))
        return false;
    if (!s->can_drive || !g->value[NR_ROLE_INLET] || !g->value[NR_ROLE_OUTLET])
        return true;
    g->inlet = driving(s, g, NR_ROLE_INLET);
    g->outlet = driving(s, g, NR_ROLE_OUTLET);
    return g->inlet && g->outlet;
}

bool nr_series_glazed(const nr_rig *rig)
{
    return nr_glazing_covers(rig->collector.glazing) > 0;
}
