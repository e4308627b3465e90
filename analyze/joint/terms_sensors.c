/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Terms of the sensors. An error belongs to the sensor, not to its role: one probe that is inlet in
 * a run and outlet in another has one offset (family). */
#include "analyze/joint/inside.h"
#include "analyze/physics/clearsky.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Standard uncertainties assumed where rig.ini states none; each use is told to the reader.
 * Typical of unchecked hobby sensors: common practice, no source. */
#define ASSUMED_PROBE_K 0.3
#define ASSUMED_AIR_K 0.5
#define ASSUMED_SUN 0.05

enum { OF_SENSOR, OF_SKY_MODEL, OF_UNSTATED_PLANE };

static const nr_rig_channel *channel_of(const nr_setting *s, const char *name)
{
    return nr_rig_channel_find(&s->piece->series->run->rig, name);
}

/* A sensor whose plane nobody states: a pyranometer that lies flat beside a collector tilted by 21
 * degrees reads 6 % low at noon in June, and no clear-sky model can tell (computed; one that is
 * turned by ten degrees late in the morning is as far off). So much at least; more where the place
 * and the hour make it more (series/other_plane.h). One that is stated to lie flat is further off
 * beside most collectors. Not common practice: a choice of this program. */
#define UNSTATED_PLANE 0.06
#define OTHER_PLANE 0.12

static double with_plane(const nr_series *series, const nr_rig_channel *c, double u)
{
    if (!c || c->law->stated || c->plane == NR_PLANE_COLLECTOR || c->plane == NR_PLANE_BROUGHT)
        return u;
    double unstated = hypot(u, fmax(UNSTATED_PLANE, series->other_plane_gain));
    return c->plane == NR_PLANE_HORIZONTAL ? fmax(u, OTHER_PLANE) : unstated;
}

static double begins_utc_s(const nr_series *series)
{
    nr_values utc = nr_readings_utc(series->run->readings);
    return nr_number(&utc, 0);
}

static bool sun_gain(const nr_setting *s, nr_prior *p)
{
    if (s->piece->series->sun_modelled) {
        /* The sky model's error is the day's, whoever looks up. */
        double day = floor(begins_utc_s(s->piece->series) / 86400);
        snprintf(p->key, sizeof p->key, "sky of day %.0f", day);
        p->u = NR_CLEAR_SKY_U;
        p->stated = true;
        p->variant = OF_SKY_MODEL;
        return true;
    }
    const nr_rig_channel *c = channel_of(s, "sun");
    p->stated = c && !isnan(c->u_gain);
    double u = fmax(p->stated ? c->u_gain : ASSUMED_SUN, 1e-6);
    p->u = with_plane(s->piece->series, c, u);
    p->variant = p->u > u ? OF_UNSTATED_PLANE : OF_SENSOR;
    p->ask = p->u > u && c->plane == NR_PLANE_UNKNOWN ? "plane in [channel sun]" : NULL;
    p->asked_u = u;
    return true;
}

/* The sky between two readings is the sky of everybody who read it then. */
static bool sun_unseen(const nr_setting *s, nr_prior *p)
{
    const nr_series *series = s->piece->series;
    if (!(series->unseen_gain > 0) || nr_piece_shows_sun(s->piece))
        return false;
    snprintf(p->key, sizeof p->key, "sky from %.3f on", begins_utc_s(series));
    p->u = series->unseen_gain;
    p->stated = true; /* by the record */
    return true;
}

static bool sun_offset(const nr_setting *s, nr_prior *p)
{
    const nr_rig_channel *c = channel_of(s, "sun");
    if (s->piece->series->sun_modelled || !c || !(c->u_offset > 0))
        return false;
    p->u = c->u_offset;
    p->stated = true;
    return true;
}

static bool air_offset(const nr_setting *s, nr_prior *p)
{
    const nr_series *series = s->piece->series;
    const nr_rig_channel *c = channel_of(s, "air");
    p->stated = c && !isnan(c->u_offset);
    double u = p->stated ? c->u_offset : ASSUMED_AIR_K;
    if (c && c->u_gain > 0) /* over a test's narrow range a gain error is an offset */
        u = hypot(u, c->u_gain * fabs(isnan(series->mean_air_degC) ? 20 : series->mean_air_degC));
    p->u = fmax(u, 1e-6);
    return true;
}

