/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One test as a builder runs it: a heater, its sensors with errors drawn from what is stated of
 * them, what goes wrong, and the run folder that comes of it. */
#ifndef NR_ADVERSITY_RECORD_H
#define NR_ADVERSITY_RECORD_H

#include "tests/adversity/truth.h"

typedef enum ad_channel {
    AD_STORE,
    AD_INLET,
    AD_OUTLET,
    AD_AIR,
    AD_SUN,
    AD_FLOW,
    AD_WIND,
    AD_PUMP,
    AD_CHANNELS
} ad_channel;

/* A sensor: what the rig file says of it, how it really is, and what happens to it. */
typedef struct ad_sensor {
    bool recorded;
    double u_offset, u_gain; /* stated */
    double offset, gain;     /* true, drawn from them */
    double lag_s, stated_lag_s, noise, resolution;
    double slow;                            /* slow wander, standard deviation (300 s) */
    double drift;                           /* from nothing to this at the end, linear */
    double jump, jump_s;                    /* from jump_s on */
    double fade;                            /* relative, linear from nothing to this */
    double late_s;                          /* its clock is behind by this */
    double ceiling;                         /* saturates; 0: never */
    double cover, cover_from_s, cover_to_s; /* factor while covered */
    double to_air, from_sun_K; /* share of the air's temperature in it; K in 1000 W/m2 */
} ad_sensor;

typedef enum ad_inlet { AD_FROM_STORE, AD_CONDITIONED, AD_MAINS } ad_inlet;

typedef struct ad_case {
    ad_heater heater;
    ad_store store;
    ad_day day;
    ad_plane collector, sensor, stated;
    ad_sensor channel[AD_CHANNELS];
    double water_degC, flow_L_min;
    bool panel_pump;
    double bubbles;            /* the meter reads this much too high from bubbles_s on */
    double bubbles_s, airlock; /* factor on the flow from then on */
    ad_inlet inlet;
    double draw_kg, draw_s, draw_for_s; /* negative: added, at added_degC */
    double added_degC;
    double dew, dew_s;           /* share of the light kept off at first; e-folding time */
    bool say_dew, say_dry;       /* that it was wet, that it was not */
    bool say_drift, say_weighed; /* u_drift of the probes, water_end_kg */
    double shadow, shadow_from_s, shadow_to_s; /* on the collector alone */
    double interval_s, jitter_s, spread;       /* rows: mean spacing; jitter; 0..1 uneven */
    bool store_in_degF;
    bool swapped; /* inlet and outlet plugged crosswise */
    /* what the rig file says */
    double area_said, water_said, fluid_said, capacity_said, loss_said; /* NAN: not said */
    double u_capacity;
    bool lid_said, lid;
    bool say_back, say_plane, say_pump; /* keys of the second edition */
    bool say_flat;                      /* plane = horizontal instead */
    bool say_shaded;                    /* of the air probe; in every other record */
    bool clear_sky;                     /* asked for, no irradiance recorded */
} ad_case;

/* What the truth is to be held against: conditions over the sunny, pumped time. */
typedef struct ad_truth {
    ad_input mean;
} ad_truth;

/* Simulates and writes FOLDER/rig.ini, readings.csv, notes.csv. plain: only keys that the first
 * edition knows. False when the disk refuses. */
bool ad_record(const ad_case *c, gsl_rng *rng, const char *folder, bool plain, ad_truth *truth);

#endif
