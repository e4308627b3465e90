/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The truth of the adversity benchmark: heater, container and weather of its own, written apart
 * from the fitted model and from the virtual rig. What differs on purpose: radiation goes with the
 * fourth power, a pane has heat and carries it by another law, a board behind the absorber is a
 * slab, the sky is colder than the air, wind has gusts and a slow part, water evaporates by a
 * mass-transfer analogy, the container is a stack of layers, the pump heats the water.
 *
 * SI; temperatures degC; angles degrees. Nothing here is allocated except the weather. */
#ifndef NR_ADVERSITY_TRUTH_H
#define NR_ADVERSITY_TRUTH_H

#include <gsl/gsl_rng.h>
#include <stdbool.h>
#include <stddef.h>

#define AD_STRIPS 14
#define AD_LAYERS 5
#define AD_BOARD 3

typedef struct ad_heater {
    bool glazed;
    double area_m2;
    double optical;        /* transmittance times absorptance, perpendicular */
    double b0;             /* incidence modifier of the beam */
    double emittance;      /* of the absorber, long-wave */
    double absorber_J_m2K; /* plate and tube */
    double cover_J_m2K, cover_absorbs;
    double bond_W_m2K; /* plate to water */
    double fluid_kg;
    double board_J_m2K, board_W_m2K; /* slab behind: heat, conductance through it */
    double gap_W_m2K;                /* absorber to the slab */
    double wind0, wind1;             /* outer film: W/(m2 K) and per m/s */
} ad_heater;

typedef struct ad_store {
    double water_kg, dry_J_K;
    double loss_W_K, hose_W_K;
    double opening_m2; /* of open water; 0: a lid */
    double mix_W_K;    /* between neighbouring layers */
    double pump_W;
    double probe_height; /* 0 bottom .. 1 top */
} ad_store;

/* What may change during a test. All times since its start. */
typedef struct ad_weather {
    size_t seconds;
    double *beam_W_m2, *diffuse_W_m2; /* [seconds] in the collector's plane */
    double *cosine;                   /* [seconds] of the beam's incidence on the collector */
    double *sensed_W_m2;              /* [seconds] in the irradiance sensor's plane */
    double *air_degC, *wind_m_s, *sky_degC;
} ad_weather;

typedef struct ad_plane {
    double tilt_deg, azimuth_deg;
} ad_plane;

typedef enum ad_sky { AD_CLEAR, AD_CLOUDS, AD_BROKEN } ad_sky;

typedef struct ad_day {
    double latitude_deg, longitude_deg, humidity;
    double start_utc_s;
    double seconds;
    ad_sky sky;
    double turbidity; /* transmittance of one air mass */
    double air_degC, air_rise_K;
    double wind_m_s, wind_trend; /* mean; relative change from first to last */
    double gust_share, gust_s;   /* of the mean, standard deviation; memory */
    double sky_below_K;          /* the sky's long-wave temperature below the air's */
    double turns_every_s;        /* the collector is re-aimed at the sun; 0: it stands */
} ad_day;

/* The sun seen from a place: altitude and azimuth, degrees. Spencer's series (1971). */
void ad_sun(double utc_s, double latitude_deg, double longitude_deg, double *altitude,
            double *azimuth);

bool ad_weather_draw(const ad_day *day, ad_plane collector, ad_plane sensor, gsl_rng *rng,
                     ad_weather *out);
void ad_weather_free(ad_weather *w);

typedef struct ad_state {
    double plate[AD_STRIPS], fluid[AD_STRIPS], cover[AD_STRIPS], board[AD_STRIPS][AD_BOARD];
    double layer[AD_LAYERS];
    double supply, back; /* hoses */
    double water_kg;     /* now in the container */
} ad_state;

/* What acts during one step. */
typedef struct ad_input {
    double absorbed_share; /* of the irradiance, before the optical gain: modifier, dew, shadow */
    double sun_W_m2, air_degC, wind_m_s, sky_degC, humidity;
    double flow_kg_s;
    bool own_inlet; /* the water that enters comes from elsewhere ... */
    double inlet_degC;
} ad_input;

void ad_start(const ad_heater *h, const ad_store *s, double water_degC, double air_degC,
              ad_state *x);
void ad_step(const ad_heater *h, const ad_store *s, const ad_input *in, double dt_s, ad_state *x);
double ad_store_at(const ad_store *s, const ad_state *x, double height);

/* Efficiency at rest for water entering at inlet_degC; *outlet may be NULL. */
double ad_efficiency(const ad_heater *h, const ad_input *in, double inlet_degC, double *outlet);
/* The same by the reduced temperature difference x, of the inlet or of the mean water; with the
 * container: its loss and evaporation at that temperature taken off. */
double ad_curve(const ad_heater *h, const ad_store *s, const ad_input *in, double x, bool mean,
                bool with_container);

double ad_modifier(const ad_heater *h, double cosine);
/* Heat carried away by evaporation, W. */
double ad_evaporation_W(double opening_m2, double water_degC, double air_degC, double humidity,
                        double wind_m_s);
double ad_density_kg_L(double degC);

#define AD_CP 4181.0 /* J/(kg K), water between 15 and 60 degC within 0.1 % */

#endif