/* Standard uncertainties of the net long-wave exchange, W/m2. A pyrgeometer 10; an infrared
 * thermometer aimed at the sky sees one patch of it: 4 K, at 5.5 W/(m2 K); the clear-sky emissivity
 * 0.02 to 0.03 of 420 W/m2, then clouds and what stands around, which only raise it; the usual
 * emissivity +-0.06 and the same. Common practice, no source. */
#define PYRGEOMETER_U 10.0
#define SKY_SPOT_U_K 4.0
#define LONG_WAVE_W_M2K 5.5
#define FROM_HUMIDITY_U 18.0
#define FROM_AIR_U 25.0

static bool sky_offset(const nr_setting *s, nr_prior *p)
{
    const nr_rig_channel *c = channel_of(s, "sky");
    bool stated = c && !isnan(c->u_offset);
    if (!s->piece->part->sky_W_m2)
        return false;
    switch (s->piece->series->sky_source) {
    case NR_SKY_MEASURED_DEGC:
        p->u = LONG_WAVE_W_M2K * (stated ? c->u_offset : SKY_SPOT_U_K);
        p->stated = stated;
        break;
    case NR_SKY_MEASURED_W_M2:
        p->u = stated ? c->u_offset : PYRGEOMETER_U;
        p->stated = stated;
        break;
    case NR_SKY_FROM_HUMIDITY:
        p->u = FROM_HUMIDITY_U;
        break;
    default:
        p->u = FROM_AIR_U;
        break;
    }
    p->u = fmax(p->u, 1e-3);
    /* Not measured it is the sky's, whoever stood under it. */
    nr_sky_source source = s->piece->series->sky_source;
    if (source == NR_SKY_FROM_HUMIDITY || source == NR_SKY_FROM_AIR)
        snprintf(p->key, sizeof p->key, "sky over run %zu by %s",
                 nr_joint_first_at(s->joint, s->piece->run),
                 source == NR_SKY_FROM_AIR ? "air" : "humidity");
    return true;
}

/* An air probe that the sun reaches is warmer than the air, by what it absorbs over what a breeze
 * carries off: a naked one by 1 to 4 K in full sun (WMO No. 8, part I, chapter 2, of unshielded
 * thermometers; from memory). In steady sun no test can see it: it is one more constant error of
 * the air. One that nobody said to be shaded is as likely in the sun, with 2 K +- 1, as not, with
 * the 0.2 K that get round every corner: together 1.1 K +- 1.2. The odds are common practice, no
 * source.
 */
#define IN_SUN_K 2.0
#define IN_SUN_U_K 1.0
#define PERHAPS_IN_SUN_K 1.1
#define PERHAPS_IN_SUN_U_K 1.2

static bool sun_on_air(const nr_setting *s, nr_prior *p)
{
    const nr_rig_channel *c = channel_of(s, "air");
    const nr_series *series = s->piece->series;
    bool said = c && c->shaded == NR_SHADED_NO;
    for (size_t r = 0; r < s->joint->runs; r++) { /* the run that tells most of the same probe */
        const nr_series *other = s->joint->series[r];
        const nr_rig_channel *same = nr_rig_channel_find(&other->run->rig, "air");
        if (c && same && c->sensor[0] && !strcmp(c->sensor, same->sensor) &&
            other->air_sun_u_K < series->air_sun_u_K)
            series = other;
    }
    double before = said ? IN_SUN_K : PERHAPS_IN_SUN_K, u = said ? IN_SUN_U_K : PERHAPS_IN_SUN_U_K;
    /* Clouds tell of it (series/air_sun.h): the means of the two, weighted. */
    double told = isfinite(series->air_sun_u_K) ? pow(u / series->air_sun_u_K, 2) : 0;
    p->value = (before + told * fmax(series->air_sun_K, 0)) / (1 + told);
    p->u = u / sqrt(1 + told);
    p->ask = said ? NULL : "shaded in [channel air]";
    if (c && c->shaded != NR_SHADED_YES)
        return true;
    p->value = 0;
    return false;
}

/* A silicon cell's current rises by 0.05 % a kelvin, and it warms by some 10 K; dust, dew and a
 * level that sags do the same. In a plane that is 15 degrees (standard) beside the collector's the
 * ratio of the cosines changes with the sun's 15 degrees an hour by sin(15 deg) * 0.26 an hour.
 * Computed; the angle is common practice, no source. */
#define FADE_U_H 0.003
#define FADE_UNSTATED_U_H 0.05
#define FADE_MOST_U 0.15

