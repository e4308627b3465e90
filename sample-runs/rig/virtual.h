/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The virtual rig: a solar water heater that does not exist, and the instruments on it.
 *
 * For whom: anyone without hardware (the demo, the sample runs), the end-to-end tests (through the
 * program `virtual-rig`), and the coverage benchmark, which judges the analyzer: it simulates a run
 * with known truth, fits it, and asks whether the truth lies in the stated interval.
 *
 * Therefore its physics is its own. Nothing here may call the analyzer, and the model differs from
 * the fitted one on purpose: more segments, a glass with its own heat capacity, losses that bend
 * with temperature and wind, a bond that depends on flow, a store with two nodes, pipes.
 *
 * Data flows: params (what the builder thinks he has) -> device (what he really has: drawn) ->
 * simulated test -> run (rig.ini, readings, notes as a logger would have left them).
 *
 * No globals, no hidden state: the same params give the same run, bit by bit.
 */
#ifndef NR_VIRTUAL_H
#define NR_VIRTUAL_H

#include "logger/base/err.h"
#include "logger/run/folder.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

/* One incompressible fluid: heat capacity of water, constant on purpose (real water varies by
 * 0.2 % between 15 and 60 degC), so that the energy ledger closes exactly. J/(kg K) */
#define NR_VIRTUAL_CP 4181.0

/* What stands in the garden. Every number is the true one. Areas are gross areas. */
typedef struct nr_virtual_device {
    double area_m2;
    double optical;      /* absorbed share of the irradiance at normal incidence, 0..1 */
    double iam_b0;       /* absorbed share falls by 1 - b0 (1/cos - 1) */
    double absorber_J_K; /* dry heat capacity of absorber, coil and what is warmed with them */
    double fluid_kg;     /* water in the coil */
    double bond_W_K;     /* absorber to fluid, whole collector, at bond_flow_L_min */
    double bond_flow_L_min, bond_exponent; /* bond ~ (flow / bond_flow_L_min) ^ bond_exponent */

    /* Loss from the absorber straight to the air: u0 + u1 |dT| + uwind w, W/(m2 K), w in m/s.
     * Bare: all of the loss. Glazed: back and edges. */
    double u0, u1, uwind;
    /* Glass: absorber to glass gap0 + gap1 |dT|, glass to air cover0 + coverwind w, W/(m2 K). */
    bool cover;
    double gap0, gap1, cover0, coverwind;
    double cover_J_K; /* heat capacity of the whole pane */

    double water_kg, store_dry_J_K;
    double store_loss_W_K;
    /* Stirring between top and bottom half of the store: mixing_W_K always, and mixing_flow times
     * the loop's heat capacity flow (the return jet). */
    double mixing_W_K, mixing_flow;
    double pipe_kg, pipe_loss_W_K; /* each of the two pipes; water inside it and its loss */
    double pump_heat_W;            /* heat the running pump leaves in the water */
} nr_virtual_device;

typedef enum nr_virtual_sky {
    NR_SKY_CLEAR,  /* the smooth curve of a cloudless day, few W/m2 of noise */
    NR_SKY_CLOUDY, /* clouds come and go at random, each takes 10-70 % */
    NR_SKY_BROKEN, /* dense clouds, 40-85 %: what stalls a pump on its own panel */
    NR_SKY_STEADY  /* params.steady_sun_W_m2 at all times, no noise, normal incidence: for checks */
} nr_virtual_sky;

typedef enum nr_virtual_pump {
    NR_PUMP_STEADY, /* mains or battery: flow_L_min but for a slow 1 % wander */
    NR_PUMP_PANEL,  /* on its own photovoltaic panel: flow rises with the sun, stalls, restarts */
    NR_PUMP_OFF     /* never runs: a cool-down */
} nr_virtual_pump;

typedef enum nr_virtual_channel {
    NR_VC_STORE,
    NR_VC_INLET,
    NR_VC_OUTLET,
    NR_VC_AIR,
    NR_VC_SUN,
    NR_VC_FLOW,
    NR_VC_WIND,
    NR_VC_PUMP,
    NR_VC_BOX,
    NR_VC_COUNT
} nr_virtual_channel;

#define NR_VC_BIT(channel) (1u << (channel))
/* store, air, sun: the least a test can do with */
#define NR_VC_STORE_SET (NR_VC_BIT(NR_VC_STORE) | NR_VC_BIT(NR_VC_AIR) | NR_VC_BIT(NR_VC_SUN))
#define NR_VC_LOOP_SET                                                                             \
    (NR_VC_STORE_SET | NR_VC_BIT(NR_VC_INLET) | NR_VC_BIT(NR_VC_OUTLET) | NR_VC_BIT(NR_VC_FLOW))

