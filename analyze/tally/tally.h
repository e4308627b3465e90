/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Before and after: what two readings of the water's temperature tell, without any record.
 *
 *   heat = m (h(T to) - h(T from)),  power = heat / t,  run efficiency = heat / (G A t)
 *
 * h: enthalpy of water, IAPWS SR6-08 (physics/water.h). Every input is a value with a standard
 * uncertainty, stated or the usual one (nr_tally_usual_source); what they make together is drawn (JCGM
 * 101:2008), each input by itself, normally distributed. SI and degC.
 */
#ifndef NR_TALLY_TALLY_H
#define NR_TALLY_TALLY_H

#include "analyze/fit/trust.h"
#include "analyze/result/quantity.h"
#include "analyze/result/warning.h"
#include "logger/base/err.h"

#include <stdbool.h>
#include <stddef.h>

typedef enum nr_tally_input {
    NR_TALLY_WATER,    /* kg */
    NR_TALLY_AREA,     /* m2, gross */
    NR_TALLY_FROM,     /* degC */
    NR_TALLY_TO,       /* degC */
    NR_TALLY_DURATION, /* s */
    NR_TALLY_SUN,      /* W/m2, mean in the collector's plane */
    NR_TALLY_INPUTS
} nr_tally_input;

/* "water", "area", "from", "to", "in", "sun": as they are asked for. */
const char *nr_tally_input_name(nr_tally_input input);

/* What is told of an input: NAN is not given. u: standard uncertainty in the value's unit. */
typedef struct nr_stated {
    double value, u;
} nr_stated;

/* Where the usual standard uncertainty of an input is from, where none is stated; clear_sky: the
 * irradiance is a sky model's. */
const char *nr_tally_usual_source(nr_tally_input input, bool clear_sky);

typedef struct nr_tally_question {
    nr_stated input[NR_TALLY_INPUTS]; /* NR_TALLY_SUN may be left open */
    double air_degC;                  /* NAN: not told */
    /* Instead of an irradiance: a place, a plane and when it began, for a cloudless time. */
    bool clear_sky;
    double latitude_deg, longitude_deg, elevation_m, tilt_deg, azimuth_deg, start_utc_s;
    size_t draws;
    unsigned long seed;
} nr_tally_question;

/* Nothing given; 20,000 draws. */
nr_tally_question nr_tally_open(void);

typedef enum nr_tally_result {
    NR_TALLY_HEAT,
    NR_TALLY_POWER,
    NR_TALLY_EFFICIENCY,
    NR_TALLY_RESULTS
} nr_tally_result;

/* What three more readings would give, worked out by the same uncertainties (JCGM 100, least
 * squares) for a collector and a container as they usually are. */
typedef enum nr_tally_more {
    NR_TALLY_BETWEEN, /* of the water, between the two: the loss of both together */
    NR_TALLY_LATER,   /* of the water, over as long again, the sun still on it: the same loss */
    NR_TALLY_COOLING, /* of the water and the air, pump off, to NR_TALLY_COOLING_S: the container's
                       */
    NR_TALLY_MORES
} nr_tally_more;

/* More of the sun than this no home-made collector turns into heat (the same limit as in fit). */
#define NR_TALLY_MOST 0.95

#define NR_TALLY_COOLING_S (6 * 3600.0)

/* "between", "later", "cooling" */
const char *nr_tally_more_name(nr_tally_more more);

typedef struct nr_tally {
    nr_tally_question asked; /* complete: every u, the clear-sky irradiance */
    bool u_stated[NR_TALLY_INPUTS];
    bool sun_known;
    double sun_J;                         /* on the gross area; NAN: not known */
    double incidence_deg;                 /* mean of a clear-sky time; NAN */
    nr_quantity result[NR_TALLY_RESULTS]; /* J, W, 1; u_random: what doing it again averages away
                                             (readings and clock), u_systematic: the rest */
    double share[NR_TALLY_RESULTS][NR_TALLY_INPUTS]; /* of the variance; add up to 1, or 0 */
    nr_tally_input dominates; /* of the efficiency, or of the power where there is no sun */
    double over_air_K;        /* mean water over the air; NAN: not known */
    double supposed_loss_W_m2K, supposed_container_W_K; /* behind `more` */
    double more_u[NR_TALLY_MORES]; /* standard uncertainty: W/(m2 K) twice, W/K; NAN: nothing */
    nr_trust trust;                /* withheld: more heat than sun, by more than the uncertainty */
    nr_warnings cautions;
} nr_tally;

/* NR_BAD when something needed is not given or cannot be (nr_fail_asked names it); NR_CANNOT where
 * the sun was down. */
nr_code nr_tally_make(const nr_tally_question *question, nr_tally *out, nr_err *err);

#endif