static bool sun_fade(const nr_setting *s, nr_prior *p)
{
    const nr_series *series = s->piece->series;
    const nr_rig_channel *c = channel_of(s, "sun");
    if (series->sun_modelled)
        return false;
    bool told = c && c->plane == NR_PLANE_COLLECTOR;
    double hours = (double)s->piece->part->steps * series->step_s / 3600;
    p->u = fmin((told ? FADE_U_H : FADE_UNSTATED_U_H) * fmax(hours, 0.25), FADE_MOST_U);
    bool a_number = c && c->law->stated;
    if (!told && !a_number)
        p->u = hypot(p->u, fmin(series->other_plane_drift, FADE_MOST_U));
    /* A number for the sun on the collector has no plane, but its hour goes up and down as much. */
    p->variant = told ? OF_SENSOR : a_number ? 2 : 1;
    p->ask =
        told || a_number || (c && c->plane != NR_PLANE_UNKNOWN) ? NULL : "plane in [channel sun]";
    char at[40]; /* a sensor's drift is of one record only */
    snprintf(at, sizeof at, " at %.0f", begins_utc_s(series));
    size_t used = strlen(p->key);
    snprintf(p->key + used, sizeof p->key - used, "%s", at);
    return true;
}

/* Of a probe and of how it sits, over a record: the difference of two keeps 0.05 K, as EN ISO 9806
 * asks of a bench's. Bigger things are for the tests of misfit, or the kind of instrument says them
 * (logger/run/instrument.c). A number for a difference of two has nothing in it of what all probes
 * of one converter have in common; so the drifts of two like builds do not lean on each other. */
#define DRIFT_U_K 0.035
/* A thermometer of which nobody says what it is nor how far it drifts: makers of the usual digital
 * ones state +-0.2 K (drift, from memory), rectangular (JCGM 100 4.3.7). One that is known to be
 * off by no more than u_offset does not drift further than that from one test to the next. Drifts
 * of 0.4 K and more of one of the loop's, of 1 K and more of a container's no test sees
 * (bench-power): so they are asked for. In a container it sits free besides: it sinks, comes out of
 * its sleeve, or the layers of a kelvin or two that a warm return builds grow about it, whatever it
 * was off by in a bath. Of one kelvin and two, either alike likely, both rectangular: the root of
 * (1 + 4) / 6 (the kelvins are common practice, no source). */
#define UNSTATED_DRIFT_U_K 0.115
#define UNSTATED_STORE_DRIFT_U_K 0.91
/* Rises of tens of kelvins do not feel less. */
#define STORE_DRIFT_MATTERS_K 0.05

static double usual_drift(const nr_rig_channel *c, double u)
{
    return c && c->u_offset > 0 ? fmin(u, fmax(c->u_offset, DRIFT_U_K)) : u;
}

static bool probe_drift(const nr_setting *s, nr_prior *p, const char *name, const char *ask)
{
    const nr_rig_channel *c = channel_of(s, name);
    p->stated = c && !isnan(c->u_drift);
    p->u = p->stated ? fmax(c->u_drift, 1e-4) : usual_drift(c, UNSTATED_DRIFT_U_K);
    p->ask = p->stated ? NULL : ask;
    p->asked_u = DRIFT_U_K;
    return s->piece->driven;
}

static bool store_drift(const nr_setting *s, nr_prior *p)
{
    const nr_rig_channel *c = channel_of(s, "store");
    p->stated = c && !isnan(c->u_drift);
    p->u = p->stated ? c->u_drift : UNSTATED_STORE_DRIFT_U_K;
    p->ask = p->stated ? NULL : "u_drift in [channel store]";
    p->asked_u = DRIFT_U_K;
    return p->u >= STORE_DRIFT_MATTERS_K && s->piece->fits[NR_OUT_STORE];
}

static bool inlet_drift(const nr_setting *s, nr_prior *p)
{
    return probe_drift(s, p, "inlet", "u_drift in [channel inlet]");
}

static bool outlet_drift(const nr_setting *s, nr_prior *p)
{
    return probe_drift(s, p, "outlet", "u_drift in [channel outlet]");
}

/* Probes that drive, and those that are fitted. */
static bool acts(const nr_setting *s, int out)
{
    return s->piece->fits[out] || (s->piece->driven && out != NR_OUT_STORE);
}

