/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The segmented collector and its store: a heat-up run simulated from its weather, with the exact
 * derivative of every predicted reading to every parameter.
 *
 *      sun                air
 *       |                  |          one of NR_SEGMENTS along the tube:
 *    [absorber] - [cover] -+            C da/dt  = g K G - Ui (a - c) - h (a - f)     per m2
 *       | exchange h                    Cc dc/dt = Ui (a - c) - Uo (c - Ta)
 *    [fluid] --W--> next ...            Cf df/dt = h (a - f) + W (f_before - f)
 *        ... --> outlet --> [store]     Cs dT/dt = W (outlet - T) - UAs (T - Ta)
 *
 * A store that is not well mixed hands out water that lies D below its mean: D follows layers times
 * (outlet - T) within minutes, and the tube begins at T - D.
 *
 * Where inlet and flow are measured they drive the collector instead: the tube begins at what the
 * inlet says, whatever the container does, and the container is a balance of its own that is fed
 * the heat that flow and probes say. A bare absorber also exchanges long-wave radiation with the
 * sky: its share times the net exchange at air temperature (ISO 9806, term c4).
 *
 * The loss U from absorber to air passes the cover: 1/U = 1/Ui + 1/Uo. A pane stores as much heat
 * as the absorber and follows it in some five minutes; without it every cloud and every start
 * would be read as a change of the loss. Without glazing Cc = 0 and only U remains.
 *
 * Behind the absorber stands a board that warms slowly, over the air of a gap: to the absorber it
 * is a resistance to a heat of its own, without a way out, for its steady loss is part of U. With
 * the gap's conductance g, the board's heat C and u from the board to the outside, the absorber
 * sees g^2/(g + u) in series with C (g/(g + u))^2 (the admittance of the three, less its value at
 * rest).
 *
 * The container also gets what the pump draws, and open water loses by its vapour; its mass may
 * have become less by the end, evenly. Readings may fade or drift evenly from the first step to the
 * last.
 *
 * W = mass flow times specific heat. Backward Euler: the sweep along the tube is a chain of 2 x 2
 * systems, unconditionally stable for any flow, so the step may be chosen by the weather alone.
 * What passes a tube is spread by it over the root of transit times step, though, a front of some
 * seconds over ten; where the flow varies with the sun, water that stays longer in weak sun is then
 * late by more, and that looks like probes that differ. So a driven tube can be stepped in two
 * stages (two_stages), each of which is such a chain: second order.
 * The tangents solve the same systems with other right-hand sides; they are exact for the
 * discretised model.
 */
#ifndef NR_MODEL_LOOP_H
#define NR_MODEL_LOOP_H

#include <stdbool.h>
#include <stddef.h>

#define NR_SEGMENTS 8
/* U/Uo: how much of the resistance to the air lies outside the cover. One pane: gap about 7, wind
 * about 11 W/(m2 K). Common practice, no source; the steady state does not depend on it. */
#define NR_COVER_SHARE 0.4

/* Board of the back to the air outside, W/(m2 K): still air behind a box, half of the board itself
 * (ISO 6946: 25 to 8 W/(m2 K) for surfaces outdoors and in; plywood of 9 mm 14). */
#define NR_BACK_OUTSIDE_W_M2K 7.0

/* Parameters the simulation is differentiated to. LN: the tangent is to the natural logarithm. */
enum {
    NR_DYN_OPTICAL,
    NR_DYN_LOSS,
    NR_DYN_LOSS2,
    NR_DYN_WIND,
    NR_DYN_LN_EXCHANGE,
    NR_DYN_LN_CAPACITY,
    NR_DYN_LN_FLUID,
    NR_DYN_STORE_LOSS,
    NR_DYN_LN_STORE,
    NR_DYN_SUN_OFFSET,
    NR_DYN_AIR_OFFSET,
    NR_DYN_LN_FLOW,
    NR_DYN_FLOW_EXPONENT,
    NR_DYN_LAYERS,
    NR_DYN_B0,
    NR_DYN_LN_COVER,
    NR_DYN_T_STORE,
    NR_DYN_T_COLLECTOR,
    NR_DYN_WIND_GAIN,
    NR_DYN_SKY,
    NR_DYN_SKY_OFFSET,
    NR_DYN_INLET_OFFSET,
    NR_DYN_INLET_GAIN,
    NR_DYN_OUTLET_OFFSET,
    NR_DYN_OUTLET_GAIN,
    NR_DYN_PUMP,
    NR_DYN_OPENING,
    NR_DYN_HUMIDITY,
    NR_DYN_LOST,
    NR_DYN_LN_BACK,
    NR_DYN_LN_GAP,
    NR_DYN_SUN_ON_AIR,
    NR_DYN_SUN_FADE,
    NR_DYN_LOSS_TREND,
    NR_DYN_INLET_DRIFT,
    NR_DYN_OUTLET_DRIFT,
    NR_DYN_ASIDE,
    NR_DYN_DEW,
    NR_DYN_LN_DRIES,
    NR_DYN_USED,
    NR_DYN_COUNT = NR_DYN_USED / 4 * 4 + 4 /* vectorised by fours; at least one to spare */
};