/* An instrument. Its constant errors are drawn once from (rig_seed, identity): two runs that share
 * rig_seed and identity share the very instrument. Noise is drawn from (day_seed, identity). */
typedef struct nr_virtual_sensor {
    char identity[NR_NAME]; /* written to rig.ini as `sensor`; "" = "<build>-<channel>" */
    double u_offset;        /* standard deviation of the constant error, channel unit */
    double u_gain;          /* standard deviation of the relative error */
    double lag_s;           /* time constant; exactly as stated */
    double noise;           /* standard deviation a sample, channel unit */
    double step;            /* quantisation, channel unit; 0 = none */
    double u_drift;         /* standard deviation of its change from first to last, channel unit */
    bool exact;             /* true: no constant error is drawn (the stated ones still are) */
} nr_virtual_sensor;

typedef struct nr_virtual_params {
    /* -- identity and chance */
    char build[NR_NAME]; /* collector name; also the identity of its parts */
    char title[256];
    unsigned long rig_seed; /* which actual masses, capacities and sensor errors */
    unsigned long day_seed; /* which clouds, gusts and sensor noise */

    /* -- what the builder believes and writes into rig.ini, and how sure he is (relative standard
     * uncertainties). The actual device is stated * (1 + u N(0,1)). */
    nr_virtual_device stated;
    double u_area, u_water, u_absorber, u_fluid, u_store_dry;
    bool exact_device;     /* true: the device is exactly as stated */
    bool state_store_loss; /* give loss_W_K in rig.ini, with u_store_loss (relative, drawn too) */
    double u_store_loss;
    double tube_length_m, tube_bore_mm;

    /* -- site, plane, day */
    bool hide_site; /* rig.ini does not say where: for recordings made on a day that is
                       not the simulated one */
    double latitude_deg, longitude_deg, elevation_m;
    double tilt_deg, azimuth_deg; /* clockwise from north */
    double start_utc_s;           /* seconds since 1970 */
    nr_virtual_sky sky;
    double clearness;       /* scales the clear-sky irradiance */
    double steady_sun_W_m2; /* NR_SKY_STEADY only */
    double air_degC, air_rise_K_h, air_noise_K;
    double wind_m_s, wind_noise_m_s; /* mean and standard deviation; not below 0.05 m/s */

    /* -- the test */
    double duration_s, interval_s;
    double store_above_air_K;     /* start temperature of store and pipes, relative to air_degC */
    double collector_above_air_K; /* start temperature of absorber, glass and fluid */
    nr_virtual_pump pump;
    double flow_L_min; /* steady flow; with a panel: the flow at 900 W/m2 */
    double panel_start_W_m2, panel_stall_W_m2;
    double pump_stop_s, pump_restart_s; /* somebody switches it off and on; NAN = never */
    unsigned channels;                  /* NR_VC_BIT(...) or the sets above */
    nr_virtual_sensor sensor[NR_VC_COUNT];

    /* -- how the adapter speaks (written to rig.ini; used by `virtual-rig serve`) */
    char port[256];
    nr_line_format line;
    char separator;
    nr_checksum checksum;
    nr_clock_kind clock;
} nr_virtual_params;

/* Defaults: two builds of a wash-stand heater, the reference set of sensors, a clear late morning
 * in May, 90 minutes at 1 Hz from a store 4 K below the air, loop channels, steady pump.
 * "wash-stand-glazed": coil in a black box under one pane; "wash-stand-bare": the same without. */
nr_virtual_params nr_virtual_glazed(void);
nr_virtual_params nr_virtual_bare(void);

/* Turns p into a broken-cloud day with the pump on its own panel. */
void nr_virtual_stall_day(nr_virtual_params *p);

/* The device that these params stand for: stated values and the errors drawn from rig_seed. */
nr_virtual_device nr_virtual_actual(const nr_virtual_params *p);

/* The constant errors of a sensor: reading = (1 + gain) truth + offset. */
void nr_virtual_sensor_error(const nr_virtual_params *p, nr_virtual_channel channel, double *offset,
                             double *gain);

const char *nr_virtual_channel_name(nr_virtual_channel channel);

/* The whole of p checked: NR_BAD with the reason (a negative mass, no store channel ...). */
nr_code nr_virtual_check(const nr_virtual_params *p, nr_err *err);

/* -- a simulated test */