static bool probe_offset(const nr_setting *s, nr_prior *p, int out, const char *name)
{
    if (!acts(s, out))
        return false;
    const nr_rig_channel *c = channel_of(s, name);
    p->stated = c && !isnan(c->u_offset);
    p->u = fmax(p->stated ? c->u_offset : ASSUMED_PROBE_K, 1e-4);
    return true;
}

static bool probe_gain(const nr_setting *s, nr_prior *p, int out, const char *name)
{
    const nr_rig_channel *c = channel_of(s, name);
    if (!acts(s, out) || !c || !(c->u_gain > 0))
        return false;
    p->u = c->u_gain;
    p->stated = true;
    return true;
}

static bool offset_store(const nr_setting *s, nr_prior *p)
{
    return probe_offset(s, p, NR_OUT_STORE, "store");
}

static bool offset_inlet(const nr_setting *s, nr_prior *p)
{
    return probe_offset(s, p, NR_OUT_INLET, "inlet");
}

static bool offset_outlet(const nr_setting *s, nr_prior *p)
{
    return probe_offset(s, p, NR_OUT_OUTLET, "outlet");
}

static bool gain_store(const nr_setting *s, nr_prior *p)
{
    return probe_gain(s, p, NR_OUT_STORE, "store");
}

static bool gain_inlet(const nr_setting *s, nr_prior *p)
{
    return probe_gain(s, p, NR_OUT_INLET, "inlet");
}

static bool gain_outlet(const nr_setting *s, nr_prior *p)
{
    return probe_gain(s, p, NR_OUT_OUTLET, "outlet");
}

/* The gain scales what the optical gain scales, the other way, and what is not in proportion with
 * it: so that the efficiency is that of the sun there was, not of a nominal one. */
static double sun_gain_chain(const nr_chain *c)
{
    const nr_loop_params *q = c->params;
    return -(q->optical * c->dyn[NR_DYN_OPTICAL] + q->aside_W_m2 * c->dyn[NR_DYN_ASIDE]) /
           (1 + q->sun_gain);
}

static void sun_gain_enters(const nr_piece *piece, double value, nr_loop_params *q)
{
    (void)piece;
    q->sun_gain = value;
}

static void sun_unseen_enters(const nr_piece *piece, double value, nr_loop_params *q)
{
    (void)piece;
    q->sun_gain += value; /* after the sensor's own, see term.h */
}

#define OF_A_PROBE(word) word, "K", "K", .scope = NR_OF_SENSOR
#define PROBE_GAIN(word) word, "", "", .scope = NR_OF_SENSOR