typedef struct nr_loop_params {
    double area_m2;        /* gross */
    double optical;        /* absorbed fraction of the irradiance, normal incidence */
    double loss_W_m2K;     /* absorber to air, at zero difference and the mean wind */
    double loss2_W_m2K2;   /* its rise per kelvin of difference */
    double wind_Ws_m3K;    /* its rise per m/s of wind above the mean, W/(m2 K)/(m/s) */
    double exchange_W_m2K; /* absorber to fluid */
    double capacity_J_m2K; /* absorber and what moves with it */
    double cover_J_m2K;    /* glazing; 0: none */
    double fluid_J_K;      /* fluid in the collector */
    double store_J_K;      /* water and container */
    double store_loss_W_K;
    double sun_offset_W_m2; /* true = (reading - offset) / (1 + gain) */
    double sun_gain;
    double air_offset_K;  /* true = reading - offset */
    double flow_factor;   /* true heat flow = W of the input * factor ... */
    double flow_exponent; /* ... * exp(exponent * drive of the input) */
    double layers;        /* how far what the pump draws is below the store's mean, as a part
                             of the outlet's rise over that */
    double b0;            /* K = 1 - b0 (1/cos(incidence) - 1) */
    double t_store_degC, t_collector_degC; /* at the start; the latter absorber and fluid */
    double wind_gain_s_m; /* share of the optical gain lost per m/s of wind above the mean */
    double sky;           /* share of the net long-wave exchange that the absorber takes part in */
    double aside_W_m2; /* the absorber gets less than its gain, whatever the irradiance, by this on
                          the scale of its reading: diffuse light and a cold sky before glass */
    double sky_offset_W_m2;              /* true net exchange = that of the input + offset */
    double inlet_offset_K, inlet_gain;   /* of the probes that drive: true = (reading - offset) /
                                            (1 + gain) */
    double outlet_offset_K, outlet_gain; /* only where the outlet's reading feeds the store */
    double pump_W;                       /* to the store while there is flow */
    double opening_m2;                   /* of open water, as good as still air over it */
    double humidity_offset;              /* true relative humidity = that of the input + this */
    double lost_J_K;                     /* of store_J_K, gone evenly from first to last step */
    double back_J_m2K, back_gap_W_m2K;   /* the board behind, all of it; 0: none. The gap to it */
    double sun_on_air_K; /* the air's reading is too high by this much in 1000 W/m2 as recorded */
    double dew;          /* share of the gain that is missing at the first step; it dries ... */
    double dries_s;      /* ... to 1/e in this time; counts where there is dew */
    /* Changes from the first step to the last, about the middle: */
    double sun_fade;                      /* of the irradiance's reading, relative */
    double loss_trend;                    /* of loss_W_m2K, relative */
    double inlet_drift_K, outlet_drift_K; /* of the readings that drive */
} nr_loop_params;

/* Weather and flow, step means. Arrays of [blocks * steps_per_block]; owned by the caller. */
typedef struct nr_loop_input {
    size_t blocks, steps_per_block;
    double step_s;
    const double *sun_W_m2, *air_degC;
    const double *flow_W_K;  /* mass flow times specific heat; 0 = pump stopped */
    const double *drive;     /* ln of what an unmeasured flow follows; NULL: nothing */
    const double *wind_m_s;  /* minus its mean; NULL: none */
    const double *obliquity; /* 1/cos(incidence) - 1; NULL: taken as zero */
    const double *sky_W_m2;  /* net long-wave exchange of a plate at air temperature with what the
                                plane sees, E - sigma Ta^4, ISO 9806; mostly negative. NULL: none */
    const double *iam;       /* modifier from a table instead of b0; NULL: b0 */
    const double *humidity;  /* relative, 0 to 1; NULL: nothing evaporates */
    /* Readings that drive, where inlet and flow are measured: the water that enters is what the
     * inlet says, and the store gets the heat that flow and probes say. NULL: a closed loop. */
    const double *inlet_degC, *outlet_degC;
    /* Where readings are sparse: block means are taken at the readings' own times. [steps][2]:
     * weights of the state at the beginning and at the end of each step; they sum to one in a
     * block. NULL: the trapezoidal mean of the block. */
    const float (*weight[3])[2];
    double lag_s[3]; /* of the store, inlet and outlet sensors */
    bool two_stages; /* where the inlet drives: steps of second order along the tube */
} nr_loop_input;

enum { NR_OUT_STORE, NR_OUT_INLET, NR_OUT_OUTLET, NR_OUTS };

/* Everything that moves, degC: absorber, cover, fluid and board by segment, the container, how far
 * what is drawn lies below its mean, what enters the tube, and what the sensors say. */
typedef struct nr_loop_stand {
    double absorber[NR_SEGMENTS], cover[NR_SEGMENTS], fluid[NR_SEGMENTS], back[NR_SEGMENTS];
    double store, below, inlet, sensor[NR_OUTS];
} nr_loop_stand;

/* Block means. Arrays owned by the caller; any may be NULL where not wanted. */
typedef struct nr_loop_output {
    double *reading[NR_OUTS]; /* [blocks] degC, of sensors with lag and without other errors */
    double *tangent[NR_OUTS]; /* [blocks * NR_DYN_COUNT]; 0 for what has no part in this input */
    double *absorbed_W, *to_water_W, *collector_loss_W, *store_loss_W; /* [blocks] */
    nr_loop_stand *stand; /* [blocks] where the simulation stood before each */
} nr_loop_output;

void nr_loop_run(const nr_loop_input *input, const nr_loop_params *params,
                 const nr_loop_output *output);

/* The same from a block on, for an input that is another's up to there: stand [blocks] is of that
 * one, with the same parameters. Nothing is written before that block, and no tangents. */
void nr_loop_run_from(const nr_loop_input *input, const nr_loop_params *params,
                      const nr_loop_output *output, size_t from, const nr_loop_stand *stand);

#endif