/* Where the energy of the whole run went, J. sun = irradiance on the gross area; absorbed =
 * sun * optical * K(theta). absorbed + pump = water + dry + collector + pipes (all stored) +
 * collector_loss + store_loss + pipe_loss, to rounding. */
typedef struct nr_virtual_ledger {
    double sun, absorbed, pump;
    double water, dry, collector, pipes;
    double collector_loss, store_loss, pipe_loss;
} nr_virtual_ledger;

typedef struct nr_virtual_conditions {
    double sun_W_m2; /* in the collector plane */
    double air_degC, wind_m_s, flow_L_min;
} nr_virtual_conditions;

typedef struct nr_virtual_run {
    nr_run run; /* as nr_run_open_builds would have given it, but that all memory is owned by this
                   struct: never nr_run_free(&x->run) */
    nr_virtual_device device;
    nr_virtual_ledger ledger;
    nr_virtual_conditions mean; /* over the run; flow over the time the pump ran */
    double running_share;       /* of the time the pump ran */
    double incidence_lo_deg, incidence_hi_deg;
    double reduced_lo, reduced_hi; /* (inlet - air)/sun met while the pump ran and sun > 100 W/m2 */
    double *true_store_degC;       /* [rows] mean of the store */
} nr_virtual_run;

/* Simulates. Free with nr_virtual_run_free. */
nr_code nr_virtual_simulate(const nr_virtual_params *p, nr_virtual_run **out, nr_err *err);
void nr_virtual_run_free(nr_virtual_run *run);

/* rig.ini as the builder would write it; malloc'd text, NULL when out of memory. */
char *nr_virtual_rig_text(const nr_virtual_params *p);

/* The same of count collectors on one adapter: each its [collector NAME] and [store NAME], its own
 * channels as CHANNEL_NAME (without what all names begin with); what is shared as of the first. */
char *nr_virtual_rigs_text(const nr_virtual_params *p, size_t count);

/* Whether one instrument serves all that stand side by side: air, sun, wind. */
bool nr_virtual_is_shared(nr_virtual_channel channel);

/* Writes rig.ini, readings.csv and notes.csv into a new folder, which must not exist. (There is no
 * adapter.log: nothing came over a wire.) On failure nothing is left behind. */
nr_code nr_virtual_write_folder(const nr_run *run, const char *rig_text, const char *folder,
                                nr_err *err);

/* -- the truth to compare with */

typedef struct nr_virtual_point {
    double inlet_degC, outlet_degC;
    double eta;           /* useful heat / (irradiance * gross area), normal incidence */
    double absorber_degC; /* mean */
} nr_virtual_point;

typedef enum nr_virtual_basis { NR_BASIS_INLET, NR_BASIS_MEAN } nr_virtual_basis;

/* The model's own steady state at reduced temperature difference x = (T* - air)/sun, m2 K/W;
 * T* = fluid inlet, or (inlet + outlet)/2. with_store: the container's loss (and the pipes') at T*
 * is taken off, as a fit of store, air and sun alone sees it. sun, flow > 0. */
nr_virtual_point nr_virtual_steady(const nr_virtual_device *d, const nr_virtual_conditions *c,
                                   double x, nr_virtual_basis basis, bool with_store);

/* Mean absorber temperature over air with no flow, K: dry stagnation at these conditions. */
double nr_virtual_stagnation_K(const nr_virtual_device *d, const nr_virtual_conditions *c);

/* Time for the store (mean of its halves) to go from from_degC to to_degC on another day under
 * constant conditions, normal incidence, pump running; collector and pipes start at from_degC.
 * water_kg NAN = the device's own. NAN when not reached in limit_s. */
double nr_virtual_heat_up_s(const nr_virtual_device *d, const nr_virtual_conditions *c,
                            double water_kg, double from_degC, double to_degC, double limit_s);

/* The reference day of the demo: heating the stated mass of water from 15 to 40 degC in 900 W/m2,
 * air at 20 degC, 1.5 m/s of wind, the stated flow. */
#define NR_VIRTUAL_DAY_FROM_DEGC 15.0
#define NR_VIRTUAL_DAY_TO_DEGC 40.0
/* Truth in one sentence for people: eta0 and a1 on the mean basis, heat-up on the reference day. */
nr_code nr_virtual_truth_sentence(const nr_virtual_run *run, const nr_virtual_params *p, FILE *to,
                                  nr_err *err);

/* Truth as one JSON object (device, conditions, curves, stagnation, ledger, sensor errors). */
nr_code nr_virtual_truth_json(const nr_virtual_run *run, const nr_virtual_params *p, FILE *to,
                              nr_err *err);

#endif