const nr_term_row nr_sensor_terms[] = {
    {NR_TERM_SUN_GAIN,
     "sun-gain",
     {"irradiance sensor, gain", "clear-sky model", "irradiance sensor, plane not stated"},
     "sun",
     "",
     "",
     .scope = NR_OF_SENSOR,
     .family = NR_TERM_SUN_GAIN,
     .surprises = true,
     .input = true,
     .prior = sun_gain,
     .enter = sun_gain_enters,
     .chain = sun_gain_chain},
    {NR_TERM_SUN_UNSEEN,
     "sun-unseen",
     {"irradiance between its readings"},
     "sun",
     "",
     "",
     .scope = NR_OF_RUN,
     .family = NR_TERM_SUN_UNSEEN,
     .prior = sun_unseen,
     .enter = sun_unseen_enters,
     .chain = sun_gain_chain},
    {NR_TERM_SUN_OFFSET,
     "sun-offset",
     {"irradiance sensor, offset"},
     "sun",
     "W/m2",
     "W/m2",
     .scope = NR_OF_SENSOR,
     .family = NR_TERM_SUN_OFFSET,
     .surprises = true,
     .input = true,
     .prior = sun_offset,
     NR_MEMBER(sun_offset_W_m2),
     .dyn = NR_DYN_SUN_OFFSET},
    {NR_TERM_AIR_OFFSET,
     "air-offset",
     {"air sensor, offset"},
     OF_A_PROBE("air"),
     .family = NR_TERM_AIR_OFFSET,
     .surprises = true,
     .input = true,
     .prior = air_offset,
     NR_MEMBER(air_offset_K),
     .dyn = NR_DYN_AIR_OFFSET},
    {NR_TERM_SKY_OFFSET,
     "sky-offset",
     {"long-wave exchange with the sky, as taken"},
     "sky",
     "W/m2",
     "W/m2",
     .scope = NR_OF_SENSOR,
     .family = NR_TERM_SKY_OFFSET,
     .surprises = true,
     .input = true,
     .prior = sky_offset,
     NR_MEMBER(sky_offset_W_m2),
     .dyn = NR_DYN_SKY_OFFSET},
    /* Offset and gain of a probe act on its own reading (evaluate.c), and where probes drive the
     * model on what they drive. */
    {NR_TERM_OFFSET_STORE,
     "store-offset",
     {"store sensor, offset"},
     OF_A_PROBE("store"),
     .family = NR_TERM_OFFSET_STORE,
     .surprises = true,
     .input = true,
     .prior = offset_store},
    {NR_TERM_OFFSET_INLET,
     "inlet-offset",
     {"inlet sensor, offset"},
     OF_A_PROBE("inlet"),
     .family = NR_TERM_OFFSET_STORE,
     .surprises = true,
     .input = true,
     .prior = offset_inlet,
     NR_MEMBER(inlet_offset_K),
     .dyn = NR_DYN_INLET_OFFSET},
    {NR_TERM_OFFSET_OUTLET,
     "outlet-offset",
     {"outlet sensor, offset"},
     OF_A_PROBE("outlet"),
     .family = NR_TERM_OFFSET_STORE,
     .surprises = true,
     .input = true,
     .prior = offset_outlet,
     NR_MEMBER(outlet_offset_K),
     .dyn = NR_DYN_OUTLET_OFFSET},
    {NR_TERM_GAIN_STORE,
     "store-gain",
     {"store sensor, gain"},
     PROBE_GAIN("store"),
     .family = NR_TERM_GAIN_STORE,
     .surprises = true,
     .input = true,
     .prior = gain_store},
    {NR_TERM_GAIN_INLET,
     "inlet-gain",
     {"inlet sensor, gain"},
     PROBE_GAIN("inlet"),
     .family = NR_TERM_GAIN_STORE,
     .surprises = true,
     .input = true,
     .prior = gain_inlet,
     NR_MEMBER(inlet_gain),
     .dyn = NR_DYN_INLET_GAIN},
    {NR_TERM_GAIN_OUTLET,
     "outlet-gain",
     {"outlet sensor, gain"},
     PROBE_GAIN("outlet"),
     .family = NR_TERM_GAIN_STORE,
     .surprises = true,
     .input = true,
     .prior = gain_outlet,
     NR_MEMBER(outlet_gain),
     .dyn = NR_DYN_OUTLET_GAIN},
    {NR_TERM_SUN_FADE,
     "sun-fade",
     {"irradiance sensor, drift", "irradiance sensor, drift (plane not stated)",
      "sun, stated as a constant: its course"},
     "sun",
     "",
     "",
     .scope = NR_OF_SENSOR,
     .family = NR_TERM_SUN_FADE,
     .surprises = true,
     .prior = sun_fade,
     NR_MEMBER(sun_fade),
     .dyn = NR_DYN_SUN_FADE},
    {NR_TERM_SUN_ON_AIR,
     "sun-on-air",
     {"sun on the air sensor"},
     OF_A_PROBE("air"),
     .family = NR_TERM_SUN_ON_AIR,
     .surprises = true,
     .input = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_TESTED,
     .prior = sun_on_air,
     NR_MEMBER(sun_on_air_K),
     .dyn = NR_DYN_SUN_ON_AIR},
    {NR_TERM_DRIFT_INLET,
     "inlet-drift",
     {"inlet sensor, drift"},
     "inlet",
     "K",
     "K",
     .scope = NR_OF_RUN,
     .family = NR_TERM_DRIFT_INLET,
     .surprises = true,
     .prior = inlet_drift,
     NR_MEMBER(inlet_drift_K),
     .dyn = NR_DYN_INLET_DRIFT},
    {NR_TERM_DRIFT_OUTLET,
     "outlet-drift",
     {"outlet sensor, drift"},
     "outlet",
     "K",
     "K",
     .scope = NR_OF_RUN,
     .family = NR_TERM_DRIFT_OUTLET,
     .surprises = true,
     .prior = outlet_drift,
     NR_MEMBER(outlet_drift_K),
     .dyn = NR_DYN_OUTLET_DRIFT},
    {NR_TERM_DRIFT_STORE,
     "store-drift",
     {"store sensor, drift"},
     "store",
     "K",
     "K",
     .scope = NR_OF_RUN,
     .family = NR_TERM_DRIFT_STORE,
     .surprises = true,
     .prior = store_drift},
};
const size_t nr_sensor_terms_count = sizeof nr_sensor_terms / sizeof nr_sensor_terms[0];
